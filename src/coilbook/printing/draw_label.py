"""Drawing a laid-out label with reportlab: vector symbols, embedded letters, nothing rescaled."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from coilbook.labels.layout import BAR_CORNER_MM, FRAME_MM, Box, LabelLayout, PlacedSymbol, TextLine
from coilbook.labels.symbol import symbol
from coilbook.labels.type_fit import Weight, font_path

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

PT_PER_MM = 72 / 25.4
_FACES = {Weight.REGULAR: "CoilbookSans", Weight.SEMIBOLD: "CoilbookSans-SemiBold"}


@lru_cache(maxsize=1)
def register_fonts() -> None:
    """Make the bundled letters known to reportlab, once."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for weight, face in _FACES.items():
        pdfmetrics.registerFont(TTFont(face, font_path(weight)))


@lru_cache(maxsize=64)
def _symbol_path(payload: str, modules: int) -> str:
    """PDF operators that fill the dark modules, in whole modules (ISO 32000: `re` appends, `f` fills).

    Written out here because formatting every number through the path object takes twice the time of all else.
    """
    rectangles = (f"{run.x} {run.y} {run.width} {run.height} re" for run in symbol(payload, modules).dark)
    return " ".join((*rectangles, "f"))


class Pen:
    """Draws in mm from the top left of the page, `offset` mm to the right and down of where it is told."""

    def __init__(self, canvas: Canvas, page_height: float, offset: tuple[float, float] = (0.0, 0.0)) -> None:
        self.canvas = canvas
        self._height = page_height
        self._right, self._down = offset

    def point(self, x: float, y: float) -> tuple[float, float]:
        """A place on the page in PDF points."""
        return (x + self._right) * PT_PER_MM, (self._height - y - self._down) * PT_PER_MM

    def label(self, layout: LabelLayout, x: float, y: float) -> None:
        """A label with its top left corner at (x, y)."""
        for bar in layout.bars:
            self.bar(bar, x, y)
        for frame in layout.frames:
            self.frame(Box(x + frame.x, y + frame.y, frame.width, frame.height), width_mm=FRAME_MM)
        for placed in layout.symbols:
            self.symbol(placed, x, y)
        for line in layout.lines:
            self.text(line, x, y)

    def text(self, line: TextLine, x: float = 0.0, y: float = 0.0) -> None:
        """One line of text, black or white."""
        self.canvas.setFillGray(1 if line.white else 0)
        self.canvas.setFont(_FACES[line.weight], line.points)
        self.canvas.drawString(*self.point(x + line.x, y + line.baseline), line.text)

    def bar(self, box: Box, x: float, y: float) -> None:
        """A black bar with slightly rounded corners."""
        left, bottom = self.point(x + box.x, y + box.bottom)
        self.canvas.setFillGray(0)
        width, height = box.width * PT_PER_MM, box.height * PT_PER_MM
        self.canvas.roundRect(left, bottom, width, height, BAR_CORNER_MM * PT_PER_MM, stroke=0, fill=1)

    def symbol(self, placed: PlacedSymbol, x: float = 0.0, y: float = 0.0) -> None:
        """The dark modules as one path, in whole modules under a scaled and turned coordinate system."""
        scale = placed.module * PT_PER_MM
        self.canvas.saveState()
        self.canvas.setFillGray(0)
        left, top = self.point(x + placed.x, y + placed.y)
        self.canvas.transform(scale, 0, 0, -scale, left, top)
        self.canvas.addLiteral(_symbol_path(placed.symbol.payload, placed.symbol.modules))
        self.canvas.restoreState()

    def line(self, x1: float, y1: float, x2: float, y2: float, *, width_mm: float = 0.1) -> None:
        """A straight black line."""
        self.canvas.setStrokeGray(0)
        self.canvas.setLineWidth(width_mm * PT_PER_MM)
        self.canvas.line(*self.point(x1, y1), *self.point(x2, y2))

    def frame(self, box: Box, *, width_mm: float = 0.1) -> None:
        """An empty rectangle."""
        self.canvas.setStrokeGray(0)
        self.canvas.setLineWidth(width_mm * PT_PER_MM)
        left, bottom = self.point(box.x, box.bottom)
        self.canvas.rect(left, bottom, box.width * PT_PER_MM, box.height * PT_PER_MM, stroke=1, fill=0)
