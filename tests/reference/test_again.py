"""Answers found faster are the same answers: kept structures, many loci at once, other orders and scales."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.reference.pedigrees import KINDS, Shape, kind, random_problem
from tests.reference.test_clash import spoilt

from coilbook.genetics.inference import BrokenPedigree, Cancelled, check, layout, solve, solve_all
from coilbook.genetics.problem import NONE, Litter, Pedigree, Problem, Rows

NAMES = sorted(KINDS)


def small(name: str, seed: object, animals: int = 24) -> Problem:
    size = len(kind(name).states)
    return random_problem(kind(name), Shape(animals if size <= 10 else 12, 4), Random(f"{name} {seed}"))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("large", [4, 256])
def test_new_observations_one_after_the_other_are_as_a_cold_solve_on_all_animals(
    name: str, seed: int, large: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However few entries a table is a large one with."""
    monkeypatch.setattr(layout, "LARGE", large)
    chance = Random(seed)
    problem = small(name, seed)
    answer = solve(problem)
    kept = 0
    for _ in range(6):
        animal = chance.randrange(problem.pedigree.size)
        law = answer.posterior(animal)
        row = np.array([chance.choice([1.0, 0.02, 0.5, 0.0]) for _ in law])
        row[int(law.argmax())] = 1.0
        old = problem.evidence.rows[problem.evidence.of[animal]]
        before, answer = answer, answer.with_evidence({animal: row * old})
        kept += before.structure is answer.structure
        problem = answer.problem
        cold = solve(replace(problem, pedigree=replace(problem.pedigree)))
        assert not answer.clashes and not cold.clashes
        assert np.abs(answer.all_posteriors() - cold.all_posteriors()).max() < 1e-9
    assert kept == 6
    # a finding taken back rules out less than before: the structure cannot serve
    wider = answer.with_evidence({0: np.ones(len(law))})
    cold = solve(replace(wider.problem, pedigree=replace(problem.pedigree)))
    assert np.abs(wider.all_posteriors() - cold.all_posteriors()).max() < 1e-9


def test_an_observation_that_contradicts_the_rest_is_a_clash_and_taking_it_back_is_none() -> None:
    states = kind("recessive")
    pedigree = Pedigree(np.array([NONE, NONE, 0, 0]), np.array([NONE, NONE, 1, 1]))
    law, every = Rows(np.array([[0.9, 0.1, 0.0]]), np.zeros(4, dtype=np.int64)), np.arange(4)
    evidence = Rows(np.array([[1.0, 1, 0], [1, 0, 0], [1, 1, 0], [1, 1, 0]]), every)
    answer = solve(Problem(states, pedigree, evidence, law, law))
    clash = answer.with_evidence({3: np.array([0.0, 0.0, 1.0])})
    assert [set(one.animals) for one in clash.clashes] == [{1, 3}]
    again = clash.with_evidence({3: evidence.rows[3]})
    assert not again.clashes
    assert np.abs(again.all_posteriors() - answer.all_posteriors()).max() < 1e-12


@pytest.mark.parametrize("name", NAMES)
def test_loci_together_are_as_each_alone(name: str) -> None:
    chance = Random(name)
    first = small(name, "together")
    problems = [first]
    for seed in range(4):
        # other findings on the same pedigree; some contradict themselves
        rows = spoilt(first, chance).evidence if seed % 2 else first.evidence
        mixed = Rows(rows.rows[rows.of] * np.where(np.arange(first.pedigree.size)[:, None] == seed, 0.5, 1.0), rows.of)
        problems.append(replace(first, evidence=Rows(mixed.rows, np.arange(first.pedigree.size))))
    problems.append(small("recessive", "another"))
    for together, problem in zip(solve_all(problems), problems, strict=True):
        alone = solve(problem)
        assert together.clashes == alone.clashes and together.exact == alone.exact
        np.testing.assert_allclose(together.all_posteriors(), alone.all_posteriors(), atol=1e-12)
        one = chance.randrange(problem.pedigree.size)
        np.testing.assert_allclose(together.joint(one, 0), alone.joint(one, 0), atol=1e-12)


