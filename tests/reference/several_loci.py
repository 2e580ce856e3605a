"""Families of one pedigree at several loci, whose litters have several possible sires; and every world of them.

Given who sired whom the loci are independent, so the worlds are summed locus by locus for every combination of sires,
in exact fractions, and the combinations are weighed by the product.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product
from random import Random

import numpy as np
from tests.reference.enumeration import Enumeration
from tests.reference.pedigrees import _look, kind, scaled, young_of

from coilbook.genetics.problem import NONE, Litter, Pedigree, Problem, Rows
from coilbook.genetics.states import LocusStates
from coilbook.records.vocabulary import Sex

#: by young, who its sire is: an animal, or NONE
Sires = dict[int, int]


def combinations(pedigree: Pedigree) -> list[tuple[Fraction, Sires]]:
    """Every way to settle who sired whom, with its chance before anything is seen."""
    questions: list[tuple[tuple[int, ...], list[tuple[int, Fraction]]]] = []
    for litter in pedigree.litters:
        options = list(zip(litter.sires, map(Fraction, litter.weights)))
        groups = [litter.young] if litter.shared else [(young,) for young in litter.young]
        questions += [(young, options) for young in groups]
    found = []
    for picks in product(*(options for _, options in questions)):
        chance, sires = Fraction(1), {}
        for (young, _), (sire, weight) in zip(questions, picks):
            chance *= weight
            sires |= dict.fromkeys(young, sire)
        found.append((chance, sires))
    return found


class Given(Enumeration):
    """The worlds of one locus when it is known who sired whom."""

    def __init__(self, problem: Problem, sires: Sires) -> None:
        self.problem, self.size = problem, len(problem.states.states)
        self.worlds = []
        fixed = {young: ((sire, Fraction(1)),) for young, sire in sires.items()}
        fresh = [litter for litter in problem.pedigree.litters if litter.shared and sires[litter.young[0]] == NONE]
        laws = [self._absent(litter.young[0], Sex.MALE) for litter in fresh]
        for states in product(*(law.items() for law in laws)):
            start, fathers = Fraction(1), {}
            for litter, (state, chance) in zip(fresh, states):
                start *= chance
                fathers |= dict.fromkeys(litter.young, state)
            self.worlds += self._walk((), start, fixed, fathers)
        self.total = sum((weight for _, weight in self.worlds), Fraction(0))

    def sums(self, animals: Sequence[int]) -> dict[tuple[int, ...], Fraction]:
        """The weights of the worlds by what some animals are in them."""
        found: dict[tuple[int, ...], Fraction] = {}
        for states, weight in self.worlds:
            key = tuple(states[animal] for animal in animals)
            found[key] = found.get(key, Fraction(0)) + weight
        return found


class Together:
    """Several loci of one pedigree: laws of animals and of pairs, and who the sires are, by every world."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = problems
        self.cases = []
        for chance, sires in combinations(problems[0].pedigree):
            given = [Given(problem, sires) for problem in problems]
            weight = chance
            for one in given:
                weight *= one.total
            if weight:
                self.cases.append((weight, sires, given))
        self.total = sum((weight for weight, _, _ in self.cases), Fraction(0))

    def law(self, locus: int, *animals: int) -> np.ndarray:
        """The joint law of some animals at one locus."""
        size = len(self.problems[locus].states.states)
        found: dict[tuple[int, ...], Fraction] = {}
        for weight, _, given in self.cases:
            for key, part in given[locus].sums(animals).items():
                found[key] = found.get(key, Fraction(0)) + weight * part / given[locus].total
        table = np.zeros((size,) * len(animals))
        for key, value in found.items():
            table[key] = float(value / self.total)
        return table

    def at_all(self, one: int, other: int) -> np.ndarray:
        """(S1, S1, S2, S2, ...) the joint law of a pair at all loci at once."""
        sizes = [len(problem.states.states) for problem in self.problems for _ in range(2)]
        table = np.zeros(sizes)
        for weight, _, given in self.cases:
            parts = [one_of.sums((one, other)) for one_of in given]
            for keys in product(*(part.items() for part in parts)):
                value = weight / self.total
                for (_, part), locus in zip(keys, given):
                    value *= part / locus.total
                table[tuple(state for key, _ in keys for state in key)] += float(value)
        return table

    def sire(self, young: int) -> dict[int, float]:
        """The chance of each possible sire of an animal."""
        found: dict[int, Fraction] = {}
        for weight, sires, _ in self.cases:
            found[sires[young]] = found.get(sires[young], Fraction(0)) + weight
        return {sire: float(weight / self.total) for sire, weight in found.items()}


