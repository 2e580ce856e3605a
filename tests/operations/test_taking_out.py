"""A move or a departure taken out again: the animal is what and where it was, and undo brings the entry back."""

from __future__ import annotations

import pytest

from coilbook.operations.asks import Asks
from coilbook.operations.departures import lend, return_animal, sell
from coilbook.operations.moving import move_animal
from coilbook.operations.places import edit_place
from coilbook.operations.taking_out import remove_departure, remove_move
from coilbook.operations.undo import undo_last
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import MoveReason
from tests.operations.conftest import Room, content


def _moves(room: Room) -> list[tuple[object, ...]]:
    return room.book.read(
        "SELECT f.label, t.label FROM move m LEFT JOIN place f ON f.id = m.from_place_id"
        " LEFT JOIN place t ON t.id = m.to_place_id WHERE m.animal_id = ? ORDER BY m.at, m.id",
        (room.female,),
    )


def _last_move(room: Room) -> int:
    ((row,),) = room.book.read("SELECT max(id) FROM move WHERE animal_id = ?", (room.female,))
    return int(row)


def _stands(room: Room) -> tuple[object, ...]:
    sql = "SELECT a.status, p.label FROM animal a LEFT JOIN place p ON p.id = a.place_id WHERE a.id = ?"
    return room.book.read(sql, (room.female,))[0]


def _move_to(room: Room, slot: str) -> int:
    room.clock.pass_(days=1)
    move_animal(room.book, animal=room.female, place=room.slots[slot])
    return _last_move(room)


def test_the_newest_move_taken_out_puts_the_animal_back(room: Room) -> None:
    first = _moves(room)
    move = _move_to(room, "R2-B1")
    before = content(room.book)
    remove_move(room.book, move=move)
    assert _stands(room) == ("here", "R2-A1")
    assert _moves(room) == first
    undo_last(room.book)
    assert content(room.book) == before


def test_the_move_after_one_taken_out_starts_where_that_one_did(room: Room) -> None:
    there, on, back = _move_to(room, "R2-B1"), _move_to(room, "R2-B2"), _move_to(room, "R2-B1")
    with pytest.raises(Refusal, match="Take that one out first"):
        remove_move(room.book, move=on)
    remove_move(room.book, move=back)
    remove_move(room.book, move=there)
    assert _moves(room)[-1] == ("R2-A1", "R2-B2")
    assert _stands(room) == ("here", "R2-B2")


def test_a_slot_others_live_in_by_now_is_asked(room: Room) -> None:
    move = _move_to(room, "R2-B1")
    move_animal(room.book, animal=room.male, place=room.slots["R2-A1"])
    with pytest.raises(Asks, match="M-03"):
        remove_move(room.book, move=move)
    assert _stands(room) == ("here", "R2-B1")
    remove_move(room.book, move=move, shared=MoveReason.TEMPORARY)
    assert _stands(room) == ("here", "R2-A1")


def test_a_move_into_quarantine_is_not_taken_out_in_silence(room: Room) -> None:
    move = _move_to(room, "R2-B1")
    edit_place(room.book, place=room.slots["R2-B1"], quarantine=True)
    with pytest.raises(Refusal, match="take F-014 out of quarantine"):
        remove_move(room.book, move=move)


def test_a_sale_taken_out_brings_the_animal_and_its_slot_back(room: Room) -> None:
    room.clock.pass_(days=1)
    before_sale = _moves(room)
    sale = sell(room.book, animal=room.female).value
    before = content(room.book)
    with pytest.raises(Refusal, match="correct the departure"):
        remove_move(room.book, move=_last_move(room))
    remove_departure(room.book, departure=sale)
    assert _stands(room) == ("here", "R2-A1")
    assert _moves(room) == before_sale
    assert room.book.read("SELECT 1 FROM departure") == []
    undo_last(room.book)
    assert content(room.book) == before


def test_only_the_newest_turn_is_taken_out(room: Room) -> None:
    room.clock.pass_(days=1)
    loan = lend(room.book, animal=room.female).value
    room.clock.pass_(days=1)
    back = return_animal(room.book, animal=room.female).value
    with pytest.raises(Refusal, match="Take that out first"):
        remove_departure(room.book, departure=loan)
    move = _move_to(room, "R2-B2")
    with pytest.raises(Refusal, match="has a place since"):
        remove_departure(room.book, departure=back)
    remove_move(room.book, move=move)
    remove_departure(room.book, departure=back)
    assert _stands(room) == ("loan", None)
    remove_departure(room.book, departure=loan)
    assert _stands(room) == ("here", "R2-A1")


def test_what_is_no_longer_in_the_book_is_told(room: Room) -> None:
    sale = sell(room.book, animal=room.female).value
    remove_departure(room.book, departure=sale)
    with pytest.raises(Refusal, match="no longer in the book"):
        remove_departure(room.book, departure=sale)
    with pytest.raises(Refusal, match="no longer in the book"):
        remove_move(room.book, move=99_999)
