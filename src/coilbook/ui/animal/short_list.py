"""A short list inside a page: 24 px rows without hairlines or head, keyboard like every other list."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QHeaderView

from coilbook.ui.parts.table import TableView
from coilbook.ui.theme import TARGET, Theme

ROW = 24


class ShortList(TableView):
    """`widths` of its columns at 100 percent; a column of width 0 takes the rest; never lower than `least_rows`."""

    def __init__(self, theme: Theme, name: str, widths: tuple[int, ...], *, least_rows: int = 4) -> None:
        self._widths, self._least_rows = widths, least_rows
        super().__init__(theme, name)
        self.horizontalHeader().hide()
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def fit_rows(self) -> None:
        """Row heights for the present scale and size."""
        rows = self.verticalHeader()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        height = self.row_height()
        rows.setMinimumSectionSize(height)
        rows.setDefaultSectionSize(height)
        self.setMinimumHeight(height * self._least_rows)
        self.fit_columns()

    def row_height(self) -> int:
        """Height of one row."""
        return self.theme.px(TARGET if self.theme.room else ROW)

    def fit_columns(self) -> None:
        """Widths of the columns; to be called once the model is set."""
        head = self.horizontalHeader()
        head.setStretchLastSection(False)
        for column, width in enumerate(self._widths):
            if column >= head.count():
                return
            mode = QHeaderView.ResizeMode.Fixed if width else QHeaderView.ResizeMode.Stretch
            head.setSectionResizeMode(column, mode)
            if width:
                head.resizeSection(column, self.theme.px(width))

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        model = self.model()
        if not self.currentIndex().isValid() and model is not None and model.rowCount():
            self.setCurrentIndex(model.index(0, 1))
        self.walked.emit()
