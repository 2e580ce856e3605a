"""The slow, obviously right answer: every genotype of every animal, in exact fractions."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import product

import numpy as np
from tests.reference.pedigrees import scaled, young_of

from coilbook.genetics.problem import NONE, Problem
from coilbook.records.vocabulary import Sex


class Enumeration:
    """All genotypes of all animals with their weights; `law` and `joint` sum over them."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.size = len(problem.states.states)
        self.worlds: list[tuple[tuple[int, ...], Fraction]] = []
        litters = problem.pedigree.litters
        shared = [litter for litter in litters if litter.shared]
        for chosen in product(*(range(len(litter.sires)) for litter in shared)):
            weight = Fraction(1)
            sire_of: dict[int, tuple[tuple[int, Fraction], ...]] = {}
            unknown: dict[int, int] = {}
            for at, (litter, which) in enumerate(zip(shared, chosen)):
                weight *= Fraction(litter.weights[which])
                for animal in litter.young:
                    sire_of[animal] = ((litter.sires[which], Fraction(1)),)
                    if litter.sires[which] == NONE:
                        unknown[animal] = at
            for litter in litters:
                if not litter.shared:
                    for animal in litter.young:
                        sire_of[animal] = tuple(zip(litter.sires, map(Fraction, litter.weights)))
            fresh = sorted(set(unknown.values()))
            laws = [self._absent(shared[at].young[0], Sex.MALE) for at in fresh]
            for states in product(*(law.items() for law in laws)):
                start = weight
                for _, chance in states:
                    start *= chance
                father = {at: state for at, (state, _) in zip(fresh, states)}
                fathers = {animal: father[at] for animal, at in unknown.items()}
                self.worlds += self._walk((), start, sire_of, fathers)
        self.total = sum(weight for _, weight in self.worlds)

    def _absent(self, animal: int, sex: Sex) -> dict[int, Fraction]:
        rows = self.problem.absent
        return scaled(self.problem.states, rows.rows[rows.of[animal]], sex)

    def _walk(
        self, known: tuple[int, ...], weight: Fraction, sire_of: dict[int, tuple[tuple[int, Fraction], ...]],
        fathers: dict[int, int],
    ) -> Iterator[tuple[tuple[int, ...], Fraction]]:  # fmt: skip
        """Parents come before young in these pedigrees."""
        animal = len(known)
        if animal == self.problem.pedigree.size:
            yield known, weight
            return
        row = self.problem.evidence.rows[self.problem.evidence.of[animal]]
        for state, chance in self._law(known, animal, sire_of, fathers).items():
            if row[state] > 0 and chance > 0:
                yield from self._walk((*known, state), weight * chance * Fraction(float(row[state])), sire_of, fathers)

    def _law(
        self, known: tuple[int, ...], animal: int, sire_of: dict[int, tuple[tuple[int, Fraction], ...]],
        fathers: dict[int, int],
    ) -> dict[int, Fraction]:  # fmt: skip
        pedigree, states = self.problem.pedigree, self.problem.states
        dam = int(pedigree.dam[animal])
        if animal not in sire_of and dam == NONE and pedigree.sire[animal] == NONE:
            rows = self.problem.founder
            return scaled(states, rows.rows[rows.of[animal]])
        mothers = {known[dam]: Fraction(1)} if dam != NONE else self._absent(animal, Sex.FEMALE)
        law: dict[int, Fraction] = {}
        for sire, share in sire_of.get(animal, ((int(pedigree.sire[animal]), Fraction(1)),)):
            if sire != NONE:
                possible = {known[sire]: Fraction(1)}
            elif animal in fathers:
                possible = {fathers[animal]: Fraction(1)}
            else:
                possible = self._absent(self._first(animal), Sex.MALE)
            for father, p in possible.items():
                for mother, q in mothers.items():
                    for state, chance in young_of(states, father, mother).items():
                        law[state] = law.get(state, Fraction(0)) + share * p * q * chance
        return law

    def _first(self, animal: int) -> int:
        for litter in self.problem.pedigree.litters:
            if animal in litter.young:
                return litter.young[0]
        return animal

    def _summed(self, shape: tuple[int, ...], at: Callable[[tuple[int, ...]], tuple[int, ...]]) -> np.ndarray:
        found = {}
        for states, weight in self.worlds:
            found[at(states)] = found.get(at(states), Fraction(0)) + weight
        table = np.zeros(shape)
        for place, weight in found.items():
            table[place] = float(weight / self.total)
        return table

    def law(self, animal: int) -> np.ndarray:
        """(S,) law of one animal."""
        return self._summed((self.size,), lambda states: (states[animal],))

    def joint(self, one: int, two: int) -> np.ndarray:
        """(S, S) joint law of two animals."""
        return self._summed((self.size, self.size), lambda states: (states[one], states[two]))
