"""The water of a box through real acts, against sums done by hand: what is poured in the minute of the weighing, eggs
moved in, hatched or drinking, a lid forgotten, the refill after a refill."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.asks import Asks
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, look_at_box, set_up_box, water_box
from coilbook.operations.eggs import EggSeen, do_to_eggs, look_at_eggs, move_eggs
from coilbook.operations.hatching import OfEgg, hatch_eggs
from coilbook.reads.box_water import WaterView
from coilbook.reads.egg_boxes import boxes_in_use
from coilbook.reads.egg_words import water_view
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import Dents, EggDeed, HatchEvent, Lid, Verdict
from coilbook.records.ids import EggBoxId, EggId
from coilbook.records.quantities import Mass
from coilbook.records.when import PartialDate
from coilbook.wording.texts import render
from tests.operations.conftest import Clock, Room, book, clock, room

BALL = shipped_profile("ball_python")

__all__ = ["Clock", "Room", "book", "clock", "room"]

BOX = EggBoxId(1)


@pytest.fixture
def boxed(room: Room) -> Room:
    """Four eggs of 80 g in a box of 1,800 g, with 300 g of dry medium and 270 g of water; laid the day before."""
    room.clock.now = dt.datetime(2026, 4, 1, 9, 0, tzinfo=room.clock.now.tzinfo)
    details = BoxDetails(dry=Mass(3_000), water=Mass(2_700), start=Mass(18_000), set_up=dt.date(2026, 4, 1))
    laid = PartialDate(dt.date(2026, 3, 31))
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("80 80 80 80"), laid=laid, box=details))
    return room


def weigh(room: Room, total: int, days: int, **seen: object) -> WaterView:
    room.clock.pass_(days=days)
    look_at_box(room.book, box=BOX, seen=BoxSeen(total=Mass(total), **seen), sure=True)  # type: ignore[arg-type]
    return water(room)


def water(room: Room, box: EggBoxId = BOX) -> WaterView:
    (row,) = (one for one in boxes_in_use(room.book) if one.id == box)
    found = water_view(row, {}, room.clock.now.date(), BALL)
    assert found is not None
    return found


def told(view: WaterView) -> str:
    return " ".join(render(message) for message in view.balance.told)


def test_water_poured_in_the_minute_of_the_weighing_is_not_poured_twice(boxed: Room) -> None:
    assert weigh(boxed, 17_700, 20).pour_dg == 300
    water_box(boxed.book, box=BOX, added=Mass(300))
    after = water(boxed)
    assert (after.pour_dg, after.poured_since_dg, after.added_dg, after.balance.lost_dg) == (0, 300, 0, 300)
    # a week on: 300 + 100 lost in all, 300 of it made good
    later = weigh(boxed, 17_900, 7)
    assert (later.balance.lost_dg, later.pour_dg, later.added_dg) == (400, 100, 300)


def test_a_total_expected_holds_the_water_of_that_minute(boxed: Room) -> None:
    weigh(boxed, 17_000, 20)
    water_box(boxed.book, box=BOX, added=Mass(1_000))
    boxed.clock.pass_(days=1)
    look_at_box(boxed.book, box=BOX, seen=BoxSeen(total=Mass(18_000)))


def test_a_total_expected_holds_the_eggs_that_came_and_none_is_where_they_were_not_weighed(boxed: Room) -> None:
    other = set_up_box(boxed.book, details=BoxDetails(label="EB-09", start=Mass(14_000), lid=Lid.WITH)).value
    boxed.clock.pass_(days=1)
    look_at_box(boxed.book, box=other, seen=BoxSeen(total=Mass(14_000)))
    boxed.clock.pass_(days=1)
    move_eggs(boxed.book, eggs=[EggId(3)], box=other, away=Mass(820))
    # as heavy as without the egg is 82 g too light
    with pytest.raises(Asks, match=r"decigrams=14820.* was expected"):
        look_at_box(boxed.book, box=other, seen=BoxSeen(total=Mass(14_000)))
    look_at_box(boxed.book, box=other, seen=BoxSeen(total=Mass(14_820)))
    boxed.clock.pass_(days=1)
    move_eggs(boxed.book, eggs=[EggId(2)], box=other)
    look_at_box(boxed.book, box=other, seen=BoxSeen(total=Mass(20_000)))


def test_a_total_written_up_late_does_not_expect_the_water_of_later(boxed: Room) -> None:
    weigh(boxed, 17_000, 5)
    boxed.clock.pass_(days=5)
    water_box(boxed.book, box=BOX, added=Mass(1_000))
    late = boxed.clock.now.replace(tzinfo=None) - dt.timedelta(days=1)
    look_at_box(boxed.book, box=BOX, seen=BoxSeen(total=Mass(16_900)), at=late)


def test_the_refill_after_a_refill_lies_ahead_and_counts_from_laying(boxed: Room) -> None:
    # 30 g in 20 days; a tenth of 270 g is due after 27 / 1.5 = 18 days, day 19 from laying: past, so today, day 21
    rate = weigh(boxed, 17_700, 20).rate
    assert rate is not None and rate.refill_day == 21
    water_box(boxed.book, box=BOX, added=Mass(300))
    rate = water(boxed).rate
    # 57 g lost in all are due after 38 days, day 39 from laying
    assert rate is not None and rate.refill_day == 39


def test_what_eggs_taken_out_had_drunk_left_the_medium_too(boxed: Room) -> None:
    boxed.clock.pass_(days=10)
    do_to_eggs(boxed.book, eggs=[EggId(1)], what=EggDeed.REMOVED, away=Mass(860))
    # 10 g left as vapour; the egg taken out had drunk 6 g, the three others 15 g
    view = weigh(boxed, 18_000 - 860 - 100, 10, eggs=Mass(2_550))
    assert (view.balance.lost_dg, view.balance.total_dg) == (100, 100)
    assert (view.balance.medium_dg, view.balance.medium_now_dg) == (310, 2_700 - 310)
    # an egg taken out after the weighing changes nothing of what it said
    boxed.clock.pass_(days=1)
    do_to_eggs(boxed.book, eggs=[EggId(2)], what=EggDeed.REMOVED, away=Mass(850))
    assert water(boxed).balance.medium_dg == 310


def test_a_weighing_with_another_lid_is_said_and_not_passed_over(boxed: Room) -> None:
    weigh(boxed, 17_900, 5)
    view = weigh(boxed, 17_000, 5, lid=Lid.WITHOUT)
    assert (view.balance.lost_dg, view.pour_dg, view.now_dg) == (None, 0, 17_000)
    assert "once with the lid and once without" in told(view)


@pytest.mark.parametrize("event", [HatchEvent.OUT, HatchEvent.DEAD_IN_SHELL])
def test_a_hatchling_that_left_is_not_water(boxed: Room, event: HatchEvent) -> None:
    boxed.clock.pass_(days=55)
    hatch_eggs(boxed.book, eggs=[OfEgg(EggId(1))], event=event)
    view = weigh(boxed, 17_200, 1)
    assert (view.balance.lost_dg, view.pour_dg) == (None, 0)
    assert [(t.number, t.hatched) for t in view.taken] == [(1, True)]


@pytest.mark.parametrize(("mass", "lost"), [(Mass(820), 50), (None, None)])
def test_an_egg_moved_in_is_not_water_gained(boxed: Room, mass: Mass | None, lost: int | None) -> None:
    other = set_up_box(boxed.book, details=BoxDetails(label="EB-09", start=Mass(14_000))).value
    boxed.clock.pass_(days=10)
    move_eggs(boxed.book, eggs=[EggId(3)], box=other, separated=True, away=mass)
    boxed.clock.pass_(minutes=5)
    look_at_box(boxed.book, box=other, seen=BoxSeen(total=Mass(14_000 + 820 - 50)))
    assert water(boxed, other).balance.lost_dg == lost
    # the box it left is lighter by the same
    assert weigh(boxed, 18_000 - 820 - 30, 0).balance.lost_dg == (None if lost is None else 30)
    # and back: the other box loses what it won
    boxed.clock.pass_(days=1)
    move_eggs(boxed.book, eggs=[EggId(3)], box=BOX, away=mass)
    boxed.clock.pass_(minutes=5)
    look_at_box(boxed.book, box=other, seen=BoxSeen(total=Mass(14_000 - 60)))
    assert water(boxed, other).balance.lost_dg == (None if lost is None else 60)
    assert weigh(boxed, 18_000 - 40, 0).balance.lost_dg == (None if lost is None else 40)


def test_an_egg_separated_in_its_box_did_not_leave_it(boxed: Room) -> None:
    boxed.clock.pass_(days=3)
    do_to_eggs(boxed.book, eggs=[EggId(4)], what=EggDeed.SEPARATED, why="mould beside it")
    assert weigh(boxed, 17_950, 2).balance.lost_dg == 50


def test_drops_seen_after_the_weighing_stop_the_water(boxed: Room) -> None:
    assert weigh(boxed, 17_700, 20).pour_dg == 300
    boxed.clock.pass_(hours=2)
    look_at_box(boxed.book, box=BOX, seen=BoxSeen(drops_under_lid=True))
    assert water(boxed).pour_dg == 0
    boxed.clock.pass_(hours=9)
    look_at_box(boxed.book, box=BOX, seen=BoxSeen(drops_under_lid=False))
    assert water(boxed).pour_dg == 300


def test_a_dented_slug_does_not_call_a_box_dry(boxed: Room) -> None:
    slug, good = EggSeen(verdict=Verdict.SLUG, dents=Dents.DEEP), EggSeen(verdict=Verdict.GOOD, dents=Dents.SLIGHT)
    look_at_eggs(boxed.book, looks={EggId(1): slug})
    assert "too dry" not in " ".join(render(m) for m in weigh(boxed, 17_700, 20).top_up.told)
    look_at_eggs(boxed.book, looks={EggId(2): good})
    assert "too dry" in " ".join(render(m) for m in water(boxed).top_up.told)
