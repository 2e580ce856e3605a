"""Where each animal stands in the round, by the clock: due, open, closed, held, not offered."""

from __future__ import annotations

import datetime as dt

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.care import record_shed
from coilbook.operations.feeding import close_feedings, offer_feeding, record_regurgitation
from coilbook.reads.round import RoundState, RoundTime, next_due_after, racks_of_round, tubs_of_round
from coilbook.records.vocabulary import FeedingResult, RefusalReason, ShedKind
from tests.operations.conftest import Room, book, clock, room

__all__ = ["book", "clock", "room"]


def states(room: Room) -> dict[str, tuple[str, bool, str]]:
    time = RoundTime.at(room.clock())
    tubs = tubs_of_round(room.book, time, room.rack, 10)
    return {a.keeper_id: (a.state.value, a.closing, a.held) for tub in tubs for a in tub.animals}


def counted(room: Room) -> dict[tuple[str, bool, bool], int]:
    """The groups of the rack, which must tell the same as its tubs."""
    (rack,) = racks_of_round(room.book, RoundTime.at(room.clock()))
    found: dict[tuple[str, bool, bool], int] = {}
    for group in rack.groups:
        key = (group.state.value, group.closing, group.held)
        found[key] = found.get(key, 0) + group.count
    return found


def test_never_offered_is_due(room: Room) -> None:
    assert states(room)["F-014"] == ("todo", False, "")


def test_an_offer_of_this_evening_shows_its_result_until_it_waits_for_its_close(room: Room) -> None:
    offer = offer_feeding(room.book, animal=room.female).value
    assert states(room)["F-014"] == ("pending", False, "")
    room.clock.pass_(hours=5, minutes=59)
    assert states(room)["F-014"][0] == "pending"
    room.clock.pass_(hours=6)
    assert states(room)["F-014"] == ("open", False, "")
    close_feedings(room.book, results={offer: (FeedingResult.TAKEN, None)})
    assert states(room)["F-014"] == ("taken", True, "")
    room.clock.pass_(days=1)
    assert states(room)["F-014"] == ("not_due", False, "")


def test_due_again_after_the_interval(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    offer_feeding(room.book, animal=room.male, result=FeedingResult.TAKEN)
    room.clock.pass_(days=9)
    assert states(room)["F-014"][0] == "not_due"
    assert next_due_after(room.book, RoundTime.at(room.clock())) == (dt.date(2026, 4, 8), "R2")
    room.clock.pass_(days=1)
    assert states(room)["F-014"][0] == "todo"


def test_not_offering_deals_with_her_for_tonight_only(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=FeedingResult.NOT_OFFERED, reason=RefusalReason.SEASON)
    assert states(room)["F-014"][0] == "not_offered"
    room.clock.pass_(days=1)
    assert states(room)["F-014"][0] == "todo"


def test_after_midnight_the_round_is_still_the_evening_before(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    room.clock.now = dt.datetime(2026, 4, 8, 0, 30, tzinfo=room.clock.now.tzinfo)
    assert states(room)["F-014"][0] == "not_due"
    room.clock.pass_(hours=4)
    assert states(room)["F-014"][0] == "todo"


def test_blue_and_rest_hold(room: Room) -> None:
    record_shed(room.book, animal=room.female, kind=ShedKind.BLUE)
    record_regurgitation(room.book, animal=room.male)
    assert (states(room)["F-014"][2], states(room)["M-03"][2]) == ("blue", "rest")
    assert counted(room) == {("todo", False, True): 2}
    room.clock.pass_(days=11)
    assert (states(room)["F-014"][2], states(room)["M-03"][2]) == ("blue", "")
    room.clock.pass_(days=11)
    assert states(room)["F-014"][2] == ""


def test_counts_of_a_rack_say_what_its_tubs_say(room: Room) -> None:
    offer_feeding(room.book, animal=room.female)
    room.clock.pass_(hours=12)
    offer_feeding(room.book, animal=room.male, result=FeedingResult.REFUSED)
    tubs = states(room)
    wanted: dict[tuple[str, bool, bool], int] = {}
    for state, closing, held in tubs.values():
        key = (state, closing, bool(held))
        wanted[key] = wanted.get(key, 0) + 1
    assert counted(room) == wanted == {("open", False, False): 1, ("refused", False, False): 1}


def test_last_five_offers_newest_first_without_decisions_not_to_offer(room: Room) -> None:
    for number in range(7):
        offer_feeding(room.book, animal=room.female, result=FeedingResult.REFUSED, reason=RefusalReason.SIZE)
        offer_feeding(room.book, animal=room.female, result=FeedingResult.NOT_OFFERED)
        room.clock.pass_(days=number + 1)
    (tub,) = [t for t in tubs_of_round(room.book, RoundTime.at(room.clock()), room.rack, 10) if t.name == "A1"]
    offers = tub.animals[0].offers
    assert [o.result for o in offers] == [FeedingResult.REFUSED] * 5
    assert [o.at for o in offers] == sorted((o.at for o in offers), reverse=True)


def test_animals_without_a_slot_stand_last(room: Room) -> None:
    add_animal(room.book, details=AnimalDetails(keeper_id="J-22"))
    racks = racks_of_round(room.book, RoundTime.at(room.clock()))
    assert [rack.label for rack in racks] == ["R2", ""]
    (tub,) = tubs_of_round(room.book, RoundTime.at(room.clock()), racks[1].id, 10)
    assert (tub.slot, tub.animals[0].keeper_id, tub.animals[0].state) == (None, "J-22", RoundState.TODO)
