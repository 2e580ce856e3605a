"""Inbreeding of the animals of the book, by their ids, with how much of each pedigree is known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.derived.litters import doubtful_litter
from coilbook.genetics.kinship import Kinship
from coilbook.genetics.known_ancestors import GenerationKnown, Parents, generations_known, shared_lines
from coilbook.genetics.problem import NONE, Pedigree
from coilbook.reads.pedigree import FamilyLines
from coilbook.records.ids import AnimalId


@dataclass(frozen=True, slots=True)
class InbreedingLine:
    """One line from dam over a shared ancestor to sire, and what it adds; `share` 0 to 1."""

    animals: tuple[AnimalId, ...]
    ancestor: AnimalId
    share: float


@dataclass(frozen=True, slots=True)
class Inbreeding:
    """F of an animal, 0 to 1: the least it can be, since an ancestor that is not recorded counts as unrelated.

    `doubtful`: a list of sires is among the ancestors that count, and F is the mean over it, one sire for a litter
    unless each egg may have its own. `known` by generation, parents first; `lines` the heaviest first, `all_lines`
    False when cut off.
    """

    coefficient: float
    doubtful: bool
    known: tuple[GenerationKnown, ...]
    lines: tuple[InbreedingLine, ...]
    all_lines: bool


class Kin:
    """Everything about relatedness in one book; made from its lines, thrown away with them."""

    def __init__(self, lines: FamilyLines) -> None:
        self._ids = list(lines.members)
        self._at = {key: number for number, key in enumerate(self._ids)}
        pedigree = _pedigree(lines, self._at)
        self._parents = Parents(pedigree)
        self._kinship = Kinship(pedigree)

    def coefficient(self, animal: int) -> float:
        """F of an animal, 0 to 1."""
        return float(self._kinship.inbreeding[self._at[animal]])

    def inbreeding(self, animal: int, generations: int = 3) -> Inbreeding:
        """F of an animal and what it rests on, `generations` counted back."""
        at = self._at[animal]
        found = shared_lines(self._parents, self._kinship.inbreeding, at)
        lines = tuple(
            InbreedingLine(
                tuple(AnimalId(self._ids[one]) for one in line.animals), AnimalId(self._ids[line.ancestor]), line.share
            )
            for line in found.lines
        )
        on_the_way = {one for line in found.lines for one in line.animals} | {at}
        doubtful = bool(lines) and any(len(self._parents.of(one).sires) > 1 for one in on_the_way)
        known = generations_known(self._parents, at, generations)
        return Inbreeding(self.coefficient(animal), doubtful, known, lines, found.complete)


def _pedigree(lines: FamilyLines, at: dict[int, int]) -> Pedigree:
    """The lines as arrays."""
    size = len(at)
    dam, sire = np.full(size, NONE, np.int64), np.full(size, NONE, np.int64)
    litters = []
    shared = {key: litter for litter in lines.litters for key in litter}
    for key, member in lines.members.items():
        number = at[key]
        if member.dam is not None:
            dam[number] = at.get(member.dam, NONE)
        sires = tuple((at[one], percent) for one, percent in member.sires if one in at)
        if member.sire_known and sires:
            sire[number] = sires[0][0]
        elif sires:
            litter = shared.get(key, (key,))
            if litter[0] == key:
                litters.append(doubtful_litter(tuple(at[one] for one in litter), sires, len(litter) > 1))
    return Pedigree(sire, dam, tuple(litters))
