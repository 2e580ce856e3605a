"""What the screen of eggs is made from: states, the water of S3, looks to come, the story with its doubts."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.derived.season_reading import read_book
from coilbook.husbandry.figures import Event
from coilbook.husbandry.forecast import EventForecast, SeasonSoFar, forecasts
from coilbook.husbandry.hatch_result import hatch_result
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import shipped_profile
from coilbook.husbandry.warmth import EggTemperature
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, look_at_box, water_box
from coilbook.operations.eggs import EggSeen, do_to_eggs, look_at_eggs
from coilbook.operations.hatching import NewHatchling, OfEgg, hatch_eggs, make_hatchlings
from coilbook.operations.incubators import IncubatorDetails, add_incubator, read_incubator
from coilbook.reads.box_water import weight_steps
from coilbook.reads.clutch_story import clutch_story
from coilbook.reads.egg_boxes import boxes_in_use, doubts, incubators
from coilbook.reads.egg_rows import BoxNowRow
from coilbook.reads.egg_words import box_word, next_looks, water_view
from coilbook.reads.hatch_windows import hatch_windows, past_incubations
from coilbook.reads.incubator_readings import last_at_shelf, readings_of
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import Dents, EggDeed, EggState, HatchEvent, Veins, Verdict
from coilbook.records.egg_vocabulary import Outcome as CameOf
from coilbook.records.ids import ClutchId, EggBoxId, EggId, IncubatorId
from coilbook.records.quantities import Mass, Temperature
from coilbook.records.vocabulary import Precision, Sex
from coilbook.records.when import PartialDate
from coilbook.wording.texts import render
from tests.operations.conftest import Clock, Room, book, clock, room

BALL = shipped_profile("ball_python")

__all__ = ["Clock", "Room", "book", "clock", "room"]


@pytest.fixture
def at_day_30(room: Room) -> Room:
    """S3 up to day 30, in an incubator of two shelves."""
    zone = room.clock.now.tzinfo
    room.clock.now = dt.datetime(2026, 3, 31, 9, 0, tzinfo=zone)
    details = IncubatorDetails(name="Incubator 1", set_at=Temperature.of(31.5), shelves=("top", "middle"))
    incubator = add_incubator(room.book, details=details).value
    box = BoxDetails(label="EB-12", incubator=incubator, dry=Mass(3_000), water=Mass(2_700), start=Mass(18_640))
    lay_clutch(
        room.book,
        laying=Laying(dam=room.female, eggs=read_egg_line("78 84 78 79 54? 81 76 36s"), box=box, sires={room.male: 92}),
    )
    room.clock.pass_(days=6)
    look_at_eggs(room.book, looks={EggId(5): EggSeen(verdict=Verdict.DOUBTFUL, veins=Veins.FAINT)})
    room.clock.pass_(days=6)
    look_at_eggs(room.book, looks={EggId(5): EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR)})
    room.clock.pass_(days=9)
    do_to_eggs(room.book, eggs=[EggId(2)], what=EggDeed.WIPED, why="mould")
    room.clock.pass_(days=9)
    dead = EggSeen(verdict=Verdict.DEAD, mould=True, came_of=CameOf.WORSE)
    look_at_eggs(room.book, looks={EggId(2): dead})
    do_to_eggs(room.book, eggs=[EggId(2)], what=EggDeed.REMOVED, away=Mass(820))
    look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(total=Mass(17_680)))
    return room


def the_box(room: Room) -> BoxNowRow:
    (box,) = boxes_in_use(room.book)
    return box


def test_eggs_stand_as_their_last_verdict_or_their_end_says(at_day_30: Room) -> None:
    box = the_box(at_day_30)
    states = [egg.state for egg in box.eggs]
    good = EggState.GOOD
    assert states == [good, EggState.REMOVED, good, good, good, good, good, EggState.SLUG]
    assert [look.verdict for look in box.eggs[4].looks] == [Verdict.DOUBTFUL, Verdict.DOUBTFUL, Verdict.GOOD]
    assert (box.shelf, box.spot, box.incubator_name) == (1, 1, "Incubator 1")
    assert [(s.name, s.percent) for s in box.clutches[0].sires] == [("M-03", 92)]
    assert incubators(at_day_30.book)[0].shelves == ("top", "middle")


def test_the_water_of_s3_is_14_g_and_not_96(at_day_30: Room) -> None:
    room = at_day_30
    today = room.clock.now.date()
    windows = hatch_windows(room.book, [the_box(room)], today)
    water = water_view(the_box(room), windows, today, BALL)
    assert water is not None
    # 1,864 - 82 - 1,768 = 14 g (job 4.15)
    assert (water.balance.lost_dg, water.pour_dg, water.aim_dg) == (140, 140, 17_820)
    assert [(t.number, t.mass_dg) for t in water.taken] == [(2, 820)]
    assert render(box_word(the_box(room), windows, today, BALL).told) == "pour 14 g"
    steps = weight_steps(the_box(room), dt.date(2026, 3, 31))
    assert [(round(s.day), s.total_dg, s.aim_dg) for s in steps] == [(0, 18_640, 18_640), (30, 17_680, 17_820)]
    room.clock.pass_(minutes=2)
    water_box(room.book, box=EggBoxId(1), added=Mass(140))
    again = water_view(the_box(room), windows, today, BALL)
    assert again is not None and again.pour_dg == 0


def test_an_egg_taken_out_unweighed_leaves_the_loss_unknown(at_day_30: Room) -> None:
    room = at_day_30
    room.clock.pass_(minutes=5)
    do_to_eggs(room.book, eggs=[EggId(8)], what=EggDeed.REMOVED)
    room.clock.pass_(minutes=5)
    look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(total=Mass(17_300)))
    water = water_view(the_box(room), {}, room.clock.now.date(), BALL)
    assert water is not None
    assert (water.balance.lost_dg, water.pour_dg, water.aim_dg) == (None, 0, None)


def test_the_window_follows_the_warmth_and_the_pip_ends_it(at_day_30: Room) -> None:
    room = at_day_30
    today = room.clock.now.date()
    (clutch,) = the_box(room).clutches
    window = hatch_windows(room.book, [the_box(room)], today)[clutch.id]
    assert window.forecast is not None
    warm = window.forecast.window(0.8)
    assert warm is not None and dt.date(2026, 5, 20) < warm.first < warm.last < dt.date(2026, 6, 8)
    for day in range(1, 31):
        read_incubator(room.book, incubator=1, typed="29.5", at=dt.datetime(2026, 4, 1, 8) + dt.timedelta(day - 1))  # type: ignore[arg-type]
    cooler = hatch_windows(room.book, [the_box(room)], today)[clutch.id]
    assert cooler.forecast is not None
    cool = cooler.forecast.window(0.8)
    assert cool is not None and cool.first > warm.first + dt.timedelta(3)
    room.clock.pass_(days=25)
    hatch_eggs(room.book, eggs=[OfEgg(EggId(1))], event=HatchEvent.PIP)
    pipped = hatch_windows(room.book, [the_box(room)], room.clock.now.date())[clutch.id]
    assert pipped.forecast is None and pipped.days_to_hatch(today) == 0
    assert render(box_word(the_box(room), {}, today, BALL).told) == "1 pipped"


def test_a_window_is_of_the_species_of_the_dam(at_day_30: Room) -> None:
    """A corn snake's eggs are told by her own species, and what ball pythons took moves nothing."""
    room, today = at_day_30, at_day_30.clock.now.date()
    details = AnimalDetails(keeper_id="C-001", sex=Sex.FEMALE, species="corn_snake")
    corn = add_animal(room.book, details=details).value
    laying = Laying(dam=corn, eggs=read_egg_line("12 12"), box=BoxDetails(incubator=IncubatorId(1)), sires={})
    clutch = lay_clutch(room.book, laying=laying).value

    def curve(found: EventForecast | None) -> tuple[float, list[float]]:
        assert found is not None
        return found.curve.start, found.curve.mass.tolist()

    def window() -> tuple[float, list[float]]:
        return curve(hatch_windows(room.book, boxes_in_use(room.book), today)[clutch].forecast)

    alone = window()
    profile = shipped_profile("corn_snake")
    warm = EggTemperature(31.5, profile.incubation.doubt.setpoint)
    season = SeasonSoFar({Event.LAYING: KnownDay.on(today)}, temperature=warm)
    assert alone == curve(forecasts(profile, season, (), today, corn, upto=Event.PIP)[0])
    assert alone != curve(forecasts(BALL, season, (), today, corn, upto=Event.PIP)[0])
    # the ball python's pip, on day 30: far from anything either species does
    hatch_eggs(room.book, eggs=[OfEgg(EggId(1))], event=HatchEvent.PIP)
    assert window() == alone
    of_balls = past_incubations(room.book, today, shipped_profile("ball_python"), "ball_python")
    assert [one.whose for one in of_balls] == [room.female]


