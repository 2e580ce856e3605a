"""The bounded method against the exact one, on families both can answer; and on one that only it can."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from tests.reference.pedigrees import Shape, kind, random_problem

from coilbook.genetics.inference import blocks, solve
from coilbook.genetics.inference.blocks import blocks_of
from coilbook.genetics.inference.order import neighbours
from coilbook.genetics.problem import NONE, Pedigree, Problem, Rows


@pytest.mark.parametrize("name", ["recessive", "lethal double", "series of 3", "partly sex-linked XY", "hemizygous ZW"])
def test_sampled_laws_lie_within_their_errors_of_the_exact_ones(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "_TABLE", 48)
    apart = []
    for seed in range(2):
        problem = random_problem(kind(name), Shape(32, 4, litters=0.2), Random(f"{name} s {seed}"))
        exact, sampled = solve(problem), solve(problem, width_limit=1)
        assert exact.exact and not sampled.exact
        assert all(exact.error(animal) == 0 for animal in range(problem.pedigree.size))
        errors = np.array([sampled.error(animal) for animal in range(problem.pedigree.size)])
        off = np.abs(exact.all_posteriors() - sampled.all_posteriors()).max(axis=1)
        assert errors.max() < 0.1
        assert (off <= 5 * errors + 0.005).all(), (seed, off, errors)
        apart += (off / np.maximum(errors, 1e-3)).tolist()
    # the errors told are of the right size: neither far too small nor empty talk
    assert np.median(apart) < 2


def interbred(pairs: int, generations: int) -> Problem:
    """`pairs` pairs whose young pair across the families, generation after generation; one founder carries."""
    chance = np.random.default_rng(5)
    sire, dam = [NONE] * 2 * pairs, [NONE] * 2 * pairs
    males, females = np.arange(pairs), np.arange(pairs, 2 * pairs)
    for _ in range(generations):
        mates = chance.permutation(females)
        first = len(sire)
        for male, female in zip(males.tolist(), mates.tolist(), strict=True):
            sire += [male, male]
            dam += [female, female]
        males, females = first + 2 * np.arange(pairs), first + 2 * np.arange(pairs) + 1
    n = len(sire)
    seen = np.array([[1.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    looks = np.zeros(n, dtype=np.int64)
    looks[-1] = 1
    founder = np.array([[0.75, 0.25, 0.0]])
    every = np.zeros(n, dtype=np.int64)
    return Problem(
        kind("recessive"), Pedigree(np.array(sire), np.array(dam)), Rows(seen, looks), Rows(founder, every),
        Rows(founder, every),
    )  # fmt: skip


def test_a_hopeless_tangle_is_answered_and_says_that_it_is_not_exact() -> None:
    problem = interbred(20, 7)
    answer = solve(problem)
    laws = answer.all_posteriors()
    assert not answer.exact and not answer.clashes
    assert np.abs(laws.sum(axis=1) - 1).max() < 1e-9
    assert laws[-1].tolist() == [0, 0, 1]
    # both parents of a visual carry, whatever the method
    assert laws[[problem.pedigree.sire[-1], problem.pedigree.dam[-1]], 1] == pytest.approx([1, 1], abs=1e-12)
    errors = [answer.error(animal) for animal in range(problem.pedigree.size)]
    assert 0 < max(errors) < 0.06


def test_every_variable_is_free_in_some_block() -> None:
    chance = Random(3)
    for seed in range(20):
        count = 60
        scopes = [chance.sample(range(count), 3) for _ in range(150 + seed)]
        near = neighbours(count, scopes)
        found = blocks_of(range(count), near, [2] * count)
        assert set().union(*(block.elimination.order for block in found)) == set(range(count))
        assert {one for block in found for one in block.held}, "nothing was held fast: the case shows nothing"
