"""Labels to print and spoil: invented animals on every stock, their pictures, stains."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Any

import numpy as np
import numpy.typing as npt
import pypdfium2
from PIL import Image, ImageDraw

from coilbook.labels.box_areas import small_areas
from coilbook.labels.code import BODY_COUNT, LabelCode, nth_body
from coilbook.labels.content import CageCard, CupLabel, EggBoxLabel, EggBoxLid, Flag, LabelContent, SlotLabel
from coilbook.labels.lay_out import canvas_for, lay_out
from coilbook.labels.layout import LabelLayout, PlacedSymbol, TextLine
from coilbook.labels.stock import LabelKind, Printer, Stock, StockForm
from coilbook.labels.type_fit import Weight
from coilbook.printing.draw_label import Pen
from coilbook.printing.sheets import LabelRun, label_pdf, open_page
from coilbook.records.vocabulary import CodeKind, Sex

FINDER_MODULES = 7
MM_PER_INCH = 25.4


def code(kind: CodeKind, n: int) -> LabelCode:
    """The first code issued at or after number `n`."""
    for number in range(n, BODY_COUNT):
        body = nth_body(kind, number)
        if body is not None:
            return LabelCode(kind, body)
    raise AssertionError("no code left")


def cage_cards() -> list[CageCard]:
    """Short, long, unsexed, flagged and bare cards."""
    gravid = Flag("GRAVID", "lays 27 Mar - 4 Apr 2026; no live prey")
    return [
        CageCard(code(CodeKind.ANIMAL, 0), "F-014", Sex.FEMALE, genetics="Pastel Enchi het clown",
                 hatched="hatched 2021", prey="f/t medium rat", flags=(gravid,), name="Sorrel"),
        CageCard(code(CodeKind.ANIMAL, 900), "M-03", Sex.MALE, genetics="Clown", hatched="hatched 2019",
                 prey="f/t small rat, likes the evening",
                 flags=(Flag("MEDICAL", "pairing stopped 22 Feb 2026"), Flag("MALE ONLY", "never a female in"))),
        CageCard(code(CodeKind.ANIMAL, 41), "WREN-2024-CLUTCH-014-07", Sex.UNSEXED,
                 genetics="Super Pastel Enchi Yellow Belly Fire Leopard het albino het clown het piebald",
                 doubt="possible Super Enchi; both parents proven het clown, none of eleven young has shown it",
                 hatched="hatched late May 2024", prey="small rat, warmed, from long tongs",
                 flags=(Flag("QT", "until 14 Apr 2026, last in the round, own tongs"), Flag("RESERVED")),
                 name="Halcyon of the Tall Reeds"),
        CageCard(code(CodeKind.ANIMAL, 77), "J-22", Sex.FEMALE, sex_unsure=True),
    ]  # fmt: skip


def egg_box_labels() -> list[EggBoxLabel]:
    """A usual clutch, two clutches in one box, and one that was not weighed."""
    rows = (("laid", "Tue 31 Mar 2026 = day 0"), ("eggs", "7 eggs + 1 slug, numbered 1 - 8"),
            ("hatch", "25 May - 30 May 2026 (d 55 - 60)"),
            ("medium", "vermiculite : water 1 : 0.9 by weight"))  # fmt: skip
    parents = "F-014 \u2640 F \u00d7 M-03 \u2642 M (or M-11)"
    return [
        EggBoxLabel(code(CodeKind.EGG_BOX, 3), "C26-05", "EB-12", parents, rows, "start 1,864 g, with lid"),
        EggBoxLabel(code(CodeKind.EGG_BOX, 90), "C26-05 + C26-06", "EB-113",
                    f"{parents}; F-031 \u2640 F \u00d7 sire not known", rows[:2]),
    ]  # fmt: skip


def cup_labels() -> list[CupLabel]:
    """Identified with a doubt, and not identified yet."""
    return [
        CupLabel(code(CodeKind.HATCHLING, 5), "C26-01-3", "Clown, Pastel?", "sex ?  62 g", "hatched 30 Apr 2026"),
        CupLabel(code(CodeKind.HATCHLING, 60), "C26-12-10b", "Super Pastel Enchi Fire Leopard, Yellow Belly?",
                 "\u2642 M?  48.5 g", "hatched 30 Sep 2026"),
    ]  # fmt: skip


def slot_labels() -> list[SlotLabel]:
    """Slots with short and long names."""
    names = (("R2", "A3"), ("R12", "A10"), ("Q1", "C24"))
    return [SlotLabel(code(CodeKind.SLOT, n * 50), *name) for n, name in enumerate(names)]


def contents_for(stock: Stock) -> list[LabelContent]:
    """What can be printed on a stock."""
    found: list[LabelContent] = []
    if stock.suits(LabelKind.CAGE_CARD):
        found += cage_cards()
    if stock.suits(LabelKind.SLOT):
        found += slot_labels()
    if stock.suits(LabelKind.EGG_BOX):
        found += egg_box_labels()
    if stock.suits(LabelKind.EGG_BOX_LID):
        found += [EggBoxLid(code(CodeKind.EGG_BOX, 31), "EB-12", "C26-05")]
    if stock.suits(LabelKind.CUP):
        found += cup_labels()
    return found


def page_picture(pdf: bytes, dpi: int, page: int = 0) -> Image.Image:
    """A page as a grey picture at `dpi`."""
    document = pypdfium2.PdfDocument(BytesIO(pdf))
    try:
        return document[page].render(scale=dpi / 72, grayscale=True).to_pil().convert("L")
    finally:
        document.close()


def all_pages(pdf: bytes, dpi: int) -> list[Image.Image]:
    """Every page as a grey picture."""
    document = pypdfium2.PdfDocument(BytesIO(pdf))
    try:
        return [page.render(scale=dpi / 72, grayscale=True).to_pil().convert("L") for page in document]
    finally:
        document.close()


@dataclass(frozen=True)
class Sample:
    """One printed label: its picture at `dpi`, where its symbols are, what it must say."""

    picture: Image.Image
    layout: LabelLayout
    code: LabelCode
    dpi: int

    @property
    def dots_per_mm(self) -> float:
        return self.dpi / MM_PER_INCH


@lru_cache(maxsize=64)
def roll_sample(stock: Stock, content: LabelContent, dpi: int, prefix: str = "") -> Sample:
    """A label of a roll as the printer would burn it."""
    assert stock.form is StockForm.ROLL
    printer = Printer(dpi=dpi)
    printed = label_pdf(LabelRun([content], stock, printer, prefix=prefix))
    assert printed is not None
    layout = lay_out(content, canvas_for(stock, printer, prefix))
    return Sample(page_picture(printed.pdf, dpi), layout, content.code, dpi)


@lru_cache(maxsize=16)
def single_sample(stock: Stock, n: int, dpi: int) -> Sample:
    """A small label with one symbol: an egg box's lid."""
    printer = Printer(dpi=dpi)
    lid = code(CodeKind.EGG_BOX, n)
    areas = small_areas(canvas_for(stock, printer), lid, rows=1)
    name = TextLine("EB-12", areas.name.x, areas.name.bottom, 20, Weight.SEMIBOLD)
    layout = LabelLayout(stock.label_width, stock.label_height, (name,), (), areas.symbols)
    canvas, buffer, pen = open_page(stock, printer)
    _draw(pen, layout)
    canvas.save()
    return Sample(page_picture(buffer.getvalue(), dpi), layout, lid, dpi)


