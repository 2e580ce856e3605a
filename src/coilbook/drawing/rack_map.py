"""Where the racks and slots of a room stand on a page: plain numbers, no painting.

A rack is a head line with its slots below, one line for each row letter (A1 A2 ... / B1 B2 ...); slots without a row
letter run on in lines of what fits. Racks follow each other downwards in walking order. Only where each rack begins is
worked out for a width; the slots of a rack are placed when they are asked for, so that a room of 100,000 is laid out
anew, at another width, in the time of its racks.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate

from coilbook.records.ids import PlaceId

_ROW_LETTERS = re.compile(r"^([^\W\d_]+)[ -]?\d+$")


@dataclass(frozen=True, slots=True)
class RackIn:
    """A rack to lay out: its slots in walking order, those of a row letter together."""

    id: PlaceId
    rows: tuple[tuple[PlaceId, ...], ...]

    @classmethod
    def of(cls, rack: PlaceId, slots: Sequence[tuple[PlaceId, str]]) -> RackIn:
        """A rack of slots as (id, name)."""
        rows: list[list[PlaceId]] = []
        letters = None
        for slot, name in slots:
            found = _ROW_LETTERS.match(name)
            its = found[1] if found else ""
            if not rows or its != letters:
                rows.append([])
            letters = its
            rows[-1].append(slot)
        return cls(rack, tuple(map(tuple, rows)))

    def lines(self, fit: int) -> Iterator[tuple[PlaceId, ...]]:
        """Its lines where so many slots fit in one; a row that does not fit goes on in the next."""
        for row in self.rows:
            for start in range(0, len(row), fit):
                yield row[start : start + fit]

    def count(self, fit: int) -> int:
        """How many lines those are."""
        return sum(-(-len(row) // fit) for row in self.rows)


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
    """A rectangle of something on the map, in pixels from its top left."""

    id: PlaceId
    x: int
    y: int
    width: int
    height: int

    def holds(self, x: float, y: float) -> bool:
        """True for a point inside."""
        return self.x <= x < self.x + self.width and self.y <= y < self.y + self.height


@dataclass(frozen=True)
class RackMap:
    """Racks laid into a width. `rack_of` the place of its rack in `racks`, by slot; `tops` where each rack begins."""

    racks: Sequence[RackIn] = ()
    rack_of: Mapping[PlaceId, int] = field(default_factory=dict)
    width: int = 0
    measures: Measures = Measures()
    tops: tuple[int, ...] = ()
    height: int = 0

    @property
    def fit(self) -> int:
        """How many slots stand in a line."""
        m = self.measures
        return max((self.width + m.gap) // (m.width + m.gap), 1)

    def between(self, top: float, bottom: float) -> tuple[list[Box], list[Box]]:
        """Heads and slots of the racks that reach into a stretch from `top` to `bottom`."""
        heads: list[Box] = []
        slots: list[Box] = []
        first = max(bisect_right(self.tops, top) - 1, 0)
        for at in range(first, bisect_right(self.tops, bottom)):
            heads.append(self._head(at))
            slots += self._slots(at)
        return heads, slots

    def at(self, x: float, y: float) -> PlaceId | None:
        """The slot or rack head under a point."""
        heads, slots = self.between(y, y)
        return next((box.id for box in (*slots, *heads) if box.holds(x, y)), None)

    def box_of(self, place: PlaceId) -> Box | None:
        """The rectangle of a slot or a rack head."""
        at = self.rack_of.get(place)
        if at is not None:
            return next(box for box in self._slots(at) if box.id == place)
        return next((self._head(at) for at, rack in enumerate(self.racks) if rack.id == place), None)

    def neighbour(self, place: PlaceId, across: int, down: int) -> PlaceId:
        """The slot one step away; the same one at the edge. Down and up go to the nearest box of the next line."""
        at = self.rack_of.get(place)
        if at is None:
            return next((slot for rack in self.racks for row in rack.rows for slot in row), place)
        lines = list(self.racks[at].lines(self.fit))
        line = next(number for number, line in enumerate(lines) if place in line)
        column = lines[line].index(place)
        if across:
            order = [slot for one in lines for slot in one]
            step = order.index(place) + across
            return order[step] if 0 <= step < len(order) else self._beyond(at, across, 0 if across > 0 else -1, place)
        if 0 <= line + down < len(lines):
            return lines[line + down][min(column, len(lines[line + down]) - 1)]
        return self._beyond(at, down, column, place)

    def _beyond(self, rack: int, step: int, column: int, place: PlaceId) -> PlaceId:
        """A slot of the first line of the next rack that has any, or of the last line of the one before."""
        at = rack + step
        while 0 <= at < len(self.racks):
            lines = list(self.racks[at].lines(self.fit))
            if lines:
                line = lines[0 if step > 0 else -1]
                return line[min(column, len(line) - 1)]
            at += step
        return place

    def _head(self, at: int) -> Box:
        return Box(self.racks[at].id, 0, self.tops[at], self.width, self.measures.head)

    def _slots(self, at: int) -> Iterator[Box]:
        m = self.measures
        for number, line in enumerate(self.racks[at].lines(self.fit)):
            y = self.tops[at] + m.head + number * (m.height + m.gap)
            for column, slot in enumerate(line):
                yield Box(slot, column * (m.width + m.gap), y, m.width, m.height)


def rack_by_slot(racks: Sequence[RackIn]) -> dict[PlaceId, int]:
    """The place of its rack in `racks`, by slot."""
    return {slot: at for at, rack in enumerate(racks) for row in rack.rows for slot in row}


def lay_out(
    racks: Sequence[RackIn], width: int, measures: Measures | None = None, rack_of: Mapping[PlaceId, int] | None = None
) -> RackMap:
    """Place every rack into `width` pixels; a row of slots that does not fit goes on in the next line."""
    m = measures if measures is not None else Measures()
    fit = max((width + m.gap) // (m.width + m.gap), 1)
    high = [m.head + rack.count(fit) * (m.height + m.gap) + m.between for rack in racks]
    ends = list(accumulate(high, initial=0))
    found = rack_of if rack_of is not None else rack_by_slot(racks)
    return RackMap(racks, found, width, m, tuple(ends[:-1]), ends[-1])
