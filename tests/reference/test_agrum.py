"""The exact engine against a general library (pyAgrum, LazyPropagation) on random pedigrees over every inheritance."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from tests.reference.agrum import Network
from tests.reference.pedigrees import KINDS, Shape, kind, random_problem

from coilbook.genetics.inference import solve

#: pedigrees of each inheritance; 640 in all
TIMES = 40


@pytest.mark.parametrize("name", KINDS)
def test_random_pedigrees_agree_on_all_animals(name: str) -> None:
    states = kind(name)
    size = len(states.states)
    worst = 0.0
    for seed in range(TIMES):
        chance = Random(f"{name} {seed}")
        animals = chance.randint(5, 40 if size <= 15 else 24)
        shape = Shape(animals, chance.randint(2, 5), most_sires=3 if size <= 4 else 2, litters=0.2)
        problem = random_problem(states, shape, chance)
        expected = Network(problem).laws()
        answer = solve(problem)
        assert answer.exact and not answer.clashes
        worst = max(worst, float(np.abs(answer.all_posteriors() - expected).max()))
        assert worst < 1e-9, seed
