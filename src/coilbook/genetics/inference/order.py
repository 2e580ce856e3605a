"""In which order to sum variables out: min-fill, in rounds, so that the tree of tables stays low as well as narrow."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import prod

#: a table of at most this many entries is worth a lower tree
_SMALL = 64
#: a family with more entries than this in all is laid out by itself
_APART = 4096


@dataclass
class Elimination:
    """Variables in the order they are summed out, and with each the later ones it shares a table with, next first.

    `apart`: families with many entries, each by itself: they need not be run again when another is asked.
    `too_wide`: the families (lists of variables) whose tables would pass the limit; they are left out.
    """

    order: list[int] = field(default_factory=list)
    later: list[list[int]] = field(default_factory=list)
    apart: list[Elimination] = field(default_factory=list)
    too_wide: list[list[int]] = field(default_factory=list)


def eliminate(sizes: Sequence[int], scopes: Iterable[Sequence[int]], limit: int) -> Elimination:
    """Order the variables (with these numbers of states) of factors over `scopes`, family by family.

    `limit`: the most entries all tables of one family may have together; nothing is allocated to find out.
    """
    near = neighbours(len(sizes), scopes)
    result = Elimination()
    for family in _families(near):
        _one_family(family, near, sizes, limit, result)
    return result


def neighbours(count: int, scopes: Iterable[Sequence[int]]) -> list[set[int]]:
    """Which variables share a factor with each."""
    near: list[set[int]] = [set() for _ in range(count)]
    for scope in scopes:
        for one in scope:
            near[one].update(scope)
    for one, others in enumerate(near):
        others.discard(one)
    return near


def _families(near: list[set[int]]) -> list[list[int]]:
    seen = [False] * len(near)
    found: list[list[int]] = []
    for start in range(len(near)):
        if seen[start]:
            continue
        seen[start] = True
        family = [start]
        for one in family:
            for other in near[one]:
                if not seen[other]:
                    seen[other] = True
                    family.append(other)
        found.append(family)
    return found


def _one_family(family: list[int], near: list[set[int]], sizes: Sequence[int], limit: int, result: Elimination) -> None:
    order: list[int] = []
    later: list[set[int]] = []
    left = set(family)
    score: dict[int, tuple[int, int]] = {}
    stale: set[int] = left
    total = 0
    while left:
        for one in stale:
            score[one] = score_of(one, near, sizes)
        stale = set()
        for one in round_of(left, near, score):
            total += score[one][1]
            if total > limit:
                result.too_wide.append(family)
                return
            order.append(one)
            later.append(near[one])
            left.discard(one)
            stale |= take_out(one, near, score[one][0] > 0)
        stale &= left
    place = {one: at for at, one in enumerate(order)}
    if total > _APART:
        mine = Elimination()
        result.apart.append(mine)
    else:
        mine = result
    mine.order += order
    mine.later += [sorted(around, key=place.__getitem__) for around in later]


def take_out(one: int, near: list[set[int]], fill: bool) -> set[int]:
    """Take a variable out of the graph, binding those around it to each other if `fill`; whose scores changed."""
    around = near[one]
    stale = set(around)
    for other in around:
        others = near[other]
        if fill:
            others |= around
            others.discard(other)
        others.discard(one)
    if fill:
        for other in around:
            stale |= near[other]
    return stale


def score_of(one: int, near: list[set[int]], sizes: Sequence[int]) -> tuple[int, int]:
    """(edges to add, entries of the table) if this variable went next."""
    around = near[one]
    degree = len(around)
    weight = sizes[one]
    if degree == 0:
        return 0, weight
    if degree == 1:
        (other,) = around
        return 0, weight * sizes[other]
    if degree == 2:
        first, second = around
        return int(second not in near[first]), weight * sizes[first] * sizes[second]
    missing = sum(degree - 1 - len(near[other] & around) for other in around)
    return missing // 2, weight * prod([sizes[other] for other in around])


def round_of(left: set[int], near: list[set[int]], score: dict[int, tuple[int, int]]) -> list[int]:
    """Variables that can go at once: none next to another, each as good as any that could go first."""
    easy = [one for one in left if score[one][0] == 0 or (len(near[one]) <= 2 and score[one][1] <= _SMALL)]
    if not easy:
        best = min(score[one] for one in left)
        easy = [one for one in left if score[one] == best]
    picked: list[int] = []
    blocked: set[int] = set()
    for one in sorted(easy, key=lambda v: (score[v][1], v)):
        if one not in blocked:
            picked.append(one)
            blocked |= near[one]
    return picked
