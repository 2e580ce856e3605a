"""The bounded method against the exact one, on families both can answer; and on one that only it can."""

from __future__ import annotations

from random import Random
from unittest.mock import patch

import numpy as np
import pytest
from scipy.stats import norm, t
from tests.reference.bounded_coverage import apart, held
from tests.reference.pedigrees import kind

from coilbook.genetics.inference import blocks, solve
from coilbook.genetics.inference.blocks import blocks_of
from coilbook.genetics.inference.ladder import LADDERS
from coilbook.genetics.inference.order import neighbours
from coilbook.genetics.inference.spread import standard_errors
from coilbook.genetics.problem import NONE, Pedigree, Problem, Rows
from coilbook.genetics.states import State


@pytest.mark.parametrize(
    ("name", "seeds"),
    [
        ("recessive", 2),
        ("lethal double", 1),
        # the third of these has parts that redrawing blocks does not lead between
        ("series of 3", 3),
        ("partly sex-linked XY", 1),
        ("partly sex-linked ZW", 2),
        ("hemizygous ZW", 1),
    ],
)
def test_sampled_laws_lie_within_their_errors_of_the_exact_ones(name: str, seeds: int) -> None:
    families = [apart(name, seed) for seed in range(seeds)]
    off, errors = (np.concatenate(part) for part in zip(*families, strict=True))
    assert held(off, errors)
    assert errors.max() < 0.1
    # nor is the error empty talk: what is far off is so told, what is told as near is near
    assert np.median(errors) < 0.01


def test_the_error_is_widened_for_the_number_of_chains_there_are() -> None:
    """Chains that mix: their standard error times t by the normal point, for as many as there are (SciPy's laws)."""
    chains = np.array([0.4, 0.6] * (LADDERS // 2))[:, None]
    halves = np.stack([chains - 0.1, chains + 0.1])
    plain = chains.std(ddof=1) / np.sqrt(LADDERS)
    assert standard_errors(halves) / plain == pytest.approx(t.ppf(0.975, LADDERS - 1) / norm.ppf(0.975), abs=1e-3)


def test_parts_that_no_block_leads_between_are_weighed() -> None:
    """Parents are of one kind each, their young show both: which is which cannot change one parent at a time."""
    states = kind("series of 3")
    both, one, two = (states.index[State(*alleles)] for alleles in ((1, 2), (1, 1), (2, 2)))
    seen, prior = np.zeros((2, len(states.states))), np.zeros((2, len(states.states)))
    seen[0, [one, two]], seen[1, both] = 1.0, 1.0
    prior[0, [one, two]], prior[1, [one, two]] = (0.97, 0.03), (0.5, 0.5)
    pedigree = Pedigree(np.array([NONE, NONE, 0, 0, 0]), np.array([NONE, NONE, 1, 1, 1]))
    own = Rows(prior, np.array([0, 1, 0, 0, 0]))
    problem = Problem(states, pedigree, Rows(seen, np.array([0, 0, 1, 1, 1])), own, own)
    with patch.object(blocks, "_TABLE", 2):
        answer = solve(problem, width_limit=1)
    assert not answer.exact
    assert solve(problem).posterior(0)[one] == pytest.approx(0.97, abs=1e-12)
    assert answer.posterior(0)[one] == pytest.approx(0.97, abs=3 * answer.error(0))
    assert 0 < answer.error(0) < 0.02
    # what the pedigree settles is sure all the same
    assert answer.error(2) == 0


def test_chains_that_do_not_mix_are_not_averaged_away() -> None:
    """Ten chains of twelve in one part, two in another, none ever moved: the mean may be off by the whole spread."""
    chains = np.array([0.0] * 10 + [1.0] * 2)
    stuck = standard_errors(np.stack([chains, chains]))
    assert stuck > chains.std()
    chance = np.random.default_rng(4)
    halves = chance.normal(0.5, 0.1, (2, 12, 2000))
    # the two halves of a chain differ as chains do: an error of the mean, with what few chains leave open
    assert np.median(standard_errors(halves)) == pytest.approx(0.1 / np.sqrt(24) * 1.1, rel=0.1)


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
