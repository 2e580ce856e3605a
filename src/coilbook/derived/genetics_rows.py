"""The stored rows genetics rests on, read once and kept as arrays: who there is, parents, labels, findings, claims."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from coilbook.derived.litters import SHARES, Listing, Share, doubtful_litter, is_known, listing_of, litters_of
from coilbook.genetics.problem import NONE, Ints, Litter, Pedigree
from coilbook.records.vocabulary import FindingKind, Sex
from coilbook.storage.without_act import Readable

Bytes = npt.NDArray[np.uint8]
Places = npt.NDArray[np.int32]
#: sexes by the code the arrays hold
SEXES = (Sex.UNSEXED, Sex.MALE, Sex.FEMALE)
_SEX_CODES = {str(sex.value): code for code, sex in enumerate(SEXES)}

_ANIMALS = "SELECT id, sex, sex_percent, genetics, dam_id, hatched, hatched_precision FROM animal WHERE species = ?"
_SIRES = f"{SHARES} JOIN animal a ON a.id = s.animal_id WHERE a.species = ? ORDER BY s.animal_id, s.id"
_CLAIMS = "SELECT id, animal_id, text FROM claim"
_FINDINGS = """SELECT id, animal_id, at, kind, locus, gene, looks, copies, ppm FROM finding f WHERE kind <> 'retracted'
    AND NOT EXISTS (SELECT 1 FROM finding x WHERE x.corrects_id = f.id)"""


@dataclass(frozen=True, slots=True)
class FindingRow:
    """A finding in force, as stored."""

    id: int
    at: str
    kind: FindingKind
    locus: str
    gene: str
    looks: tuple[str, ...]
    copies: int | None
    ppm: int


@dataclass(frozen=True)
class Rows:
    """The animals of one species, numbered 0..n-1 in the order of their ids.

    `label[i]` is the place of animal i's genetics text in `labels`. `claims` and `findings` are there for the few
    animals that have any, newest first. `listing` has the ids of dam and sires.
    """

    ids: Ints
    place: Mapping[int, int]
    sex: Bytes
    sex_percent: Bytes
    label: Places
    labels: tuple[str, ...]
    pedigree: Pedigree
    litter_of: Mapping[int, Litter]
    listing: Mapping[int, Listing]
    claims: Mapping[int, tuple[tuple[int, str], ...]] = field(default_factory=dict)
    findings: Mapping[int, tuple[FindingRow, ...]] = field(default_factory=dict)

    def sex_of(self, animal: int) -> Sex:
        """The sex an animal (by place) is entered as."""
        return SEXES[self.sex[animal]]


def read_rows(collection: Readable, species: str) -> Rows:
    """Everything of one species."""
    rows = collection.read(f"{_ANIMALS} ORDER BY id", (species,))
    ids = np.array([row[0] for row in rows], dtype=np.int64)
    place = {int(animal): i for i, animal in enumerate(ids)}
    labels: dict[str, int] = {"": 0}
    label = np.array([labels.setdefault(row[3], len(labels)) for row in rows], dtype=np.int32)
    dam = np.array([place.get(row[4], NONE) if row[4] is not None else NONE for row in rows], dtype=np.int64)
    sires = collection.read(_SIRES, (species,))
    sire, litters, listing = _parentage(rows, place, dam, sires)
    pedigree = Pedigree(sire, dam, litters)
    return Rows(
        ids,
        place,
        np.array([_SEX_CODES[row[1]] for row in rows], dtype=np.uint8),
        np.array([row[2] for row in rows], dtype=np.uint8),
        label,
        tuple(labels),
        pedigree,
        {young: litter for litter in litters for young in litter.young},
        listing,
        _claims(collection.read(f"{_CLAIMS} ORDER BY id DESC"), place),
        _findings(collection.read(f"{_FINDINGS} ORDER BY at DESC, id DESC"), place),
    )


def _parentage(
    rows: Sequence[Sequence[object]], place: Mapping[int, int], dam: Ints, sires: Iterable[Sequence[int]]
) -> tuple[Ints, tuple[Litter, ...], dict[int, Listing]]:
    """Known sires as an array, and the litters whose sire is one of several."""
    listed: dict[int, list[Share]] = {}
    clutches: dict[int, int | None] = {}
    for animal, sire, percent, each_own, clutch in sires:
        if animal in place and sire in place and place[sire] != dam[place[animal]]:
            listed.setdefault(place[animal], []).append((sire, percent, each_own))
            clutches[place[animal]] = clutch
    known = np.full(len(rows), NONE, dtype=np.int64)
    listing: dict[int, Listing] = {}
    for young, shares in listed.items():
        if is_known(shares):
            known[young] = place[shares[0][0]]
        else:
            listing[young] = _listing(rows[young], place, shares, clutches[young])
    litters = []
    for members in litters_of(listing):
        options = [(place[sire], percent) for sire, percent, _ in listed[members[0]]]
        litters.append(doubtful_litter(members, options, not any(own for *_, own in listed[members[0]])))
    return known, tuple(litters), listing


def _listing(row: Sequence[Any], place: Mapping[int, int], shares: Iterable[Share], clutch: int | None) -> Listing:
    dam, hatched, precision = row[4:7]
    return listing_of(dam if dam in place else None, shares, clutch, hatched, precision)


def _claims(rows: Iterable[Sequence[object]], place: Mapping[int, int]) -> dict[int, tuple[tuple[int, str], ...]]:
    found: dict[int, list[tuple[int, str]]] = {}
    for row, animal, text in rows:
        if animal in place:
            found.setdefault(place[int(str(animal))], []).append((int(str(row)), str(text)))
    return {animal: tuple(claims) for animal, claims in found.items()}


def _findings(rows: Iterable[Sequence[object]], place: Mapping[int, int]) -> dict[int, tuple[FindingRow, ...]]:
    found: dict[int, list[FindingRow]] = {}
    for row, animal, at, kind, locus, gene, looks, copies, ppm in rows:
        number = int(str(animal))
        if number in place:
            listed = tuple(str(look) for look in json.loads(str(looks)))
            counted = None if copies is None else int(str(copies))
            one = FindingRow(
                int(str(row)), str(at), FindingKind(str(kind)), str(locus), str(gene), listed, counted, int(str(ppm))
            )
            found.setdefault(place[number], []).append(one)
    return {animal: tuple(findings) for animal, findings in found.items()}


def reread(collection: Readable, rows: Rows, species: str, animals: Iterable[int]) -> Rows | None:
    """`rows` with some animals (by id) read again; None where who there is or who descends from whom has changed."""
    wanted = sorted(set(animals))
    listed = json.dumps(wanted)
    which = "IN (SELECT value FROM json_each(?))"
    fresh = collection.read(f"{_ANIMALS} AND id {which} ORDER BY id", (species, listed))
    if [int(r[0]) for r in fresh] != [a for a in wanted if a in rows.place]:
        return None
    places = [rows.place[int(r[0])] for r in fresh]
    if not _same_parents(collection, rows, fresh, listed):
        return None
    labels = {text: i for i, text in enumerate(rows.labels)}
    sex, percent, label = rows.sex.copy(), rows.sex_percent.copy(), rows.label.copy()
    for place, row in zip(places, fresh, strict=True):
        sex[place], percent[place] = _SEX_CODES[row[1]], row[2]
        label[place] = labels.setdefault(row[3], len(labels))
    claims = {a: c for a, c in rows.claims.items() if a not in set(places)}
    findings = {a: f for a, f in rows.findings.items() if a not in set(places)}
    claims |= _claims(collection.read(f"{_CLAIMS} WHERE animal_id {which} ORDER BY id DESC", (listed,)), rows.place)
    sql = f"{_FINDINGS} AND animal_id {which} ORDER BY at DESC, id DESC"
    findings |= _findings(collection.read(sql, (listed,)), rows.place)
    return replace(
        rows, sex=sex, sex_percent=percent, label=label, labels=tuple(labels), claims=claims, findings=findings
    )


def _same_parents(collection: Readable, rows: Rows, fresh: Sequence[Sequence[Any]], listed: str) -> bool:
    sires: dict[int, list[Sequence[Any]]] = {}
    for animal, *share in collection.read(f"{SHARES} WHERE s.animal_id IN (SELECT value FROM json_each(?))", (listed,)):
        if animal in rows.place:
            sires.setdefault(rows.place[animal], []).append(share)
    for row in fresh:
        place = rows.place[row[0]]
        dam = rows.place.get(row[4], NONE)
        stored = sires.get(place, [])
        shares = [(s, p, own) for s, p, own, _ in stored if rows.place.get(s, dam) != dam]
        known = rows.place[shares[0][0]] if is_known(shares) else NONE
        listing = None if known != NONE or not shares else _listing(row, rows.place, shares, stored[0][3])
        if dam != rows.pedigree.dam[place] or known != rows.pedigree.sire[place] or listing != rows.listing.get(place):
            return False
    return True
