"""Label stock: sheets and rolls in millimetres, the printer's own offset and margin, and where each label goes.

Positions are counted from 0, row by row from the top left; a page's top left corner is (0, 0). The shipped
entries are text files; each states where its figures come from.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Any

from coilbook.records.message import Message, Refusal, StorageTrouble, say
from coilbook.wording.resources import resource_path

MM_PER_INCH = 25.4


class StockForm(StrEnum):
    SHEET = "sheet"
    ROLL = "roll"


class LabelKind(StrEnum):
    """What can be printed on a stock."""

    CAGE_CARD = "cage_card"
    SLOT = "slot"
    EGG_BOX = "egg_box"
    EGG_BOX_LID = "egg_box_lid"
    CUP = "cup"


#: least width and height in mm on which everything a kind must say has its place: the sizes of the trade's
#: usual stock (`common practice`), less what sheets of the same name lack (99.1 for 102, 48.5 for 50, 62 x 29)
LEAST_SIZE = {
    LabelKind.CAGE_CARD: (85.0, 50.0),
    LabelKind.SLOT: (57.0, 29.0),
    LabelKind.EGG_BOX: (99.0, 50.0),
    LabelKind.EGG_BOX_LID: (38.0, 21.0),
    LabelKind.CUP: (48.0, 25.0),
}
#: small labels on larger stock than this would only waste it
_LARGEST_SMALL = (70.0, 40.0)
_SMALL = (LabelKind.SLOT, LabelKind.EGG_BOX_LID, LabelKind.CUP)
#: dots that symbols on sheets are made of: a 600 or 1200 dpi page printer divides them evenly
SHEET_DPI = 300


@dataclass(frozen=True, slots=True)
class Stock:
    """One kind of label paper. Lengths in mm; a roll has one column and one row and no page margins."""

    key: str
    name: str
    form: StockForm
    label_width: float
    label_height: float
    provenance: str
    page_width: float
    page_height: float
    columns: int = 1
    rows: int = 1
    column_step: float = 0.0
    row_step: float = 0.0
    left: float = 0.0
    top: float = 0.0
    corner: float = 0.0
    dpis: tuple[int, ...] = (SHEET_DPI,)

    @property
    def per_page(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    def suits(self, kind: LabelKind) -> bool:
        """Whether everything a label of this kind must say has its place on this stock."""
        width, height = LEAST_SIZE[kind]
        too_large = self.label_width > _LARGEST_SMALL[0] or self.label_height > _LARGEST_SMALL[1]
        if kind in _SMALL and too_large:
            return False
        return self.label_width >= width and self.label_height >= height

    def corner_of(self, position: int) -> tuple[float, float]:
        """Top left corner of a position, in mm from the top left of the page."""
        if not 0 <= position < self.per_page:
            raise ValueError(f"{self.key} has positions 0 to {self.per_page - 1}, not {position}")
        row, column = divmod(position, self.columns)
        return self.left + column * self.column_step, self.top + row * self.row_step


@dataclass(frozen=True, slots=True)
class Printer:
    """One printer as the keeper measured it.

    The offset (mm, to the right and down) is added to every position; `margin` is the edge in mm on which the
    printer cannot print; `dpi` counts for rolls, where a module is a whole number of dots.
    """

    name: str = ""
    dpi: int = SHEET_DPI
    offset_right: float = 0.0
    offset_down: float = 0.0
    margin: float = 4.0

    def __post_init__(self) -> None:
        """An offset beyond 10 mm is a slip of the finger, not a printer."""
        if max(abs(self.offset_right), abs(self.offset_down)) > 10:
            raise Refusal(say("An offset is at most 10 mm either way; measure the test sheet again."))
        if not 0 <= self.margin <= 25:
            raise Refusal(say("A printer's margin is between 0 and 25 mm."))


@dataclass(frozen=True, slots=True)
class Placement:
    """Where label number `index` of a run goes: `page` from 0, `position`, and its corner in mm."""

    index: int
    page: int
    position: int
    x: float
    y: float


def place_labels(count: int, stock: Stock, first: int = 0) -> Iterator[Placement]:
    """Placements of `count` labels, the first on position `first` of the first page.

    >>> cards = shipped_stock("a4-cards-85x54")
    >>> [(p.page, p.position) for p in place_labels(3, cards, first=8)]
    [(0, 8), (0, 9), (1, 0)]
    """
    if not 0 <= first < stock.per_page:
        raise Refusal(say("This sheet has {n} positions; start on one of them.", n=stock.per_page))
    for index in range(count):
        page, position = divmod(first + index, stock.per_page)
        x, y = stock.corner_of(position)
        yield Placement(index, page, position, x, y)


def pages_needed(count: int, stock: Stock, first: int = 0) -> int:
    """Sheets (or labels of a roll) that a run takes."""
    return -(-(first + count) // stock.per_page) if count else 0


def dot_mm(dpi: int) -> float:
    """Width of one printer dot in mm."""
    return MM_PER_INCH / dpi


def page_size(stock: Stock, printer: Printer) -> tuple[float, float]:
    """Page size in mm; a roll's label is a whole number of the printer's dots, so that nothing is rescaled."""
    if stock.form is StockForm.SHEET:
        return stock.page_width, stock.page_height
    dot = dot_mm(printer.dpi)
    return int(stock.page_width / dot + 1e-6) * dot, int(stock.page_height / dot + 1e-6) * dot


def check_printer(stock: Stock, printer: Printer) -> None:
    """Refuse a printer whose dots the stock is not made for."""
    if stock.form is StockForm.ROLL and printer.dpi not in stock.dpis:
        raise Refusal(
            say(
                "{stock} is laid out for {dpis} dpi, not for {dpi}. Choose the printer's dpi again.",
                stock=stock.name,
                dpis=" / ".join(str(dpi) for dpi in stock.dpis),
                dpi=printer.dpi,
            )
        )


def margin_warning(stock: Stock, printer: Printer) -> Message | None:
    """One sentence when some labels of a sheet reach into the edge that the printer leaves white."""
    if stock.form is StockForm.ROLL:
        return None
    last_x, last_y = stock.corner_of(stock.per_page - 1)
    room = min(
        stock.left + printer.offset_right,
        stock.top + printer.offset_down,
        stock.page_width - last_x - stock.label_width - printer.offset_right,
        stock.page_height - last_y - stock.label_height - printer.offset_down,
    )
    if room >= printer.margin - 1e-9:
        return None
    return say(
        "The outer labels lie {room} mm from the edge of the paper, and this printer leaves {margin} mm white:"
        " look at the outer codes before you use the sheet.",
        room=f"{room:.1f}",
        margin=f"{printer.margin:.1f}",
    )


@lru_cache(maxsize=1)
def shipped_stocks() -> tuple[Stock, ...]:
    """Every stock that comes with the program, in the order of the files."""
    found: list[Stock] = []
    for path in sorted(resource_path("stocks").glob("*.toml")):
        found.extend(read_stocks(path.read_text(encoding="utf-8")))
    return tuple(found)


def shipped_stock(key: str) -> Stock:
    """The shipped stock of that key; `Refusal` when there is none."""
    for stock in shipped_stocks():
        if stock.key == key:
            return stock
    raise Refusal(say("There is no label stock '{key}'. `coilbook labels --stocks` lists them.", key=key))


def read_stocks(text: str) -> list[Stock]:
    """Stocks from the text of a stock file; a faulty entry is named by `StorageTrouble`."""
    stocks = [_read_entry(entry) for entry in tomllib.loads(text).get("stock", [])]
    for stock in stocks:
        _check_geometry(stock)
    return stocks


def _read_entry(entry: dict[str, Any]) -> Stock:
    width, height = (float(side) for side in entry["label"])
    common: dict[str, Any] = {
        "key": entry["key"],
        "name": entry["name"],
        "form": StockForm(entry["form"]),
        "label_width": width,
        "label_height": height,
        "provenance": entry["provenance"],
        "corner": float(entry.get("corner", 0)),
    }
    if common["form"] is StockForm.ROLL:
        dpis = tuple(int(dpi) for dpi in entry["dpi"])
        return Stock(page_width=width, page_height=height, dpis=dpis, **common)
    page_width, page_height = (float(side) for side in entry["page"])
    columns, rows = entry["grid"]
    column_step, row_step = (float(step) for step in entry["step"])
    left, top = (float(edge) for edge in entry["first"])
    return Stock(
        page_width=page_width,
        page_height=page_height,
        columns=columns,
        rows=rows,
        column_step=column_step,
        row_step=row_step,
        left=left,
        top=top,
        **common,
    )


def _check_geometry(stock: Stock) -> None:
    right, bottom = stock.corner_of(stock.per_page - 1)
    overlap = (stock.columns > 1 and stock.column_step < stock.label_width) or (
        stock.rows > 1 and stock.row_step < stock.label_height
    )
    # sheets of the trade round their figures, so the last label may pass the edge by a hair
    slack = 0.05
    outside = (
        right + stock.label_width > stock.page_width + slack or bottom + stock.label_height > stock.page_height + slack
    )
    if overlap or outside or not stock.provenance:
        raise StorageTrouble(
            say("The label stock '{key}' does not add up; mend its entry.", key=stock.key), kind="resource"
        )
