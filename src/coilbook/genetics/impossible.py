"""Why a hatchling cannot come from its parents: the likely causes, and which of them its genes allow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from coilbook.genetics.identify import Identification
from coilbook.genetics.locus import SexSystem
from coilbook.genetics.outlook import Outlook, Part
from coilbook.genetics.outlook_pair import PairLocus
from coilbook.genetics.states import Floats, LocusStates
from coilbook.records.vocabulary import Sex


class Cause(StrEnum):
    """What may have happened, in the order to look into it."""

    MISREAD_LOOK = "misread look"
    WRONG_SIRE = "wrong sire"
    SWAPPED_EGG = "swapped egg"
    #: young without a father: named as possible, never assumed (Booth et al. 2014, Biol. J. Linn. Soc. 112:461)
    DAM_ONLY = "dam-only young"


@dataclass(frozen=True, slots=True)
class Suspect:
    """A cause its genes allow. `about`: the locus whose look would be the misread one, or the clutch swapped with."""

    cause: Cause
    about: str = ""


def suspects(hatchling: Identification, others: Mapping[str, Outlook] | None = None) -> list[Suspect]:
    """The causes that make the impossible possible; none for a hatchling that is possible.

    `others`: the outlooks of clutches an egg may have been swapped with, by name, over the same loci.
    """
    if hatchling.possible:
        return []
    found = [Suspect(Cause.MISREAD_LOOK, key) for key in hatchling.sights if _without(hatchling, key).possible]
    dam_alone = replace(hatchling, outlook=_any_sire(hatchling.outlook))
    if dam_alone.possible:
        found.append(Suspect(Cause.WRONG_SIRE))
    if others:
        found += [
            Suspect(Cause.SWAPPED_EGG, name)
            for name, outlook in others.items()
            if replace(hatchling, outlook=outlook).possible
        ]
    else:
        found.append(Suspect(Cause.SWAPPED_EGG))
    if _dam_only(hatchling):
        found.append(Suspect(Cause.DAM_ONLY))
    return found


def faults(hatchling: Identification) -> list[str]:
    """The loci whose look alone cannot come from these parents; empty where only several together cannot."""
    return [key for key, sight in hatchling.sights.items() if not replace(hatchling, sights={key: sight}).possible]


def _without(hatchling: Identification, key: str) -> Identification:
    return replace(hatchling, sights={k: sight for k, sight in hatchling.sights.items() if k != key})


def _any_sire(outlook: Outlook) -> Outlook:
    """The same dam with a sire of whom nothing is known."""
    parts = (
        Part(
            part.weight,
            tuple(
                PairLocus(locus.states, np.outer(_any_male(locus.states), locus.joint.sum(axis=0)))
                for locus in part.loci
            ),
        )
        for part in outlook.parts
    )
    return Outlook(outlook.catalogue, tuple(parts))


def _any_male(states: LocusStates) -> Floats:
    """(S,) every state a living male can have, alike."""
    law = (states.of_sex(Sex.MALE) & states.alive).astype(np.float64)
    return law / float(law.sum())


def _dam_only(hatchling: Identification) -> bool:
    """Whether every look can come of the dam's alleles alone, and the sex fits.

    Where males are XY all such young are female; of ZW species it is not said here.
    """
    return any(_dam_alone(hatchling, part.loci) for part in hatchling.outlook.parts)


def _dam_alone(hatchling: Identification, loci: Sequence[PairLocus]) -> bool:
    if loci and loci[0].states.system is not SexSystem.XY:
        return False
    if hatchling.sex_seen[1] <= 0:
        return False
    for locus in loci:
        sight = hatchling.sights.get(locus.key)
        if sight is None:
            continue
        states = locus.states
        law = locus.joint.sum(axis=0)
        dams = [states.states[d] for d in np.flatnonzero(law > 0)]
        allowed = np.array(
            [
                state.sex in (None, Sex.FEMALE)
                and any({state.first, state.second} <= {dam.first, dam.second} for dam in dams)
                for state in states.states
            ]
        )
        if not (sight.likelihood[allowed & states.alive] > 0).any():
            return False
    return True
