"""In which order to sum variables out, so that the tree of tables stays narrow and, where tables are small, low.

The smallest table goes first, in rounds while tables are small. A large family is worth more ways to look for an order:
what binds the fewest others to each other first (min-fill), and the same less what it is rid of. The best is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from math import prod
from operator import attrgetter, mul

#: a table of at most this many entries is worth a lower tree
_SMALL = 64
#: bits to count steps in
_STEPS = 32
#: a family with more entries than this in all is laid out by itself
_APART = 4096
#: where no family is run again, all are laid out together that have no more entries than this among them
_TOGETHER = 1_000_000
#: a family with more entries than this is worth another try for a better order even if it is run but once
_WIDE = 500_000


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
    families will be run again, one without the others: large ones are laid out by themselves, in a better order.
    """
    near = neighbours(len(sizes), scopes)
    result = Elimination()
    room = _TOGETHER
    for family in _families(near):
        ordered, total = _ordered(family, near, sizes, limit, _APART if again else _WIDE)
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
    family: list[int], near: list[set[int]], sizes: Sequence[int], limit: int, wide: int
) -> tuple[Elimination | None, int]:
    """(one family in order, None beyond the limit; entries of all its tables). A `wide` one is tried in three ways."""
    order = _peeled(family, near, sizes)
    later: list[Collection[int]] = [near[one] for one in order]
    total = sum([sizes[one] * prod(map(sizes.__getitem__, near[one])) for one in order])
    if len(order) < len(family):
        gone = set(order)
        core = [one for one in family if one not in gone]
        rest = _lightest_first(core, near, sizes, limit)
        if rest.total > wide:
            others = [_least_bound_first(core, near, sizes, limit, sparing=sparing) for sparing in (False, True)]
            rest = min([rest, *others], key=attrgetter("total"))
        order += rest.order
        later += rest.later
        total += rest.total
    if total > limit:
        return None, total
    rank = {one: at for at, one in enumerate(order)}.__getitem__
    sorted_later = [sorted(around, key=rank) if len(around) > 1 else list(around) for around in later]
    return Elimination(order, sorted_later), total


@dataclass
class _Trial:
    """An order, what each variable shares its table with, and the entries of all tables; cut short past a limit."""

    order: list[int] = field(default_factory=list)
    later: list[Collection[int]] = field(default_factory=list)
    total: int = 0

    def add(self, one: int, around: Collection[int], entries: int) -> None:
        """Sum a variable out."""
        self.order.append(one)
        self.later.append(around)
        self.total += entries

    def add_all(self, left: Iterable[int], sizes: Sequence[int]) -> None:
        """Sum out all that are left, which share one table: whatever the order, no table grows."""
        rest = sorted(left)
        self.order += rest
        self.later += [rest[at:] for at in range(1, len(rest) + 1)]
        self.total += sum(accumulate([sizes[one] for one in reversed(rest)], mul))


def _lightest_first(core: list[int], near: list[set[int]], sizes: Sequence[int], limit: int) -> _Trial:
    """Sum out what has the smallest table, of equals what was touched last; small ones in rounds."""
    trial = _Trial()
    steps = 0
    weigh = _weigher(core, sizes)
    near_of = {one: near[one].copy() for one in core}
    rank = {one: weigh(one, around) << _STEPS for one, around in near_of.items()}
    left = set(core)
    while left and trial.total <= limit:
        best = min(left, key=rank.__getitem__)
        weight = weigh(best, near_of[best])
        if len(near_of[best]) + 1 == len(left):
            trial.add_all(left, sizes)
            break
        picked = [best]
        if weight <= _SMALL:
            most = weight << _STEPS
            picked = _apart([one for one in left if rank[one] <= most], near_of)
        for one in picked:
            steps += 1
            around = near_of[one]
            trial.add(one, around, weight)
            left.discard(one)
            for other in around:
                others = near_of[other]
                others |= around
                others.discard(other)
                others.discard(one)
                rank[other] = (weigh(other, others) << _STEPS) - steps
    return trial