def test_a_window_learns_from_its_own_incubator(at_day_30: Room) -> None:
    """Slow hatches in one incubator move its own eggs more than those of the other."""
    room, today = at_day_30, at_day_30.clock.now.date()
    details = IncubatorDetails(name="Other", set_at=Temperature.of(31.5), shelves=("top",))
    other = add_incubator(room.book, details=details).value
    clutch = lay_clutch(
        room.book, laying=Laying(dam=room.female, eggs=read_egg_line("80"), box=BoxDetails(incubator=other), sires={})
    ).value

    def middle(one: ClutchId) -> float:
        found = hatch_windows(room.book, boxes_in_use(room.book), today)[one].forecast
        assert found is not None
        return found.planned.mean

    def middles() -> tuple[float, float]:
        return middle(ClutchId(1)), middle(clutch)

    before = middles()
    for number in range(4):
        slow = Laying(dam=add_animal(room.book, details=AnimalDetails(keeper_id=f"S-{number}", sex=Sex.FEMALE)).value,
                      eggs=read_egg_line("80"), laid=PartialDate(today - dt.timedelta(62)),
                      box=BoxDetails(incubator=other), sires={})  # fmt: skip
        label = lay_clutch(room.book, laying=slow).value
        (egg,) = room.book.read("SELECT id FROM egg WHERE clutch_id = ?", (label,))[0]
        hatch_eggs(room.book, eggs=[OfEgg(EggId(egg))], event=HatchEvent.PIP)
    after = middles()
    moved = [late - early for early, late in zip(before, after, strict=True)]
    assert moved[1] > moved[0] > 0.3


