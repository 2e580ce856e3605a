"""One run of labels under the keeper's hand: the queue, the stock, the printer, where it starts; and how it is made."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from coilbook.labels.lay_out import canvas_for, lay_out
from coilbook.labels.layout import LabelLayout
from coilbook.labels.stock import (
    LabelKind,
    Placement,
    Printer,
    Stock,
    pages_needed,
    place_labels,
)
from coilbook.operations.printed import PrintedLabel
from coilbook.printing.sheets import LabelRun
from coilbook.reads.label_rows import LabelRow
from coilbook.ui.desk import Desk
from coilbook.ui.labels.sources import file_words


@dataclass(frozen=True)
class Queue:
    """Everything a run is made from; a change makes another one."""

    kind: LabelKind
    rows: tuple[LabelRow, ...]
    stock: Stock
    printer: Printer
    first: int = 0
    prefix: str = ""
    #: rows left out by the keeper, by name
    left_out: frozenset[str] = field(default=frozenset())

    @cached_property
    def printed(self) -> tuple[LabelRow, ...]:
        """The rows that go to paper."""
        return tuple(row for row in self.rows if row.content is not None and row.name not in self.left_out)

    @cached_property
    def placements(self) -> dict[str, Placement]:
        """Where each printed row goes, by name."""
        placed = place_labels(len(self.printed), self.stock, self.first)
        return {row.name: place for row, place in zip(self.printed, placed)}

    @property
    def pages(self) -> int:
        """Sheets (or labels of a roll) it takes."""
        return pages_needed(len(self.printed), self.stock, self.first)

    def per_page(self) -> list[int]:
        """How many labels each sheet takes."""
        counts = [0] * self.pages
        for place in self.placements.values():
            counts[place.page] += 1
        return counts

    def layout_of(self, row: LabelRow) -> LabelLayout | None:
        """The boxes of one label, the very ones the PDF is drawn from."""
        if row.content is None:
            return None
        return lay_out(row.content, canvas_for(self.stock, self.printer, self.prefix))

    def page(self, number: int) -> dict[int, LabelLayout]:
        """The layouts of one sheet by position."""
        found: dict[int, LabelLayout] = {}
        for row in self.printed:
            place = self.placements[row.name]
            layout = self.layout_of(row) if place.page == number else None
            if layout is not None:
                found[place.position] = layout
        return found

    def run(self) -> LabelRun:
        """What the printing room is given."""
        contents = [row.content for row in self.printed if row.content is not None]
        return LabelRun(contents, self.stock, self.printer, self.first, self.prefix)

    def noted(self) -> list[PrintedLabel]:
        """What is written down once it went to paper."""
        return [PrintedLabel(row.code.text, row.animal, row.slot) for row in self.printed if row.code is not None]


def pdf_path(desk: Desk, queue: Queue) -> Path:
    """Where the PDF goes: the collection's papers, named by kind, day and time."""
    now = desk.clock()
    what = file_words(queue.kind)
    folder: Path = desk.collection.folder / "papers"
    return folder / f"{what} {now:%Y-%m-%d %H%M}.pdf"