def shuffled(problem: Problem, order: list[int]) -> Problem:
    """The same problem with animal `order[i]` in place i."""
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    renamed = np.append(place, NONE)
    litters = tuple(
        Litter(
            tuple(int(place[young]) for young in litter.young),
            tuple(int(renamed[sire]) for sire in litter.sires),
            litter.weights,
            litter.shared,
        )
        for litter in problem.pedigree.litters
    )
    pedigree = Pedigree(renamed[problem.pedigree.sire[order]], renamed[problem.pedigree.dam[order]], litters)
    rows = {name: getattr(problem, name) for name in ("evidence", "founder", "absent")}
    return replace(problem, pedigree=pedigree, **{name: Rows(row.rows, row.of[order]) for name, row in rows.items()})


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(NAMES), st.integers(0, 10_000), st.randoms(use_true_random=False))
def test_the_order_of_animals_does_not_matter(name: str, seed: int, chance: Random) -> None:
    problem = small(name, seed, 16)
    order = list(range(problem.pedigree.size))
    chance.shuffle(order)
    laws, moved = solve(problem).all_posteriors(), solve(shuffled(problem, order)).all_posteriors()
    assert np.abs(laws[order] - moved).max() < 1e-9


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(NAMES), st.integers(0, 10_000), st.floats(1e-200, 1e200))
def test_the_scale_of_evidence_does_not_matter(name: str, seed: int, scale: float) -> None:
    problem = small(name, seed, 16)
    scaled = replace(problem, evidence=Rows(problem.evidence.rows * scale, problem.evidence.of))
    assert np.abs(solve(problem).all_posteriors() - solve(scaled).all_posteriors()).max() < 1e-9


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(NAMES), st.integers(0, 10_000), st.data())
def test_joints_have_the_laws_of_both_as_their_margins(name: str, seed: int, data: st.DataObject) -> None:
    answer = solve(small(name, seed, 12))
    animals = range(answer.problem.pedigree.size)
    one, other = data.draw(st.sampled_from(animals)), data.draw(st.sampled_from(animals))
    joint = answer.joint(one, other)
    assert np.abs(joint.sum(axis=1) - answer.posterior(one)).max() < 1e-9
    assert np.abs(joint.sum(axis=0) - answer.posterior(other)).max() < 1e-9
    assert np.abs(joint - answer.joint(other, one).T).max() < 1e-9


def test_ten_thousand_young_neither_underflow_nor_lose_the_parents() -> None:
    """0.75^10,000 is no floating number; a male with many mates gathers as many such factors."""
    states, mates, each = kind("recessive"), 40, 250
    n = 1 + mates + mates * each
    sire, dam = np.full(n, NONE), np.full(n, NONE)
    sire[1 + mates :] = 0
    dam[1 + mates :] = 1 + np.arange(mates * each) // each
    prior = Rows(np.array([[0.5, 0.5, 0.0]]), np.zeros(n, dtype=np.int64))
    seen = Rows(np.array([[1.0, 1.0, 0.0], [0.0, 0.0, 1.0]]), np.zeros(n, dtype=np.int64))
    answer = solve(Problem(states, Pedigree(sire, dam), seen, prior, prior))
    assert answer.posterior(0)[0] == pytest.approx(1.0) and not answer.clashes
    seen.of[-1] = 1
    laws = solve(Problem(states, Pedigree(sire, dam), seen, prior, prior)).all_posteriors()
    assert laws[0].tolist() == [0, 1, 0] and laws[mates].tolist() == [0, 1, 0]
    # his other mates gave 250 normal young of a het male each: (3/4)^250 against (1)^250
    assert laws[1, 1] == pytest.approx(0.75**250 / (1 + 0.75**250), rel=1e-9)


def test_what_is_no_pedigree_is_refused_with_the_animals_at_fault() -> None:
    circle = Pedigree(np.array([2, NONE, 0, 0]), np.array([1, NONE, 1, 1]))
    assert check(circle) == (0, 2)
    assert check(Pedigree(np.array([NONE, 0]), np.array([NONE, NONE]))) == ()
    states = kind("recessive")
    rows = Rows(np.ones((1, 3)) / 3, np.zeros(4, dtype=np.int64))
    for pedigree, animals in (
        (circle, (0, 2)),
        (Pedigree(np.array([NONE, NONE, 0, 0]), np.array([NONE, NONE, 0, 1])), (2,)),
        (Pedigree(np.full(4, NONE), np.array([NONE, NONE, NONE, 1]), (Litter((3,), (1,), (1.0,)),)), (3,)),
    ):
        with pytest.raises(BrokenPedigree) as refused:
            solve(Problem(states, pedigree, rows, rows, rows))
        assert refused.value.animals == animals


