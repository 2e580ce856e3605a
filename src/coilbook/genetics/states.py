"""The genotypes an animal can have at one locus, and the law by which parents hand them on.

A state of an autosomal locus is an unordered pair of alleles, the same for both sexes. A state of a locus on the sex
chromosomes carries the sex: an unordered pair on XX (or ZZ), an ordered one on XY (ZW), the X (Z) allele first, so that
the chromosome a male carries the allele on is a latent part of his genotype.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from coilbook.genetics.locus import Linkage, Locus, Look, SexSystem
from coilbook.records.vocabulary import Sex

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

#: the "allele" of a chromosome that has no copy of the locus
ABSENT = -1


@dataclass(frozen=True, slots=True)
class State:
    """One genotype. `sex` is None at an autosomal locus; `first` <= `second` unless the chromosomes differ."""

    first: int
    second: int
    sex: Sex | None = None
    #: the two copies lie on two different sex chromosomes, `first` on X (or Z)
    ordered: bool = False

    def copies(self, allele: int) -> int:
        """How many copies of `allele` (an index) this genotype has: 0, 1 or 2."""
        return (self.first == allele) + (self.second == allele)


@dataclass(frozen=True)
class LocusStates:
    """The states of one locus in one species, in a fixed order, with everything inference needs of them.

    Arrays are indexed by state; S = `len(states)`, up to 36 autosomal and 100 on the sex chromosomes.
    """

    locus: Locus
    system: SexSystem

    @cached_property
    def states(self) -> tuple[State, ...]:
        """All genotypes, wild type first."""
        count = len(self.locus.alleles)
        pairs = [(i, j) for i in range(count) for j in range(i, count)]
        linkage = self.locus.linkage
        if linkage is None:
            return tuple(State(i, j) for i, j in pairs)
        hetero = self.system.heterogametic
        homo = Sex.FEMALE if hetero is Sex.MALE else Sex.MALE
        seconds = (ABSENT,) if linkage.hemizygous else tuple(range(count))
        return tuple(State(i, j, homo) for i, j in pairs) + tuple(
            State(i, j, hetero, ordered=True) for i in range(count) for j in seconds
        )

    @cached_property
    def index(self) -> dict[State, int]:
        """The place of each state in `states`."""
        return {state: place for place, state in enumerate(self.states)}

    @cached_property
    def looks(self) -> tuple[Look, ...]:
        """The look of each state."""
        locus = self.locus
        return tuple(
            locus.single_look(s.first) if s.second == ABSENT else locus.look(s.first, s.second) for s in self.states
        )

    @cached_property
    def alive(self) -> Bools:
        """(S,) which genotypes can hatch."""
        return np.array([not look.lethal for look in self.looks])

    def copies(self, allele: int) -> npt.NDArray[np.int64]:
        """(S,) copies of `allele` in each state."""
        return np.array([state.copies(allele) for state in self.states], dtype=np.int64)

    def of_sex(self, sex: Sex) -> Bools:
        """(S,) which states an animal of this sex can have; an unsexed animal can have all."""
        if sex not in (Sex.MALE, Sex.FEMALE):
            return np.ones(len(self.states), dtype=np.bool_)
        return np.array([state.sex in (None, sex) for state in self.states])

    def with_look(self, key: str) -> Bools:
        """(S,) which states have the look with this key ("" is the wild look)."""
        return np.array([look.key == key for look in self.looks])

    @cached_property
    def transmission(self) -> Floats:
        """(S, S, S) law of a hatched child by [sire state, dam state, child state].

        Rows sum to 1, or to 0 where the pair cannot exist (a parent of the wrong sex) or none of its young can hatch.
        A lethal genotype is left out and the rest renormalised per pair of parents, within each sex where the locus
        lies on the sex chromosomes: hatching alone says nothing about the parents, and the sexes hatch alike.
        """
        size = len(self.states)
        law = np.zeros((size, size, size))
        for sire, sire_state in enumerate(self.states):
            if sire_state.sex is Sex.FEMALE:
                continue
            for dam, dam_state in enumerate(self.states):
                if dam_state.sex is not Sex.MALE:
                    law[sire, dam] = self._young(sire_state, dam_state)
        return law

    def _young(self, sire: State, dam: State) -> Floats:
        law = np.zeros(len(self.states))
        for from_sire, sire_way, p in self._gametes(sire):
            for from_dam, dam_way, q in self._gametes(dam):
                law[self.index[_joined(from_sire, sire_way, from_dam, dam_way, self.system)]] += p * q
        law[~self.alive] = 0.0
        if self.locus.linkage is None:
            total = law.sum()
            return law / total if total else law
        for sex in (Sex.MALE, Sex.FEMALE):
            mine = self.of_sex(sex)
            total = law[mine].sum()
            law[mine] *= 0.5 / total if total else 0.0
        total = law.sum()
        return law / total if total else law

    def _gametes(self, parent: State) -> list[tuple[int, bool | None, float]]:
        """(allele, whether it makes the heterogametic sex or None where the other parent decides, chance)."""
        if not parent.ordered:
            return [(parent.first, None, 0.5), (parent.second, None, 0.5)]
        linkage = self.locus.linkage or Linkage(0.5)
        stay, cross = (1 - linkage.recombination) / 2, linkage.recombination / 2
        stays: list[tuple[int, bool | None, float]] = [(parent.first, False, stay), (parent.second, True, stay)]
        return stays + ([(parent.first, True, cross), (parent.second, False, cross)] if cross else [])


def _joined(sire: int, sire_way: bool | None, dam: int, dam_way: bool | None, system: SexSystem) -> State:
    """The genotype of an egg from two gametes."""
    way = sire_way if sire_way is not None else dam_way
    hetero = system.heterogametic
    if way is None:
        return State(min(sire, dam), max(sire, dam))
    if not way:
        return State(min(sire, dam), max(sire, dam), Sex.FEMALE if hetero is Sex.MALE else Sex.MALE)
    on_small, on_large = (sire, dam) if hetero is Sex.MALE else (dam, sire)
    return State(on_large, on_small, hetero, ordered=True)
