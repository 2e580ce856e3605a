"""The exact engine against enumeration of all genotypes in fractions, over every inheritance."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from tests.reference.enumeration import Enumeration
from tests.reference.pedigrees import KINDS, Shape, kind, random_problem, young_of

from coilbook.genetics.inference import solve
from coilbook.genetics.states import LocusStates

#: how many animals can be enumerated, by number of states
_MOST = ((3, 9), (7, 7), (10, 6), (15, 5), (36, 3))


def animals_for(states: LocusStates) -> int:
    return next(most for limit, most in _MOST if len(states.states) <= limit)


@pytest.mark.parametrize("name", KINDS)
def test_the_law_of_the_young_is_that_of_the_chromosomes(name: str) -> None:
    states = kind(name)
    for sire in range(len(states.states)):
        for dam in range(len(states.states)):
            expected = np.zeros(len(states.states))
            for state, chance in young_of(states, sire, dam).items():
                expected[state] = float(chance)
            assert np.abs(states.transmission[sire, dam] - expected).max() < 1e-15


@pytest.mark.parametrize("name", KINDS)
@pytest.mark.parametrize("seed", range(8))
def test_all_animals_and_pairs_are_as_enumerated(name: str, seed: int) -> None:
    chance = Random(f"{name} {seed}")
    states = kind(name)
    problem = random_problem(states, Shape(animals_for(states), 2, litters=0.4, one_parent=0.2), chance)
    exact = Enumeration(problem)
    answer = solve(problem)
    assert answer.exact and not answer.clashes
    laws = answer.all_posteriors()
    for animal in range(problem.pedigree.size):
        assert np.abs(laws[animal] - exact.law(animal)).max() < 1e-9, animal
    one, two = chance.sample(range(problem.pedigree.size), 2)
    assert np.abs(answer.joint(one, two) - exact.joint(one, two)).max() < 1e-9
