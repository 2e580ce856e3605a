"""Label sheets and rolls as PDF: any number of labels, from the first free position on."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.labels.content import LabelContent
from coilbook.labels.lay_out import canvas_for, check_suits, lay_out
from coilbook.labels.stock import (
    Printer,
    Stock,
    StockForm,
    check_printer,
    margin_warning,
    page_size,
    pages_needed,
    place_labels,
)
from coilbook.printing.draw_label import PT_PER_MM, Pen
from coilbook.printing.paper import begin_pdf
from coilbook.records.message import Message, StorageTrouble, say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_REPORT_EVERY = 20
#: taken off a roll's page, in points: a page a rounding error too large would be rescaled to one dot more
_HAIR_PT = 0.001


@dataclass(frozen=True, slots=True)
class LabelRun:
    """What to print: contents in order, on which stock and printer, starting at which position (from 0)."""

    contents: Sequence[LabelContent]
    stock: Stock
    printer: Printer = field(default_factory=Printer)
    first: int = 0
    prefix: str = ""


@dataclass(frozen=True, slots=True)
class PrintedRun:
    """A finished PDF, how many pages it has, and in words what did not fit."""

    pdf: bytes
    pages: int
    problems: tuple[Message, ...]


def never_cancelled() -> bool:
    """The answer of a caller who offers no Cancel."""
    return False


def label_pdf(
    run: LabelRun,
    *,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] = never_cancelled,
) -> PrintedRun | None:
    """Draw a run of labels; None when it was cancelled.

    Positions are true to the stock's millimetres plus the printer's offset; positions before the first free one
    stay empty. Raises `Refusal` when the stock does not suit the contents, the printer or the first position.
    """
    check_printer(run.stock, run.printer)
    for kind in {type(content): content for content in run.contents}.values():
        check_suits(run.stock, kind)
    warning = margin_warning(run.stock, run.printer)
    problems: list[Message] = [warning] if warning and run.contents else []
    canvas, buffer, pen = open_page(run.stock, run.printer)
    area = canvas_for(run.stock, run.printer, run.prefix)
    page = 0
    total = len(run.contents)
    for place in place_labels(total, run.stock, run.first):
        if place.index % _REPORT_EVERY == 0:
            if cancelled():
                return None
            if progress:
                progress(place.index, total)
        if place.page != page:
            canvas.showPage()
            page = place.page
        layout = lay_out(run.contents[place.index], area)
        problems.extend(layout.problems)
        pen.label(layout, place.x, place.y)
    canvas.save()
    if progress:
        progress(total, total)
    return PrintedRun(buffer.getvalue(), pages_needed(total, run.stock, run.first) or 1, tuple(problems))


def open_page(stock: Stock, printer: Printer) -> tuple[Canvas, BytesIO, Pen]:
    """A canvas of the stock's page size and a pen that applies the printer's offset."""
    from reportlab import rl_config

    # text-safe streams are for channels of seven bits: a fifth more bytes and a seventh more time for nothing
    rl_config.useA85 = 0
    width, height = page_size(stock, printer)
    hair = _HAIR_PT if stock.form is StockForm.ROLL else 0.0
    canvas, buffer = begin_pdf(stock.name, width * PT_PER_MM - hair, height * PT_PER_MM - hair)
    # "actual size": a viewer that scales to fit would move every label
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas, buffer, Pen(canvas, height, (printer.offset_right, printer.offset_down))


def write_pdf(pdf: bytes, target: Path) -> None:
    """Write a PDF in one step, so that a half-written file never stands under the name."""
    beside = target.with_name(target.name + ".part")
    try:
        with beside.open("wb") as stream:
            stream.write(pdf)
            stream.flush()
            os.fsync(stream.fileno())
        beside.replace(target)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise StorageTrouble(
            say("The PDF could not be written to {path}: {why}.", path=target, why=error.strerror or error),
            kind="pdf",
        ) from error
