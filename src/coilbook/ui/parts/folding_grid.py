"""Fields side by side, as many as the width holds without cutting a word of their heads."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from coilbook.ui.theme import Theme

#: fields side by side at most, and at least
MOST, LEAST = 3, 2


class FoldingGrid(QWidget):
    """Three fields a row, or two where three have no room; read row by row either way."""

    def __init__(self, theme: Theme, fields: Sequence[QWidget]) -> None:
        super().__init__()
        self._theme, self._fields, self._across = theme, list(fields), 0
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._arrange(LEAST)
        theme.changed.connect(self._fit)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._needed(LEAST), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        self._arrange(MOST if self.width() >= self._needed(MOST) else LEAST)

    def _needed(self, across: int) -> int:
        """Width in px that so many columns need: the stretch gives all the same."""
        widest = max((field.minimumSizeHint().width() for field in self._fields), default=0)
        return across * widest + (across - 1) * self._theme.px(16)

    def _arrange(self, across: int) -> None:
        self._grid.setHorizontalSpacing(self._theme.px(16))
        self._grid.setVerticalSpacing(self._theme.px(12))
        if across == self._across:
            return
        self._across = across
        for number, field in enumerate(self._fields):
            self._grid.addWidget(field, number // across, number % across)
        for column in range(MOST):
            self._grid.setColumnStretch(column, 1 if column < across else 0)