@dataclass
class Drawing:
    """A random family: founders, litters of doubtful sires and young of theirs; then looks at each locus."""

    chance: Random
    animals: int = 7
    sexes: list[Sex] = field(default_factory=list)
    sire: list[int] = field(default_factory=list)
    dam: list[int] = field(default_factory=list)
    #: who it was
    father: list[int] = field(default_factory=list)
    litters: list[Litter] = field(default_factory=list)

    def pedigree(self) -> Pedigree:
        """The family."""
        for sex in (Sex.MALE, Sex.MALE, Sex.FEMALE):
            self._add(NONE, NONE, NONE, sex)
        while len(self.sire) < self.animals:
            self._next()
        return Pedigree(np.array(self.sire), np.array(self.dam), tuple(self.litters))

    def _add(self, sire: int, dam: int, father: int, sex: Sex | None = None) -> None:
        self.sire.append(sire)
        self.dam.append(dam)
        self.father.append(father)
        self.sexes.append(sex or self.chance.choice([Sex.MALE, Sex.FEMALE]))

    def _next(self) -> None:
        chance, left = self.chance, self.animals - len(self.sire)
        males = [at for at, sex in enumerate(self.sexes) if sex is Sex.MALE]
        dam = chance.choice([at for at, sex in enumerate(self.sexes) if sex is Sex.FEMALE])
        if chance.random() < 0.3:
            self._add(male := chance.choice(males), dam, male)
            return
        sires = chance.sample([*males, NONE], 2)
        weights = [chance.randint(1, 4) for _ in sires]
        shared = chance.random() < 0.6
        count = min(left, chance.randint(1, 2) if shared else chance.randint(2, 4))
        first, father = len(self.sire), chance.choices(sires, weights)[0]
        mother = dam if chance.random() < 0.9 else NONE
        for _ in range(count):
            father = father if shared else chance.choices(sires, weights)[0]
            self._add(NONE, mother, father)
        young = tuple(range(first, first + count))
        self.litters.append(Litter(young, tuple(sires), tuple(w / sum(weights) for w in weights), shared))


def random_loci(names: Sequence[str], chance: Random, animals: int = 7) -> list[Problem]:
    """The questions of several loci about one random family, their looks possible together."""
    drawing = Drawing(chance, animals)
    pedigree = drawing.pedigree()
    found = []
    for name in names:
        problem = None
        while problem is None:
            problem = _locus(kind(name), drawing, pedigree, chance)
        found.append(problem)
    return found


def _locus(states: LocusStates, drawing: Drawing, pedigree: Pedigree, chance: Random) -> Problem | None:
    size, every = len(states.states), pedigree.size
    founder = np.array([_prior(states, chance) for _ in range(2)])
    founder_of = np.array([chance.randrange(2) for _ in range(every)])
    first = {young: litter.young[0] for litter in pedigree.litters for young in litter.young}
    fresh: dict[int, int] = {}
    truth: list[int] = []
    for at in range(every):
        sire, dam = drawing.father[at], drawing.dam[at]
        own = founder[founder_of[at]]
        if dam == NONE and sire == NONE and at not in first:
            truth.append(_draw(scaled(states, own, drawing.sexes[at]), chance))
            continue
        male = scaled(states, founder[founder_of[first.get(at, at)]], Sex.MALE)
        father = truth[sire] if sire != NONE else fresh.setdefault(first.get(at, at), _draw(male, chance))
        mother = truth[dam] if dam != NONE else _draw(scaled(states, own, Sex.FEMALE), chance)
        law = {
            state: p
            for state, p in young_of(states, father, mother).items()
            if states.states[state].sex in (None, drawing.sexes[at])
        }
        if not law:
            return None
        truth.append(_draw(law, chance))
    evidence = np.array([_seen(states, state, drawing.sexes[at], chance) for at, state in enumerate(truth)])
    rows = Rows(founder, founder_of)
    assert evidence.shape == (every, size)
    return Problem(states, pedigree, Rows(evidence, np.arange(every)), rows, rows)


def _prior(states: LocusStates, chance: Random) -> np.ndarray:
    row = np.array([chance.random() * (chance.random() < 0.6) for _ in states.states])
    for sex in (Sex.MALE, Sex.FEMALE):
        row[int(states.of_sex(sex).argmax())] += 0.3
    return row / row.sum()


def _draw(law: dict[int, Fraction], chance: Random) -> int:
    return chance.choices(list(law), [float(value) for value in law.values()])[0]


def _seen(states: LocusStates, state: int, sex: Sex, chance: Random) -> np.ndarray:
    row = np.ones(len(states.states))
    if chance.random() < 0.8:
        row *= states.of_sex(sex)
    look = states.with_look(_look(states, states.states[state]).key)
    way = chance.random()
    if way < 0.6:
        row *= look
    elif way < 0.8:
        row *= np.where(look, 0.7, 0.3)
    return row
