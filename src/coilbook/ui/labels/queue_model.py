"""The queue as a table: tick, animal, what the label says, where it stands, which position it gets."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from coilbook.reads.label_rows import LabelRow
from coilbook.records.vocabulary import Sex
from coilbook.ui.desk import Desk
from coilbook.ui.labels.run import Queue
from coilbook.ui.parts.table import CellRole
from coilbook.wording.language import translated

Index = QModelIndex | QPersistentModelIndex
_ROOT = QModelIndex()
_HEADS = ("", "Label", "Says", "In", "Pos.")
#: the column of places
WHERE = 3
WIDTHS = (36, 112, 0, 72, 52)


class QueueModel(QAbstractTableModel):
    """Reads the queue it is given; `data` is a lookup."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.queue: Queue | None = None
        self._today = ""

    def show_queue(self, queue: Queue | None) -> None:
        """Another queue; the place in the list is the caller's to keep."""
        self.beginResetModel()
        self.queue = queue
        self._today = self._desk.clock().date().isoformat()
        self.endResetModel()

    def row(self, number: int) -> LabelRow | None:
        """The row at a place."""
        rows = self.queue.rows if self.queue is not None else ()
        return rows[number] if 0 <= number < len(rows) else None

    def rowCount(self, parent: Index = _ROOT) -> int:
        return len(self.queue.rows) if self.queue is not None and not parent.isValid() else 0

    def columnCount(self, parent: Index = _ROOT) -> int:
        return len(_HEADS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = 0) -> Any:
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return translated(_HEADS[section]) if _HEADS[section] else ""
        return None

    def data(self, index: Index, role: int = 0) -> Any:
        row = self.row(index.row())
        if row is None or self.queue is None:
            return None
        column = index.column()
        if role == Qt.ItemDataRole.DisplayRole:
            return self._text(row, column)
        if role == CellRole.SHAPE:
            if column == 0:
                return "" if row.name in self.queue.left_out or row.content is None else "tick"
            return "triangle" if column == 2 and row.problem is not None else ""
        if role == CellRole.BOLD:
            return column == 1
        if role == CellRole.AFTER:
            return self._after(row, column)
        if role == CellRole.TOKEN:
            return "second" if column in (3, 4) else "ink"
        if role == Qt.ItemDataRole.TextAlignmentRole and column == 4:
            return int(Qt.AlignmentFlag.AlignRight)
        return None

    def _text(self, row: LabelRow, column: int) -> str:
        assert self.queue is not None
        if column == 1:
            return row.name
        if column == 2:
            return self._desk.render(row.problem) if row.problem is not None else row.says
        if column == 3:
            return row.place
        if column == 4:
            place = self.queue.placements.get(row.name)
            if place is None:
                return ""
            return f"{place.page + 1}-{place.position + 1}" if place.page else str(place.position + 1)
        return ""

    def _after(self, row: LabelRow, column: int) -> str:
        if column == 1 and (row.animal is not None and row.sex is not Sex.UNSEXED):
            return " ".join(self._desk.style.sex_sign(row.sex, row.sex_percent))
        if column == 2 and row.printed_at is not None and row.printed_at[:10] == self._today:
            return translated("printed today")
        return ""
