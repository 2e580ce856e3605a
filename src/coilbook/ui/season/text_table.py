"""A table of ready words: the plans beside what happened, and the close of a season."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QResizeEvent

from coilbook.ui.parts.table import CellLook, CellRole, LooksModel, TableView
from coilbook.ui.theme import Theme

_NO_PARENT = QModelIndex()


class TextModel(LooksModel):
    """Rows of looks under heads; `right` names the columns of numbers."""

    def __init__(self, heads: Sequence[str], right: Sequence[int] = ()) -> None:
        super().__init__()
        self._heads, self._right = tuple(heads), frozenset(right)
        self._rows: Sequence[Sequence[CellLook]] = ()

    def show(self, rows: Sequence[Sequence[CellLook]]) -> None:
        """Other rows."""
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def rowCount(self, parent: QModelIndex | QPersistentModelIndex = _NO_PARENT) -> int:
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: QModelIndex | QPersistentModelIndex = _NO_PARENT) -> int:
        return 0 if parent.isValid() else len(self._heads)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole and section in self._right:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return self._heads[section] if role == Qt.ItemDataRole.DisplayRole else None

    def data(self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        look = self.look(index.row(), index.column())
        if role in (Qt.ItemDataRole.DisplayRole, CellRole.WHOLE):
            return look.text
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{look.text or ''} {look.after}".strip()
        return None

    def look(self, row: int, column: int) -> CellLook:
        return self._rows[row][column] if 0 <= row < len(self._rows) else CellLook("")


class ShareTable(TableView):
    """Columns that share the width there is; the last takes the rest."""

    def __init__(
        self, theme: Theme, name: str, heads: Sequence[str], shares: Sequence[float], right: Sequence[int] = ()
    ) -> None:
        super().__init__(theme, name)
        self._shares = tuple(shares)
        self.rows = TextModel(heads, right)
        self.setModel(self.rows)

    def show_rows(self, rows: Sequence[Sequence[CellLook]]) -> None:
        """Other rows; the focus stays where it was, as far as there still is a row."""
        at = self.currentIndex()
        row, column = max(at.row(), 0), max(at.column(), 0)
        self.rows.show(rows)
        if rows:
            self.setCurrentIndex(self.rows.index(min(row, len(rows) - 1), column))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        for column, share in enumerate(self._shares):
            self.setColumnWidth(column, round(self.viewport().width() * share))