def test_a_computation_that_is_no_longer_wanted_stops() -> None:
    told: list[tuple[int, int]] = []
    problem = small("recessive", "stop")
    solve(problem, progress=lambda done, total: told.append((done, total)))
    assert told and all(done <= total for done, total in told)
    with pytest.raises(Cancelled):
        solve(problem, cancelled=lambda: True)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("large", [1, 4, 16])
def test_large_tables_are_summed_as_small_ones(name: str, large: int, monkeypatch: pytest.MonkeyPatch) -> None:
    for seed in range(4):
        problem = small(name, f"large {seed}", 36)
        laws = solve(problem).all_posteriors()
        monkeypatch.setattr(layout, "LARGE", large)
        found = solve(replace(problem, pedigree=replace(problem.pedigree))).all_posteriors()
        monkeypatch.undo()
        assert np.abs(laws - found).max() < 1e-12


def regrouped(problem: Problem, chance: Random) -> Problem:
    """The same problem, every table of rows written out by animal in some other order of rows."""
    order = list(range(problem.pedigree.size))
    chance.shuffle(order)
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    rows = (getattr(problem, name) for name in ("evidence", "founder", "absent"))
    return Problem(problem.states, problem.pedigree, *(Rows(row.rows[row.of][order], place) for row in rows))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", range(3))
def test_a_question_asked_again_with_a_finding_more_or_less_is_as_if_asked_first(name: str, seed: int) -> None:
    chance = Random(seed)
    problem = small(name, f"asked again {seed}")
    answer, kept = solve(problem), 0
    for step in range(8):
        animal = chance.randrange(problem.pedigree.size)
        rows = problem.evidence.rows[problem.evidence.of].copy()
        law = answer.posterior(animal)
        if step % 4 == 3:
            rows[animal] = 1.0
        elif not np.isnan(law).any():
            rows[animal] *= [chance.choice([1.0, 0.02, 0.5]) for _ in law]
        changed = replace(problem, evidence=Rows(rows, np.arange(len(rows))))
        problem = regrouped(changed, chance)
        before, answer = answer, solve(problem, before=answer)
        kept += before.structure is answer.structure
        cold = solve(replace(problem, pedigree=replace(problem.pedigree)))
        assert np.abs(answer.all_posteriors() - cold.all_posteriors()).max() < 1e-9
    assert kept >= 4


def test_an_assumption_that_falls_makes_the_structure_anew() -> None:
    for seed in range(6):
        problem = small("recessive", f"assumed {seed}")
        answer = solve(problem)
        for what in ("founder", "absent"):
            rows = getattr(problem, what)
            other = replace(problem, **{what: Rows(np.full_like(rows.rows, 1 / rows.rows.shape[1]), rows.of)})
            again, cold = solve(other, before=answer), solve(replace(other, pedigree=replace(other.pedigree)))
            assert len(again.clashes) == len(cold.clashes)
            np.testing.assert_allclose(again.all_posteriors(), cold.all_posteriors(), atol=1e-9)


def test_a_family_too_tangled_before_is_counted_once_a_finding_allows_it() -> None:
    problem = small("recessive", "tangled", 60)
    limit = solve(problem).structure.network.entries - 1
    answer = solve(problem, width_limit=limit)
    assert not answer.exact
    rows = problem.evidence.rows[problem.evidence.of].copy()
    for animal in np.flatnonzero((answer.all_posteriors() > 0).sum(axis=1) > 1).tolist():
        law = solve(problem).posterior(animal)
        rows[animal] = np.arange(len(law)) == law.argmax()
        narrowed = replace(problem, evidence=Rows(rows, np.arange(len(rows))))
        if solve(narrowed).clashes:
            rows[animal] = problem.evidence.rows[problem.evidence.of[animal]]
    narrowed = replace(problem, evidence=Rows(rows, np.arange(len(rows))))
    again = solve(narrowed, width_limit=limit, before=answer)
    assert again.exact
    np.testing.assert_allclose(again.all_posteriors(), solve(narrowed).all_posteriors(), atol=1e-9)
