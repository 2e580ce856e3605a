"""Random pedigrees over every inheritance, with findings that fit a genotype drawn for each animal.

The law of inheritance is written here a second time, in exact fractions and from the chromosomes up, so that nothing of
the program's own law is used to check it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from random import Random

import numpy as np

from coilbook.genetics.locus import WILD, Inheritance, Linkage, Locus, Look, SexSystem, simple_locus
from coilbook.genetics.problem import NONE, Litter, Pedigree, Problem, Rows
from coilbook.genetics.states import ABSENT, LocusStates, State
from coilbook.records.vocabulary import Sex

HALF = Fraction(1, 2)


def series(key: str, mutants: int, linkage: Linkage | None = None, lethal: tuple[int, int] | None = None) -> Locus:
    """A locus of `mutants` alleles, each pair with its own look but for every third, which looks wild."""
    alleles = (WILD, *(f"{key}{number}" for number in range(mutants)))
    looks = [Look("", "normal")]
    table = [[0] * len(alleles) for _ in alleles]
    for first in range(len(alleles)):
        for second in range(first, len(alleles)):
            if (first, second) == (0, 0) or (first + second) % 3 == 1:
                continue
            looks.append(Look(f"{first}-{second}", f"{first}-{second}", lethal=(first, second) == lethal))
            table[first][second] = table[second][first] = len(looks) - 1
    return Locus(key, alleles, tuple(looks), tuple(map(tuple, table)), linkage)


#: every kind of locus, as (locus, sex system)
KINDS: dict[str, tuple[Locus, SexSystem]] = {
    "recessive": (simple_locus("a", Inheritance.RECESSIVE), SexSystem.XY),
    "incomplete dominant": (simple_locus("b", Inheritance.INCOMPLETE_DOMINANT), SexSystem.XY),
    "dominant": (simple_locus("c", Inheritance.DOMINANT), SexSystem.ZW),
    "lethal double": (simple_locus("d", Inheritance.INCOMPLETE_DOMINANT, lethal_double=True), SexSystem.XY),
    "lethal recessive": (simple_locus("e", Inheritance.RECESSIVE, lethal_double=True), SexSystem.XY),
    "series of 3": (series("f", 2), SexSystem.XY),
    "series of 4, one pair lethal": (series("g", 3, lethal=(1, 2)), SexSystem.XY),
    "series of 8": (series("h", 7), SexSystem.XY),
    "partly sex-linked XY": (
        simple_locus("i", Inheritance.INCOMPLETE_DOMINANT, linkage=Linkage(0.0625)),
        SexSystem.XY,
    ),
    "partly sex-linked ZW": (simple_locus("j", Inheritance.RECESSIVE, linkage=Linkage(0.125)), SexSystem.ZW),
    "wholly sex-linked XY": (simple_locus("k", Inheritance.RECESSIVE, linkage=Linkage(0.0)), SexSystem.XY),
    "free recombination XY": (
        simple_locus("l", Inheritance.INCOMPLETE_DOMINANT, linkage=Linkage(0.5), lethal_double=True),
        SexSystem.XY,
    ),
    "hemizygous XY": (
        simple_locus("m", Inheritance.RECESSIVE, linkage=Linkage(0.0, hemizygous=True)),
        SexSystem.XY,
    ),
    "hemizygous ZW": (
        simple_locus("n", Inheritance.INCOMPLETE_DOMINANT, linkage=Linkage(0.0, hemizygous=True)),
        SexSystem.ZW,
    ),
    "hemizygous XY, lethal": (
        simple_locus("o", Inheritance.RECESSIVE, linkage=Linkage(0.0, hemizygous=True), lethal_double=True),
        SexSystem.XY,
    ),
    "sex-linked series of 3": (series("p", 2, linkage=Linkage(0.25)), SexSystem.XY),
}


@lru_cache(maxsize=64)
def kind(name: str) -> LocusStates:
    """The states of one kind of locus, made once."""
    return LocusStates(*KINDS[name])


def _gametes(states: LocusStates, state: State) -> list[tuple[int, str, Fraction]]:
    """(allele or ABSENT, sex chromosome or "", chance) of one parent, by its two chromosomes."""
    linkage = states.locus.linkage
    if linkage is None:
        return [(state.first, "", HALF), (state.second, "", HALF)]
    large, small = ("X", "Y") if states.system is SexSystem.XY else ("Z", "W")
    if not state.ordered:
        return [(state.first, large, HALF), (state.second, large, HALF)]
    crossed = Fraction(linkage.recombination)
    found = []
    for chromosome, own, other in ((large, state.first, state.second), (small, state.second, state.first)):
        found.append((own, chromosome, HALF * (1 - crossed)))
        if crossed:
            found.append((other, chromosome, HALF * crossed))
    return found


@cache
def young_of(states: LocusStates, sire: int, dam: int) -> dict[int, Fraction]:
    """Law of a hatched young of two states, {} where there can be none."""
    father, mother = states.states[sire], states.states[dam]
    if father.sex is Sex.FEMALE or mother.sex is Sex.MALE:
        return {}
    eggs: dict[State, Fraction] = {}
    for one, from_sire, p in _gametes(states, father):
        for two, from_dam, q in _gametes(states, mother):
            chromosomes = from_sire + from_dam
            low, high = min(one, two), max(one, two)
            if chromosomes == "":
                egg = State(low, high)
            elif chromosomes in ("XX", "ZZ"):
                egg = State(low, high, Sex.FEMALE if chromosomes == "XX" else Sex.MALE)
            elif chromosomes == "YX":
                egg = State(two, one, Sex.MALE, ordered=True)
            else:
                assert chromosomes == "ZW"
                egg = State(one, two, Sex.FEMALE, ordered=True)
            eggs[egg] = eggs.get(egg, Fraction(0)) + p * q
    alive = {egg: chance for egg, chance in eggs.items() if not _look(states, egg).lethal}
    sexes = {egg.sex for egg in alive}
    law = {}
    for sex in sexes:
        total = sum(chance for egg, chance in alive.items() if egg.sex is sex)
        for egg, chance in alive.items():
            if egg.sex is sex:
                law[states.index[egg]] = chance / total / len(sexes)
    # sorted: what is drawn must not hang on the order of a set
    return dict(sorted(law.items()))


def _look(states: LocusStates, state: State) -> Look:
    locus = states.locus
    if state.second == ABSENT:
        return locus.looks[locus.table[state.first][state.first]]
    return locus.looks[locus.table[state.first][state.second]]


def scaled(states: LocusStates, row: np.ndarray, sex: Sex | None = None) -> dict[int, Fraction]:
    """A prior row as exact fractions over the living, of one sex where asked."""
    kept = {
        at: Fraction(float(value))
        for at, value in enumerate(row)
        if value > 0
        and not _look(states, states.states[at]).lethal
        and (sex is None or states.states[at].sex in (None, sex))
    }
    total = sum(kept.values())
    return {at: value / total for at, value in kept.items()}


@dataclass
class Shape:
    """How tangled a random pedigree is: chances, and how many animals."""

    animals: int
    founders: int
    litters: float = 0.25
    one_parent: float = 0.1
    unknown_sex: float = 0.15
    most_sires: int = 3


def random_problem(states: LocusStates, shape: Shape, chance: Random) -> Problem:
    """A pedigree with loops, and findings that are possible for it."""
    return _Drawing(states, shape, chance).problem()


class _Drawing:
    def __init__(self, states: LocusStates, shape: Shape, chance: Random) -> None:
        self.states, self.shape, self.chance = states, shape, chance
        self.sexes: list[Sex] = []
        self.sire: list[int] = []
        self.dam: list[int] = []
        self.litters: list[Litter] = []
        self.truth: list[int] = []
        size = len(states.states)
        self.founder = np.array([self._prior(size) for _ in range(3)])
        self.absent = np.array([self._prior(size) for _ in range(2)])
        self.founder_of: list[int] = []
        self.absent_of: list[int] = []

    def _prior(self, size: int) -> np.ndarray:
        row = np.array([self.chance.random() ** 3 + 0.02 for _ in range(size)])
        if size > 10:
            row[[self.chance.random() < 0.5 for _ in range(size)]] = 0.0
        row[0] += 0.5
        sexes = [state.sex for state in self.states.states]
        for sex in (Sex.MALE, Sex.FEMALE):
            if sex in sexes:
                row[sexes.index(sex)] += 0.5
        return row / row.sum()

    def problem(self) -> Problem:
        while len(self.sire) < self.shape.animals:
            self._next()
        sire, dam = np.array(self.sire), np.array(self.dam)
        evidence = np.array([self._evidence(at) for at in range(len(sire))])
        every = np.arange(len(sire))
        if self.chance.random() < 0.6:
            # as a collection has them: one row for all that look alike
            evidence = evidence / evidence.max(axis=1, keepdims=True)
            evidence, every = np.unique(evidence, axis=0, return_inverse=True)
        return Problem(
            self.states,
            Pedigree(sire, dam, tuple(self.litters)),
            Rows(evidence, every.reshape(-1)),
            Rows(self.founder, np.array(self.founder_of)),
            Rows(self.absent, np.array(self.absent_of)),
        )

    def _next(self) -> None:
        males = [at for at, sex in enumerate(self.sexes) if sex is Sex.MALE]
        females = [at for at, sex in enumerate(self.sexes) if sex is Sex.FEMALE]
        left = self.shape.animals - len(self.sire)
        if len(self.sire) < self.shape.founders or not males or not females:
            self._founder()
            return
        dam = self.chance.choice(females[-6:])
        if left >= 2 and self.chance.random() < self.shape.litters:
            self._litter(males, dam, self.chance.randint(1, min(4, left)))
            return
        sire = self.chance.choice(males[-6:])
        if self.chance.random() < self.shape.one_parent:
            sire, dam = self.chance.choice([(sire, NONE), (NONE, dam)])
        for _ in range(self.chance.randint(1, min(3, left)) if NONE not in (sire, dam) else 1):
            self._born(sire, dam, None)

    def _founder(self) -> None:
        row = self.chance.randrange(len(self.founder))
        sex = self.chance.choice([Sex.MALE, Sex.FEMALE])
        self._add(NONE, NONE, sex, self._draw(scaled(self.states, self.founder[row], sex)), row)

    def _litter(self, males: list[int], dam: int, size: int) -> None:
        count = self.chance.randint(1, min(self.shape.most_sires, len(males) + 1))
        sires: list[int] = self.chance.sample([*males, NONE], count)
        weights = [self.chance.randint(1, 4) for _ in sires]
        shared = self.chance.random() < 0.5
        if self.chance.random() < 0.15:
            dam = NONE
        chances = tuple(weight / sum(weights) for weight in weights)
        first = len(self.sire)
        row = self.chance.randrange(len(self.absent))
        unknown = self._draw(scaled(self.states, self.absent[row], Sex.MALE))
        father = self._father(sires, weights)
        for _ in range(size):
            if not shared:
                father = self._father(sires, weights)
            self._born(father, dam, unknown, row)
        if len(self.sire) > first:
            self.litters.append(Litter(tuple(range(first, len(self.sire))), tuple(sires), chances, shared))

    def _father(self, sires: list[int], weights: list[int]) -> int:
        return self.chance.choices(sires, weights)[0]

    def _born(self, sire: int, dam: int, unknown: int | None, absent: int = 0) -> None:
        """Nothing is born of a pair that can have no young. `unknown`: the state of a litter's unrecorded sire."""
        if unknown is None:
            absent = self.chance.randrange(len(self.absent))
        row = self.absent[absent]
        for _ in range(50):
            father = self.truth[sire] if sire != NONE else unknown
            if father is None:
                father = self._draw(scaled(self.states, row, Sex.MALE))
            mother = self.truth[dam] if dam != NONE else self._draw(scaled(self.states, row, Sex.FEMALE))
            law = young_of(self.states, father, mother)
            if law:
                break
        else:
            return
        self.absent_of.append(absent)
        state = self._draw(law)
        sex = self.states.states[state].sex or self.chance.choice([Sex.MALE, Sex.FEMALE])
        recorded = (NONE, dam) if unknown is not None else (sire, dam)
        self._add(*recorded, sex, state, self.chance.randrange(len(self.founder)))

    def _draw(self, law: dict[int, Fraction]) -> int:
        return self.chance.choices(list(law), [float(value) for value in law.values()])[0]

    def _add(self, sire: int, dam: int, sex: Sex, state: int, row: int) -> None:
        self.sire.append(sire)
        self.dam.append(dam)
        self.sexes.append(sex)
        self.truth.append(state)
        self.founder_of.append(row)
        if len(self.absent_of) < len(self.sire):
            self.absent_of.append(self.chance.randrange(len(self.absent)))

    def _evidence(self, animal: int) -> np.ndarray:
        states, state, chance = self.states, self.truth[animal], self.chance
        row = np.ones(len(states.states))
        if chance.random() >= self.shape.unknown_sex:
            row *= states.of_sex(self.sexes[animal])
        look = _look(states, states.states[state]).key
        way = chance.random()
        if way < (0.55 if len(row) <= 7 else 0.7):
            row *= states.with_look(look)
        elif way < 0.9:
            row *= np.where(states.with_look(look), 0.6, 0.4)
        if chance.random() < 0.1:
            copies = states.copies(1)
            row *= np.where(copies == copies[state], 0.98, 0.01)
        return row * chance.choice([1.0, 1.0, 3.0, 1e-6])
