"""The queue as a table: tick, animal, what the label says, where it stands, which position it gets."""

from __future__ import annotations

from coilbook.reads.label_rows import LabelRow
from coilbook.records.vocabulary import Sex
from coilbook.ui.desk import Desk
from coilbook.ui.labels.run import Queue
from coilbook.ui.parts.table import CellLook, LooksModel
from coilbook.wording.language import translated

_HEADS = ("", "Label", "Says", "In", "Pos.")
TICK, LABEL, SAYS, WHERE, POSITION = range(5)
WIDTHS = (36, 112, 0, 72, 52)


class QueueModel(LooksModel):
    """Reads the queue it is given; `look` is a lookup."""

    def __init__(self, desk: Desk) -> None:
        super().__init__([translated(head) if head else "" for head in _HEADS], (POSITION,))
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

    def row_total(self) -> int:
        return len(self.queue.rows) if self.queue is not None else 0

    def look(self, row: int, column: int) -> CellLook:
        found = self.row(row)
        if found is None:
            return CellLook(None)
        return CellLook(
            self._text(found, column),
            bold=column == LABEL,
            token="second" if column in (WHERE, POSITION) else "ink",
            shape=self._shape(found, column),
            after=self._after(found, column),
            right=column == POSITION,
        )

    def _shape(self, row: LabelRow, column: int) -> str:
        assert self.queue is not None
        if column == TICK:
            return "" if row.name in self.queue.left_out or row.content is None else "tick"
        return "triangle" if column == SAYS and row.problem is not None else ""

    def _text(self, row: LabelRow, column: int) -> str:
        assert self.queue is not None
        if column == LABEL:
            return row.name
        if column == SAYS:
            return self._desk.render(row.problem) if row.problem is not None else row.says
        if column == WHERE:
            return row.place
        if column == POSITION:
            place = self.queue.placements.get(row.name)
            if place is None:
                return ""
            return f"{place.page + 1}-{place.position + 1}" if place.page else str(place.position + 1)
        return ""

    def _after(self, row: LabelRow, column: int) -> str:
        if column == LABEL and (row.animal is not None and row.sex is not Sex.UNSEXED):
            return " ".join(self._desk.style.sex_sign(row.sex, row.sex_percent))
        if column == SAYS and row.printed_at is not None and row.printed_at[:10] == self._today:
            return translated("printed today")
        return ""
