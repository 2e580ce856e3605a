"""The laws of one problem in the form inference works with: scaled, living, and of the right sex."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from coilbook.genetics.inference.families import Families
from coilbook.genetics.problem import Ints, Problem
from coilbook.genetics.states import Floats
from coilbook.records.message import WorkStopped, say
from coilbook.records.vocabulary import Sex


class Cancelled(WorkStopped):
    """The keeper wanted to stop; nothing was kept."""

    def __init__(self) -> None:
        super().__init__(say("The computation was stopped."))


@dataclass(frozen=True)
class Watch:
    """How far a computation is, and whether it is still wanted."""

    progress: Callable[[int, int], None] | None = None
    cancelled: Callable[[], bool] | None = None

    def look(self, done: int, total: int) -> None:
        """Tell the progress. Raises `Cancelled`."""
        if self.cancelled is not None and self.cancelled():
            raise Cancelled
        if self.progress is not None:
            self.progress(done, total)


@dataclass(frozen=True)
class Laws:
    """Evidence and priors of all animals, fresh parents included.

    `evidence` (C+1, S): rows scaled to a largest entry of 1, the last one all ones; `evidence_of` (count,).
    `prior` (F+2A+1, S): laws of founders, of unrecorded sires, of unrecorded dams, and a last row of ones;
    `prior_of` (count,) points to the last row for animals with parents. Rows sum to 1, or to 0 where nothing is left.
    `absent_of` (count,) is the row of the unrecorded parent, A = `absent_rows`, equal rows being taken as one.
    """

    young: Floats
    evidence: Floats
    evidence_of: Ints
    prior: Floats
    prior_of: Ints
    absent_of: Ints
    founder_rows: int
    absent_rows: int

    @property
    def classes(self) -> int:
        """How many rows of evidence, the flat one included."""
        return len(self.evidence)

    def without_sire(self, row: int) -> Floats:
        """(S, S) law of the young by [dam state, young state] under the unrecorded sire of a row."""
        return np.asarray(np.tensordot(self.prior[self.founder_rows + row], self.young, axes=(0, 0)))

    def without_dam(self, row: int) -> Floats:
        """(S, S) law of the young by [sire state, young state] under the unrecorded dam of a row."""
        law = self.prior[self.founder_rows + self.absent_rows + row]
        return np.asarray(np.tensordot(law, self.young, axes=(0, 1)))


def laws_of(problem: Problem, families: Families, known: Laws | None = None) -> Laws:
    """Scale and check. Raises ValueError for negative or endless numbers or indexes that point nowhere.

    `known` are laws of a problem with the same priors: these are not looked at again.
    """
    _check(problem, ("evidence",) if known is not None else ("evidence", "founder", "absent"))
    rows = problem.evidence.rows
    top = rows.max(axis=1, keepdims=True)
    evidence = np.concatenate([rows / np.where(top > 0, top, 1.0), np.ones((1, rows.shape[1]))])
    fresh = np.full(len(families.fresh), len(rows))
    evidence_of = np.concatenate([problem.evidence.of, fresh]).astype(np.int64)
    if known is not None:
        return replace(known, evidence=evidence, evidence_of=evidence_of)
    return _with_priors(problem, families, evidence, evidence_of)


def _check(problem: Problem, names: tuple[str, ...]) -> None:
    n, size = problem.pedigree.size, len(problem.states.states)
    for name in names:
        rows = getattr(problem, name)
        if rows.rows.ndim != 2 or rows.rows.shape[1] != size or len(rows.of) != n:
            raise ValueError(f"{name}: rows of {size} states for {n} animals are needed")
        if not np.isfinite(rows.rows).all() or (rows.rows < 0).any():
            raise ValueError(f"{name}: chances are finite and not negative")
        if n and not 0 <= rows.of.min() <= rows.of.max() < len(rows.rows):
            raise ValueError(f"{name}: a row that is not there")


def _with_priors(problem: Problem, families: Families, evidence: Floats, evidence_of: Ints) -> Laws:
    states, n = problem.states, problem.pedigree.size
    absent, place = np.unique(problem.absent.rows, axis=0, return_inverse=True)
    founders, absents = len(problem.founder.rows), len(absent)
    male, female = states.of_sex(Sex.MALE), states.of_sex(Sex.FEMALE)
    prior = [
        _law(problem.founder.rows * states.alive),
        _law(absent * (male & states.alive)),
        _law(absent * (female & states.alive)),
        np.ones((1, len(states.states))),
    ]
    fresh = families.fresh
    own = place.reshape(-1)[problem.absent.of]
    absent_of = np.concatenate([own, own[[one.of for one in fresh]]]).astype(np.int64)
    prior_of = np.full(families.count, founders + 2 * absents, dtype=np.int64)
    mine = families.founder[:n]
    prior_of[:n][mine] = problem.founder.of[mine]
    for at, one in enumerate(fresh, start=n):
        prior_of[at] = founders + (0 if one.male else absents) + absent_of[at]
    return Laws(
        states.transmission, evidence, evidence_of, np.concatenate(prior), prior_of, absent_of, founders, absents
    )


def _law(rows: Floats) -> Floats:
    total = rows.sum(axis=1, keepdims=True)
    return np.asarray(rows / np.where(total > 0, total, 1.0))


def logarithms(law: Floats) -> Floats:
    """Natural logarithms of chances, of any shape; -inf for what cannot be."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(law))
