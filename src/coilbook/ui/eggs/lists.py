"""Short lists of the screen of eggs: what was done and what came of it, open doubts, looks to come, the story."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from coilbook.reads.clutch_story import StoryLine
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, Deed, OpenDoubt
from coilbook.reads.egg_words import NextLook
from coilbook.records.egg_vocabulary import Outcome
from coilbook.records.when import moment_from
from coilbook.ui.desk import Desk
from coilbook.ui.parts.emptying import empty
from coilbook.ui.parts.shapes import ShapeMark
from coilbook.ui.parts.text import label
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words

#: lines a list shows before it says how many more there are
MOST = 6
#: room for the name of a box, px at 100 percent
_NAME = 88


class ShortLines(QWidget):
    """A head over lines of several cells; an empty list says so in one line."""

    def __init__(self, desk: Desk, head: str, empty: str, stretch: int) -> None:
        super().__init__()
        self._desk, self._head_words, self._empty, self._wrapped = desk, head, empty, stretch
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(desk.theme.px(4))
        self._head = label("", "head", wrap=True)
        column.addWidget(self._head)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(desk.theme.px(10))
        self._grid.setVerticalSpacing(desk.theme.px(4))
        self._grid.setColumnStretch(stretch, 1)
        column.addLayout(self._grid)
        self._more = label("", "small", wrap=True)
        self._more.hide()
        column.addWidget(self._more)
        column.addStretch(1)
        self.setAccessibleName(head)

    def _tell_more(self, text: str) -> None:
        """A last line that says where there is more of it."""
        self._more.setText(text)
        self._more.setVisible(bool(text))

    def _clear(self, count: int) -> None:
        empty(self._grid)
        self._head.setText((f"{self._head_words}, {count}" if count else self._head_words).upper())
        if not count:
            self._grid.addWidget(label(self._empty, "small", wrap=True), 0, 0, 1, 3)

    def _cells(self, row: int, *cells: tuple[str, str]) -> None:
        for column, (text, role) in enumerate(cells):
            made = label(text, role, wrap=column == self._wrapped)
            self._grid.addWidget(made, row, column, Qt.AlignmentFlag.AlignTop)


class DoneLines(ShortLines):
    """What was done to a clutch and its box, and what came of it."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, translated("Done, and what came of it"), translated("Nothing yet."), 1)

    def show_deeds(self, box: BoxNowRow | None, clutch: ClutchNow | None) -> None:
        """The last deeds, oldest first."""
        deeds = [d for d in box.deeds if clutch is not None] if box is not None else []
        self._clear(len(deeds))
        self._tell_more(translated("Ctrl J: what helped over all clutches") if deeds else "")
        taken = [
            *(box.photos if box is not None else ()),
            *(p for e in (clutch.eggs if clutch else ()) for p in e.photos),
        ]
        pictured = {photo.before for photo in taken}
        for row, deed in enumerate(deeds[-MOST:]):
            assert clutch is not None
            self._line(row, deed, clutch, deed.id in pictured)

    def _line(self, row: int, deed: Deed, clutch: ClutchNow, pictured: bool) -> None:
        day = translated("d {n}").format(n=clutch.day_of(moment_from(deed.at).date()))
        about = translated("egg {n}").format(n=deed.number) if deed.number is not None else translated("box")
        text = f"{about}: {words(deed.what)}"
        text += f", {deed.how}" if deed.how else ""
        text += f"; {deed.why}" if deed.why else ""
        text += f", {self._desk.style.mass(deed.away_dg)}" if deed.away_dg is not None else ""
        text += translated(" (photo before)") if pictured else ""
        came = words(deed.came_of_it) if deed.came_of_it is not Outcome.UNSAID else ""
        if came and deed.seen_at is not None:
            seen = clutch.day_of(moment_from(deed.seen_at).date())
            came = translated("{outcome} on d {n}").format(outcome=came, n=seen)
        text += f" \u2013 {came}" if came else ""
        self._cells(row, (day, "second"), (text, "clay" if deed.came_of_it is Outcome.WORSE else ""))


class DoubtLines(ShortLines):
    """Open doubts of the box in focus."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, translated("Open doubts"), translated("None about this box."), 0)

    def show_doubts(self, doubts: Sequence[OpenDoubt], in_all: int) -> None:
        """Each with what would settle it and when to look again; `in_all` stand open in the collection."""
        self._clear(len(doubts))
        more = translated_plural("J: the only one of the collection", "J: all {n} of the collection", in_all)
        self._tell_more(more if in_all else "")
        for row, doubt in enumerate(doubts[:MOST]):
            parts = [f"{doubt.about}: {words(doubt.kind)}"]
            parts += [doubt.question] if doubt.question else []
            parts += [doubt.candidates] if doubt.candidates else []
            if doubt.settles_by:
                parts.append(translated("{what} settles it").format(what=doubt.settles_by))
            if doubt.look_again is not None:
                day = self._desk.style.date(doubt.look_again, year=False)
                parts.append(translated("look again {day}").format(day=day))
            self._cells(row, ("; ".join(parts), ""))


class LookLines(ShortLines):
    """Looks to come in every box."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, translated("Next looks"), translated("None."), 2)

    def _short(self, name: str) -> str:
        """A long name of a box ends in dots, or it would push the words beside it off the page."""
        theme = self._desk.theme
        metrics = QFontMetrics(theme.font(bold=True))
        return metrics.elidedText(name, Qt.TextElideMode.ElideRight, theme.px(_NAME))

    def show_looks(self, looks: Sequence[NextLook], today: dt.date) -> None:
        """The nearest ones; those that are late in clay."""
        self._clear(len(looks))
        for row, look in enumerate(looks[:MOST]):
            late = look.day < today
            day = self._desk.style.date(look.day, year=False)
            self._cells(row, (day, "clay" if late else "second"), (self._short(look.label), "strong"),
                        (self._desk.render(look.told), ""))  # fmt: skip


class StoryLines(QWidget):
    """The story of a clutch, a line each, with its shape."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setVerticalSpacing(desk.theme.px(4))
        self._grid.setHorizontalSpacing(desk.theme.px(8))
        self._grid.setColumnStretch(3, 1)
        self.setAccessibleName(translated("The story of the clutch"))

    def show_story(self, lines: Sequence[StoryLine]) -> None:
        """Every line, oldest first."""
        empty(self._grid)
        for row in range(self._grid.rowCount()):
            self._grid.setRowStretch(row, 0)
        for row, line in enumerate(lines):
            moment = moment_from(line.at)
            top = Qt.AlignmentFlag.AlignTop
            self._grid.addWidget(label(translated("d {n}").format(n=line.day), "second"), row, 0, top)
            self._grid.addWidget(label(self._desk.style.date(moment.date(), year=False), "second"), row, 1, top)
            self._grid.addWidget(ShapeMark(self._desk.theme, line.mark), row, 2, top)
            self._grid.addWidget(label(self._desk.render(line.told), wrap=True), row, 3, top)
        self._grid.setRowStretch(len(lines), 1)
        self.setAccessibleDescription("; ".join(self._desk.render(line.told) for line in lines))
