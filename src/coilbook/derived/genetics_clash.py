"""A contradiction, looked into: which single mistake would explain it. Each is tried, none is assumed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from coilbook.derived.genetics_explain import without_findings
from coilbook.derived.genetics_locus import LocusView, Solver
from coilbook.genetics.evidence import likelihood
from coilbook.genetics.problem import NONE, Clash, Pedigree, Problem
from coilbook.genetics.problem import Rows as EvidenceRows
from coilbook.genetics.states import Bools, Floats


class Cause(StrEnum):
    """What may have happened, the commonest first (common practice)."""

    MISREAD = "misread"
    WRONG_SIRE = "wrong sire"
    SWAPPED_EGG = "swapped egg"
    #: young without a father: named as possible, never assumed (Booth et al. 2014, Biol. J. Linn. Soc. 112:461)
    DAM_ONLY = "dam only"


@dataclass(frozen=True, slots=True)
class Suspect:
    """A mistake about one animal (a place) that would explain the contradiction."""

    cause: Cause
    animal: int


def suspects(view: LocusView, solver: Solver, clash: Clash) -> tuple[Suspect, ...]:
    """Every single mistake about an animal of the clash that resolves it: its findings, its sire, both its parents."""
    found = [
        Suspect(Cause.MISREAD, animal)
        for animal in clash.animals
        if _fits(view, solver, without_findings(view, [animal]), clash)
    ]
    for animal in clash.animals:
        sire, dam = (int(side[animal]) for side in (view.inputs.rows.pedigree.sire, view.inputs.rows.pedigree.dam))
        if sire == NONE and dam == NONE:
            continue
        if sire != NONE and _fits(view, solver, _apart(view, animal, sire_only=True), clash):
            found.append(Suspect(Cause.WRONG_SIRE, animal))
            found += [Suspect(Cause.DAM_ONLY, animal)] if dam != NONE and _half_clone(view, animal, dam) else []
        elif dam != NONE and _fits(view, solver, _apart(view, animal, sire_only=False), clash):
            found.append(Suspect(Cause.SWAPPED_EGG, animal))
    return tuple(sorted(found, key=lambda one: list(Cause).index(one.cause)))


def _fits(view: LocusView, solver: Solver, problem: Problem, clash: Clash) -> bool:
    """True when none of the animals is in a contradiction any more."""
    answer = view.with_others(solver(problem, None))
    return not any(set(other.animals) & set(clash.animals) for other in answer.clashes)


def _apart(view: LocusView, animal: int, *, sire_only: bool) -> Problem:
    """The question with an animal's sire, or both its parents, taken as unknown and free to carry anything."""
    problem, rows = view.problem, view.inputs.rows
    sire, dam = rows.pedigree.sire.copy(), rows.pedigree.dam.copy()
    sire[animal] = NONE
    if not sire_only:
        dam[animal] = NONE
    free = view.rows.of(view.known(animal))
    return replace(
        problem,
        pedigree=Pedigree(sire, dam, rows.pedigree.litters),
        founder=_with_row(problem.founder, animal, free.lifted),
        absent=_with_row(problem.absent, animal, free.lifted_absent),
    )


def _with_row(rows: EvidenceRows, animal: int, row: Floats) -> EvidenceRows:
    of = rows.of.copy()
    of[animal] = len(rows.rows)
    return EvidenceRows(np.concatenate([rows.rows, row[None]]), of)


def _half_clone(view: LocusView, animal: int, dam: int) -> bool:
    """True where two copies of one of the dam's alleles would look as the animal does."""
    fits = likelihood(view.states, view.known(animal)) > 0
    mother = likelihood(view.states, view.known(dam)) > 0
    alleles = set(_alleles(view, mother))
    states = view.states.states
    return any(fits[n] and s.first == s.second and s.first in alleles for n, s in enumerate(states))


def _alleles(view: LocusView, possible: Bools) -> Iterator[int]:
    for place, state in enumerate(view.states.states):
        if possible[place]:
            yield from (a for a in (state.first, state.second) if a >= 0)
