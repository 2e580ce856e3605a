"""Offers, how they ended, and meals that came back."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.operations.asks import Asks
from coilbook.operations.entries import edit_entry
from coilbook.operations.feeding import (
    Prey,
    close_feedings,
    offer_feeding,
    offer_rack,
    record_regurgitation,
)
from coilbook.operations.undo import undo_last
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import FeedingResult as R
from coilbook.records.vocabulary import PreyState, RefusalReason
from tests.operations.conftest import Room


def _now(room: Room) -> tuple[object, ...]:
    found = room.book.read_one(
        "SELECT taken_at, refused_since, pending FROM animal_now WHERE animal = ?", (room.female,)
    )
    assert found is not None
    return found


def test_a_pending_offer_is_not_a_meal_until_it_is_closed(room: Room) -> None:
    feeding = offer_feeding(room.book, animal=room.female).value
    assert _now(room) == (None, 0, 1)
    room.clock.pass_(hours=11)
    close_feedings(room.book, results={feeding: (R.TAKEN_LATE, None)})
    assert _now(room) == ("2026-03-29T20:14", 0, 0)


def test_the_result_of_an_open_offer_closes_it_instead_of_adding_one(room: Room) -> None:
    offer_feeding(room.book, animal=room.female)
    with pytest.raises(Refusal, match="left in already"):
        offer_feeding(room.book, animal=room.female)
    offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    assert room.book.read("SELECT result FROM feeding") == [("taken",)]


def test_a_second_meal_within_a_day_is_asked_about(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    room.clock.pass_(hours=3)
    with pytest.raises(Asks) as asked:
        offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    offer_feeding(room.book, animal=room.female, result=R.TAKEN, **asked.value.choices[0].arguments)
    room.clock.pass_(hours=21)
    offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    assert len(room.book.read("SELECT id FROM feeding")) == 3


def test_a_regurgitated_meal_no_longer_counts_as_kept(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    room.clock.pass_(days=10)
    offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    room.clock.pass_(days=2)
    record_regurgitation(room.book, animal=room.female)
    assert _now(room)[0] == "2026-03-29T20:14"
    undo_last(room.book)
    assert _now(room)[0] == "2026-04-08T20:14"


def test_offers_during_the_rest_after_a_regurgitation_are_warned_and_left_out_of_a_rack(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    room.clock.pass_(days=2)
    record_regurgitation(room.book, animal=room.female)
    room.clock.pass_(days=5)
    outcome = offer_rack(room.book, animals=[room.female, room.male], rack="R2")
    assert len(outcome.value) == 1
    assert "F-014" in str(outcome.warnings[0])
    assert "brought a meal back" in str(offer_feeding(room.book, animal=room.female).warnings[0])


def test_two_regurgitations_within_sixty_days_name_the_veterinarian(room: Room) -> None:
    for _ in range(2):
        offer_feeding(room.book, animal=room.female, result=R.TAKEN, again=True)
        room.clock.pass_(days=2)
        last = record_regurgitation(room.book, animal=room.female)
        room.clock.pass_(days=20)
    assert "veterinarian" in str(last.warnings[0])


def test_a_regurgitation_without_a_meal_on_record_says_so(room: Room) -> None:
    outcome = record_regurgitation(room.book, animal=room.female)
    assert "No taken meal" in str(outcome.warnings[0])


def test_the_morning_close_is_one_act(room: Room) -> None:
    offers = offer_rack(room.book, animals=[room.female, room.male], rack="R2").value
    room.clock.pass_(hours=11)
    close_feedings(
        room.book,
        results={offers[0]: (R.REFUSED, RefusalReason.GRAVID), offers[1]: (R.TAKEN_LATE, None)},
    )
    assert room.book.read("SELECT result, reason FROM feeding ORDER BY id") == [
        ("refused", "gravid"),
        ("taken_late", ""),
    ]
    assert _now(room) == (None, 1, 0)
    undo_last(room.book)
    assert _now(room) == (None, 0, 1)


def test_not_offered_is_never_a_refusal(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=R.NOT_OFFERED, reason=RefusalReason.BLUE)
    assert _now(room) == (None, 0, 0)


def test_a_reason_goes_only_with_a_refusal(room: Room) -> None:
    with pytest.raises(Refusal, match="reason"):
        offer_feeding(room.book, animal=room.female, result=R.TAKEN, reason=RefusalReason.SIZE)


def test_the_usual_prey_is_taken_from_the_animal_unless_said(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    offer_feeding(
        room.book,
        animal=room.male,
        result=R.REFUSED,
        prey=Prey(kind="mouse", state=PreyState.PRE_KILLED, mass=Mass(230), pieces=2),
    )
    assert room.book.read("SELECT prey, prey_state, prey_dg, pieces FROM feeding ORDER BY id") == [
        ("medium rat", "ft", None, 1),
        ("mouse", "pk", 230, 2),
    ]


def test_a_closed_offer_is_not_closed_again(room: Room) -> None:
    feeding = offer_feeding(room.book, animal=room.female, result=R.TAKEN).value
    with pytest.raises(Refusal, match="closed already"):
        close_feedings(room.book, results={feeding: (R.REFUSED, None)})


def test_a_result_written_up_late_leaves_the_open_offer_of_today_open(room: Room) -> None:
    offer_feeding(room.book, animal=room.female)
    before = room.clock.now - dt.timedelta(days=20)
    offer_feeding(room.book, animal=room.female, result=R.REFUSED, prey=Prey(kind="mouse"), at=before)
    assert room.book.read("SELECT at, result, prey FROM feeding ORDER BY id") == [
        ("2026-03-29T20:14", "pending", "medium rat"),
        ("2026-03-09T20:14", "refused", "mouse"),
    ]
    assert _now(room) == (None, 1, 1)


def test_only_a_kept_meal_of_the_animal_itself_comes_back(room: Room) -> None:
    meal = offer_feeding(room.book, animal=room.female, result=R.TAKEN).value
    refused = offer_feeding(room.book, animal=room.male, result=R.REFUSED).value
    for animal, feeding in ((room.male, meal), (room.male, refused)):
        with pytest.raises(Refusal, match="no meal M-03"):
            record_regurgitation(room.book, animal=animal, feeding=feeding)
    record_regurgitation(room.book, animal=room.female, feeding=meal)
    with pytest.raises(Refusal, match="no meal F-014"):
        record_regurgitation(room.book, animal=room.female, feeding=meal)


def test_a_meal_that_came_back_stays_a_meal_taken_before_it(room: Room) -> None:
    meal = offer_feeding(room.book, animal=room.female, result=R.TAKEN).value
    room.clock.pass_(days=2)
    back = record_regurgitation(room.book, animal=room.female).value
    eaten, later = dt.datetime(2026, 3, 29, 20, 14), dt.datetime(2026, 3, 31, 20, 15)
    with pytest.raises(Refusal, match="came back later"):
        edit_entry(room.book, table="feeding", row=meal, values={"result": R.REFUSED})
    with pytest.raises(Refusal, match="came back before"):
        edit_entry(room.book, table="feeding", row=meal, values={"at": later})
    with pytest.raises(Refusal, match="before it was eaten"):
        edit_entry(room.book, table="regurgitation", row=back, values={"at": eaten - dt.timedelta(days=1)})
    edit_entry(room.book, table="feeding", row=meal, values={"result": R.TAKEN_LATE})
    assert _now(room)[0] is None


def test_a_refusal_corrected_to_a_meal_loses_its_reason_and_keeps_when_it_was_closed(room: Room) -> None:
    meal = offer_feeding(room.book, animal=room.female, result=R.REFUSED, reason=RefusalReason.BLUE).value
    room.clock.pass_(days=3)
    edit_entry(room.book, table="feeding", row=meal, values={"result": R.TAKEN})
    assert room.book.read("SELECT result, reason, closed_at FROM feeding") == [("taken", "", "2026-03-29T20:14")]
    with pytest.raises(Refusal, match="reason"):
        edit_entry(room.book, table="feeding", row=meal, values={"reason": RefusalReason.SIZE})
    open_one = offer_feeding(room.book, animal=room.male).value
    room.clock.pass_(hours=11)
    edit_entry(room.book, table="feeding", row=open_one, values={"result": R.TAKEN_LATE})
    assert room.book.read("SELECT closed_at FROM feeding WHERE id = ?", (open_one,)) == [("2026-04-02T07:14",)]


def test_a_result_while_an_old_offer_stands_open_is_asked_which_it_is_of(room: Room) -> None:
    old = offer_feeding(room.book, animal=room.female).value
    room.clock.pass_(days=5)
    with pytest.raises(Asks) as asked:
        offer_feeding(room.book, animal=room.female, result=R.TAKEN, prey=Prey(kind="mouse"))
    that, new = (choice.arguments for choice in asked.value.choices)
    offer_feeding(room.book, animal=room.female, result=R.TAKEN, prey=Prey(kind="mouse"), **new)
    assert room.book.read("SELECT prey, result FROM feeding ORDER BY id") == [
        ("medium rat", "pending"),
        ("mouse", "taken"),
    ]
    undo_last(room.book)
    assert offer_feeding(room.book, animal=room.female, result=R.TAKEN, **that).value == old


def test_not_offering_does_not_unmake_an_open_offer(room: Room) -> None:
    offer_feeding(room.book, animal=room.female)
    with pytest.raises(Refusal, match="left in"):
        offer_feeding(room.book, animal=room.female, result=R.NOT_OFFERED)
    assert room.book.read("SELECT result FROM feeding") == [("pending",)]


def test_an_offer_is_closed_though_the_clock_was_set_back(room: Room) -> None:
    """At the end of summer time, or after a correction of the clock, the offer stood open beside a second meal."""
    offer_feeding(room.book, animal=room.female)
    room.clock.pass_(minutes=-50)
    offer_feeding(room.book, animal=room.female, result=R.TAKEN)
    assert room.book.read("SELECT result, closed_at >= at FROM feeding") == [("taken", 1)]
