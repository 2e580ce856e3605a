"""The rows one planned animal becomes; what has no field of its own becomes a note, so nothing is lost."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from coilbook.intake.planned import PlannedAnimal, PlannedFeeding, PlannedParent
from coilbook.intake.values import identity_key
from coilbook.records.vocabulary import (
    TURN_TO,
    UNSURE_PERCENT,
    FeedingResult,
    Origin,
    PreyState,
    Sex,
    SexBasis,
    Status,
)
from coilbook.records.when import UNDATED
from coilbook.storage.columns import Base
from coilbook.storage.tables import (
    Acquisition,
    Animal,
    Claim,
    Departure,
    Feeding,
    Move,
    Note,
    Sire,
    Tag,
    Weight,
)

#: columns of every table an import fills, in the order its rows are collected
COLUMNS: dict[type[Base], tuple[str, ...]] = {
    Animal: (
        "id", "keeper_id", "name", "sex", "sex_percent", "sex_basis", "genetics", "hatched", "hatched_precision",
        "origin", "status", "dam_id", "place_id", "prey_kind", "prey_state",
    ),
    Sire: ("animal_id", "sire_id", "percent"),
    Acquisition: ("animal_id", "date", "date_precision", "how", "person_id", "price_minor", "currency", "note"),
    Claim: ("animal_id", "text", "source", "said_on"),
    Tag: ("animal_id", "word"),
    Move: ("animal_id", "at", "to_place_id"),
    Feeding: ("animal_id", "at", "result", "prey", "pieces", "closed_at", "note"),
    Weight: ("animal_id", "at", "mass_dg", "typed", "note"),
    Note: ("animal_id", "at", "text"),
    Departure: ("animal_id", "at", "kind", "status_before", "note"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Links:
    """Row ids the rows refer to: animals by the key of their id, people by name, and the file's name."""

    animals: Mapping[str, int]
    people: Mapping[str, int]
    now_text: str
    file: str

    def parent(self, planned: PlannedParent) -> int:
        """Row id of a dam or sire."""
        if planned.existing is not None:
            return int(planned.existing)
        return self.animals[identity_key(planned.keeper_id)]


@dataclass(slots=True)
class Rows:
    """Rows collected for the tables, in the order of `COLUMNS`."""

    by_table: dict[type[Base], list[tuple[object, ...]]] = field(default_factory=lambda: defaultdict(list))

    def total(self) -> int:
        """How many rows there are."""
        return sum(len(rows) for rows in self.by_table.values())

    def animal(self, row: int, planned: PlannedAnimal, place: int | None, links: Links) -> None:
        """A new animal: its row, move, departure and everything that hangs on it."""
        here = planned.status is Status.HERE
        self.by_table[Animal].append(_animal_row(row, planned, place if here else None, links))
        if place is not None and here:
            self.by_table[Move].append((row, links.now_text, place))
        if planned.status in TURN_TO:
            at = _noon(planned.departed) if planned.departed else links.now_text
            note = "" if planned.departed else UNDATED
            turn = (row, at, TURN_TO[planned.status].value, Status.HERE.value, note)
            self.by_table[Departure].append(turn)
        self._place_note(row, planned, place if here else None, links)
        self.parents(row, planned, links)
        self.history(row, planned, links)

    def outside(self, row: int, keeper_id: str, sex: Sex) -> None:
        """Somebody else's animal, named as a parent."""
        values = (row, keeper_id, "", sex.value, 100, SexBasis.BRED.value, "", None, None, Origin.UNKNOWN.value)
        rest = (Status.OUTSIDE.value, None, None, "", PreyState.FROZEN_THAWED.value)
        self.by_table[Animal].append((*values, *rest))

    def parents(self, row: int, planned: PlannedAnimal, links: Links) -> None:
        """The possible sires, each with an equal share."""
        share = 100 // max(1, len(planned.sire))
        self.by_table[Sire] += [(row, links.parent(sire), share) for sire in planned.sire]

    def history(self, row: int, planned: PlannedAnimal, links: Links) -> None:
        """Everything a sheet tells of an animal beside its own fields."""
        if planned.claim:
            self.by_table[Claim].append((row, planned.claim, links.file, links.now_text[:10]))
        if planned.acquired or planned.source or planned.price_text:
            self.by_table[Acquisition].append(_acquisition(row, planned, links))
        self.by_table[Tag] += [(row, word) for word in planned.tags]
        self.by_table[Feeding] += [_feeding(row, meal) for meal in planned.feedings]
        for weight in planned.weights:
            at, note = (_noon(weight.on), "") if weight.on else (links.now_text, UNDATED)
            self.by_table[Weight].append((row, at, weight.mass.decigrams, weight.text, note))
        for written in planned.notes:
            self.by_table[Note].append((row, _noon(written.on) if written.on else links.now_text, written.text))

    def _place_note(self, row: int, planned: PlannedAnimal, place: int | None, links: Links) -> None:
        if planned.place is not None and place is None:
            words = " ".join(w for w in (planned.place.room, planned.place.rack, planned.place.slot) if w)
            if words:
                self.by_table[Note].append((row, links.now_text, f"Place in the sheet: {words}"))


def _animal_row(row: int, planned: PlannedAnimal, place: int | None, links: Links) -> tuple[object, ...]:
    return (
        row,
        planned.keeper_id,
        planned.name,
        planned.sex.value,
        100 if planned.sex_sure else UNSURE_PERCENT,
        SexBasis.UNKNOWN.value,
        planned.claim,
        planned.hatched.stored if planned.hatched else None,
        planned.hatched.precision.value if planned.hatched else None,
        _origin(planned).value,
        planned.status.value,
        links.parent(planned.dam) if planned.dam else None,
        place,
        planned.prey,
        (planned.prey_state or PreyState.FROZEN_THAWED).value,
    )


def _origin(planned: PlannedAnimal) -> Origin:
    """Where a sheet has an animal from; a price beside one's own breeding is not what was paid."""
    if planned.own_bred:
        return Origin.BRED_HERE
    return Origin.BOUGHT if planned.source or planned.price_text else Origin.UNKNOWN


def _acquisition(row: int, planned: PlannedAnimal, links: Links) -> tuple[object, ...]:
    acquired, price = planned.acquired, planned.price
    return (
        row,
        acquired.stored if acquired else None,
        acquired.precision.value if acquired else None,
        _origin(planned).value,
        links.people.get(planned.source.casefold()) if planned.source else None,
        price.minor if price else None,
        price.currency if price else "",
        f"Price in the sheet: {planned.price_text}" if planned.price_text else "",
    )


def _feeding(row: int, meal: PlannedFeeding) -> tuple[object, ...]:
    at = _noon(meal.on)
    closed = None if meal.result is FeedingResult.PENDING else at
    return (row, at, meal.result.value, meal.prey, max(1, meal.count), closed, meal.text)


def _noon(day: dt.date) -> str:
    return f"{day.isoformat()}T12:00"
