"""Laying a label out: boxes in millimetres from its top left corner, the same for the window and the PDF."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial

from coilbook.labels.code import LabelCode
from coilbook.labels.stock import dot_mm
from coilbook.labels.symbol import LEAST_ALONE, LEAST_TWICE, QUIET_MODULES, Symbol, payload_of, symbol
from coilbook.labels.type_fit import (
    CAP_SHARE,
    LEADING,
    POINT_MM,
    Fitted,
    Weight,
    fit,
    missing_signs,
    width_mm,
)
from coilbook.records.message import Message, say

#: square kept free for a code and its quiet zone: 29 modules and quiet zone at 0.508 mm (6 dots at 300 dpi)
CODE_ROOM_MM = 18.8
#: a module larger than this makes the symbol no easier to read and takes room from the words
LARGEST_MODULE_MM = 0.65
#: smallest width that carries the symbol twice, in opposite corners: 57 mm, less what whole dots take off a roll
TWICE_FROM_MM = 57.0 - 0.2
#: light strip between the quiet zone and the edge that the cutter may take
EDGE_MM = 1.0
#: how round the corners of a bar are, and how thick the line of a frame is
BAR_CORNER_MM, FRAME_MM = 0.6, 0.25


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle: left, top, width, height in mm."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.x + self.width

    @property
    def bottom(self) -> float:
        return self.y + self.height


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of text: left end and baseline in mm, size in points; `white` inside a bar."""

    text: str
    x: float
    baseline: float
    points: float
    weight: Weight
    white: bool = False


@dataclass(frozen=True, slots=True)
class PlacedSymbol:
    """A symbol whose dark modules begin at (x, y); `module` is the side of one module in mm."""

    symbol: Symbol
    x: float
    y: float
    module: float

    @property
    def quiet(self) -> Box:
        """The square that must stay light but for the symbol."""
        edge = QUIET_MODULES * self.module
        side = self.symbol.modules_with_quiet * self.module
        return Box(self.x - edge, self.y - edge, side, side)


@dataclass(frozen=True, slots=True)
class LabelLayout:
    """A label ready to draw, and in words what did not fit (`problems`)."""

    width: float
    height: float
    lines: tuple[TextLine, ...]
    bars: tuple[Box, ...]
    symbols: tuple[PlacedSymbol, ...]
    problems: tuple[Message, ...] = ()
    #: outlines, drawn as a thin black line
    frames: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True)
class Canvas:
    """Size of the label in mm, the printer's dots, the prefix of its codes."""

    width: float
    height: float
    dpi: int
    prefix: str = ""


def symbol_places(canvas: Canvas, code: LabelCode, *, room: float = CODE_ROOM_MM) -> tuple[PlacedSymbol, ...]:
    """The symbol in the top left and bottom right corner, or once at the right where the label is narrow."""
    twice = canvas.width >= TWICE_FROM_MM
    drawn = symbol(payload_of(code, canvas.prefix), LEAST_TWICE if twice else LEAST_ALONE)
    module = whole_dot_module(drawn.modules_with_quiet, canvas.dpi, room)
    side = drawn.modules_with_quiet * module
    place = partial(_snapped, drawn, module, canvas.dpi)
    if twice:
        far_x, far_y = canvas.width - side - EDGE_MM, canvas.height - side - EDGE_MM
        return place(EDGE_MM, EDGE_MM), place(far_x, far_y)
    return (place(canvas.width - side - EDGE_MM, max(0.0, (canvas.height - side) / 2 - EDGE_MM)),)


def whole_dot_module(modules_with_quiet: int, dpi: int, room: float) -> float:
    """The largest module in mm that is a whole number of dots and lets the square fit into `room`."""
    dot = dot_mm(dpi)
    most = min(room / modules_with_quiet, LARGEST_MODULE_MM)
    return max(1, int(most / dot + 1e-6)) * dot


def _snapped(drawn: Symbol, module: float, dpi: int, x: float, y: float) -> PlacedSymbol:
    """The symbol with its quiet zone's corner at the next whole dot to (x, y)."""
    dot = dot_mm(dpi)
    edge = QUIET_MODULES * module
    return PlacedSymbol(drawn, round(x / dot) * dot + edge, round(y / dot) * dot + edge, module)


@dataclass(slots=True)
class Draft:
    """Collects what stands on one label; `name` is what problems call it."""

    canvas: Canvas
    name: str
    symbols: tuple[PlacedSymbol, ...]
    lines: list[TextLine] = field(default_factory=list)
    bars: list[Box] = field(default_factory=list)
    problems: list[Message] = field(default_factory=list)
    frames: list[Box] = field(default_factory=list)

    def write(
        self, text: str, box: Box, *, points: float, weight: Weight = Weight.REGULAR, white: bool = False
    ) -> Fitted:
        """Fit `text` into the box from its top; a problem is noted when it had to be shortened."""
        fitted = fit(text, box.width, box.height, points=points, weight=weight)
        self.put(fitted, box.x, box.y, weight=weight, white=white)
        if not fitted.whole:
            self.problems.append(say("{label}: '{text}' does not fit, even at 7 pt.", label=self.name, text=text))
        self.note_missing(text, weight)
        return fitted

    def put(self, fitted: Fitted, x: float, y: float, *, weight: Weight, white: bool = False) -> None:
        """Place fitted lines with the top of the first line's capitals at `y`."""
        size = fitted.points * POINT_MM
        for number, text in enumerate(fitted.lines):
            baseline = y + size * (CAP_SHARE + LEADING * number)
            self.lines.append(TextLine(text, x, baseline, fitted.points, weight, white))

    def put_right(self, text: str, right: float, baseline: float, *, points: float, weight: Weight) -> float:
        """Place one line that ends at `right`; returns where it begins."""
        x = right - width_mm(text, points, weight)
        self.lines.append(TextLine(text, x, baseline, points, weight))
        self.note_missing(text, weight)
        return x

    def done(self) -> LabelLayout:
        """The finished label."""
        return LabelLayout(
            self.canvas.width,
            self.canvas.height,
            tuple(self.lines),
            tuple(self.bars),
            self.symbols,
            tuple(self.problems),
            tuple(self.frames),
        )

    def note_missing(self, text: str, weight: Weight) -> None:
        """Note a problem when the bundled letters lack a sign of `text`."""
        missing = missing_signs(text, weight)
        if missing:
            self.problems.append(
                say(
                    "{label}: the printed letters lack {signs}; an empty box stands in its place.",
                    label=self.name,
                    signs=" ".join(missing),
                )
            )
