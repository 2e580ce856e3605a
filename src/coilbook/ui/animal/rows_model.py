"""Rows of cells for the short lists of a page, worded when a row is first shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from coilbook.ui.parts.table import CellRole

Index = QModelIndex | QPersistentModelIndex
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: text, how it is written, a shape before and words after it."""

    text: str = ""
    bold: bool = False
    token: str = "ink"
    shape: str = ""
    after: str = ""
    right: bool = False
    whole: str = ""


Cells = tuple[Cell, ...]


class RowsModel(QAbstractTableModel):
    """Asks for the cells of a row once, when it comes into sight."""

    def __init__(self, columns: int) -> None:
        super().__init__()
        self._columns = columns
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

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else self._count

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else self._columns

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid():
            return None
        cell = self.cell(index.row(), index.column())
        if role == Qt.ItemDataRole.DisplayRole:
            return cell.text
        if role in (Qt.ItemDataRole.ToolTipRole, CellRole.WHOLE):
            return cell.whole or cell.text or None
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return " ".join(part for part in (cell.text, cell.after) if part)
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return RIGHT if cell.right else None
        return {
            CellRole.BOLD: cell.bold,
            CellRole.TOKEN: cell.token,
            CellRole.SHAPE: cell.shape,
            CellRole.AFTER: cell.after,
        }.get(CellRole(role)) if role in _OWN else None  # fmt: skip


_OWN = {int(role) for role in CellRole}