def test_looks_to_come_and_open_doubts(at_day_30: Room) -> None:
    room = at_day_30
    look_at_eggs(room.book, looks={EggId(7): EggSeen(verdict=Verdict.DOUBTFUL)})
    told = [(look.day, render(look.told)) for look in next_looks([the_box(room)], {}, room.clock.now.date(), BALL)]
    assert told == [
        (dt.date(2026, 4, 30), "candle all eggs"),
        (dt.date(2026, 5, 3), "candle egg 7"),
        (dt.date(2026, 5, 7), "weekly look, weigh"),
    ]
    (doubt,) = doubts(room.book)
    assert (doubt.about, doubt.box, doubt.kind.value) == ("C26-01-7", 1, "alive")
    assert len(doubts(room.book, settled=True)) == 2


def test_the_story_keeps_what_was_thought(at_day_30: Room) -> None:
    box = the_box(at_day_30)
    told = [(line.day, render(line.told)) for line in clutch_story(box.clutches[0], [box])]
    assert told[0] == (0, "7 eggs laid and 1 slug, 566 g together")
    assert (12, "egg 5: veins (thought doubtful before)") in told
    assert (21, "egg 2: wiped, mould; then worse") in told


def test_the_story_tells_looks_together_water_and_doubts(room: Room) -> None:
    """All eggs alike are one line, some are named; a box look, water, a doubt asked and settled have theirs."""
    box = BoxDetails(label="EB-12", start=Mass(18_640))
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("78 84 80"), box=box))
    room.clock.pass_(days=5)
    veins = EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR)
    look_at_eggs(room.book, looks={EggId(n): veins for n in (1, 2, 3)})
    room.clock.pass_(days=5)
    dented = EggSeen(verdict=Verdict.DOUBTFUL, dents=Dents.DEEP, thin_shell=True, mass=Mass(790))
    look_at_eggs(room.book, looks={EggId(1): veins, EggId(2): veins, EggId(3): dented})
    look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(total=Mass(18_500), note="lid dry"))
    water_box(room.book, box=EggBoxId(1), added=Mass(140))
    room.clock.pass_(days=2)
    look_at_eggs(room.book, looks={EggId(3): veins})
    found = the_box(room)
    told = [(line.day, render(line.told)) for line in clutch_story(found.clutches[0], [found])]
    assert told == [
        (0, "3 eggs laid, 242 g together"),
        (5, "all 3 eggs: veins"),
        (10, "eggs 1, 2: veins"),
        (10, "egg 3: doubtful, dent, window, 79 g (thought good before)"),
        (10, "the box: 1,850 g, with lid, lid dry"),
        (10, "14 g of water poured"),
        (10, "asked of egg 3: fertile?"),
        (12, "egg 3: veins (thought doubtful before)"),
        (12, "settled of egg 3: fertile? good, by veins seen"),
    ]
    plain = " ".join(render(line.told) for line in clutch_story(found.clutches[0], [found], own_words=False))
    assert "lid dry" not in plain and "settled of egg 3: fertile? good" in plain


