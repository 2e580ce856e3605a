"""Geometry of egg-box, lid and cup labels: where each text stands, in mm."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.labels.code import LabelCode
from coilbook.labels.layout import Box, Canvas, PlacedSymbol, symbol_places

_SIDE_MM = 3.3
_TOP_MM = 3.4


@dataclass(frozen=True, slots=True)
class EggBoxAreas:
    """Side of the box, 102 x 51: clutch and box number large, parents, four rows, the start weight in a frame."""

    symbols: tuple[PlacedSymbol, ...]
    clutch: Box
    box: Box
    parents: Box
    rows: tuple[Box, ...]
    start: Box


@dataclass(frozen=True, slots=True)
class SmallAreas:
    """Lid and cup, 50 x 25 and smaller: the name large, rows under it, the code in letters at the foot."""

    symbols: tuple[PlacedSymbol, ...]
    name: Box
    rows: tuple[Box, ...]
    code: Box


def egg_box_areas(canvas: Canvas, code: LabelCode) -> EggBoxAreas:
    """Areas of an egg-box label; the symbol stands in two opposite corners."""
    symbols = symbol_places(canvas, code)
    first, second = symbols[0].quiet, symbols[-1].quiet
    left, right = first.right + 0.6, canvas.width - _SIDE_MM
    split = left + (right - left) * 0.62
    row_top = first.bottom + 0.8
    start_height = 6.2
    start_top = canvas.height - 2.6 - start_height
    row_height = (start_top - 0.8 - row_top) / 4
    width = second.x - 0.6 - _SIDE_MM
    return EggBoxAreas(
        symbols=symbols,
        clutch=Box(left, _TOP_MM, split - 1.5 - left, 8.0),
        box=Box(split, _TOP_MM, right - split, 8.0),
        parents=Box(left, _TOP_MM + 10.0, right - left, first.bottom - _TOP_MM - 10.0),
        rows=tuple(Box(_SIDE_MM, row_top + n * row_height, width, row_height) for n in range(4)),
        start=Box(_SIDE_MM, start_top, width, start_height),
    )


def small_areas(canvas: Canvas, code: LabelCode, rows: int) -> SmallAreas:
    """Areas of a lid (one row) or a cup (three rows); the symbol stands once, at the right."""
    symbols = symbol_places(canvas, code)
    left = 2.4
    right = symbols[0].quiet.x - 0.4 if len(symbols) == 1 else symbols[-1].quiet.x - 0.4
    if len(symbols) == 2:
        left = symbols[0].quiet.right + 0.4
    name = Box(left, 2.4, right - left, 5.4)
    code_box = Box(left, canvas.height - 4.4, right - left, 2.6)
    top = name.bottom + 0.8
    step = (code_box.y - 0.6 - top) / max(rows, 1)
    return SmallAreas(
        symbols, name, tuple(Box(left, top + n * step, right - left, step) for n in range(rows)), code_box
    )
