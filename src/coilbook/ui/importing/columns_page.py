"""What each column of the sheet was taken for; any of them can be taken for something else."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QComboBox, QFrame, QGridLayout, QScrollArea, QVBoxLayout, QWidget

from coilbook.intake.columns import Column, Meaning
from coilbook.intake.plan import ImportPlan, SheetPlan
from coilbook.ui.importing.words import meaning_word
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated, translated_plural

#: columns of days are told once; changing each of fifty is nobody's wish
_DAYS = frozenset({Meaning.FEEDING_ON, Meaning.WEIGHT_ON})
#: what a keeper may choose; the rest come from the header's own date
_CHOICES = tuple(m for m in Meaning if m not in (*_DAYS, Meaning.EMPTY))


class ColumnsPage(QScrollArea):
    """A line for each column: header, what it was taken for. `chosen` carries the column's key and meaning."""

    chosen = Signal(str, str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setAccessibleName(translated("Columns of the sheet"))
        #: tabs whose columns are to be listed
        self._due: tuple[SheetPlan, ...] = ()

    def show_plan(self, plan: ImportPlan) -> None:
        """List the columns of every tab, as soon as they are looked at: their choices take long to make."""
        self._due = plan.sheets
        if self.isVisible():
            self._build()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._build()

    def _build(self) -> None:
        sheets, self._due = self._due, ()
        if not sheets:
            return
        body = QWidget()
        body.setObjectName("page")
        outer = QVBoxLayout(body)
        outer.setContentsMargins(0, 0, self._theme.px(24), self._theme.px(24))
        outer.setSpacing(self._theme.px(8))
        for sheet in sheets:
            if len(sheets) > 1:
                outer.addWidget(label(translated("Tab {name}").format(name=sheet.name), "strong"))
            outer.addLayout(self._grid(sheet.columns))
        outer.addStretch(1)
        self.setWidget(body)

    def _grid(self, columns: tuple[Column, ...]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(self._theme.px(16))
        grid.setVerticalSpacing(self._theme.px(4))
        line = 0
        for column in columns:
            if column.meaning in (*_DAYS, Meaning.EMPTY):
                continue
            grid.addWidget(label(column.title), line, 0)
            grid.addWidget(self._choice(column), line, 1)
            line += 1
        for meaning in _DAYS:
            days = [c for c in columns if c.meaning is meaning]
            if days:
                text = translated_plural("{n} column", "{n} columns", len(days))
                grid.addWidget(label(f"{days[0].title} … {days[-1].title}, {text}"), line, 0)
                grid.addWidget(label(meaning_word(meaning), "second"), line, 1)
                line += 1
        grid.setColumnStretch(0, 2)
        grid.setColumnStretch(1, 1)
        return grid

    def _choice(self, column: Column) -> QComboBox:
        combo = QComboBox()
        combo.setAccessibleName(translated("Column {name} holds").format(name=column.title))
        for meaning in _CHOICES:
            combo.addItem(meaning_word(meaning), meaning.value)
        combo.setCurrentIndex(combo.findData(column.meaning.value))
        combo.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        combo.activated.connect(partial(self._taken_for, combo, column.key))
        return combo

    def _taken_for(self, combo: QComboBox, key: str, _index: int) -> None:
        self.chosen.emit(key, str(combo.currentData()))
