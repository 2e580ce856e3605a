"""In which order to sum variables out: min-fill, in rounds, so that the tree of tables stays low as well as narrow."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from math import prod

#: a table of at most this many entries is worth a lower tree
_SMALL = 64
#: a family with more entries than this in all is laid out by itself
_APART = 4096
#: where no family is run again, all are laid out together that have no more entries than this among them
_TOGETHER = 1_000_000


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


def eliminate(sizes: Sequence[int], scopes: Iterable[Sequence[int]], limit: int, *, again: bool = True) -> Elimination:
    """Order the variables (with these numbers of states) of factors over `scopes`, family by family.

    `limit`: the most entries all tables of one family may have together; nothing is allocated to find out. `again`:
    whether it pays to lay families out by themselves, since one may be run again without the others.
    """
    near = neighbours(len(sizes), scopes)
    result = Elimination()
    room = _TOGETHER
    for family in _families(near):
        ordered, total = _ordered(family, near, sizes, limit)
        if ordered is None:
            result.too_wide.append(family)
        elif total > (_APART if again else room):
            result.apart.append(ordered)
        else:
            result.order += ordered.order
            result.later += ordered.later
            room -= total
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


def _ordered(
    family: list[int], near: list[set[int]], sizes: Sequence[int], limit: int
) -> tuple[Elimination | None, int]:
    """(one family in order, None beyond the limit; entries of all its tables)."""
    order = _peeled(family, near, sizes)
    later: list[Collection[int]] = [near[one] for one in order]
    total = sum([sizes[one] * prod(map(sizes.__getitem__, near[one])) for one in order])
    if len(order) < len(family):
        gone = set(order)
        graph = Graph([one for one in family if one not in gone], near, sizes)
        while graph.left and total <= limit:
            picked = graph.round_of(graph.left)
            if graph.all_near(picked[0]):
                # all that are left share one table: whatever the order, no table grows
                total += graph.weight[picked[0]]
                rest = sorted(graph.left)
                order += rest
                later += [rest[at:] for at in range(1, len(rest) + 1)]
                break
            for one in picked:
                total += graph.weight[one]
                order.append(one)
                later.append(near[one])
                graph.sum_out(one)
    if total > limit:
        return None, total
    rank = {one: at for at, one in enumerate(order)}.__getitem__
    sorted_later = [sorted(around, key=rank) if len(around) > 1 else list(around) for around in later]
    return Elimination(order, sorted_later), total


def _peeled(family: list[int], near: list[set[int]], sizes: Sequence[int]) -> list[int]:
    """Sum out what shares tables with two others at most, round by round; `near` is changed in place."""
    order: list[int] = []
    now: Iterable[int] = family
    while now:
        blocked: set[int] = set()
        touched: set[int] = set()
        for one in now:
            around = near[one]
            if len(around) > 2:
                continue
            if one in blocked:
                touched.add(one)
                continue
            if len(around) == 2:
                first, second = around
                if second not in near[first]:
                    if sizes[one] * sizes[first] * sizes[second] > _SMALL:
                        continue
                    near[first].add(second)
                    near[second].add(first)
            for other in around:
                near[other].discard(one)
            order.append(one)
            blocked |= around
            touched |= around
        now = touched
    return order


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

    def round_of(self, among: Collection[int]) -> list[int]:
        """Variables of `among` that can go at once: none next to another, each as good as any that could go first."""
        near, fill, weight = self.near, self.fill, self.weight
        least = min(map(fill.__getitem__, among))
        easy: list[int] = []
        if least <= 1:
            easy = [
                one for one in among if fill[one] <= 1
                and (fill[one] == 0 or (len(near[one]) == 2 and weight[one] <= _SMALL))
            ]  # fmt: skip
        if not easy:
            easy = [one for one in among if fill[one] == least]
            best = min(map(weight.__getitem__, easy))
            easy = [one for one in easy if weight[one] == best]
        if len(easy) == 1:
            return easy
        picked: list[int] = []
        blocked: set[int] = set()
        for _, one in sorted([(weight[one], one) for one in easy]):
            if one not in blocked:
                picked.append(one)
                blocked |= near[one]
        return picked

    def all_near(self, one: int) -> bool:
        """Whether all that are left share a table with each other, seen from one of them."""
        return self.fill[one] == 0 and len(self.near[one]) + 1 == len(self.left)

    def sum_out(self, one: int) -> None:
        """Sum a variable out: those around it share a table from now on."""
        around = self.near[one]
        if self.fill[one]:
            for first in around:
                missing = around - self.near[first]
                if len(missing) > 1:
                    missing.discard(first)
                    self._bind(first, missing)
        self.hold(one)

    def hold(self, one: int) -> None:
        """Take a variable out without binding those around it to each other: it is held fast."""
        near, fill, weight, size = self.near, self.fill, self.weight, self._sizes[one]
        around = near[one]
        self.left.discard(one)
        # pairs of the one gone with what is around the other and not around itself are no longer to be bound
        if fill[one] == 0:
            inside = len(around)
            for other in around:
                others = near[other]
                others.discard(one)
                fill[other] -= len(others) - inside + 1
                weight[other] //= size
            return
        for other in around:
            others = near[other]
            others.discard(one)
            fill[other] -= len(others) - len(others & around)
            weight[other] //= size

    def _bind(self, first: int, missing: set[int]) -> None:
        """Bind a variable to others that it shares no table with."""
        near, fill, weight, sizes = self.near, self.fill, self.weight, self._sizes
        one, size = near[first], sizes[first]
        for second in missing:
            two = near[second]
            both = one & two
            for other in both:
                fill[other] -= 1
            fill[first] += len(one) - len(both)
            fill[second] += len(two) - len(both)
            one.add(second)
            two.add(first)
            weight[first] *= sizes[second]
            weight[second] *= size
