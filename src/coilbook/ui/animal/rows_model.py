"""Rows of cells for the short lists of a page, worded when a row is first shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, Qt

from coilbook.ui.parts.table import CellLook, CellRole, LooksModel

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

    @property
    def look(self) -> CellLook:
        """What of it is painted."""
        return CellLook(self.text, self.bold, self.token, self.shape, self.after, self.right)


Cells = tuple[Cell, ...]
#: what each role asks of a cell
_SAYS: dict[int, Callable[[Cell], object]] = {
    int(Qt.ItemDataRole.DisplayRole): lambda cell: cell.text,
    int(Qt.ItemDataRole.ToolTipRole): lambda cell: cell.whole or cell.text or None,
    int(Qt.ItemDataRole.AccessibleTextRole): lambda cell: " ".join(part for part in (cell.text, cell.after) if part),
    int(Qt.ItemDataRole.TextAlignmentRole): lambda cell: RIGHT if cell.right else None,
    int(CellRole.WHOLE): lambda cell: cell.whole or cell.text or None,
    int(CellRole.BOLD): lambda cell: cell.bold,
    int(CellRole.TOKEN): lambda cell: cell.token,
    int(CellRole.SHAPE): lambda cell: cell.shape,
    int(CellRole.AFTER): lambda cell: cell.after,
}


class RowsModel(LooksModel):
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

    def look(self, row: int, column: int) -> CellLook:
        """How a cell is painted."""
        return self.cell(row, column).look

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else self._count

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else self._columns

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid():
            return None
        say = _SAYS.get(int(role))
        return None if say is None else say(self.cell(index.row(), index.column()))
