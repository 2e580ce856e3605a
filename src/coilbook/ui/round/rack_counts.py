"""The racks of a round with their sums, kept so that a key press need not add up every rack of a large room again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from enum import StrEnum
from typing import Any

from coilbook.reads.round import Group, RackRound, RoundState, RoundTime, racks_of_round


class Mode(StrEnum):
    """What the walk goes past: offers to close, who is due, or everybody."""

    CLOSE = "close"
    DUE = "due"
    ALL = "all"


def in_mode(mode: Mode, state: RoundState, *, closing: bool) -> bool:
    """True when a walk in that mode goes past an animal in that state."""
    if mode is Mode.CLOSE:
        return state is RoundState.OPEN or closing
    return mode is Mode.ALL or not (closing or state in (RoundState.NOT_DUE, RoundState.OPEN))


def wanted(mode: Mode) -> RoundState:
    """The state of which a mode still wants something."""
    return RoundState.OPEN if mode is Mode.CLOSE else RoundState.TODO


class RackCounts:
    """Every rack with animals in it, in walking order, as counted at `time`; a rack can be counted again and put back.

    Used by one thread at a time: a worker makes it, the window takes it over.
    """

    def __init__(self, racks: list[RackRound], time: RoundTime) -> None:
        self.racks, self.time = racks, time
        self._all: Counter[tuple[RoundState, bool, str, bool]] = Counter()
        self._totals: dict[Mode, list[int]] = {mode: [total_of(mode, rack) for rack in racks] for mode in Mode}
        for rack in racks:
            self._add(rack, 1)

    @classmethod
    def read(cls, collection: Any, time: RoundTime) -> RackCounts:
        """All of them counted from the book."""
        return cls(racks_of_round(collection, time), time)

    def put(self, index: int, rack: RackRound) -> None:
        """A rack was counted again."""
        self._add(self.racks[index], -1)
        self._add(rack, 1)
        self.racks[index] = rack
        for mode, totals in self._totals.items():
            totals[index] = total_of(mode, rack)

    def groups(self) -> Iterator[Group]:
        """How many animals of all racks share state, prey and hold."""
        for (state, closing, prey, held), count in self._all.items():
            if count:
                yield Group(state, closing, prey, held, count)

    def todo(self, mode: Mode) -> int:
        """How many of all racks are still to do in that mode."""
        return sum(group.count for group in self.groups() if group.state is wanted(mode))

    def total(self, mode: Mode) -> int:
        """How many that mode goes past."""
        return sum(self._totals[mode])

    def before(self, mode: Mode, index: int) -> int:
        """How many that mode goes past in the racks before one."""
        return sum(self._totals[mode][:index])

    def _add(self, rack: RackRound, times: int) -> None:
        for group in rack.groups:
            self._all[group.state, group.closing, group.prey, group.held] += times * group.count


def todo_of(mode: Mode, rack: RackRound) -> int:
    """How many of a rack are still to do in that mode."""
    return sum(group.count for group in rack.groups if group.state is wanted(mode))


def total_of(mode: Mode, rack: RackRound) -> int:
    """How many of a rack that mode goes past."""
    return sum(group.count for group in rack.groups if in_mode(mode, group.state, closing=group.closing))
