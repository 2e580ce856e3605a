"""Where the racks and slots of a room stand on a page: plain numbers, no painting.

A rack is a head line with its slots below, one line for each row letter (A1 A2 ... / B1 B2 ...); slots without a row
letter run on in lines of what fits. Racks follow each other downwards in walking order.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.records.ids import PlaceId

_ROW_LETTERS = re.compile(r"^([^\W\d_]+)[ -]?\d+$")


@dataclass(frozen=True, slots=True)
class RackIn:
    """A rack to lay out: its slots as (id, name) in walking order."""

    id: PlaceId
    slots: tuple[tuple[PlaceId, str], ...]


@dataclass(frozen=True, slots=True)
class Measures:
    """Pixels: width and height of a slot, gap between slots, height of a rack's head, space between racks."""

    width: int = 104
    height: int = 44
    gap: int = 8
    head: int = 36
    between: int = 20


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of something on the map, in pixels from its top left; `line` counts all lines of slots."""

    id: PlaceId
    x: int
    y: int
    width: int
    height: int
    line: int = 0


@dataclass(frozen=True, slots=True)
class RackMap:
    heads: tuple[Box, ...]
    boxes: tuple[Box, ...]
    height: int

    def at(self, x: float, y: float) -> PlaceId | None:
        """The slot or rack head under a point."""
        for box in (*self.boxes, *self.heads):
            if box.x <= x < box.x + box.width and box.y <= y < box.y + box.height:
                return box.id
        return None

    def box_of(self, place: PlaceId) -> Box | None:
        """The rectangle of a slot or a rack head."""
        return next((box for box in (*self.boxes, *self.heads) if box.id == place), None)

    def neighbour(self, place: PlaceId, across: int, down: int) -> PlaceId:
        """The slot one step away; the same one at the edge. Down and up go to the nearest box of the next line."""
        here = next((box for box in self.boxes if box.id == place), None)
        if here is None:
            return self.boxes[0].id if self.boxes else place
        if across:
            order = [box.id for box in self.boxes]
            return order[min(max(order.index(place) + across, 0), len(order) - 1)]
        line = [box for box in self.boxes if box.line == here.line + down]
        return min(line, key=lambda box: abs(box.x - here.x)).id if line else place


def lay_out(racks: Sequence[RackIn], width: int, measures: Measures | None = None) -> RackMap:
    """Place every rack and slot into `width` pixels; a row of slots that does not fit goes on in the next line."""
    m = measures if measures is not None else Measures()
    fit = max((width + m.gap) // (m.width + m.gap), 1)
    heads: list[Box] = []
    boxes: list[Box] = []
    y, line = 0, 0
    for rack in racks:
        heads.append(Box(rack.id, 0, y, width, m.head))
        y += m.head
        for row in _rows(rack.slots, fit):
            for column, slot in enumerate(row):
                boxes.append(Box(slot, column * (m.width + m.gap), y, m.width, m.height, line))
            y += m.height + m.gap
            line += 1
        y += m.between
    return RackMap(tuple(heads), tuple(boxes), y)


def _rows(slots: Sequence[tuple[PlaceId, str]], fit: int) -> list[list[PlaceId]]:
    rows: list[list[PlaceId]] = []
    letters = None
    for slot, name in slots:
        found = _ROW_LETTERS.match(name)
        its = found[1] if found else ""
        if not rows or its != letters or len(rows[-1]) == fit:
            rows.append([])
        letters = its
        rows[-1].append(slot)
    return rows
