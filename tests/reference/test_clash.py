"""Contradictions: found exactly where enumeration finds no possible genotypes, and a smallest set of animals named."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from tests.reference.enumeration import Enumeration
from tests.reference.pedigrees import KINDS, Shape, kind, random_problem
from tests.reference.test_enumeration import animals_for

from coilbook.genetics.inference import WIDTH_LIMIT, solve
from coilbook.genetics.inference.attempt import attempt
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.problem import NONE, Pedigree, Problem, Rows


def with_some(problem: Problem, kept: set[int]) -> Problem:
    """The findings of these animals alone."""
    rows = problem.evidence.rows[problem.evidence.of].copy()
    rows[[animal for animal in range(len(rows)) if animal not in kept]] = 1.0
    return replace(problem, evidence=Rows(rows, np.arange(len(rows))))


def spoilt(problem: Problem, chance: Random) -> Problem:
    """The same with some findings drawn without regard to what is possible."""
    states = problem.states
    rows = problem.evidence.rows[problem.evidence.of].copy()
    for animal in chance.sample(range(len(rows)), min(4, len(rows))):
        state = chance.randrange(len(states.states))
        rows[animal] = states.with_look(states.looks[state].key) & states.of_sex(states.states[state].sex or "")
    return replace(problem, evidence=Rows(rows, np.arange(len(rows))))


@pytest.mark.parametrize("name", KINDS)
@pytest.mark.parametrize("seed", range(8))
def test_a_clash_is_found_where_nothing_is_possible_and_is_as_small_as_can_be(name: str, seed: int) -> None:
    chance = Random(f"{name} clash {seed}")
    states = kind(name)
    problem = spoilt(random_problem(states, Shape(animals_for(states) - 1, 2, litters=0.3), chance), chance)
    answer = solve(problem)
    assert bool(answer.clashes) == (Enumeration(problem).total == 0)
    for clash in answer.clashes[:1]:
        everyone = set(clash.animals)
        assert Enumeration(with_some(problem, everyone)).total == 0
        for one in everyone:
            assert Enumeration(with_some(problem, everyone - {one})).total > 0
        assert np.isnan(answer.all_posteriors()[list(everyone)]).all()
    rest = set(range(problem.pedigree.size)) - {one for clash in answer.clashes for one in clash.animals}
    assert Enumeration(with_some(problem, rest)).total > 0


def normal_and_visual() -> tuple[np.ndarray, np.ndarray]:
    states = kind("recessive")
    return states.with_look("").astype(float), states.with_look("a").astype(float)


def test_a_visual_from_two_that_cannot_carry_is_named_alone_and_only_its_own_line_has_no_answer() -> None:
    normal, visual = normal_and_visual()
    #      0 1 2 3: founders; 4, 5 = 0 x 1 with 5 visual; 6 = 2 x 3; 7 = 2 x 5; 8 = 0 x 6
    sire = np.array([NONE, NONE, NONE, NONE, 0, 0, 2, 2, 0])
    dam = np.array([NONE, NONE, NONE, NONE, 1, 1, 3, 5, 6])
    founder = np.array([[1.0, 0, 0], [0.5, 0.5, 0]])
    problem = Problem(
        kind("recessive"),
        Pedigree(sire, dam),
        Rows(np.array([normal, visual]), np.array([0, 0, 0, 0, 0, 1, 0, 0, 0])),
        Rows(founder, np.array([0, 0, 1, 0, 0, 0, 0, 0, 0])),
        Rows(founder, np.zeros(9, dtype=int)),
    )
    answer = solve(problem)
    assert [clash.animals for clash in answer.clashes] == [(5,)]
    laws = answer.all_posteriors()
    assert np.isnan(laws[[5, 7]]).all()
    # what hangs on the contradiction has no answer, the cousins through a settled animal do:
    # 2 is bound to 5 by their young 7
    assert np.isnan(laws[[2, 6, 8]]).all()
    assert laws[[0, 1, 3, 4]].tolist() == [[1, 0, 0]] * 4
    assert np.isnan(answer.joint(5, 0)).all() and not np.isnan(answer.joint(0, 4)).any()


def test_two_families_one_in_contradiction_leave_the_other_as_it_is() -> None:
    chance = Random(4)
    states = kind("incomplete dominant")
    good = random_problem(states, Shape(7, 2), chance)
    alone = solve(good).all_posteriors()
    n = good.pedigree.size
    sire = np.concatenate([good.pedigree.sire, [NONE, NONE, n]])
    dam = np.concatenate([good.pedigree.dam, [NONE, NONE, n + 1]])
    rows = len(good.evidence.rows)
    wild, double = states.with_look("").astype(float), states.with_look("super b").astype(float)
    joined = Problem(
        states,
        Pedigree(sire, dam, good.pedigree.litters),
        Rows(
            np.concatenate([good.evidence.rows, [wild, double]]),
            np.concatenate([good.evidence.of, [rows, rows, rows + 1]]),
        ),
        Rows(good.founder.rows, np.concatenate([good.founder.of, [0, 0, 0]])),
        Rows(good.absent.rows, np.concatenate([good.absent.of, [0, 0, 0]])),
    )
    answer = solve(joined)
    assert len(answer.clashes) == 1
    # a super cannot come of one wild parent: the young and either parent suffice
    assert n + 2 in answer.clashes[0].animals and len(answer.clashes[0].animals) == 2
    assert np.abs(answer.all_posteriors()[:n] - alone).max() < 1e-12


def test_contradictions_that_sets_of_states_alone_do_not_show() -> None:
    """Each tie between parents and young can be met, but not all at once: the chance of the evidence is 0."""
    shown = 0
    for seed in range(60):
        chance = Random(f"lethal double m {seed}")
        problem = spoilt(random_problem(kind("lethal double"), Shape(8, 2, litters=0.2), chance), chance)
        tried = attempt(problem, None, WIDTH_LIMIT, Watch())
        if tried.spot and tried.laws is not None:
            shown += 1
            assert Enumeration(problem).total == 0
            (clash, *_) = solve(problem).clashes
            assert Enumeration(with_some(problem, set(clash.animals))).total == 0
            for one in clash.animals:
                assert Enumeration(with_some(problem, set(clash.animals) - {one})).total > 0
    assert shown >= 3
