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
from coilbook.genetics.outlook_pair import NEVER, Cases, PairLocus, cases_of, mixed
from coilbook.genetics.states import Bools, Floats
from coilbook.records.vocabulary import Sex


@dataclass(frozen=True, eq=False)
class Part:
    """One possible sire of the list: `weight` his chance, `loci` the pairing with him."""

    weight: float
    loci: tuple[PairLocus, ...]


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
    rank: tuple[float, int, int]
    chances: Floats = field(compare=False)
    masks: tuple[Bools, ...] = field(compare=False)
    hidden: Hidden = field(compare=False)


@dataclass(frozen=True, eq=False)
class Outlook:
    """The young of one dam with one sire, or with one of several (one sire for the whole clutch).

    Every part has the same loci in the same order; they are taken as independent given the parents.
    """

    catalogue: Catalogue
    parts: tuple[Part, ...]

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
        return mixed((part.weight, cases_of(part.loci, dict(masks), sex)) for part in self.parts)

    def groups(self, start: int = 0, stop: int | None = None) -> list[Group]:
        """The groups by rank, likeliest first; ties in the order of the loci."""
        return list(islice(self.each_group(), start, stop))

    def each_group(self) -> Iterator[Group]:
        """All groups, likeliest first, each found when asked for."""
        return self._search(lambda place, hidden: self.telling.classes(place, hidden), self._best_coarse)

    def inside(self, group: Group) -> Iterator[Group]:
        """The looks inside a group that cannot be told apart, likeliest first."""
        choices = {
            place: self.telling.single_looks(place, group.masks[locus.key]) for place, locus in enumerate(self.loci)
        }
        return self._search(
            lambda place, _hidden: choices[place],
            [self._best(place, choices[place]) for place in range(len(self.loci))],
        )

    @cached_property
    def count(self) -> int:
        """How many groups there are."""
        known: dict[tuple[int, Hidden], int] = {}

        def below(depth: int, hidden: Hidden) -> int:
            if depth == len(self.loci):
                return 1
            if (depth, hidden) not in known:
                place = self.telling.order[depth]
                known[depth, hidden] = sum(
                    below(depth + 1, hidden | self.telling.hides(place, mask))
                    for mask in self.telling.classes(place, hidden)
                    if self._mass(place, mask).max() > NEVER
                )
            return known[depth, hidden]

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
                some = float(law[copies > 0].sum())
                if some > NEVER:
                    found.append(Carries(locus.key, allele, min(1.0, some), float(law[copies > 1].sum())))
        return found

    def _mass(self, place: int, mask: Bools) -> Floats:
        """(2P,) the chance of a class for sons and daughters of each sire."""
        known = (place, mask.tobytes())
        if known not in self._masses:
            self._masses[known] = np.asarray(self.young[place][:, mask].sum(axis=1))
        return self._masses[known]

    def _best(self, place: int, masks: Sequence[Bools]) -> Floats:
        return np.asarray(np.max([self._mass(place, mask) for mask in masks], axis=0))

    @cached_property
    def _best_coarse(self) -> list[Floats]:
        """By place, no class of the locus is likelier than this, whatever is hidden."""
        return [
            self._best(place, (*self.telling.coarsest(place), *self.telling.classes(place, NOTHING)))
            for place in range(len(self.loci))
        ]

    def _search(self, choose: Callable[[int, Hidden], Sequence[Bools]], best: Sequence[Floats]) -> Iterator[Group]:
        """Best first over the loci in the order of masking: what lies below a node is no likelier than its rank."""
        order = self.telling.order
        bounds = [np.ones(len(self.weights))]
        for place in reversed(order):
            bounds.append(bounds[-1] * best[place])
        bounds.reverse()
        serial = 0
        heap = [_Node((-1.0, 0, 0), np.ones(len(self.weights)), (), NOTHING)]
        while heap:
            node = heapq.heappop(heap)
            depth = len(node.masks)
            if depth == len(order):
                yield self._group(node)
                continue
            place = order[depth]
            for mask in choose(place, node.hidden):
                chances = node.chances * self._mass(place, mask)
                bound = float(self.weights @ (chances * bounds[depth + 1]))
                if bound > 0 and float(self.weights @ chances) > 0:
                    serial += 1
                    # of equal ranks the deeper first, so that ties do not open the whole tree
                    rank = (-round(bound, 15), -depth, serial)
                    hidden = node.hidden | self.telling.hides(place, mask)
                    heapq.heappush(heap, _Node(rank, chances, (*node.masks, mask), hidden))

    def _group(self, node: _Node) -> Group:
        by_sex = self.weights * node.chances
        masks = {self.loci[place].key: mask for place, mask in zip(self.telling.order, node.masks)}
        ordered = {locus.key: masks[locus.key] for locus in self.loci}
        return Group(ordered, float(by_sex.sum()), (float(by_sex[::2].sum()), float(by_sex[1::2].sum())))
