"""The outlook of a pairing: what its young can look like, grouped by what can be told apart when they hatch.

Twelve loci make half a million groups, so none is listed before it is asked for: the groups come likeliest first.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice

import numpy as np

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.masking import NOTHING, Hidden, Telling
from coilbook.genetics.outlook_chance import each
from coilbook.genetics.outlook_pair import NEVER, Cases, PairLocus, cases_of_each, mixed
from coilbook.genetics.outlook_sires import each_own_sire
from coilbook.genetics.states import Bools, Floats
from coilbook.records.vocabulary import Sex

#: what a step tells apart where this is hidden; what may come of a mask after a step
Parts = Callable[[int, Hidden], Sequence[tuple[Bools, Hidden]]]
Widest = Callable[[int, Bools, int, Hidden], Sequence[Bools]]


@dataclass(frozen=True, eq=False)
class Part:
    """One possible sire of the list: `weight` his chance, `loci` the pairing with him.

    Where doubts about the parents' own sires tie the loci together there is a part for every such `world`, and `weight`
    is the chance of both. `sire` is his place in the list; -1: each part is a sire of its own.
    """

    weight: float
    loci: tuple[PairLocus, ...]
    sire: int = -1
    world: int = 0


@dataclass(frozen=True, eq=False)
class Group:
    """Young that cannot be told apart when they hatch: `masks` their states by locus, `each` the chance of one.

    `by_sex`: the same for sons and for daughters, both out of all young; they sum to `each`.
    """

    masks: Mapping[str, Bools]
    each: float
    by_sex: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Carries:
    """What the young of a group carry of one allele: the chance of at least one copy, of two."""

    locus: str
    allele: int
    any: float
    two: float


@dataclass(order=True)
class _Node:
    #: minus the bound, minus the depth, a serial number
    rank: tuple[float, int, int]
    masks: tuple[Bools, ...] = field(compare=False)
    #: by locus, the chance of the likeliest class that may come of its mask
    best: tuple[Floats, ...] = field(compare=False)
    hidden: Hidden = field(compare=False)


@dataclass(frozen=True, eq=False)
class Outlook:
    """The young of one dam with one sire, or with one of several: of the whole clutch, or of each egg (`each_own`).

    Every part has the same loci in the same order; within a part they are independent given the parents.
    """

    catalogue: Catalogue
    parts: tuple[Part, ...]
    each_own: bool = False

    def __post_init__(self) -> None:
        keys = [tuple(locus.key for locus in part.loci) for part in self.parts]
        if not keys or len(set(keys)) != 1 or abs(sum(part.weight for part in self.parts) - 1) > 1e-9:
            raise ValueError("an outlook has sires whose chances sum to 1, all with the same loci")

    @property
    def loci(self) -> tuple[PairLocus, ...]:
        """The loci, with the first sire."""
        return self.parts[0].loci

    @cached_property
    def telling(self) -> Telling:
        """What can be told apart here."""
        return Telling(self.catalogue, tuple(locus.states for locus in self.loci))

    @cached_property
    def weights(self) -> Floats:
        """(2P,) the chance of each sire, halved for sons and daughters."""
        return np.repeat([part.weight / 2 for part in self.parts], 2)

    @cached_property
    def _masses(self) -> dict[tuple[int, bytes], Floats]:
        """The chances of the classes met so far."""
        return {}

    @cached_property
    def young(self) -> tuple[Floats, ...]:
        """By locus, (2P, S) the law of sons and daughters of each sire."""
        return tuple(
            np.concatenate([part.loci[place].mean_young for part in self.parts]) for place in range(len(self.loci))
        )

    def cases(self, masks: Mapping[str, Bools], sex: Sex | None = None) -> Cases:
        """The cases for "a hatchling with these states"; loci not named may be anything."""
        if self.each_own and len(self.parts) > 1:
            return mixed((chance, each_own_sire(sires, masks, sex)) for chance, sires in self.by_world())
        cases = cases_of_each([part.loci for part in self.parts], masks, sex)
        return mixed(zip([part.weight for part in self.parts], cases, strict=True))

    @cached_property
    def eggs_apart(self) -> bool:
        """Whether a male may have fewer of the hatchlings than of the eggs: each has its own, and some cannot hatch.

        The chances of groups then are sums over the cases (`cases`), and those of `groups` a first estimate.
        """
        some_cannot = any(not locus.states.alive.all() for locus in self.loci)
        return self.each_own and len(self.parts) > 1 and some_cannot

    def by_world(self) -> list[tuple[float, list[tuple[float, tuple[PairLocus, ...]]]]]:
        """(its chance, the sires with their chances in it) of every world."""
        found = []
        for world in dict.fromkeys(part.world for part in self.parts):
            mine = [part for part in self.parts if part.world == world]
            total = sum(part.weight for part in mine)
            found.append((total, [(part.weight / total, part.loci) for part in mine]))
        return found

    def groups(self, start: int = 0, stop: int | None = None) -> list[Group]:
        """The groups by rank, likeliest first; ties in the order of the loci."""
        return list(islice(self.each_group(), start, stop))

    def each_group(self) -> Iterator[Group]:
        """All groups, likeliest first, each found when asked for."""
        telling = self.telling
        whole = tuple(locus.states.alive for locus in self.loci)
        steps = [step.place for step in telling.steps]
        veils = sum(step.veil for step in telling.steps)
        return self._search(steps, whole, (telling.parts, telling.widest), veils)

    def inside(self, group: Group) -> Iterator[Group]:
        """The looks inside a group that cannot be told apart, likeliest first."""
        whole = tuple(group.masks[locus.key] for locus in self.loci)
        looks = [self.telling.single_looks(place, mask) for place, mask in enumerate(whole)]
        return self._search(
            list(range(len(whole))),
            whole,
            (
                lambda at, hidden: tuple((mask, hidden) for mask in looks[at]),
                lambda place, mask, at, _hidden: (mask,) if place <= at else looks[place],
            ),
        )

    @cached_property
    def count(self) -> int:
        """How many groups there are."""
        known: dict[tuple[int, Hidden], int] = {}
        steps = self.telling.steps

        def below(at: int, hidden: Hidden) -> int:
            if at == len(steps):
                return 1
            if (at, hidden) not in known:
                known[at, hidden] = sum(
                    below(at + 1, after)
                    for mask, after in self.telling.parts(at, hidden)
                    if self._mass(steps[at].place, mask).max() > NEVER
                )
            return known[at, hidden]

        return below(0, NOTHING)

    def carries(self, group: Group) -> list[Carries]:
        """What a group may carry without showing it: every allele that is in doubt, or sure and not in all its looks.

        Alleles that no animal of the group carries are left out.
        """
        masses = [self._mass(place, group.masks[locus.key]) for place, locus in enumerate(self.loci)]
        whole = self.weights * np.prod(masses, axis=0)
        found = []
        for place, locus in enumerate(self.loci):
            mask = group.masks[locus.key]
            shares = np.divide(whole, masses[place], out=np.zeros_like(whole), where=masses[place] > 0)
            law = shares @ np.where(mask, self.young[place], 0.0)
            law = law / float(law.sum())
            for allele in range(1, len(locus.states.locus.alleles)):
                copies = locus.states.copies(allele)
                some, two = float(law[copies > 0].sum()), float(law[copies > 1].sum())
                if some > NEVER and self.eggs_apart:
                    some, two = (self._share(group, locus.key, copies > least) for least in (0, 1))
                if some > NEVER:
                    found.append(Carries(locus.key, allele, min(1.0, some), two))
        return found

    def _share(self, group: Group, key: str, states: Bools) -> float:
        """The share of a group that has one of these states at a locus, summed over the cases."""
        inside = self.cases({**group.masks, key: group.masks[key] & states})
        return each(inside) / each(self.cases(group.masks))

    def _mass(self, place: int, mask: Bools) -> Floats:
        """(2P,) the chance of a class for sons and daughters of each sire."""
        known = (place, mask.tobytes())
        if known not in self._masses:
            self._masses[known] = np.asarray(self.young[place][:, mask].sum(axis=1))
        return self._masses[known]

    def _best(self, place: int, masks: Sequence[Bools]) -> Floats:
        """(2P,) the chance of the likeliest of some classes."""
        return np.asarray(np.max([self._mass(place, mask) for mask in masks], axis=0))

    def _search(
        self, steps: Sequence[int], whole: tuple[Bools, ...], ways: tuple[Parts, Widest], veils: int = 0
    ) -> Iterator[Group]:
        """Best first over the steps: what lies below a node is no likelier than its rank."""
        (parts, widest), serial = ways, 0
        best = tuple(self._best(place, widest(place, mask, -1, NOTHING)) for place, mask in enumerate(whole))
        heap = [_Node((-1.0, 0, 0), whole, best, NOTHING)]
        while heap:
            node = heapq.heappop(heap)
            at = -node.rank[1]
            if at == len(steps):
                yield self._group(node.masks)
                continue
            place = steps[at]
            for mask, hidden in parts(at, node.hidden):
                masks = (*node.masks[:place], mask, *node.masks[place + 1 :])
                # a veil decides how far every locus can be told, any other step only its own
                anew = range(len(masks)) if at < veils else (place,)
                best = tuple(
                    self._best(other, widest(other, masks[other], at, hidden)) if other in anew else node.best[other]
                    for other in range(len(masks))
                )
                bound = float(self.weights @ np.prod(best, axis=0))
                if bound > 0 and float(self.weights @ self._mass(place, mask)) > 0:
                    serial += 1
                    # of equal ranks the deeper first, so that ties do not open the whole tree
                    heapq.heappush(heap, _Node((-round(bound, 15), -at - 1, serial), masks, best, hidden))

    def _group(self, masks: tuple[Bools, ...]) -> Group:
        chances = np.prod([self._mass(place, mask) for place, mask in enumerate(masks)], axis=0)
        by_sex = self.weights * chances
        named = {locus.key: mask for locus, mask in zip(self.loci, masks)}
        return Group(named, float(by_sex.sum()), (float(by_sex[::2].sum()), float(by_sex[1::2].sum())))
