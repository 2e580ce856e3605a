"""Rows of cells for the short lists of a page, worded when a row is first shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import Qt

from coilbook.ui.parts.table import CellLook, Index, LooksModel


@dataclass(frozen=True, slots=True)
class Cell(CellLook):
    """How a cell looks, and `whole`, what it says where there is no room for all of it."""

    text: str = ""
    whole: str = ""


Cells = tuple[Cell, ...]


class RowsModel(LooksModel):
    """Asks for the cells of a row once, when it comes into sight."""

    def __init__(self, columns: int) -> None:
        super().__init__([""] * columns)
        self._count = 0
        self._make: Callable[[int], Cells] = lambda _row: ()
        self._made: dict[int, Cells] = {}

    def show(self, count: int, make: Callable[[int], Cells]) -> None:
        """Show other rows: how many, and what makes the cells of each."""
        self.beginResetModel()
        self._count, self._make, self._made = count, make, {}
        self.endResetModel()

    def cell(self, row: int, column: int) -> Cell:
        """One cell."""
        if row not in self._made:
            self._made[row] = self._make(row)
        return self._made[row][column]

    def look(self, row: int, column: int) -> CellLook:
        """How a cell is painted."""
        return self.cell(row, column)

    def row_total(self) -> int:
        return self._count

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role == Qt.ItemDataRole.ToolTipRole and index.isValid():
            cell = self.cell(index.row(), index.column())
            return cell.whole or cell.text or None
        return super().data(index, role)
