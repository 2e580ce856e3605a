"""A contradiction, looked into: which single mistake would explain it. Each is tried, none is assumed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from coilbook.derived.genetics_explain import without_findings
from coilbook.derived.genetics_locus import Inputs, LocusView, Solver, known_of, loci_in_play
from coilbook.genetics.evidence import absent_law, likelihood
from coilbook.genetics.inference import Solved, join
from coilbook.genetics.known import NOTHING
from coilbook.genetics.locus import SexSystem
from coilbook.genetics.problem import NONE, Answer, Clash, Pedigree, Problem
from coilbook.genetics.problem import Rows as EvidenceRows
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.vocabulary import Sex


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
        if _fits(view.with_others(solver(without_findings(view, [animal]), None)), clash)
    ]
    for animal in clash.animals:
        dam, *sires = view.inputs.descent.parents(animal)
        if any(sire != NONE for sire in sires) and _fits(_apart(view, solver, animal, sire_only=True), clash):
            found.append(Suspect(Cause.WRONG_SIRE, animal))
            found += [Suspect(Cause.DAM_ONLY, animal)] if dam != NONE and _half_clone(view, animal, dam) else []
        elif dam != NONE and _fits(_apart(view, solver, animal, sire_only=False), clash):
            found.append(Suspect(Cause.SWAPPED_EGG, animal))
    return tuple(sorted(found, key=lambda one: list(Cause).index(one.cause)))


def _fits(answer: Answer, clash: Clash) -> bool:
    """True when none of the animals is in a contradiction any more."""
    return not any(set(other.animals) & set(clash.animals) for other in answer.clashes)


def _apart(view: LocusView, solver: Solver, animal: int, *, sire_only: bool) -> Answer:
    """The locus with an animal's sire, or both its parents, taken as unknown and free to carry anything."""
    pedigree = _pedigree_without(view.problem.pedigree, animal, sire_only=sire_only)
    if view.joined is None or not pedigree.litters:
        return solver(_free(view.problem, pedigree, animal), None)
    # whoever sired it at one locus sired it at all: with another father it is set free at every locus
    joined, number = view.joined
    answers = [solver(_free(one.problem, pedigree, animal), None) for one in joined.alone]
    solved = [answer for answer in answers if isinstance(answer, Solved)]
    return join(solved).answers[number] if len(solved) == len(answers) else answers[number]


def _pedigree_without(pedigree: Pedigree, animal: int, *, sire_only: bool) -> Pedigree:
    sire, dam = pedigree.sire.copy(), pedigree.dam.copy()
    sire[animal] = NONE
    if not sire_only:
        dam[animal] = NONE
    litters = (replace(one, young=tuple(young for young in one.young if young != animal)) for one in pedigree.litters)
    return Pedigree(sire, dam, tuple(one for one in litters if one.young))


def _free(problem: Problem, pedigree: Pedigree, animal: int) -> Problem:
    free = absent_law(problem.states, NOTHING, lifted=True)
    return replace(
        problem,
        pedigree=pedigree,
        founder=_with_row(problem.founder, animal, free),
        absent=_with_row(problem.absent, animal, free),
    )


def _with_row(rows: EvidenceRows, animal: int, row: Floats) -> EvidenceRows:
    of = rows.of.copy()
    of[animal] = len(rows.rows)
    return EvidenceRows(np.concatenate([rows.rows, row[None]]), of)


def _half_clone(view: LocusView, animal: int, dam: int) -> bool:
    """True where two copies of one of the dam's alleles look as the animal does at every locus, and its sex may fit.

    Where males are XY all such young are female; of ZW species it is not said here.
    """
    rows, catalogue = view.inputs.rows, view.inputs.catalogue
    surely_male = rows.sex_of(animal) is Sex.MALE and int(rows.sex_percent[animal]) == 100
    if catalogue.system is not SexSystem.XY or surely_male:
        return False
    loci = (LocusStates(catalogue.loci[key], catalogue.system) for key in loci_in_play(view.inputs))
    return all(_half_clone_at(view.inputs, states, animal, dam) for states in loci)


def _half_clone_at(inputs: Inputs, states: LocusStates, animal: int, dam: int) -> bool:
    young, mother = (likelihood(states, known_of(inputs, states, one)) > 0 for one in (animal, dam))
    fits = young & states.of_sex(Sex.FEMALE)
    alleles = set(_alleles(states, mother))
    return any(fits[n] and s.first == s.second and s.first in alleles for n, s in enumerate(states.states))


def _alleles(states: LocusStates, possible: Bools) -> Iterator[int]:
    for place, state in enumerate(states.states):
        if possible[place]:
            yield from (a for a in (state.first, state.second) if a >= 0)
