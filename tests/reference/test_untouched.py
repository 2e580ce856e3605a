"""Families that new evidence does not touch keep their numbers, exact or sampled."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from tests.reference.pedigrees import Shape, kind, random_problem

from coilbook.genetics.inference import order, runs, solve
from coilbook.genetics.problem import NONE, Pedigree, Problem, Rows


def side_by_side(parts: list[Problem]) -> Problem:
    """Several families as one collection."""
    starts = np.cumsum([0, *(part.pedigree.size for part in parts)]).tolist()
    parents = []
    for name in ("sire", "dam"):
        moved = [
            np.where(getattr(part.pedigree, name) == NONE, NONE, getattr(part.pedigree, name) + start)
            for part, start in zip(parts, starts)
        ]
        parents.append(np.concatenate(moved))
    rows = {}
    for name in ("evidence", "founder", "absent"):
        each = [getattr(part, name) for part in parts]
        shifts = np.cumsum([0, *(len(one.rows) for one in each)]).tolist()
        of = np.concatenate([one.of + shift for one, shift in zip(each, shifts)])
        rows[name] = Rows(np.concatenate([one.rows for one in each]), of)
    return Problem(parts[0].states, Pedigree(*parents), rows["evidence"], rows["founder"], rows["absent"])


def collection() -> Problem:
    shape = Shape(26, 4, litters=0.0)
    return side_by_side([random_problem(kind("recessive"), shape, Random(f"side {seed}")) for seed in range(4)])


def test_only_the_family_touched_is_run_again_and_all_animals_are_as_in_a_cold_solve(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(order, "_APART", 8)
    problem = collection()
    answer = solve(problem)
    layouts = len(answer.structure.network.layouts)
    assert layouts >= 4
    ran: list[object] = []
    once = runs._run
    monkeypatch.setattr(
        runs, "_run", lambda layout, *rest, keep: (ran.append(layout), once(layout, *rest, keep=keep))[1]
    )
    chance = Random(1)
    for _ in range(20):
        animal = chance.randrange(problem.pedigree.size)
        old = answer.problem.evidence.rows[answer.problem.evidence.of[animal]]
        ran.clear()
        answer = answer.with_evidence({animal: old * np.array([1.0, 0.7, 0.9])})
        assert len(ran) <= 2
        cold = solve(Problem(
            problem.states, Pedigree(problem.pedigree.sire, problem.pedigree.dam), answer.problem.evidence,
            problem.founder, problem.absent,
        ))  # fmt: skip
        assert np.abs(answer.all_posteriors() - cold.all_posteriors()).max() < 1e-9


def test_a_family_that_was_sampled_is_not_sampled_again_for_another(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = collection()
    answer = solve(problem, width_limit=200)
    network = answer.structure.network
    sampled = sorted(int(network.animals[one]) for family in network.elimination.too_wide for one in family)
    parts = {animal // 26 for animal in sampled}
    assert sampled and len(parts) < 4, "one family at least is sampled, and one is not"
    other = 26 * min(set(range(4)) - parts)
    calls: list[int] = []
    once = runs.sample
    monkeypatch.setattr(runs, "sample", lambda *given: (calls.append(1), once(*given))[1])
    factor = np.array([1.0, 0.5, 0.5])
    for animal in range(other, other + 26):
        row = problem.evidence.rows[problem.evidence.of[animal]] * factor
        after = answer.with_evidence({animal: row})
        assert not calls and not after.exact
        assert np.array_equal(after.all_posteriors()[sampled], answer.all_posteriors()[sampled])
        assert after.error(sampled[0]) == answer.error(sampled[0])
    row = problem.evidence.rows[problem.evidence.of[sampled[0]]] * factor
    answer.with_evidence({sampled[0]: row})
    assert calls
