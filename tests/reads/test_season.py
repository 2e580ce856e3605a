"""What the Season screen reads: stages, windows, loads, plans against what happened, and how windows held."""

from __future__ import annotations

import datetime as dt

import pytest
from icalendar import Calendar

from coilbook.husbandry.figures import Event
from coilbook.operations.asks import Asks
from coilbook.operations.care import record_shed
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.operations.feeding import offer_feeding
from coilbook.operations.pairing_plans import plan_pairing
from coilbook.operations.season_seen import cool_rack, end_season, mark_shed, see_ovulation
from coilbook.operations.settings import settings_of
from coilbook.operations.stays import enter_stay, leave_stay, see_lock
from coilbook.operations.weighing import weigh
from coilbook.reads.season import season_page
from coilbook.reads.season_calendar import season_calendar
from coilbook.reads.season_fast import season_now
from coilbook.reads.season_lines import SeasonPage
from coilbook.records.egg_line import read_egg_line
from coilbook.records.quantities import Mass
from coilbook.records.season_vocabulary import OvulationCertainty, PlanState, PreLay, SeasonEnd, SeasonStage
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import FeedingResult, WeightTag
from tests.operations.conftest import Room, book, clock, room
from tests.operations.test_season import another, on

__all__ = ["book", "clock", "room"]


def page(room: Room, start: dt.date | None = None) -> SeasonPage:
    return season_page(room.book, room.clock.now.date(), settings_of(room.book), start)


def test_an_empty_book_has_an_empty_season(room: Room) -> None:
    found = page(room)
    assert (found.females, found.males, found.plans, found.scores) == ((), (), (), ())
    assert (found.start, found.end) == (dt.date(2025, 8, 1), dt.date(2026, 7, 31))


def test_stages_windows_loads_and_plans(room: Room) -> None:
    other = another(room, "F-020")
    plan_pairing(room.book, female=room.female, male=room.male)
    plan_pairing(room.book, female=other, male=room.male)
    on(room, 2026, 1, 10)
    offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    stay = enter_stay(room.book, female=room.female, male=room.male).value
    room.clock.pass_(days=1)
    see_lock(room.book, stay=stay)
    room.clock.pass_(days=1)
    leave_stay(room.book, stay=stay)
    on(room, 2026, 2, 12)
    see_ovulation(room.book, animal=room.female)
    on(room, 2026, 2, 20)
    found = page(room)
    line = next(f for f in found.females if f.keeper_id == "F-014")
    assert line.stage.stage is SeasonStage.GRAVID
    assert [w.event for w in line.windows] == [Event.SHED, Event.LAYING, Event.PIP]
    assert line.next is not None and line.next.event is Event.SHED
    assert next((s.name, s.stored) for s in line.sires) == ("M-03", False)
    assert abs(sum(s.share for s in line.sires) - 1) < 1e-9
    assert line.fast is not None and line.fast.days == 41
    now = season_now(room.book, room.female, room.clock.now.date(), settings_of(room.book))
    assert now is not None and now.stage == line.stage and now.fast is not None and now.fast.days == 41
    assert [p.state for p in line.plans] == [PlanState.DONE]
    (male,) = found.males
    assert (male.load.days, male.load.females, male.load.rested) == (3, 1, 39)
    assert [p.female_name for p in male.plans] == ["F-020"]
    # she is waited for, the planned one is not paired yet
    assert [f.keeper_id for f in found.females] == ["F-014", "F-020"]


def test_a_season_that_ended_has_no_windows_and_the_year_before_can_be_read(room: Room) -> None:
    on(room, 2025, 2, 12)
    see_ovulation(room.book, animal=room.female)
    end_season(room.book, animal=room.female, outcome=SeasonEnd.DID_NOT_TAKE)
    on(room, 2026, 2, 12)
    assert page(room).females == ()
    (line,) = page(room, dt.date(2024, 8, 1)).females
    assert line.windows == () and line.season.outcome is not None
    assert page(room).seasons == (dt.date(2024, 8, 1), dt.date(2025, 8, 1))


def test_the_rack_she_lives_in_is_cooled(room: Room) -> None:
    plan_pairing(room.book, female=room.female, male=room.male)
    cool_rack(room.book, place=room.rack, since=dt.date(2026, 3, 1))
    (line,) = page(room).females
    assert line.stage.stage is SeasonStage.COOLED
    assert season_now(room.book, room.female, room.clock.now.date(), settings_of(room.book)) is None


