"""Which animals a family picture holds, in which column each stands, and which lines join them.

Columns run from the youngest at the left to the oldest at the right: every parent stands to the right of its young.
An animal stands once, however many ways lead to it, as far right as its farthest way.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

_Step = Callable[[int], Iterable[int]]
#: young without young of their own, of one clutch, from which they stand in a block
BLOCK = 3


class Certainty(Enum):
    """How sure a line of descent is."""

    KNOWN = "known"
    #: one of several sires
    POSSIBLE = "possible"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Member:
    """An animal and its recorded parents, by positive keys; `sires` with their percent, one of 100 is a known sire."""

    key: int
    dam: int | None = None
    sires: tuple[tuple[int, int], ...] = ()

    @property
    def parents(self) -> tuple[int, ...]:
        """Everyone recorded, sires first."""
        return (*(sire for sire, _ in self.sires), *((self.dam,) if self.dam is not None else ()))

    @property
    def sire_known(self) -> bool:
        """One sire and no doubt about him."""
        return len(self.sires) == 1 and self.sires[0][1] == 100


@dataclass(frozen=True, slots=True)
class Mating:
    """Young of one column that share parents, drawn as one line that forks; parents with the percent of each."""

    young: tuple[int, ...]
    parents: tuple[tuple[int, int], ...]
    certainty: Certainty


@dataclass(frozen=True)
class FamilyPicture:
    """What is drawn: `columns` of keys in a first order, the lines, the loops, and the places of unknown parents.

    Keys below zero are places of unknown parents, `unknown` saying whose. `loops` number the animals that are reached
    through several young; animals reached through the same young share a number. `clutches`: young of one clutch that
    have no young themselves stand together in one block, named by its first; only that one is in `columns` and
    `matings`.
    """

    columns: tuple[tuple[int, ...], ...]
    matings: tuple[Mating, ...]
    loops: Mapping[int, int]
    unknown: Mapping[int, UnknownParent]
    #: column of the animal the picture is of; 0 for a whole family
    focus_column: int = 0
    clutches: Mapping[int, tuple[int, ...]] = field(default_factory=dict)

    def together(self, key: int) -> tuple[int, ...]:
        """Everyone in the block of a key, itself when it stands alone."""
        return self.clutches.get(key, (key,))


@dataclass(frozen=True, slots=True)
class UnknownParent:
    """The place of a parent that is not recorded."""

    of: int
    dam: bool


def tree_of(members: Mapping[int, Member], focus: int, back: int, forward: int) -> FamilyPicture:
    """The ancestors of an animal `back` generations and its descendants `forward` generations."""
    young = young_of(members.values())
    above = _reached(focus, back, lambda key: [p for p in members[key].parents if p in members])
    below = _reached(focus, forward, lambda key: young.get(key, ()))
    below = {key: steps for key, steps in below.items() if key not in above or key == focus}
    columns = _depths(focus, above, lambda key: members[key].parents)
    unknown = _unknown_parents(members, columns, back)
    columns |= {key: -depth for key, depth in _depths(focus, below, lambda key: young.get(key, ())).items()}
    columns |= {place: columns[parent.of] + 1 for place, parent in unknown.items()}
    first = -min(columns.values())
    order = _tree_order(members, focus, above, unknown)
    order += [key for key in sorted(below) if key != focus]
    placed: list[list[int]] = [[] for _ in range(first + max(columns.values()) + 1)]
    for key in order:
        placed[columns[key] + first].append(key)
    matings = _matings(members, columns, unknown)
    loops = _loops(matings, {key for key in above if key != focus})
    return FamilyPicture(tuple(map(tuple, placed)), matings, loops, unknown, first)


def whole_families(members: Mapping[int, Member]) -> tuple[FamilyPicture, ...]:
    """Every animal with a relative, one picture for each family, large ones first. Animals alone are left out.

    Adding an animal never moves another to a different column, except a parent that had neither parents nor young.
    """
    generation, young = _generations(members), young_of(members.values())
    pictures = []
    for family in _families(members):
        oldest = min(generation[key] for key in family)
        latest = max(generation[key] for key in family)
        columns = {key: latest - generation[key] for key in family}
        clutches = _blocks(members, [key for key in family if key not in young])
        inside = {key for block in clutches.values() for key in block[1:]}
        placed: list[list[int]] = [[] for _ in range(latest - oldest + 1)]
        for key in _family_order(members, family):
            if key not in inside:
                placed[columns[key]].append(key)
        matings = tuple(
            replace(mating, young=tuple(key for key in mating.young if key not in inside))
            for mating in _matings(members, columns, {})
        )
        pictures.append(FamilyPicture(tuple(map(tuple, placed)), matings, {}, {}, clutches=clutches))
    return tuple(pictures)


def _blocks(members: Mapping[int, Member], without_young: Iterable[int]) -> dict[int, tuple[int, ...]]:
    """Clutches of those without young, by their first key: all of one dam and one list of sires."""
    together: dict[tuple[object, ...], list[int]] = {}
    for key in sorted(without_young):
        member = members[key]
        if any(parent in members for parent in member.parents):
            together.setdefault((member.dam, member.sires), []).append(key)
    return {keys[0]: tuple(keys) for keys in together.values() if len(keys) >= BLOCK}


def young_of(members: Iterable[Member]) -> dict[int, list[int]]:
    """Young of each parent, in the order of their keys."""
    found: dict[int, list[int]] = {}
    for member in sorted(members, key=lambda one: one.key):
        for parent in member.parents:
            found.setdefault(parent, []).append(member.key)
    return found


def _reached(focus: int, most: int, step: _Step) -> dict[int, int]:
    """Keys within `most` steps and the fewest steps to each."""
    found, edge = {focus: 0}, [focus]
    for steps in range(1, most + 1):
        edge = [key for key in dict.fromkeys(k for one in edge for k in step(one)) if key not in found]
        found |= dict.fromkeys(edge, steps)
    return found


def _depths(focus: int, among: Mapping[int, int], step: _Step) -> dict[int, int]:
    """The longest way from the focus to each key."""
    waiting = dict.fromkeys(among, 0)
    for key in among:
        for other in step(key):
            if other in waiting:
                waiting[other] += 1
    depth, ready = {focus: 0}, [focus]
    while ready:
        key = ready.pop()
        for other in step(key):
            if other in waiting:
                depth[other] = max(depth.get(other, 0), depth[key] + 1)
                waiting[other] -= 1
                if not waiting[other]:
                    ready.append(other)
    return depth


def _unknown_parents(members: Mapping[int, Member], columns: Mapping[int, int], back: int) -> dict[int, UnknownParent]:
    found = {}
    for key, column in columns.items():
        if column < back:
            if not members[key].sires:
                found[-2 * key] = UnknownParent(key, False)
            if members[key].dam is None:
                found[-2 * key - 1] = UnknownParent(key, True)
    return found


def _tree_order(
    members: Mapping[int, Member], focus: int, above: Mapping[int, int], unknown: Mapping[int, UnknownParent]
) -> list[int]:
    """Ancestors as a tree is read, sires before dams, so that a tree without loops has no crossing."""
    seen: dict[int, None] = {}
    waiting = [focus]
    while waiting:
        key = waiting.pop()
        if key in seen:
            continue
        seen[key] = None
        if key < 0:
            continue
        places = [place for place in (-2 * key, -2 * key - 1) if place in unknown]
        parents = [p for p in members[key].parents if p in above]
        sires_first = sorted([*parents, *places], key=lambda p: p == members[key].dam or (p < 0 and p % 2 == 1))
        waiting += reversed(sires_first)
    return list(seen)


def _matings(
    members: Mapping[int, Member], columns: Mapping[int, int], unknown: Mapping[int, UnknownParent]
) -> tuple[Mating, ...]:
    """Lines from young to parents, young that share parents and certainty and column on one line."""
    shared: dict[tuple[object, ...], tuple[list[int], tuple[tuple[int, int], ...], Certainty]] = {}
    for key in columns:
        if key < 0:
            continue
        member = members[key]
        sure = [*(member.sires if member.sire_known else ()), *(((member.dam, 100),) if member.dam else ())]
        lines = [
            (Certainty.KNOWN, tuple(p for p in sure if p[0] in columns)),
            (Certainty.POSSIBLE, () if member.sire_known else tuple(p for p in member.sires if p[0] in columns)),
            (Certainty.UNKNOWN, tuple((p, 0) for p in (-2 * key, -2 * key - 1) if p in unknown)),
        ]
        for certainty, parents in lines:
            parents = tuple(p for p in parents if columns[p[0]] > columns[key])
            if parents:
                name = (certainty, columns[key], member.dam, member.sires, parents)
                shared.setdefault(name, ([], parents, certainty))[0].append(key)
    return tuple(Mating(tuple(young), parents, certainty) for young, parents, certainty in shared.values())


def _loops(matings: Sequence[Mating], among: set[int]) -> dict[int, int]:
    """A number for each ancestor reached through more than one of its young."""
    through: dict[int, set[int]] = {}
    for mating in matings:
        for parent, _ in mating.parents:
            if parent in among:
                through.setdefault(parent, set()).update(mating.young)
    numbers: dict[frozenset[int], int] = {}
    loops = {}
    for parent, young in through.items():
        if len(young) > 1:
            loops[parent] = numbers.setdefault(frozenset(young), len(numbers) + 1)
    return loops


def _generations(members: Mapping[int, Member]) -> dict[int, int]:
    """Generation of each animal, oldest 0; one without recorded parents stands beside its first mate."""
    young = young_of(members.values())
    missing = {key: sum(p in members for p in member.parents) for key, member in members.items()}
    ready = [key for key, count in missing.items() if not count]
    heapq.heapify(ready)
    found: dict[int, int] = {}
    founders: set[int] = set()
    while ready:
        key = heapq.heappop(ready)
        parents = [p for p in members[key].parents if p in members]
        placed = [found[p] for p in parents if p in found and p not in founders]
        if parents:
            beside = max(placed, default=0)
            for parent in parents:
                if parent in founders:
                    found[parent] = beside
                    founders.discard(parent)
            found[key] = 1 + max(found[p] for p in parents)
        else:
            found[key] = 0
            founders.add(key)
        for other in young.get(key, ()):
            missing[other] -= 1
            if not missing[other]:
                heapq.heappush(ready, other)
    return found


def _families(members: Mapping[int, Member]) -> list[list[int]]:
    """Animals that any line joins, of two or more; in order of size class, then of the oldest key."""
    head = {key: key for key in members}

    def top(key: int) -> int:
        while head[key] != key:
            head[key] = head[head[key]]
            key = head[key]
        return key

    for member in members.values():
        for parent in member.parents:
            if parent in members:
                one, other = sorted((top(member.key), top(parent)))
                head[other] = one
    together: dict[int, list[int]] = {}
    for key in sorted(members):
        together.setdefault(top(key), []).append(key)
    families = [family for family in together.values() if len(family) > 1]
    return sorted(families, key=lambda family: (-len(family).bit_length(), family[0]))


def _family_order(members: Mapping[int, Member], family: Sequence[int]) -> list[int]:
    """From one animal to its mates, parents and young, so that what belongs together begins together."""
    inside = set(family)
    young = young_of(members[key] for key in family)
    seen: dict[int, None] = {}
    waiting = list(reversed(family))
    while waiting:
        key = waiting.pop()
        if key in seen:
            continue
        seen[key] = None
        near = [*(p for p in members[key].parents if p in inside), *young.get(key, ())]
        waiting += [other for other in reversed(near) if other not in seen]
    return list(seen)
