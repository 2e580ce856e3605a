"""What the outlook asks of the genetics that is kept current, and who the animals are."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Protocol

import numpy as np

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.outlook_pair import PairLocus
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex, Status
from coilbook.storage.animal_tables import PLACES_APART
from coilbook.storage.collection import Collection

#: joint laws that agree to this many places are one
_ALIKE = 13


@dataclass(frozen=True, eq=False)
class PairWorlds:
    """One animal with each of N others at several loci: `weights` (W,) sum to 1, one world where no sire is in doubt.

    `joints` by locus key: (W, N, S, S) by [the one's state, the other's state]; within a world loci are independent.
    `sires` (W,): in identification, which candidate sired the hatchling in each world, -1 where it makes no difference.
    `by_gene`: too many sires were possible, and every locus weighed them by itself.
    """

    weights: Floats
    joints: Mapping[str, Floats]
    sires: Ints
    by_gene: bool = False


def as_parents(found: PairWorlds, states: Iterable[LocusStates], sex: Sex) -> PairWorlds:
    """The worlds with the one as a parent of this `sex` and each of the others as one of the other sex.

    Matters on the sex chromosomes, of an animal that is not sexed or not for sure: a pairing takes both as named. NaN
    where what is known leaves an animal no such genotype.
    """
    other = Sex.FEMALE if sex is Sex.MALE else Sex.MALE
    joints = dict(found.joints)
    for one in states:
        if one.locus.linkage is not None:
            able = np.outer(one.of_sex(sex), one.of_sex(other))
            kept = np.where(able | np.isnan(joints[one.locus.key]), joints[one.locus.key], 0.0)
            total = kept.sum(axis=(2, 3), keepdims=True)
            joints[one.locus.key] = np.divide(kept, total, out=np.full_like(kept, np.nan), where=total > 0)
    return replace(found, joints=joints)


class WorldLoci:
    """The loci of pairings by world; a pairing that a locus treats alike in several worlds is one object in all."""

    def __init__(self, states: Sequence[LocusStates], found: PairWorlds) -> None:
        self._states, self._found = states, found
        self._known: dict[tuple[str, bytes], PairLocus] = {}

    def of(self, world: int, other: int) -> tuple[PairLocus, ...]:
        """The loci of the dam asked for (the `one` of the worlds) with one of the sires, by his place."""
        return tuple(self._locus(one, self._found.joints[one.locus.key][world, other].T) for one in self._states)

    def _locus(self, states: LocusStates, joint: Floats) -> PairLocus:
        key = states.locus.key, np.round(joint, _ALIKE).tobytes()
        if key not in self._known:
            self._known[key] = PairLocus(states, joint)
        return self._known[key]


class GeneticsNow(Protocol):
    """The genetics of a collection with everything known; laws are NaN where a family is in contradiction."""

    @property
    def catalogue(self) -> Catalogue:
        """The catalogue in force."""

    def knows(self, animal: AnimalId) -> bool:
        """Whether an animal is of the species this is about."""

    def at_fault(self, animals: Sequence[AnimalId]) -> tuple[tuple[str, tuple[AnimalId, ...]], ...]:
        """The loci (keys) at which the family of these animals is in contradiction, each with whose findings are at
        fault; nobody where several families are."""

    def loci_of(self, animals: Sequence[AnimalId]) -> tuple[LocusStates, ...]:
        """The loci at which any of these animals may have more than the wild type, as a keeper orders them."""

    def states_of(self, locus: str) -> LocusStates:
        """The states of a locus by its key."""

    def worlds(self, one: AnimalId, others: Sequence[AnimalId], loci: Sequence[str]) -> PairWorlds:
        """One animal with each of others at several loci."""

    def tied(self, one: AnimalId, others: Sequence[AnimalId], loci: Sequence[str]) -> Sequence[Sequence[int]]:
        """The places of `others` in groups for which `worlds` is asked best: those that hang on the same sires."""

    def error(self, locus: str, animals: Sequence[AnimalId]) -> float:
        """The largest standard error of the laws of these animals; 0 where they are exact."""

    def by_gene(self, animals: Sequence[AnimalId]) -> Sequence[AnimalId]:
        """Those of these animals whose possible sires were too many to be weighed over all loci together."""

    def lethal_loci(self, animals: Sequence[AnimalId] | None = None) -> tuple[LocusStates, ...]:
        """The loci in play at which some genotype cannot hatch; of `animals`, those at which one may be not wild."""

    def paper_of_young(
        self, locus: str, dam: AnimalId, sires: Sequence[tuple[AnimalId, Fraction]], allele: int, among: Bools
    ) -> Fraction | None:
        """On paper: the chance of an allele in young of these parents that are in one of the states `among`."""

    def inbreeding(self, dam: AnimalId, sires: Sequence[AnimalId]) -> Sequence[float]:
        """The least inbreeding of young of the dam with each sire."""

    def ancestors_known(self, dam: AnimalId, sire: AnimalId) -> tuple[int, int]:
        """Of the young of a pair: how many ancestors in three generations are known, and of how many."""


@dataclass(frozen=True, slots=True)
class Mate:
    """An animal as the outlook names it. `quarantined`: by the place it lives in."""

    id: AnimalId
    keeper_id: str
    sex: Sex
    sex_percent: int
    genetics: str
    status: Status
    place: str
    quarantined: bool
    #: the last weight in tenths of a gram, 0 where there is none
    weight_dg: int


_SQL = f"""SELECT a.id, a.keeper_id, a.sex, a.sex_percent, a.genetics, a.status, coalesce(p.label, ''),
        coalesce(a.place_id IN {PLACES_APART}, 0), coalesce(n.weight_dg, 0)
    FROM animal a LEFT JOIN place p ON p.id = a.place_id LEFT JOIN animal_now n ON n.animal = a.id"""


def mates(collection: Collection, animals: Iterable[AnimalId]) -> Mapping[AnimalId, Mate]:
    """Those of these animals that are in the book, by id."""
    rows = collection.read(f"{_SQL} WHERE a.id IN (SELECT value FROM json_each(?))", (json.dumps(list(animals)),))
    return {mate.id: mate for mate in map(_mate, rows)}


def mates_of_sex(collection: Collection, sex: Sex, species: str) -> list[Mate]:
    """Every animal of a sex that was ever in the keeper's care, in the order of their ids."""
    rows = collection.read(
        f"{_SQL} WHERE a.sex = ? AND a.species = ? AND a.status <> ? ORDER BY length(a.keeper_id), a.keeper_id",
        (sex.value, species, Status.OUTSIDE.value),
    )
    return [_mate(row) for row in rows]


def _mate(row: Sequence[object]) -> Mate:
    animal, keeper_id, sex, percent, genetics, status, place, quarantined, weight = row
    return Mate(
        AnimalId(int(str(animal))),
        str(keeper_id),
        Sex(str(sex)),
        int(str(percent)),
        str(genetics),
        Status(str(status)),
        str(place),
        bool(quarantined),
        int(str(weight)),
    )
