"""The whole collection's families on one map: each a drawing of its own, set apart on shelves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.drawing.pedigree_layout import PedigreeLayout

#: between two families, in pixels
APART = 72
#: how wide the map is meant to be for its height
SHAPE = 1.5


@dataclass(frozen=True, slots=True)
class Set:
    """One family and where its upper left corner stands."""

    layout: PedigreeLayout
    x: int
    y: int


@dataclass(frozen=True)
class FamilyMap:
    """Families in their places, and the size of the whole."""

    families: tuple[Set, ...]
    width: int
    height: int


def set_out(layouts: Sequence[PedigreeLayout]) -> FamilyMap:
    """Families on shelves, in the order given, each shelf as high as its highest; none touches another."""
    area = sum((one.width + APART) * (one.height + APART) for one in layouts)
    wide = max([round((area * SHAPE) ** 0.5), *(one.width for one in layouts)], default=0)
    families: list[Set] = []
    x = y = shelf = reached = 0
    for layout in layouts:
        if x and x + layout.width > wide:
            x, y, shelf = 0, y + shelf + APART, 0
        families.append(Set(layout, x, y))
        reached = max(reached, x + layout.width)
        x += layout.width + APART
        shelf = max(shelf, layout.height)
    return FamilyMap(tuple(families), reached, y + shelf)