def test_six_of_seven_hatch(at_day_30: Room) -> None:
    room = at_day_30
    room.clock.pass_(days=27)
    young = [NewHatchling(egg=EggId(n), mass=Mass(600)) for n in (1, 3, 4, 5, 6, 7)]
    make_hatchlings(room.book, young=young)
    result = hatch_result([egg.story for egg in the_box(room).eggs])
    assert (result.laid, result.slugs, result.ever_good, result.hatched, result.dead) == (8, 1, 7, 6, 1)
    assert "6 of 7 good eggs hatched (86%; 90% range 55-97%)." in [render(m) for m in result.told()]


def test_readings_of_a_stretch_and_at_a_shelf(at_day_30: Room) -> None:
    room = at_day_30
    read_incubator(room.book, incubator=1, typed="31.2", shelf=2)  # type: ignore[arg-type]
    now = room.clock.now.replace(tzinfo=None)
    found = readings_of(room.book, 1, now - dt.timedelta(days=1), now)  # type: ignore[arg-type]
    assert found.celsius.tolist() == [31.2] and not found.logged
    assert last_at_shelf(room.book, 1) == {2: (312, "2026-04-30T09:00")}  # type: ignore[arg-type]


def test_days_of_a_clutch_not_laid_on_a_known_day_are_counted_from_the_middle_and_say_so(room: Room) -> None:
    """March 2026: the middle is the 16th, 15 days to either side; the window is as much wider."""
    room.clock.now = dt.datetime(2026, 4, 10, 9, 0, tzinfo=room.clock.now.tzinfo)
    month = PartialDate(dt.date(2026, 3, 1), Precision.MONTH)
    lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line("2x"), laid=month, box=BoxDetails()))
    known = PartialDate(dt.date(2026, 3, 16))
    lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line("2x"), laid=known, doubt_days=4, box=BoxDetails()))
    sure = Laying(dam=None, eggs=read_egg_line("2x"), laid=known, box=BoxDetails())
    lay_clutch(room.book, laying=sure)
    today = room.clock.now.date()
    there = boxes_in_use(room.book)
    clutches = [box.clutches[0] for box in there]
    assert [c.day_of(today) for c in clutches] == [25, 25, 25]
    assert [c.day_word(today) for c in clutches] == ["25 \u00b1 15", "25 \u00b1 4", "25"]
    assert clutches[0].day_of(dt.date(2026, 3, 4)) == 0, "no day before laying"
    windows = hatch_windows(room.book, there, today)
    spans = [windows[c.id].ahead for c in clutches]
    widths = [w.days for w in spans if w is not None]
    assert widths[0] > widths[1] > widths[2]


def test_days_of_a_clutch_go_on_over_a_changed_clock(room: Room) -> None:
    """Laid 23:50 on the day before the clocks go forward, looked at 00:10 after they did: day 1 and day 2."""
    room.clock.now = dt.datetime(2026, 3, 28, 23, 50, tzinfo=dt.timezone(dt.timedelta(hours=1)))
    lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line("2x"), box=BoxDetails()))
    for day, hours in ((1, 1), (2, 2)):
        room.clock.now = dt.datetime(2026, 3, 28 + day, 0, 10, tzinfo=dt.timezone(dt.timedelta(hours=hours)))
        look_at_eggs(room.book, looks={EggId(1): EggSeen(verdict=Verdict.GOOD)})
        (box,) = boxes_in_use(room.book)
        assert box.clutches[0].day_of(box.last_look or dt.date.min) == day


def test_eggs_seen_on_a_day_were_laid_by_then(room: Room) -> None:
    """Entered on 10 April as "laid in April": from the 1st to the 10th, not to the 30th; the season says the same."""
    room.clock.now = dt.datetime(2026, 4, 10, 9, 0, tzinfo=room.clock.now.tzinfo)
    month = PartialDate(dt.date(2026, 4, 1), Precision.MONTH)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("2x"), laid=month, box=BoxDetails()))
    (box,) = boxes_in_use(room.book)
    laid = box.clutches[0].laid_day
    assert (laid.earliest, laid.latest) == (dt.date(2026, 4, 1), dt.date(2026, 4, 10))
    (season,) = read_book(room.book.read, 8).seasons[room.female]
    assert season.laying is not None and season.laying.laid == laid