def test_the_window_of_s3_from_her_own_two_seasons(room: Room) -> None:
    """F-014 laid 27 and 28 days after her pre-lay sheds; shed 3 Mar: 27 Mar to 4 Apr (job.md, S3), here to a day."""
    for shed, laid in ((dt.date(2024, 2, 20), 27), (dt.date(2025, 2, 24), 28)):
        on(room, shed.year, shed.month, shed.day)
        record_shed(room.book, animal=room.female, pre_lay=PreLay.PRE_LAY)
        room.clock.pass_(days=laid)
        lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("78 84 78")))
    on(room, 2026, 3, 3)
    record_shed(room.book, animal=room.female, pre_lay=PreLay.PRE_LAY)
    (line,) = page(room).females
    window = line.windows[0].window(0.8)
    assert window is not None and line.windows[0].event is Event.LAYING
    assert abs((window.first - dt.date(2026, 3, 27)).days) <= 1
    assert abs((window.last - dt.date(2026, 4, 4)).days) <= 1
    # on day 28 she has laid: the window given first held, and the scorecard counts it
    on(room, 2026, 3, 31)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("78 84 78")))
    eighty = next(score for score in page(room).scores if score.level == 0.8)
    assert (eighty.held, eighty.n) == (3, 3)


def test_a_male_is_weighed_against_the_weight_before_his_first_stay(room: Room) -> None:
    """M-07 of the scenario: 700 g in summer, 870 g before his first stay, 765 g after: -12.1%, not +9.3%."""
    on(room, 2025, 7, 20)
    weigh(room.book, animal=room.male, mass=Mass(7_000))
    on(room, 2026, 1, 12)
    weigh(room.book, animal=room.male, mass=Mass(8_700), sure=True)
    stay = enter_stay(room.book, female=room.female, male=room.male).value
    room.clock.pass_(days=2)
    leave_stay(room.book, stay=stay)
    on(room, 2026, 2, 22)
    weigh(room.book, animal=room.male, mass=Mass(7_650), sure=True)
    (male,) = page(room).males
    assert male.load.permille == -121


def test_a_shed_that_may_have_been_ordinary_scores_no_forecast(room: Room) -> None:
    on(room, 2026, 2, 12)
    see_ovulation(room.book, animal=room.female)
    room.clock.pass_(days=19)
    shed = record_shed(room.book, animal=room.female, pre_lay=PreLay.UNSURE).value
    assert [score.n + score.undecided for score in page(room).scores] == []
    mark_shed(room.book, shed=shed, was=PreLay.PRE_LAY)
    assert [score.n for score in page(room).scores] == [1, 1, 1]


def test_a_season_written_up_afterwards_scores_no_forecast(room: Room) -> None:
    """Ovulation of 12 February and the shed of 3 March both entered on 4 March."""
    on(room, 2026, 3, 4)
    see_ovulation(room.book, animal=room.female, at=dt.datetime(2026, 2, 12, 9))
    record_shed(room.book, animal=room.female, pre_lay=PreLay.PRE_LAY, at=dt.datetime(2026, 3, 3, 9))
    assert page(room).scores == ()


def test_the_shed_of_an_ovulation_before_the_season_turned_is_asked_about(room: Room) -> None:
    on(room, 2026, 7, 20)
    see_ovulation(room.book, animal=room.female)
    room.clock.pass_(days=19)
    with pytest.raises(Asks, match="19 days after ovulation"):
        record_shed(room.book, animal=room.female)


def test_what_is_expected_goes_on_when_the_season_turns(room: Room) -> None:
    """Ovulation of 20 July: on 8 August, in another season, shed and laying are still ahead, under the same names."""
    on(room, 2026, 7, 20)
    see_ovulation(room.book, animal=room.female)
    before, _ = season_calendar(room.book, Settings(), room.clock())
    on(room, 2026, 8, 8)
    (line,) = page(room).females
    assert (line.stage.stage, [w.event for w in line.windows]) == (
        SeasonStage.GRAVID, [Event.SHED, Event.LAYING, Event.PIP],
    )  # fmt: skip
    after, _ = season_calendar(room.book, Settings(), room.clock())
    assert _identifiers(before) == _identifiers(after) and len(_identifiers(after)) == 3
    on(room, 2026, 9, 5)
    box = lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("6x"), box=BoxDetails()))
    assert box.value
    (line,) = page(room).females
    assert [w.event for w in line.windows] == [Event.PIP]
    assert _identifiers(season_calendar(room.book, Settings(), room.clock())[0]) < _identifiers(before)
    # a year on nothing of it is ahead
    on(room, 2027, 8, 20)
    assert [line.windows for line in page(room).females] in ([], [()])


def _identifiers(text: str) -> set[str]:
    return {str(event["UID"]) for event in Calendar.from_ical(text).walk("VEVENT")}


def test_a_fast_is_measured_from_a_weight_without_the_meal_in_it(room: Room) -> None:
    """2,140 g empty and 2,290 g with a rat of 150 g inside; 1,985 g later are -7.2%, not -13.3% and a vet."""
    on(room, 2026, 2, 6)
    weigh(room.book, animal=room.female, mass=Mass(21_400), sure=True)
    offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    weigh(room.book, animal=room.female, mass=Mass(22_900), tag=WeightTag.AFTER_MEAL, sure=True)
    on(room, 2026, 2, 14)
    see_ovulation(room.book, animal=room.female, certainty=OvulationCertainty.SEEN, sure=True)
    on(room, 2026, 3, 22)
    weigh(room.book, animal=room.female, mass=Mass(19_850), sure=True)
    (line,) = page(room).females
    assert line.fast is not None and line.fast.permille == -72
