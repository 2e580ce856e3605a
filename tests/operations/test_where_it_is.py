"""Where an animal is, is what its newest move says, whatever was written up late, corrected or taken back."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.operations.animals import AnimalDetails, Together, edit_animals
from coilbook.operations.corrections import correct_departure, correct_move
from coilbook.operations.departures import DepartureDetails, lend, return_animal, sell
from coilbook.operations.moving import move_animal, move_animals
from coilbook.operations.taking_out import remove_departure
from coilbook.operations.undo import undo_act, undo_last
from coilbook.records.message import Refusal
from tests.operations.conftest import Room


def moves(room: Room) -> int:
    return int(room.book.read("SELECT count(*) FROM move")[0][0])


def test_a_move_leads_elsewhere(room: Room) -> None:
    """A move to where she was, or out of nowhere, stood on her timeline and no undo knew what it belonged to."""
    before = moves(room)
    with pytest.raises(Refusal, match="F-014 lives in R2-A1 already"):
        move_animal(room.book, animal=room.female, place=room.slots["R2-A1"])
    move_animal(room.book, animal=room.female, place=None)
    with pytest.raises(Refusal, match="no place to be taken out of"):
        move_animal(room.book, animal=room.female, place=None)
    to = {room.female: room.slots["R2-B1"], room.male: room.slots["R2-A2"]}
    assert move_animals(room.book, moves=to).value == 1
    together = Together(place=room.slots["R2-B1"])
    edit_animals(room.book, animals=[room.female], details=AnimalDetails(), together=together)
    assert moves(room) == before + 2


def test_what_is_out_on_loan_lives_in_no_slot(room: Room) -> None:
    lend(room.book, animal=room.male)
    for move in (
        lambda: move_animal(room.book, animal=room.male, place=room.slots["R2-B1"]),
        lambda: move_animals(room.book, moves={room.male: room.slots["R2-B1"]}),
    ):
        with pytest.raises(Refusal, match="not here, so it lives in no slot"):
            move()
    return_animal(room.book, animal=room.male)
    move_animal(room.book, animal=room.male, place=room.slots["R2-B1"])


def test_a_sale_written_up_late_is_not_put_before_what_came_after_it(room: Room) -> None:
    """She was sold, and her newest move still led into a slot; a return after the sale left her sold."""
    room.clock.pass_(days=2)
    move_animal(room.book, animal=room.female, place=room.slots["R2-B1"])
    late = DepartureDetails(at=room.clock.now.replace(tzinfo=None) - dt.timedelta(days=1))
    with pytest.raises(Refusal, match="was no earlier"):
        sell(room.book, animal=room.female, details=late)
    room.clock.pass_(days=3)
    at = room.clock.now.replace(tzinfo=None) - dt.timedelta(days=1)
    sell(room.book, animal=room.female, details=DepartureDetails(at=at))
    with pytest.raises(Refusal, match="was no earlier"):
        return_animal(room.book, animal=room.female, details=late)


def test_a_sale_before_an_animal_was_put_in_the_book_dates_its_slot_back(room: Room) -> None:
    room.clock.pass_(days=2)
    at = room.clock.now.replace(tzinfo=None) - dt.timedelta(days=40)
    sold = sell(room.book, animal=room.female, details=DepartureDetails(at=at)).value
    where = "SELECT from_place_id, to_place_id FROM move WHERE animal_id = ? ORDER BY at, id"
    assert room.book.read(where, (room.female,)) == [(None, room.slots["R2-A1"]), (room.slots["R2-A1"], None)]
    remove_departure(room.book, departure=sold)
    assert room.book.read("SELECT status, place_id FROM animal WHERE id = ?", (room.female,)) == [
        ("here", room.slots["R2-A1"])
    ]


def test_a_sale_is_entered_though_the_clock_was_set_back(room: Room) -> None:
    move_animal(room.book, animal=room.female, place=room.slots["R2-B1"])
    room.clock.pass_(minutes=-40)
    sell(room.book, animal=room.female)
    last = "SELECT to_place_id FROM move WHERE animal_id = ? ORDER BY at DESC, id DESC LIMIT 1"
    assert room.book.read(last, (room.female,)) == [(None,)]


def test_days_taken_back_one_by_one_do_not_pass_each_other(room: Room) -> None:
    (move,) = room.book.read("SELECT id FROM move WHERE animal_id = ?", (room.female,))[0]
    early = room.clock.now.replace(tzinfo=None) - dt.timedelta(days=13)
    dated = correct_move(room.book, move=move, values={"at": early})
    room.clock.pass_(days=4)
    sold = sell(room.book, animal=room.female).value
    correct_departure(room.book, departure=sold, values={"at": early + dt.timedelta(days=6)})
    assert dated.changes.act is not None
    with pytest.raises(Refusal, match="would not be where its newest move leads"):
        undo_act(room.book, act=dated.changes.act)
    undo_last(room.book)
    undo_act(room.book, act=dated.changes.act)