def _least_bound_first(
    core: list[int], near: list[set[int]], sizes: Sequence[int], limit: int, *, sparing: bool
) -> _Trial:
    """Sum out what binds the fewest others to each other that were not; `sparing` takes off those it is rid of."""
    trial = _Trial()
    near_of = {one: near[one].copy() for one in core}
    graph = Graph(core, near_of, sizes)
    while graph.left and trial.total <= limit:
        picked = [min(graph.left, key=graph.spared)] if sparing else graph.round_of(graph.left)
        if graph.all_near(picked[0]):
            trial.add_all(graph.left, sizes)
            break
        for one in picked:
            trial.add(one, near_of[one], graph.weight(one))
            graph.sum_out(one)
    return trial


def _weigher(core: Iterable[int], sizes: Sequence[int]) -> Callable[[int, Collection[int]], int]:
    """How many entries the table of a variable and of those around it has."""
    states = {sizes[one] for one in core}
    if len(states) == 1:
        (size,) = states
        return lambda _, around: int(size ** (1 + len(around)))
    return lambda one, around: sizes[one] * prod(map(sizes.__getitem__, around))


def _apart(some: Iterable[int], near: Mapping[int, set[int]] | Sequence[set[int]]) -> list[int]:
    """Some of these, none next to another."""
    picked: list[int] = []
    blocked: set[int] = set()
    for one in some:
        if one not in blocked:
            picked.append(one)
            blocked |= near[one]
    return picked


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

    `near` is changed in place. `left`: variables still there; for each `fill`, the edges to add if it went next. It is
    carried along from step to step.
    """

    def __init__(self, family: Iterable[int], near: list[set[int]] | dict[int, set[int]], sizes: Sequence[int]) -> None:
        self.near = near
        self.left = set(family)
        self.fill: dict[int, int] = {}
        self._weigh = _weigher(self.left, sizes)
        for one in self.left:
            around = near[one]
            self.fill[one] = sum([len(around) - 1 - len(near[other] & around) for other in around]) // 2

    def weight(self, one: int) -> int:
        """How many entries the table of a variable has if it goes next."""
        return self._weigh(one, self.near[one])

    def spared(self, one: int) -> tuple[int, int]:
        """The edges to add if a variable went next, less those that go with it; of equals, by number."""
        return self.fill[one] - len(self.near[one]), one

    def round_of(self, among: Collection[int]) -> list[int]:
        """Variables of `among` that can go at once: none next to another, each as good as any that could go first."""
        near, fill, weight = self.near, self.fill, self.weight
        if len(among) == 1:
            return list(among)
        least = min(map(fill.__getitem__, among))
        easy: list[int] = []
        if least <= 1:
            easy = [
                one for one in among if fill[one] <= 1
                and (fill[one] == 0 or (len(near[one]) == 2 and weight(one) <= _SMALL))
            ]  # fmt: skip
        if not easy:
            easy = [one for one in among if fill[one] == least]
            if len(easy) > 1:
                best = min(map(weight, easy))
                easy = [one for one in easy if weight(one) == best]
        if len(easy) == 1:
            return easy
        return _apart([one for _, one in sorted([(weight(one), one) for one in easy])], near)

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
        near, fill = self.near, self.fill
        around = near[one]
        self.left.discard(one)
        # pairs of the one gone with what is around the other and not around itself are no longer to be bound
        if fill[one] == 0:
            inside = len(around)
            for other in around:
                others = near[other]
                others.discard(one)
                fill[other] -= len(others) - inside + 1
            return
        for other in around:
            others = near[other]
            others.discard(one)
            fill[other] -= len(others) - len(others & around)

    def _bind(self, first: int, missing: set[int]) -> None:
        """Bind a variable to others that it shares no table with."""
        near, fill = self.near, self.fill
        one = near[first]
        for second in missing:
            two = near[second]
            both = one & two
            for other in both:
                fill[other] -= 1
            fill[first] += len(one) - len(both)
            fill[second] += len(two) - len(both)
            one.add(second)
            two.add(first)
