"""Upright lines between two columns: each on a track of its own, so that none runs along another.

Where the line that comes from a card at the left stands as high as the line that leaves for a card at the right, the
first keeps to the left of the second (the vertical constraint of channel routing; Hashimoto and Stevens 1971, from
memory), so that two families never share a stretch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.drawing.family import Certainty


@dataclass(frozen=True, slots=True)
class End:
    """Where an upright line meets one from a card: the node, its height, and (at the right) the parent's percent."""

    node: int
    y: int
    percent: int = 100


@dataclass(frozen=True, slots=True)
class Trunk:
    """One upright line: heights it takes from young at the left and gives to parents at the right."""

    left: tuple[End, ...]
    right: tuple[End, ...]
    certainty: Certainty
    young: tuple[int, ...]

    @property
    def top(self) -> int:
        """Upper end."""
        return min(end.y for end in (*self.left, *self.right))

    @property
    def bottom(self) -> int:
        """Lower end."""
        return max(end.y for end in (*self.left, *self.right))


@dataclass(frozen=True, slots=True)
class Gap:
    """The upright lines between two columns, and the track of each from the left."""

    trunks: tuple[Trunk, ...]
    track: tuple[int, ...]
    #: a chance is written there
    words: bool

    @property
    def tracks(self) -> int:
        """How many tracks are used."""
        return max(self.track, default=-1) + 1


def gap_of(trunks: Sequence[Trunk], apart: int) -> Gap:
    """Give every upright line its track; lines on one track stand `apart` at least."""
    before = _constraints(trunks)
    tracks: list[list[tuple[int, int]]] = []
    given: dict[int, int] = {}
    for number in _in_order(trunks, before):
        trunk = trunks[number]
        at = max((given[other] + 1 for other in before[number] if other in given), default=0)
        while at < len(tracks) and _meets(tracks[at], trunk.top - apart, trunk.bottom + apart):
            at += 1
        while at >= len(tracks):
            tracks.append([])
        tracks[at].append((trunk.top, trunk.bottom))
        given[number] = at
    words = any(trunk.certainty is Certainty.POSSIBLE for trunk in trunks)
    return Gap(tuple(trunks), tuple(given[n] for n in range(len(trunks))), words)


def _meets(track: Sequence[tuple[int, int]], top: int, bottom: int) -> bool:
    return any(top < other_bottom and other_top < bottom for other_top, other_bottom in track)


def _constraints(trunks: Sequence[Trunk]) -> list[set[int]]:
    """For each line, those that must keep to its left."""
    from_left: dict[int, list[int]] = {}
    for number, trunk in enumerate(trunks):
        for end in trunk.left:
            from_left.setdefault(end.y, []).append(number)
    return [
        {other for end in trunk.right for other in from_left.get(end.y, ()) if other != number}
        for number, trunk in enumerate(trunks)
    ]


def _in_order(trunks: Sequence[Trunk], before: Sequence[set[int]]) -> list[int]:
    """Downwards by their upper end, but after those that must keep to the left; a ring is broken where it is met."""
    found: dict[int, None] = {}
    for start in sorted(range(len(trunks)), key=lambda n: (trunks[n].top, n)):
        waiting, open_now = [start], set[int]()
        while waiting:
            number = waiting[-1]
            open_now.add(number)
            missing = [n for n in sorted(before[number]) if n not in found and n not in open_now]
            if missing and number not in found:
                waiting.append(missing[0])
            else:
                found.setdefault(number)
                waiting.pop()
    return list(found)
