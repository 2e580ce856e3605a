"""Simulated collections for the genetics benchmark: seeded, invented, as a keeper breeds."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from coilbook.genetics.locus import Inheritance, SexSystem, simple_locus
from coilbook.genetics.problem import NONE, Ints, Pedigree, Problem, Rows
from coilbook.genetics.states import LocusStates

#: states of a locus with one recessive allele
WILD, HET, VISUAL = 0, 1, 2
RECESSIVE = LocusStates(simple_locus("recessive", Inheritance.RECESSIVE), SexSystem.XY)

#: 2 in 100 are founders; one in twelve young is kept to breed, one male to four females, three seasons long
_FOUNDERS, _KEPT, _FEMALES, _SEASONS = 0.02, 1 / 12, 4, 3
_ONE_KEEPER, _BORROWED = 2_000, 0.02


class Herd:
    """A pedigree of `size` animals and, for any locus, what a keeper knows of it.

    More than `_ONE_KEEPER` animals are several keepers' collections; some clutches have a male of the keeper before.
    """

    def __init__(self, size: int, seed: int) -> None:
        self.size = size
        self._chance = np.random.default_rng(seed)
        sire, dam = np.full(size, NONE, dtype=np.int64), np.full(size, NONE, dtype=np.int64)
        outside = np.zeros(0, dtype=np.int64)
        for first in range(0, size, _ONE_KEEPER):
            outside = self._bred(sire, dam, first, min(size, first + _ONE_KEEPER), outside)
        self.pedigree = Pedigree(sire, dam)
        self.founders = np.flatnonzero(sire == NONE)

    def _bred(self, sire: Ints, dam: Ints, first: int, end: int, outside: Ints) -> Ints:
        """Fill one keeper's animals in; the males kept to breed."""
        chance = self._chance
        born = first + max(6, int((end - first) * _FOUNDERS))
        males, females = [np.arange(first, born, 5)], [np.setdiff1d(np.arange(first, born), np.arange(first, born, 5))]
        while born < end:
            mothers, fathers = (chance.permutation(_breeding(kept)) for kept in (females, males))
            fathers = fathers[(np.arange(len(mothers)) // _FEMALES) % len(fathers)]
            if len(outside):
                fathers = np.where(
                    chance.random(len(mothers)) < _BORROWED, chance.choice(outside, len(mothers)), fathers
                )
            clutches = chance.integers(4, 9, len(mothers))
            count = min(int(clutches.sum()), end - born)
            which = np.repeat(np.arange(len(mothers)), clutches)[:count]
            young = np.arange(born, born + count)
            dam[young], sire[young] = mothers[which], fathers[which]
            kept = young[chance.random(count) < _KEPT]
            males.append(kept[:: _FEMALES + 1])
            females.append(np.setdiff1d(kept, kept[:: _FEMALES + 1]))
            born += count
        return np.concatenate(males)

    @cached_property
    def depth(self) -> Ints:
        """(n,) generation of each animal; parents come before young."""
        found = np.zeros(self.size, dtype=np.int64)
        for animal in np.flatnonzero(self.pedigree.sire != NONE):
            found[animal] = 1 + max(found[self.pedigree.sire[animal]], found[self.pedigree.dam[animal]])
        return found

    def problem(self, carrying: float, seed: int) -> Problem:
        """One recessive locus: founders known, `carrying` of them het; of the others only the look is seen."""
        chance = np.random.default_rng(seed)
        copies = np.zeros(self.size, dtype=np.int64)
        copies[self.founders] = chance.random(len(self.founders)) < carrying
        throws = chance.random((2, self.size))
        for level in range(1, int(self.depth.max()) + 1):
            now = np.flatnonzero(self.depth == level)
            for row, parent in enumerate((self.pedigree.sire[now], self.pedigree.dam[now])):
                copies[now] += throws[row, now] * 2 < copies[parent]
        seen = np.array([[1.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
        known = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
        founder = np.zeros(self.size, dtype=np.int64)
        founder[self.founders] = copies[self.founders]
        absent = Rows(known[:1], np.zeros(self.size, dtype=np.int64))
        return Problem(
            RECESSIVE, self.pedigree, Rows(seen, (copies == VISUAL).astype(np.int64)), Rows(known, founder), absent
        )


def _breeding(kept: list[Ints]) -> Ints:
    """Those kept in the last seasons; in a small collection that kept none, all."""
    last = np.concatenate(kept[-_SEASONS:])
    return last if len(last) else np.concatenate(kept)
