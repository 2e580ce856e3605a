"""A sheet of paper for words: its sizes, the letters, a page that is written from the top down, and the PDF of it."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from coilbook.labels.code import LabelCode
from coilbook.labels.layout import PlacedSymbol
from coilbook.labels.symbol import payload_of, symbol
from coilbook.printing.draw_label import PT_PER_MM, Pen, register_fonts

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

#: page sizes in mm (ISO 216; ANSI/ASME Y14.1 size A, 8.5 by 11 inches)
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
#: side of a module of the code in mm, and the size of its letters
_MODULE, _CODE_POINTS = 0.6, 7.5
FACE, BOLD_FACE = "CoilbookSans", "CoilbookSans-SemiBold"


def begin_pdf(title: str, width: float, height: float) -> tuple[Canvas, BytesIO]:
    """An empty PDF of pages `width` by `height` points, and where saving writes it; same input, same bytes."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(width, height), invariant=1, pageCompression=1)
    canvas.setCreator("Coilbook")
    canvas.setTitle(title)
    return canvas, buffer


def measure(text: str, points: float, *, bold: bool = False) -> float:
    """Width of a text in mm."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(text, BOLD_FACE if bold else FACE, points)) / PT_PER_MM


class Paper:
    """Pages of one size, in mm from the top left; `y` is where the next thing begins. An unknown paper is A4."""

    def __init__(self, title: str, paper: str, margin: float, *, across: bool = False) -> None:
        """`across`: the long side lies."""
        short, long = PAPERS.get(paper, PAPERS["A4"])
        self.width, self.height = (long, short) if across else (short, long)
        self.margin, self.inner = margin, self.width - 2 * margin
        self.canvas, self._buffer = begin_pdf(title, self.width * PT_PER_MM, self.height * PT_PER_MM)
        self.pen = Pen(self.canvas, self.height)
        self.y, self.number = margin, 1

    def foot(self) -> None:
        """What stands below a page that is full."""

    def room(self, height: float) -> None:
        """Begin another page where the next thing has no room."""
        if self.y + height > self.height - self.margin:
            self.foot()
            self.canvas.showPage()
            self.number += 1
            self.y = self.margin + 4

    def text(self, x: float, y: float, text: str, points: float, *, bold: bool = False, centred: bool = False) -> None:
        """One line of text on the baseline `y`, from `x` on or around it."""
        self.canvas.setFillGray(0)
        self.canvas.setFont(BOLD_FACE if bold else FACE, points)
        draw = self.canvas.drawCentredString if centred else self.canvas.drawString
        draw(*self.pen.point(x, y), text)

    def code_in_corner(self, code: LabelCode, prefix: str) -> float:
        """The code of the sheet at the top right, in letters below it; the width in mm it takes."""
        placed = symbol(payload_of(code, prefix))
        side = placed.modules_with_quiet * _MODULE
        quiet = (placed.modules_with_quiet - placed.modules) / 2 * _MODULE
        left = self.width - self.margin - side
        self.pen.symbol(PlacedSymbol(placed, left + quiet, self.margin - 2 + quiet, _MODULE))
        self.text(left + side / 2, self.margin + side, code.shown, _CODE_POINTS, centred=True)
        return side

    def fit(self, text: str, points: float, room: float, *, least: float = 12, bold: bool = False) -> float:
        """Points at which a text fits, not under `least`."""
        while points > least and measure(text, points, bold=bold) > room:
            points = max(points - 1, least)
        return points

    def cut(self, text: str, points: float, room: float, *, bold: bool = False) -> str:
        """A text cut to the room, with dots where something is cut off."""
        if measure(text, points, bold=bold) <= room:
            return text
        while text and measure(text + "\u2026", points, bold=bold) > room:
            text = text[:-1]
        return text.rstrip() + "\u2026"

    def wrapped(self, text: str, points: float, room: float, *, bold: bool = False) -> list[str]:
        """A text in lines of at most `room`."""
        lines = [""]
        for word in text.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and measure(longer, points, bold=bold) > room:
                lines.append(word)
            else:
                lines[-1] = longer
        return [self.cut(line, points, room, bold=bold) for line in lines]

    def pdf(self) -> bytes:
        """The finished file."""
        self.canvas.save()
        return self._buffer.getvalue()
