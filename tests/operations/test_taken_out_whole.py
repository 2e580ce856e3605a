"""What is taken out goes with what hangs on it, or is refused in a sentence; never with an error of the file."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.operations.animals import AnimalDetails, add_animal, delete_animal
from coilbook.operations.care import record_shed
from coilbook.operations.entries import EDITABLE, edit_entry, remove_entry
from coilbook.operations.places import add_rack, remove_place
from coilbook.operations.season_seen import cool_rack, see_ovulation
from coilbook.operations.stays import enter_stay
from coilbook.operations.undo import undo_last
from coilbook.records.message import Refusal
from coilbook.records.season_vocabulary import PreLay
from coilbook.records.vocabulary import Sex, ShedKind
from coilbook.storage.check import check
from coilbook.storage.tables import references, table_name
from tests.operations.conftest import Clock, Room, content


def test_a_shed_goes_with_what_it_was(room: Room) -> None:
    shed = record_shed(room.book, animal=room.female, pre_lay=PreLay.UNSURE).value
    before = content(room.book)
    remove_entry(room.book, table="shed", row=int(shed))
    assert room.book.read("SELECT * FROM shed UNION ALL SELECT *, NULL, NULL FROM shed_mark") == []
    undo_last(room.book)
    assert content(room.book) == before
    edit_entry(room.book, table="shed", row=int(shed), values={"kind": ShedKind.INCOMPLETE})
    assert len(room.book.read("SELECT 1 FROM shed_mark")) == 1
    edit_entry(room.book, table="shed", row=int(shed), values={"kind": ShedKind.BLUE})
    assert room.book.read("SELECT 1 FROM shed_mark") == []


def test_a_place_with_a_cooling_or_a_stay_is_kept(room: Room, clock: Clock) -> None:
    rack = add_rack(room.book, name="R9").value
    cool_rack(room.book, place=rack)
    enter_stay(room.book, female=room.female, male=room.male, place=room.slots["R2-B3"], in_spite="agreed")
    for place in (rack, room.slots["R2-B3"]):
        with pytest.raises(Refusal, match="in use or has a history"):
            remove_place(room.book, place=place)


def test_an_animal_entered_by_mistake_goes_with_its_forecasts(room: Room) -> None:
    animal = add_animal(room.book, details=AnimalDetails(keeper_id="X-1", sex=Sex.FEMALE)).value
    before = content(room.book)
    seen = see_ovulation(room.book, animal=animal, at=dt.datetime(2026, 3, 1, 12)).value
    with pytest.raises(Refusal, match="has a history"):
        delete_animal(room.book, animal=animal)
    remove_entry(room.book, table="ovulation", row=seen)
    assert room.book.read("SELECT count(*) > 0 FROM forecast_made") == [(1,)]
    delete_animal(room.book, animal=animal)
    assert check(room.book).clean
    for _ in range(3):
        undo_last(room.book)
    assert content(room.book) == before


def test_whatever_hangs_on_an_entry_is_seen_to() -> None:
    """A new reference to an entry that can be taken out must be refused, or taken along, in `remove_entry`."""
    names = {table_name(model) for model in EDITABLE}
    assert {(table, column) for table, column, to in references() if to in names} == {
        ("regurgitation", "feeding_id"),
        ("lock_seen", "stay_id"),
        ("course_step", "course_id"),
        ("shed_mark", "shed_id"),
    }
