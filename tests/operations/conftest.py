"""A real collection on disk for every test of an act, with a clock the test can turn."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from coilbook.derived import summary
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.people import add_person
from coilbook.operations.places import add_rack
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import PersonRole, Sex
from coilbook.storage.collection import Collection

ZONE = dt.timezone(dt.timedelta(hours=2))


class Clock:
    """Wall time that stands still until a test moves it."""

    def __init__(self) -> None:
        self.now = dt.datetime(2026, 3, 29, 20, 14, tzinfo=ZONE)

    def __call__(self) -> dt.datetime:
        return self.now

    def pass_(self, **span: float) -> dt.datetime:
        """Let time go by; the moment after it."""
        self.now += dt.timedelta(**span)
        return self.now


@dataclass
class Room:
    """A small invented room: rack R2 with six slots, a female in A1, a male in A2."""

    book: Collection
    clock: Clock
    rack: PlaceId
    slots: dict[str, PlaceId]
    female: AnimalId
    male: AnimalId


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Collection]:
    with Collection.create(tmp_path / "book", clock) as collection:
        summary.attach(collection)
        person = add_person(collection, name="Wren", role=PersonRole.KEEPER).value
        collection.at_keyboard(person, "Wren")
        yield collection


@pytest.fixture
def room(book: Collection, clock: Clock) -> Room:
    rack = add_rack(book, name="R2", rows=("A", "B"), columns=3).value
    slots = {label: PlaceId(i) for i, label in book.read("SELECT id, label FROM place WHERE kind = 'slot'")}
    female = add_animal(
        book,
        details=AnimalDetails(keeper_id="F-014", sex=Sex.FEMALE, prey_kind="medium rat"),
        place=slots["R2-A1"],
        weight=Mass(21_400),
    ).value
    male = add_animal(
        book, details=AnimalDetails(keeper_id="M-03", sex=Sex.MALE, prey_kind="small rat"), place=slots["R2-A2"]
    ).value
    return Room(book, clock, rack, slots, female, male)


def content(book: Collection) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every record table, to compare a book with itself."""
    from coilbook.storage.tables import RECORD_TABLES, table_name

    return {table_name(m): book.read(f'SELECT * FROM "{table_name(m)}" ORDER BY id') for m in RECORD_TABLES}
