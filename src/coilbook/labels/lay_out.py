"""From content to a laid-out label: one place that knows which layout belongs to which content."""

from __future__ import annotations

from coilbook.labels.cage_card import lay_out_cage_card
from coilbook.labels.content import CageCard, CupLabel, EggBoxLabel, EggBoxLid, LabelContent, SlotLabel
from coilbook.labels.egg_labels import lay_out_cup, lay_out_egg_box, lay_out_lid
from coilbook.labels.layout import Canvas, LabelLayout
from coilbook.labels.slot_label import lay_out_slot_label
from coilbook.labels.stock import LabelKind, Printer, Stock, StockForm, page_size
from coilbook.records.message import Refusal, say

_KINDS: dict[type, LabelKind] = {
    CageCard: LabelKind.CAGE_CARD,
    SlotLabel: LabelKind.SLOT,
    EggBoxLabel: LabelKind.EGG_BOX,
    EggBoxLid: LabelKind.EGG_BOX_LID,
    CupLabel: LabelKind.CUP,
}


def kind_of(content: LabelContent) -> LabelKind:
    """Which kind of label a content is printed on."""
    return _KINDS[type(content)]


def canvas_for(stock: Stock, printer: Printer, prefix: str = "") -> Canvas:
    """The area one label of a stock has on this printer."""
    if stock.form is StockForm.ROLL:
        width, height = page_size(stock, printer)
        return Canvas(width, height, printer.dpi, prefix)
    return Canvas(stock.label_width, stock.label_height, stock.dpis[0], prefix)


def lay_out(content: LabelContent, canvas: Canvas) -> LabelLayout:
    """The label as boxes in mm; what did not fit stands in its `problems`."""
    if isinstance(content, CageCard):
        return lay_out_cage_card(content, canvas)
    if isinstance(content, SlotLabel):
        return lay_out_slot_label(content, canvas)
    if isinstance(content, EggBoxLabel):
        return lay_out_egg_box(content, canvas)
    if isinstance(content, EggBoxLid):
        return lay_out_lid(content, canvas)
    return lay_out_cup(content, canvas)


def check_suits(stock: Stock, content: LabelContent) -> None:
    """Refuse to print a content on stock that has no room for what it must say."""
    if not stock.suits(kind_of(content)):
        raise Refusal(
            say("{stock} has no room for what this kind of label must say. Choose other stock.", stock=stock.name)
        )