def _draw(pen: Pen, layout: LabelLayout) -> None:
    pen.label(layout, 0, 0)


@dataclass(frozen=True)
class Stain:
    """A round stain over part of one symbol, in dots of the picture."""

    x: float
    y: float
    radius: float
    grey: int
    hits_finder: bool


def random_stain(sample: Sample, share: float, rng: np.random.Generator) -> Stain:
    """A stain of `share` of one symbol's area, wholly on that symbol, anywhere on it; dark, light or between."""
    placed = sample.layout.symbols[int(rng.integers(len(sample.layout.symbols)))]
    dots = sample.dots_per_mm
    side = placed.symbol.modules * placed.module * dots
    radius = (share / np.pi) ** 0.5 * side
    x, y = rng.uniform(radius, side - radius, size=2)
    hit = _hits_finder(placed, x / side, y / side, radius / side)
    grey = int(rng.choice([0, 60, 128, 255]))
    return Stain(placed.x * dots + x, placed.y * dots + y, radius, grey, hit)


def _hits_finder(placed: PlacedSymbol, x: float, y: float, radius: float) -> bool:
    """Whether the disc touches one of the three finder squares; all in shares of the symbol's side."""
    far = 1 - FINDER_MODULES / placed.symbol.modules
    near = FINDER_MODULES / placed.symbol.modules
    for left, top in ((0.0, 0.0), (far, 0.0), (0.0, far)):
        dx = max(left - x, 0.0, x - left - near)
        dy = max(top - y, 0.0, y - top - near)
        if dx * dx + dy * dy < radius * radius:
            return True
    return False


def stained(sample: Sample, stain: Stain) -> npt.NDArray[np.uint8]:
    """The label's picture with the stain on it."""
    picture = sample.picture.copy()
    box = (stain.x - stain.radius, stain.y - stain.radius, stain.x + stain.radius, stain.y + stain.radius)
    ImageDraw.Draw(picture).ellipse(box, fill=stain.grey)
    return as_array(picture)


def as_array(picture: Image.Image) -> npt.NDArray[np.uint8]:
    """Grey pixels."""
    array: Any = np.asarray(picture.convert("L"), dtype=np.uint8)
    return array
