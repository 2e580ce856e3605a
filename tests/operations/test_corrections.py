"""A move or a departure corrected later: what hangs on it follows, time keeps its order, undo brings all back."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.operations.animals import AcquisitionDetails, acquire
from coilbook.operations.asks import Asks
from coilbook.operations.corrections import correct_departure, correct_move
from coilbook.operations.departures import DepartureDetails, die, lend, return_animal, sell
from coilbook.operations.entries import edit_entry
from coilbook.operations.feeding import Prey, offer_feeding
from coilbook.operations.moving import move_animal
from coilbook.operations.people import add_person
from coilbook.operations.places import add_rack, edit_place
from coilbook.operations.undo import undo_last
from coilbook.operations.weighing import weigh
from coilbook.reads.places import place_labelled
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass, Money
from coilbook.records.vocabulary import DepartureKind, FeedingResult, MoveReason, Precision, Status
from coilbook.records.when import PartialDate, day
from tests.operations.conftest import Room, content


def _moves(room: Room) -> list[tuple[object, ...]]:
    return room.book.read(
        "SELECT m.at, f.label, t.label, m.reason, m.note FROM move m LEFT JOIN place f ON f.id = m.from_place_id"
        " LEFT JOIN place t ON t.id = m.to_place_id WHERE m.animal_id = ? ORDER BY m.at, m.id",
        (room.female,),
    )


def _last_move(room: Room) -> int:
    ((row,),) = room.book.read("SELECT max(id) FROM move WHERE animal_id = ?", (room.female,))
    return int(row)


def _where(room: Room) -> object:
    return room.book.read(
        "SELECT p.label FROM animal a JOIN place p ON p.id = a.place_id WHERE a.id = ?", (room.female,)
    )


@pytest.fixture
def moved(room: Room) -> list[int]:
    """The female moved to B1 and, a day later, to B2; the ids of both moves."""
    room.clock.pass_(days=1)
    move_animal(room.book, animal=room.female, place=room.slots["R2-B1"])
    first = _last_move(room)
    room.clock.pass_(days=1)
    move_animal(room.book, animal=room.female, place=room.slots["R2-B2"])
    return [first, _last_move(room)]


def test_the_newest_move_says_where_the_animal_is(room: Room, moved: list[int]) -> None:
    before = content(room.book)
    values = {
        "place": room.slots["R2-B3"],
        "reason": MoveReason.CLEANING,
        "note": " B2 was wet ",
        "return_by": day(2026, 4, 9),
    }
    correct_move(room.book, move=moved[1], values=values)
    assert _where(room) == [("R2-B3",)]
    assert _moves(room)[-1] == ("2026-03-31T20:14", "R2-B1", "R2-B3", "cleaning", "B2 was wet")
    assert room.book.read("SELECT return_by FROM move WHERE id = ?", (moved[1],)) == [("2026-04-09",)]
    correct_move(room.book, move=moved[1], values={"place": None})
    assert _where(room) == []
    undo_last(room.book)
    undo_last(room.book)
    assert content(room.book) == before


def test_the_move_after_an_earlier_one_starts_where_that_one_led(room: Room, moved: list[int]) -> None:
    correct_move(room.book, move=moved[0], values={"place": room.slots["R2-A3"]})
    assert [m[1:3] for m in _moves(room)[-2:]] == [("R2-A1", "R2-A3"), ("R2-A3", "R2-B2")]
    assert _where(room) == [("R2-B2",)]
    with pytest.raises(Refusal, match="next move led there"):
        correct_move(room.book, move=moved[0], values={"place": room.slots["R2-B2"]})
    with pytest.raises(Refusal, match="leads elsewhere"):
        correct_move(room.book, move=moved[0], values={"place": room.slots["R2-A1"]})


def test_moves_keep_their_order_in_time(room: Room, moved: list[int]) -> None:
    correct_move(room.book, move=moved[0], values={"at": dt.datetime(2026, 3, 31, 9, 0)})
    assert _moves(room)[-2][0] == "2026-03-31T09:00"
    with pytest.raises(Refusal, match="cannot be later"):
        correct_move(room.book, move=moved[0], values={"at": dt.datetime(2026, 3, 31, 21, 0)})
    with pytest.raises(Refusal, match="cannot be earlier"):
        correct_move(room.book, move=moved[1], values={"at": dt.datetime(2026, 3, 30, 9, 0)})


def test_a_slot_lived_in_is_asked_and_a_rack_refused(room: Room, moved: list[int]) -> None:
    with pytest.raises(Asks, match="M-03"):
        correct_move(room.book, move=moved[1], values={"place": room.slots["R2-A2"]})
    correct_move(room.book, move=moved[1], values={"place": room.slots["R2-A2"]}, shared=MoveReason.PAIRING)
    assert _moves(room)[-1][2:4] == ("R2-A2", "pairing")
    with pytest.raises(Refusal, match="lives in a slot"):
        correct_move(room.book, move=moved[1], values={"place": room.rack})


def test_a_correction_out_of_quarantine_needs_a_note(room: Room, moved: list[int]) -> None:
    add_rack(room.book, name="R7", rows="A", columns=1)
    slot = place_labelled(room.book, "R7-A1")
    edit_place(room.book, place=room.rack, quarantine=True)
    with pytest.raises(Refusal, match="quarantine"):
        correct_move(room.book, move=moved[1], values={"place": slot})
    correct_move(room.book, move=moved[1], values={"place": slot, "note": "two clear tests"})
    assert _where(room) == [("R7-A1",)]


def test_a_sale_takes_its_move_along_in_time(room: Room) -> None:
    room.clock.pass_(days=3)
    sale = sell(room.book, animal=room.female).value
    before = content(room.book)
    with pytest.raises(Refusal, match="correct the departure"):
        correct_move(room.book, move=_last_move(room), values={"note": "x"})
    buyer = add_person(room.book, name="Ines").value
    values = {
        "at": dt.datetime(2026, 3, 30, 11, 0),
        "person": buyer,
        "price": Money(25_000, "EUR"),
        "note": "at the show",
    }
    correct_departure(room.book, departure=sale, values=values)
    sql = "SELECT at, kind, person_id, price_minor, currency, reason, note FROM departure"
    assert room.book.read(sql) == [("2026-03-30T11:00", "sold", buyer, 25_000, "EUR", "", "at the show")]
    assert _moves(room)[-1][:3] == ("2026-03-30T11:00", "R2-A1", None)
    with pytest.raises(Refusal, match="cannot be earlier"):
        correct_departure(room.book, departure=sale, values={"at": dt.datetime(2026, 3, 1, 11, 0)})
    undo_last(room.book)
    undo_last(room.book)
    assert content(room.book) == before


def test_what_became_of_it_is_corrected_while_it_is_the_newest(room: Room) -> None:
    gone = sell(room.book, animal=room.female).value
    correct_departure(room.book, departure=gone, values={"kind": DepartureKind.LOANED})
    status = "SELECT status FROM animal WHERE id = ?"
    assert room.book.read(status, (room.female,)) == [(Status.LOAN.value,)]
    with pytest.raises(Refusal, match="through History"):
        correct_departure(room.book, departure=gone, values={"kind": DepartureKind.RETURNED})
    room.clock.pass_(days=1)
    return_animal(room.book, animal=room.female)
    with pytest.raises(Refusal, match="through History"):
        correct_departure(room.book, departure=gone, values={"kind": DepartureKind.SOLD})
    correct_departure(room.book, departure=gone, values={"new_person": "Ines", "person": None})
    assert room.book.read("SELECT name, role FROM person WHERE name = 'Ines'") == [("Ines", "other")]


def test_a_sold_loan_does_not_become_a_loan_again(room: Room) -> None:
    lend(room.book, animal=room.female)
    room.clock.pass_(days=1)
    sale = sell(room.book, animal=room.female).value
    with pytest.raises(Refusal, match="on loan already"):
        correct_departure(room.book, departure=sale, values={"kind": DepartureKind.LOANED})


def test_the_dead_are_not_put_in_a_slot_by_a_correction(room: Room) -> None:
    room.clock.pass_(days=1)
    move_animal(room.book, animal=room.female, place=None)
    out = _last_move(room)
    room.clock.pass_(days=1)
    die(room.book, animal=room.female)
    with pytest.raises(Refusal, match="is not here"):
        correct_move(room.book, move=out, values={"place": room.slots["R2-B1"]})


def test_a_sale_to_somebody_new_is_one_act(room: Room) -> None:
    acts = "SELECT count(*) FROM act"
    ((before,),) = room.book.read(acts)
    sell(room.book, animal=room.female, details=DepartureDetails(new_person="  Ines  Moor "))
    sell(room.book, animal=room.male, details=DepartureDetails(new_person="ines moor"))
    assert room.book.read("SELECT name, role FROM person WHERE role = 'buyer'") == [("Ines Moor", "buyer")]
    assert room.book.read(acts) == [(before + 2,)]
    undo_last(room.book)
    assert room.book.read("SELECT count(*) FROM person WHERE role = 'buyer'") == [(1,)]
    undo_last(room.book)
    assert room.book.read("SELECT count(*) FROM person WHERE role = 'buyer'") == [(0,)]


@pytest.mark.parametrize("mass", [Mass(0), Mass(-10)])
def test_a_weight_of_nothing_is_refused_in_a_sentence(room: Room, mass: Mass) -> None:
    ((row,),) = room.book.read("SELECT id FROM weight WHERE animal_id = ?", (room.female,))
    with pytest.raises(Refusal, match="more than nothing"):
        edit_entry(room.book, table="weight", row=row, values={"mass_dg": mass})
    with pytest.raises(Refusal, match="more than nothing"):
        weigh(room.book, animal=room.female, mass=mass)


def test_a_meal_of_no_piece_or_no_weight_is_refused_in_a_sentence(room: Room) -> None:
    meal = offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN).value
    with pytest.raises(Refusal, match="at least one piece, not 0"):
        edit_entry(room.book, table="feeding", row=meal, values={"pieces": 0})
    with pytest.raises(Refusal, match="more than nothing"):
        edit_entry(room.book, table="feeding", row=meal, values={"prey_dg": Mass(0)})
    with pytest.raises(Refusal, match="at least one piece, not 0"):
        offer_feeding(room.book, animal=room.male, prey=Prey(pieces=0))
    edit_entry(room.book, table="feeding", row=meal, values={"prey_dg": None, "pieces": 2})
    assert room.book.read("SELECT pieces, prey_dg FROM feeding") == [(2, None)]


def test_a_day_to_come_back_is_never_made_of_a_vaguer_date(room: Room, moved: list[int]) -> None:
    april = PartialDate(dt.date(2026, 4, 1), Precision.MONTH)
    with pytest.raises(Refusal, match="not known to the day"):
        move_animal(room.book, animal=room.female, place=room.slots["R2-B3"], return_by=april)
    with pytest.raises(Refusal, match="not known to the day"):
        correct_move(room.book, move=moved[1], values={"return_by": april})
    with pytest.raises(Refusal, match="not known to the day"):
        acquire(room.book, animal=room.female, details=AcquisitionDetails(quarantine_from=april))
