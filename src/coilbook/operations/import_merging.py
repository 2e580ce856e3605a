"""An animal of a sheet that the book has already: it gets what it lacks, and what the sheet says otherwise is a note.

The same sheet may come twice, or grown by a month: what stands in the book already is not entered again.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from typing import Any

from coilbook.intake.planned import PlannedAnimal
from coilbook.operations.import_places import PlacesMade
from coilbook.operations.import_rows import COLUMNS, Links, Rows
from coilbook.records.vocabulary import Sex, Status
from coilbook.records.when import UNDATED
from coilbook.storage.act import ActInHand
from coilbook.storage.columns import Base
from coilbook.storage.tables import Acquisition, Animal, Claim, Feeding, Move, Note, Tag, Weight, table_name

_HELD = ("name", "sex", "genetics", "hatched", "hatched_precision", "dam_id", "place_id", "prey_kind", "status")
Row = tuple[Any, ...]


class Merging:
    """Adds rows of known animals to those an import writes; `differing` counts animals the sheet tells otherwise of."""

    def __init__(self, act: ActInHand, rows: Rows, places: PlacesMade, links: Links) -> None:
        self._act = act
        self._rows = rows
        self._places = places
        self._links = links
        self.differing = 0

    def add_to(self, row: int, planned: PlannedAnimal) -> None:
        """Give an animal what it lacks; what it has stays as it is."""
        values = self._act.rows(f"SELECT {', '.join(_HELD)} FROM animal WHERE id = ?", (row,))[0]
        have = dict(zip(_HELD, values, strict=True))
        sires = {int(s) for (s,) in self._act.rows("SELECT sire_id FROM sire WHERE animal_id = ?", (row,))}
        told = Rows()
        told.history(row, planned, self._links)
        otherwise = [*_otherwise(planned, have), *self._other_parents(planned, have, sires)]
        lacking = self._lacking(row, planned, have) | self._place(row, planned, have, otherwise)
        if lacking:
            self._act.update(Animal, row, **lacking)
        if not sires:
            self._rows.parents(row, planned, self._links)
        meals = self._other_meals(row, told)
        told.by_table[Note] += [(row, self._links.now_text, words) for words in otherwise]
        for table, rows in self._only_new(row, told).items():
            self._rows.by_table[table] += rows
        self.differing += bool(otherwise or meals)

    def _lacking(self, row: int, planned: PlannedAnimal, have: Mapping[str, object]) -> dict[str, object]:
        lacking: dict[str, object] = {}
        for column, value in (("name", planned.name), ("genetics", planned.claim), ("prey_kind", planned.prey)):
            if value and not have[column]:
                lacking[column] = value
        if have["sex"] == Sex.UNSEXED and planned.sex is not Sex.UNSEXED:
            lacking["sex"] = planned.sex.value
        if have["hatched"] is None and planned.hatched is not None:
            lacking |= {"hatched": planned.hatched.stored, "hatched_precision": planned.hatched.precision.value}
        if have["dam_id"] is None and planned.dam is not None and self._links.parent(planned.dam) != row:
            lacking["dam_id"] = self._links.parent(planned.dam)
        return lacking

    def _place(
        self, row: int, planned: PlannedAnimal, have: Mapping[str, object], otherwise: list[str]
    ) -> dict[str, object]:
        """The slot of an animal that has none; where it lives elsewhere or is not here, the sheet's place is told."""
        place, lives_in = planned.place, have["place_id"]
        slot = self._places.slot_of(place)
        if place is None or (slot is not None and slot == lives_in):
            return {}
        if slot is not None and lives_in is None and have["status"] == Status.HERE == planned.status:
            self._rows.by_table[Move].append((row, self._links.now_text, slot))
            return {"place_id": slot}
        rack = "SELECT 1 FROM place WHERE id = ? AND parent_id = ?"
        in_its_rack = place.existing is not None and not place.slot
        if not (in_its_rack and self._act.rows(rack, (lives_in, place.existing))):
            words = " ".join(word for word in (place.room, place.rack, place.slot) if word)
            otherwise += [f"Place in the sheet: {words}"] if words else []
        return {}

    def _other_parents(self, planned: PlannedAnimal, have: Mapping[str, object], sires: set[int]) -> list[str]:
        said: list[str] = []
        if planned.dam is not None and have["dam_id"] not in (None, self._links.parent(planned.dam)):
            said.append(f"Dam in the sheet: {planned.dam.text}")
        named = {self._links.parent(sire) for sire in planned.sire}
        if named and sires and named != sires:
            said.append(f"Sire in the sheet: {', '.join(dict.fromkeys(s.text for s in planned.sire))}")
        return said

    def _other_meals(self, row: int, told: Rows) -> bool:
        """Keep a meal that ended otherwise than the book's of that moment as a note; True when there was one."""
        held = {str(meal[1]): meal[2] for meal in self._held(row, Feeding)}
        other = [meal for meal in told.by_table[Feeding] if held.get(str(meal[1]), meal[2]) != meal[2]]
        told.by_table[Feeding] = [meal for meal in told.by_table[Feeding] if meal not in other]
        told.by_table[Note] += [(row, meal[1], f"Feeding in the sheet: {meal[6]}") for meal in other]
        return bool(other)

    def _only_new(self, row: int, told: Rows) -> dict[type[Base], list[Row]]:
        """What the sheet tells without what stands in the book already."""
        new: dict[type[Base], list[Row]] = {}
        for model, rows in told.by_table.items():
            key = _SAME[model]
            there = {key(held, self._links.now_text) for held in self._held(row, model)} if rows else set()
            if model is Note:
                there |= {(held[2],) for held in self._held(row, model)}
            new[model] = [fresh for fresh in rows if key(fresh, self._links.now_text) not in there]
        return new

    def _held(self, row: int, model: type[Base]) -> Sequence[Row]:
        names = ", ".join(COLUMNS[model])
        return self._act.rows(f'SELECT {names} FROM "{table_name(model)}" WHERE animal_id = ?', (row,))


