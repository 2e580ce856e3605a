"""The timeline of an animal: everything that was entered, narrowed by a typed word, corrected where it stands."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from coilbook.reads.animal_rows import Entry
from coilbook.records.composed import composed
from coilbook.ui.animal.rows_model import Cell, Cells, RowsModel
from coilbook.ui.animal.short_list import ShortList
from coilbook.ui.animal.words import entry_day, entry_words, shape_of
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style


class _Narrow(QLineEdit):
    """The field that narrows; Down goes to the list, Esc empties it, then leaves."""

    left = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.left.emit()
        elif event.key() == Qt.Key.Key_Escape:
            if self.text():
                self.clear()
            else:
                self.left.emit()
        else:
            super().keyPressEvent(event)


class TimelinePart(QWidget):
    """Rows newest first; Enter corrects the entry in focus, Del takes it out."""

    walked = Signal()
    opened = Signal(object)
    removed = Signal(object)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._entries: tuple[Entry, ...] = ()
        self._shown: list[Entry] = []
        self._texts: list[str] = []
        self._word: Callable[[Entry], Cells] = lambda _entry: _nothing(False)
        self.narrow = _Narrow()
        self.narrow.setAccessibleName(translated("Narrow the timeline"))
        self.narrow.setFixedWidth(theme.px(288))
        self.list = ShortList(theme, translated("Timeline"), (100, 0, 64))
        self.model = RowsModel(3)
        self.list.setModel(self.model)
        self.list.fit_columns()
        head = QHBoxLayout()
        head.addWidget(label(translated("Timeline"), "strong"))
        head.addStretch(1)
        head.addWidget(self.narrow)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.px(4))
        column.addLayout(head)
        column.addWidget(self.list, 1)
        self.narrow.textChanged.connect(self._filter)
        self.narrow.left.connect(self.to_list)
        self.list.walked.connect(self.walked)
        self.list.opened.connect(self._open)

    def show_entries(self, entries: tuple[Entry, ...], today: dt.date, style: Style) -> None:
        """Show an animal's entries; the one in focus keeps the focus when it is still there."""
        held = self.entry
        self._entries = entries
        self._word = partial(_cells, today=today, style=style)
        self._texts = []
        text = translated_plural(
            "all {n} entry; type a word to narrow", "all {n} entries; type a word to narrow", len(entries)
        )
        self.narrow.setPlaceholderText(text if entries else translated("no entries yet"))
        self._filter()
        if held is not None:
            self.focus_entry(held.table, held.row)

    @property
    def entry(self) -> Entry | None:
        """The entry in focus."""
        row = self.list.current_row()
        return self._shown[row] if 0 <= row < len(self._shown) else None

    @property
    def shown(self) -> tuple[Entry, ...]:
        """The entries in the list."""
        return tuple(self._shown)

    def focus_entry(self, table: str, row: int) -> bool:
        """Put the focus on an entry; False when it is not in the list."""
        for number, entry in enumerate(self._shown):
            if (entry.table, entry.row) == (table, row):
                self.list.setCurrentIndex(self.model.index(number, 1))
                return True
        return False

    def to_list(self) -> None:
        """The keyboard goes to the list."""
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def begin_narrowing(self, text: str) -> None:
        """Somebody typed on the page: the letters go to the field."""
        self.narrow.setFocus(Qt.FocusReason.OtherFocusReason)
        self.narrow.setText(self.narrow.text() + text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        entry = self.entry
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self.list.hasFocus() and entry is not None:
            self.removed.emit(entry)
        elif event.key() == Qt.Key.Key_F2 and entry is not None:
            self.opened.emit(entry)
        else:
            super().keyPressEvent(event)

    def _open(self, _index: object) -> None:
        if self.entry is not None:
            self.opened.emit(self.entry)

    def _filter(self) -> None:
        terms = composed(self.narrow.text().casefold()).split()
        if not terms:
            self._shown = list(self._entries)
        else:
            self._shown = [e for e, text in zip(self._entries, self._all_texts(), strict=True) if _has(text, terms)]
        shown = self._shown
        if shown:
            self.model.show(len(shown), lambda row: self._word(shown[row]))
        else:
            self.model.show(1, lambda _row: _nothing(bool(terms)))

    def _all_texts(self) -> list[str]:
        """Every entry in words, made when somebody first narrows."""
        if len(self._texts) != len(self._entries):
            self._texts = [" ".join(cell.text for cell in self._word(e)).casefold() for e in self._entries]
        return self._texts


def _has(text: str, terms: list[str]) -> bool:
    return all(term in text for term in terms)


def _cells(entry: Entry, today: dt.date, style: Style) -> Cells:
    words = entry_words(entry, style)
    day = Cell(entry_day(entry, today, style), token="second")
    return day, Cell(words, shape=shape_of(entry), whole=words), Cell(entry.who, token="second", right=True)


def _nothing(narrowed: bool) -> Cells:
    text = translated("No entry has that word.") if narrowed else translated("Nothing is recorded yet.")
    return Cell(), Cell(text, token="second"), Cell()
