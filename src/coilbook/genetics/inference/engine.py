"""`solve`: exact laws of all animals at one locus, contradictions named and cut out."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from coilbook.genetics.inference.attempt import WIDTH_LIMIT, Attempt, Structure, attempt, with_rows
from coilbook.genetics.inference.clash import cut_out, doubtful
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.problem import Clash, Ints, Problem
from coilbook.genetics.states import Floats


class Solved:
    """The answer: see `coilbook.genetics.problem.Answer`.

    `ground` is the problem that was answered: `problem` itself, or what is left of it when contradictions are cut out.
    """

    def __init__(
        self,
        problem: Problem,
        ground: Problem,
        laws: Floats,
        width_limit: int,
        tried: Attempt | None = None,
        clashes: tuple[Clash, ...] = (),
    ) -> None:
        self.problem = problem
        self.clashes = clashes
        self.exact = tried is None or tried.errors is None
        self._ground = ground
        self._laws = laws
        self._width_limit = width_limit
        self._tried = tried
        self._errors = None if tried is None else tried.errors

    def _kept(self) -> Attempt:
        """What the next question can use; an answer found together with others has none until it is asked."""
        if self._tried is None:
            self._tried = attempt(self._ground, None, self._width_limit, Watch())
        return self._tried

    @property
    def ground(self) -> Problem:
        """The problem that was answered: what is left of `problem` when contradictions are cut out."""
        return self._ground

    @property
    def width_limit(self) -> int:
        """The most table entries one family may need."""
        return self._width_limit

    @property
    def structure(self) -> Structure:
        """What this answer has in common with the next about the same pedigree."""
        structure = self._kept().structure
        assert structure is not None
        return structure

    def posterior(self, animal: int) -> Floats:
        """(S,) law of one animal."""
        return np.asarray(self._laws[animal])

    def all_posteriors(self) -> Floats:
        """(n, S) laws of all animals."""
        return self._laws

    def error(self, animal: int) -> float:
        """Standard error of the animal's law, the largest over its states.

        0 where exact; infinite where the bounded method found no possible genotypes and the law is NaN.
        """
        return 0.0 if self._errors is None else float(self._errors[animal])

    def joint(self, sire: int, dam: int) -> Floats:
        """(S, S) joint law of two animals."""
        if (self._laws[dam] > 0).sum() < (self._laws[sire] > 0).sum():
            # a run for each genotype that the one can have: the better known one
            return np.asarray(self.joints(dam, np.array([sire]))[0].T)
        return np.asarray(self.joints(sire, np.array([dam]))[0])

    def joints(self, one: int, others: Ints) -> Floats:
        """(k, S, S) joint laws of `one` with each of `others`: one run for each genotype `one` can have."""
        law = self.posterior(one)
        found = np.zeros((len(others), len(law), len(law)))
        if np.isnan(law).any():
            return np.full_like(found, np.nan)
        row = self._ground.evidence.rows[self._ground.evidence.of[one]]
        for state in np.flatnonzero(law > 0):
            if law[state] == 1.0:
                given = self._laws
            else:
                given = self._given(one, int(state), row)
            found[:, state] = law[state] * given[others]
        found[np.isnan(self._laws[others]).any(axis=1)] = np.nan
        return found

    def _given(self, one: int, state: int, row: Floats) -> Floats:
        """(n, S) laws of all animals if `one` had this genotype."""
        sure = np.zeros_like(row)
        sure[state] = row[state]
        kept = self._kept()
        problem = with_rows(self._ground, {one: sure})
        tried = attempt(problem, kept.structure, self._width_limit, Watch(), before=kept.numbers, animals=(one,))
        assert tried.laws is not None and not tried.spot
        return tried.laws

    def with_evidence(self, rows: Mapping[int, Floats]) -> Solved:
        """The answer when what was observed of some animals is this instead."""
        kept = self._kept()
        problem = with_rows(self.problem, rows)
        tried = attempt(
            problem, kept.structure, self._width_limit, Watch(),
            before=kept.numbers, animals=tuple(rows) if self.problem is self._ground else None,
        )  # fmt: skip
        return _answered(problem, tried, self._width_limit, Watch())


def solve(
    problem: Problem,
    *,
    before: Solved | None = None,
    width_limit: int = WIDTH_LIMIT,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Solved:
    """Exact laws of all animals at one locus, given everything known.

    `before`: an earlier answer about the same pedigree, whose structure is used again where it serves, and whose
    numbers where nothing changed. `width_limit`: the most table entries one family may need; a more tangled one is
    answered by the bounded method, which says so. A family whose findings contradict each other has no laws (NaN) and a
    `Clash`; all others have theirs.
    Raises `BrokenPedigree`, ValueError for evidence that is none, `Cancelled`.
    """
    watch = Watch(progress, cancelled)
    kept = before._kept() if before is not None else None
    structure = kept.structure if kept is not None else None
    if kept is None or structure is None or structure.outgrown(problem):
        return _answered(problem, attempt(problem, None, width_limit, watch), width_limit, watch)
    tried = attempt(problem, structure, width_limit, watch, before=kept.numbers)
    return _answered(problem, tried, width_limit, watch)


def _answered(problem: Problem, tried: Attempt, width_limit: int, watch: Watch) -> Solved:
    """The answer of an attempt, what contradicts itself being cut out first."""
    ground, clashes, cut = problem, [], set[int]()
    while tried.spot:
        clash, ground, gone = cut_out(ground, tried.spot, watch)
        clashes.append(clash)
        cut |= gone
        tried = attempt(ground, None, width_limit, watch)
    assert tried.laws is not None
    if clashes:
        tried.laws[doubtful(problem, tried.laws, cut)] = np.nan
    return Solved(problem, ground, tried.laws, width_limit, tried, tuple(clashes))
