"""A table of ready words whose columns share the width there is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtGui import QResizeEvent

from coilbook.ui.parts.table import CellLook, ReadyRows, TableView
from coilbook.ui.theme import Theme


class ShareTable(TableView):
    """Columns that share the width there is; the last takes the rest.

    `yields`: columns that give theirs to the others where the table is narrower than so many px at 100%; what they
    say is in the margin too.
    """

    def __init__(
        self,
        theme: Theme,
        name: str,
        heads: Sequence[str],
        shares: Sequence[float],
        right: Sequence[int] = (),
        yields: Mapping[int, int] | None = None,
    ) -> None:
        super().__init__(theme, name)
        self._theme = theme
        self._shares, self._yields = tuple(shares), dict(yields or {})
        self.rows = ReadyRows(heads, right)
        self.setModel(self.rows)

    def show_rows(self, rows: Sequence[Sequence[CellLook]]) -> None:
        """Other rows; the focus stays where it was, as far as there still is a row."""
        at = self.currentIndex()
        row, column = max(at.row(), 0), max(at.column(), 0)
        self.rows.show_rows(rows)
        if rows:
            self.setCurrentIndex(self.rows.index(min(row, len(rows) - 1), column))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        width = self.viewport().width()
        gone = {column for column, least in self._yields.items() if width < self._theme.px(least)}
        shares = (*self._shares, 1 - sum(self._shares))
        left = 1 - sum(shares[column] for column in gone)
        last = max(column for column in range(len(shares)) if column not in gone)
        for column, share in enumerate(shares):
            self.setColumnHidden(column, column in gone)
            # the last one shown takes the rest
            if column not in gone and column != last:
                self.setColumnWidth(column, round(width * share / left))
