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

#: 3 in 100 are founders; one in eight young is kept to breed, one male to four females, three seasons long
_FOUNDERS, _KEPT, _FEMALES, _SEASONS = 0.03, 1 / 8, 4, 3


class Herd:
    """A pedigree of `size` animals and, for any locus, what a keeper knows of it."""

    def __init__(self, size: int, seed: int) -> None:
        self.size = size
        self._chance = np.random.default_rng(seed)
        self.founders = max(6, int(size * _FOUNDERS))
        sire, dam, male = self._bred()
        self.male = male
        self.pedigree = Pedigree(sire, dam)

    def _bred(self) -> tuple[Ints, Ints, Ints]:
        chance, size = self._chance, self.size
        sire, dam = np.full(size, NONE, dtype=np.int64), np.full(size, NONE, dtype=np.int64)
        male = chance.random(size) < 0.5
        males = [np.flatnonzero(male[: self.founders])[: max(1, self.founders // (_FEMALES + 1))]]
        females = [np.flatnonzero(~male[: self.founders])]
        born = self.founders
        while born < size:
            mothers = chance.permutation(np.concatenate(females[-_SEASONS:]))
            fathers = chance.permutation(np.concatenate(males[-_SEASONS:]))
            clutches = chance.integers(4, 9, len(mothers))
            count = min(int(clutches.sum()), size - born)
            which = np.repeat(np.arange(len(mothers)), clutches)[:count]
            young = np.arange(born, born + count)
            dam[young] = mothers[which]
            sire[young] = fathers[(np.arange(len(mothers)) // _FEMALES) % len(fathers)][which]
            kept = young[chance.random(count) < _KEPT]
            sons, daughters = kept[male[kept]], kept[~male[kept]]
            males.append(sons[: max(1, len(daughters) // _FEMALES)])
            females.append(daughters)
            born += count
        return sire, dam, male.astype(np.int64)

    @cached_property
    def depth(self) -> Ints:
        """(n,) generation of each animal; parents come before young."""
        found = np.zeros(self.size, dtype=np.int64)
        for animal in range(self.founders, self.size):
            found[animal] = 1 + max(found[self.pedigree.sire[animal]], found[self.pedigree.dam[animal]])
        return found

    def problem(self, carrying: float, seed: int) -> Problem:
        """One recessive locus: founders known, `carrying` of them het; of the others only the look is seen."""
        chance = np.random.default_rng(seed)
        copies = np.zeros(self.size, dtype=np.int64)
        copies[: self.founders] = chance.random(self.founders) < carrying
        throws = chance.random((2, self.size))
        for level in range(1, int(self.depth.max()) + 1):
            now = np.flatnonzero(self.depth == level)
            for row, parent in enumerate((self.pedigree.sire[now], self.pedigree.dam[now])):
                copies[now] += throws[row, now] * 2 < copies[parent]
        seen = np.array([[1.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
        known = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
        founder = np.zeros(self.size, dtype=np.int64)
        founder[: self.founders] = copies[: self.founders]
        absent = Rows(known[:1], np.zeros(self.size, dtype=np.int64))
        return Problem(
            RECESSIVE, self.pedigree, Rows(seen, (copies == VISUAL).astype(np.int64)), Rows(known, founder), absent
        )