def _otherwise(planned: PlannedAnimal, have: Mapping[str, object]) -> list[str]:
    """What the sheet says of an animal that the book says otherwise, in words for its notes."""
    said: list[str] = []
    if planned.name and have["name"] and str(have["name"]).casefold() != planned.name.casefold():
        said.append(f"Name in the sheet: {planned.name}")
    if planned.sex is not Sex.UNSEXED and have["sex"] not in (Sex.UNSEXED, planned.sex):
        said.append(f"Sex in the sheet: {planned.sex.value}")
    born, in_book = planned.hatched, (have["hatched"], have["hatched_precision"])
    if born is not None and have["hatched"] is not None and in_book != (born.stored, born.precision):
        said.append(f"Hatched in the sheet: {born.stored} ({born.precision.value})")
    if planned.prey and have["prey_kind"] and str(have["prey_kind"]).casefold() != planned.prey.casefold():
        said.append(f"Prey in the sheet: {planned.prey}")
    if planned.status is not Status.HERE and have["status"] != planned.status:
        when = f", {planned.departed.isoformat()}" if planned.departed is not None else ""
        said.append(f"Status in the sheet: {planned.status.value}{when}")
    return said


def _weight(row: Row, now: str) -> Hashable:
    """A weight without a day is the same as long as it is of the same mass; one with a day, on that day."""
    return (row[2], UNDATED) if row[4] == UNDATED else (row[2], str(row[1])[:10])


def _note(row: Row, now: str) -> Hashable:
    return (row[2],) if row[1] == now else (row[2], str(row[1])[:10])


#: what two rows of a table must share to tell the same, given the moment that stands for "not dated"
_SAME = {
    Claim: lambda row, now: row[1],
    Tag: lambda row, now: str(row[1]).casefold(),
    Acquisition: lambda row, now: row,
    Weight: _weight,
    Feeding: lambda row, now: (str(row[1])[:10], row[2]),
    Note: _note,
}
