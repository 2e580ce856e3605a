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
    graph = Graph(family, near, sizes)
    total = 0
    while graph.left:
        for one in graph.round_of(graph.left):
            total += graph.weight[one]
            if total > limit:
                result.too_wide.append(family)
                return
            order.append(one)
            later.append(near[one])
            graph.sum_out(one)
    place = {one: at for at, one in enumerate(order)}
    if total > _APART:
        mine = Elimination()
        result.apart.append(mine)
    else:
        mine = result
    mine.order += order
    mine.later += [sorted(around, key=place.__getitem__) for around in later]


class Graph:
    """Variables of one family and which share a table, as they are summed out one after the other.

    `near` is changed in place. `left`: variables still there; for each `fill`, the edges to add if it went next, and
    `weight`, the entries of its table. Both are carried along from step to step.
    """

    def __init__(self, family: Iterable[int], near: list[set[int]], sizes: Sequence[int]) -> None:
        self.near, self._sizes = near, sizes
        self.left = set(family)
        self.fill: dict[int, int] = {}
        self.weight: dict[int, int] = {}
        for one in self.left:
            around = near[one]
            self.fill[one] = sum([len(around) - 1 - len(near[other] & around) for other in around]) // 2
            self.weight[one] = sizes[one] * prod([sizes[other] for other in around])

    def round_of(self, among: set[int]) -> list[int]:
        """Variables of `among` that can go at once: none next to another, each as good as any that could go first."""
        near, fill, weight = self.near, self.fill, self.weight
        easy = [one for one in among if fill[one] == 0 or (weight[one] <= _SMALL and len(near[one]) <= 2)]
        if not easy:
            best = min([(fill[one], weight[one]) for one in among])
            easy = [one for one in among if (fill[one], weight[one]) == best]
        picked: list[int] = []
        blocked: set[int] = set()
        for _, one in sorted([(weight[one], one) for one in easy]):
            if one not in blocked:
                picked.append(one)
                blocked |= near[one]
        return picked

    def sum_out(self, one: int) -> None:
        """Sum a variable out: those around it share a table from now on."""
        around = self.near[one]
        if self.fill[one]:
            for first in around:
                for second in around - self.near[first]:
                    if second != first:
                        self._bind(first, second)
        self.hold(one)

    def hold(self, one: int) -> None:
        """Take a variable out without binding those around it to each other: it is held fast."""
        near, fill, weight, size = self.near, self.fill, self.weight, self._sizes[one]
        around = near[one]
        self.left.discard(one)
        whole = fill[one] == 0
        for other in around:
            others = near[other]
            others.discard(one)
            # pairs of the one gone with what is around the other and not around itself
            fill[other] -= len(others) - (len(around) - 1 if whole else len(others & around))
            weight[other] //= size

    def _bind(self, first: int, second: int) -> None:
        near, fill, weight = self.near, self.fill, self.weight
        one, two = near[first], near[second]
        both = one & two
        for other in both:
            fill[other] -= 1
        fill[first] += len(one) - len(both)
        fill[second] += len(two) - len(both)
        one.add(second)
        two.add(first)
        weight[first] *= self._sizes[second]
        weight[second] *= self._sizes[first]
