"""A test sheet from which the keeper reads the printer's offset, and tries three sizes of code.

Two numbered scales lie across the middle of the page. Folded edge to edge, the paper's own middle crosses each
scale at the number to type into the two offset fields: no ruler is needed. The label outlines are held against
the real stock.
"""

from __future__ import annotations

from coilbook.labels.layout import Box, PlacedSymbol, TextLine
from coilbook.labels.stock import Printer, Stock, StockForm, check_printer, dot_mm, page_size
from coilbook.labels.symbol import symbol
from coilbook.labels.type_fit import Weight, width_mm
from coilbook.printing.draw_label import Pen
from coilbook.printing.sheets import PrintedRun, open_page

#: what the three symbols carry, smallest first; none of them reads as a code
TEST_TEXTS = ("TEST 1", "TEST 2", "TEST 3")
#: module sizes tried, in mm, before rounding to whole dots
_TEST_MODULES_MM = (0.36, 0.5, 0.63)
#: the scales reach so far to both sides of the middle, in mm, with a tick every half
_REACH_MM = 5.0
_SMALL_POINTS = 7.0


def offset_test_pdf(stock: Stock, printer: Printer) -> PrintedRun:
    """The test sheet of a stock and printer; it is drawn without the offset, which it is there to find."""
    check_printer(stock, printer)
    canvas, buffer, pen = open_page(stock, Printer(dpi=printer.dpi, margin=printer.margin))
    width, height = page_size(stock, printer)
    pages = 1
    _draw_scales(pen, width, height)
    if stock.form is StockForm.SHEET:
        for position in range(stock.per_page):
            x, y = stock.corner_of(position)
            pen.frame(Box(x, y, stock.label_width, stock.label_height), width_mm=0.08)
        _draw_words(pen, width / 2 + 14, height / 2 + 12, _SHEET_WORDS)
        _draw_symbols(pen, printer.dpi, width / 2 + 14, height / 2 + 26)
    else:
        canvas.showPage()
        pages = 2
        _draw_symbols(pen, printer.dpi, 1.0, 1.0)
    canvas.save()
    return PrintedRun(buffer.getvalue(), pages, ())


_SHEET_WORDS = (
    "Print at 100 %. Fold the sheet edge to edge, once each way.",
    "The number where a fold crosses its scale is the offset in mm.",
)


def _draw_words(pen: Pen, x: float, y: float, words: tuple[str, ...]) -> None:
    for number, text in enumerate(words):
        pen.text(TextLine(text, x, y + number * 3.6, _SMALL_POINTS, Weight.REGULAR))


def _draw_scales(pen: Pen, width: float, height: float) -> None:
    """One scale across each middle line, numbered with the offset that would bring the print to the fold."""
    middle_x, middle_y = width / 2, height / 2
    beside_y, beside_x = max(6.5, height * 0.08), max(7.0, width * 0.08)
    reach = min(_REACH_MM, height / 2 - 4)
    steps = int(reach * 2)
    for step in range(-steps, steps + 1):
        at = step / 2
        long = 2.6 if step % 2 == 0 else 1.4
        pen.line(middle_x + at, beside_y - long, middle_x + at, beside_y)
        pen.line(beside_x, middle_y + at, beside_x + long, middle_y + at)
        if step % 8 == 0:
            _number(pen, at, middle_x + at - (1.6 if step else 0.8), beside_y - 3.2)
            _number(pen, at, beside_x + 3.2, middle_y + at + 0.9)
    pen.line(middle_x - reach, beside_y, middle_x + reach, beside_y)
    pen.line(beside_x, middle_y - reach, beside_x, middle_y + reach)


def _number(pen: Pen, value: float, x: float, y: float) -> None:
    shown = f"{value:+.0f}".replace("-", "−") if value else "0"
    pen.text(TextLine(shown, x, y, _SMALL_POINTS, Weight.REGULAR))


def _draw_symbols(pen: Pen, dpi: int, x: float, y: float) -> None:
    """Three symbols side by side, each named by its module size in dots and mm."""
    dot = dot_mm(dpi)
    for text, wanted in zip(TEST_TEXTS, _TEST_MODULES_MM, strict=True):
        drawn = symbol(text)
        dots = max(1, round(wanted / dot))
        module = dots * dot
        quiet = 4 * module
        placed = PlacedSymbol(drawn, round(x / dot) * dot + quiet, round(y / dot) * dot + quiet, module)
        pen.symbol(placed)
        side = placed.quiet.width
        words = f"{dots} dots"
        pen.text(TextLine(words, placed.x, placed.quiet.bottom + 1.4, _SMALL_POINTS, Weight.REGULAR))
        x += max(side, width_mm(words, _SMALL_POINTS, Weight.REGULAR)) + 0.4
