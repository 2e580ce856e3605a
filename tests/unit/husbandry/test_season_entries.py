"""Entries of a season and what they ask: ovulation, sheds, follicles, males, history, days of eggs, ready for sale."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.egg_days import egg_day
from coilbook.husbandry.figures import Event, FigureKey, Interval
from coilbook.husbandry.fit_to_pair import Floors
from coilbook.husbandry.incubator import Readings, minute_of
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.male_load import HisStay, male_load
from coilbook.husbandry.outage import outage_story, outages
from coilbook.husbandry.ovulation import ShedOffer, meal_bulge, ovulation_day, shed_question, typed_follicle
from coilbook.husbandry.past_seasons import PastSeason, past_intervals
from coilbook.husbandry.profile import shipped_profile
from coilbook.husbandry.sale_ready import MealOffered, meals_in_a_row, sale_ready
from coilbook.husbandry.warmth import EggTemperature
from coilbook.records.message import Refusal
from coilbook.records.season_vocabulary import OvulationCertainty
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import FeedingResult
from coilbook.wording.texts import render

BALL = shipped_profile("ball_python")
D = dt.date
OVULATED = D(2026, 2, 12)


# --- ovulation, sheds, follicles --------------------------------------------------------------------------------


def test_certainty_widens_an_ovulation() -> None:
    doubts = [ovulation_day(OVULATED, c, None, BALL).doubt for c in OvulationCertainty]
    assert doubts[0] == 0
    assert doubts == sorted(doubts)
    assert ovulation_day(OVULATED, OvulationCertainty.UNSURE, 8, BALL).doubt == pytest.approx(8 / 1.645)


def test_a_meal_is_the_usual_mistake() -> None:
    assert "3 days before" in str(meal_bulge(OVULATED, OVULATED - dt.timedelta(days=3)))
    assert meal_bulge(OVULATED, OVULATED - dt.timedelta(days=30)) is None
    assert "No meal" in str(meal_bulge(OVULATED, None))


@pytest.mark.parametrize(
    ("days", "paired", "recorded", "offer"),
    [
        (9, True, False, ShedOffer.PAIRED),
        (9, False, False, ShedOffer.NO),
        (10, True, False, ShedOffer.AFTER_OVULATION),
        (30, False, False, ShedOffer.AFTER_OVULATION),
        (31, True, False, ShedOffer.PAIRED),
        (31, False, False, ShedOffer.NO),
        (20, True, True, ShedOffer.NO),
        (-5, True, False, ShedOffer.PAIRED),
    ],
)
def test_when_a_shed_is_asked_about(days: int, paired: bool, recorded: bool, offer: ShedOffer) -> None:
    shed = OVULATED + dt.timedelta(days=days)
    assert shed_question(shed, KnownDay.on(OVULATED), paired, recorded, BALL).offer is offer


def test_without_an_ovulation_pairing_speaks_for_it() -> None:
    asked = shed_question(OVULATED, None, True, False, BALL)
    assert (asked.offer, bool(asked.because)) == (ShedOffer.PAIRED, True)
    assert shed_question(OVULATED, None, False, False, BALL).offer is ShedOffer.NO
    unsure = shed_question(OVULATED + dt.timedelta(days=33), KnownDay.on(OVULATED, 5), True, False, BALL)
    assert unsure.offer is ShedOffer.AFTER_OVULATION


def test_follicles_in_centimetres_are_asked() -> None:
    typed = typed_follicle("3.2")
    assert (typed.mm, typed.asked_mm) == (3.2, 32)
    assert str(typed.question) == "3.2 mm, or 32 mm?"
    assert typed_follicle("32 mm").asked_mm is None
    for text in ("", "big", "0", "320"):
        with pytest.raises(Refusal):
            typed_follicle(text)


# --- history ----------------------------------------------------------------------------------------------------


def test_intervals_between_what_is_known() -> None:
    laid = D(2025, 4, 2)
    season = PastSeason(
        "F-014",
        {
            Event.OVULATION: KnownDay.on(D(2025, 2, 12), 5),
            Event.SHED: KnownDay.on(D(2025, 3, 5)),
            Event.LAYING: KnownDay.on(laid),
            Event.PIP: KnownDay.between(D(2025, 5, 28), D(2025, 5, 30)),
            Event.OUT: KnownDay.on(D(2025, 5, 30)),
        },
        EggTemperature(31.4, 0.1),
    )
    found = {p.interval: p for p in past_intervals([season])}
    assert found[Interval.SHED_TO_LAYING].days == 28
    assert found[Interval.OVULATION_TO_SHED].doubt == pytest.approx(5 / 1.645)
    pip = found[Interval.LAYING_TO_PIP]
    assert (pip.days, pip.temperature) == (57, EggTemperature(31.4, 0.1))
    assert pip.doubt == pytest.approx(2 / 12**0.5)
    assert found[Interval.SHED_TO_LAYING].temperature is None
    unsure = past_intervals([replace(season, shed_is_sure=False)])
    assert {p.interval for p in unsure} == {Interval.LAYING_TO_PIP, Interval.PIP_TO_OUT}


# --- males ------------------------------------------------------------------------------------------------------

TODAY = D(2026, 2, 22)
FLOORS = Floors.of(Settings(), BALL, TODAY)
STAYS = [HisStay("F-014", D(2026, 2, 1), D(2026, 2, 3)), HisStay("F-022", D(2026, 2, 18), D(2026, 2, 20))]


def test_scenario_of_a_male_that_lost_too_much() -> None:
    """870 g on 12 Jan, 765 g on 22 Feb: -12.1%: stop pairing."""
    load = male_load(STAYS, 8700, 7650, BALL, FLOORS)
    assert (load.days, load.females, load.rested, load.permille) == (6, 2, 2, -121)
    told = " ".join(render(m) for m in load.cautions)
    assert "-12.1% this season: stop pairing" in told and "Rested 2 of at least 3 days." in told


def test_a_day_with_two_females_is_one_day_and_much_lost_is_for_a_vet() -> None:
    """1 to 3 February with one, 3 to 5 with the next: five days, not six; 15.0% lost."""
    stays = [HisStay("F-1", D(2026, 2, 1), D(2026, 2, 3)), HisStay("F-2", D(2026, 2, 3), D(2026, 2, 5))]
    load = male_load(stays, 10000, 8500, BALL, FLOORS)
    assert (load.days, load.females, load.rested, load.permille) == (5, 2, 17, -150)
    assert "for a vet" in " ".join(str(m) for m in load.cautions)


def test_a_male_left_in_and_a_light_one() -> None:
    load = male_load([HisStay("F-031", D(2026, 2, 16), None)], None, 4500, BALL, FLOORS)
    assert (load.days, load.rested, load.permille) == (7, None, None)
    told = [render(m) for m in load.cautions]
    assert told == ["Still with F-031? 6 days.", "450 g; they breed from 500 g (common practice)."]
    assert male_load([], None, None, BALL, FLOORS).cautions == ()


# --- eggs -------------------------------------------------------------------------------------------------------


def test_day_nought_and_looks() -> None:
    laid = D(2026, 3, 31)
    on_day = egg_day(KnownDay.on(laid), [], None, laid, BALL)
    assert (on_day.day, on_day.next_look) == (0, laid)
    later = egg_day(KnownDay.on(laid), [laid + dt.timedelta(days=1)], None, laid + dt.timedelta(days=3), BALL)
    assert (later.day, later.next_look) == (3, laid + dt.timedelta(days=5))
    all_done = [laid + dt.timedelta(days=d) for d in (1, 6, 12, 15, 30, 45)]
    assert egg_day(KnownDay.on(laid), all_done, None, laid + dt.timedelta(days=46), BALL).next_look is None
    unseen = egg_day(KnownDay(laid, laid + dt.timedelta(days=4)), [], None, laid + dt.timedelta(days=12), BALL)
    assert (unseen.day, unseen.give_or_take) == (10, 2)


def test_dents_and_cutting_on_their_days() -> None:
    laid = D(2026, 3, 31)
    window = Window(0.8, laid + dt.timedelta(days=55), laid + dt.timedelta(days=60), 0.84)

    def notes(day: int) -> str:
        return " ".join(render(m) for m in egg_day(KnownDay.on(laid), [], window, laid + dt.timedelta(day), BALL).notes)

    assert "too dry" in notes(20) and "usual" not in notes(20)
    assert "that is usual" in notes(46)
    assert "differing practice" in notes(53) and "differing practice" not in notes(46)


def test_an_outage_is_found_in_readings_with_its_gap() -> None:
    start = dt.datetime(2026, 5, 26)
    at = [minute_of(start) + m for m in range(0, 24 * 60, 10)]
    celsius = [31.5] * 13 + [29.0] * 30 + [26.4] * 3 + [29.5] * 20 + [31.5] * 78
    gone = set(range(30, 40))
    kept = [n for n in range(len(at)) if n not in gone]
    readings = Readings(np.array(at, np.int64)[kept], np.array(celsius)[kept], logged=True)
    (found,) = outages(readings, 31.5, 30.5)
    assert (found.start, found.end) == (start + dt.timedelta(minutes=130), start + dt.timedelta(minutes=650))
    assert found.lowest_c == 26.4 and 28 < found.mean_c < 29.5
    assert found.unread_hours == pytest.approx(110 / 60)
    assert any("there is no reading" in str(m) for m in outage_story(found, [], BALL).told)
    assert outages(readings.between(start, start + dt.timedelta(hours=2)), 31.5, 30.5) == ()


# --- sale -------------------------------------------------------------------------------------------------------

ATE, REFUSED = MealOffered(FeedingResult.TAKEN), MealOffered(FeedingResult.REFUSED)


@pytest.mark.parametrize(
    ("offers", "meals"),
    [
        ([ATE] * 5, 5),
        ([ATE, REFUSED, ATE, ATE], 2),
        ([ATE, MealOffered(FeedingResult.TAKEN, unaided=False), ATE], 1),
        ([ATE, MealOffered(FeedingResult.TAKEN, came_back=True), ATE], 1),
        ([ATE, MealOffered(FeedingResult.NOT_OFFERED), ATE, MealOffered(FeedingResult.PENDING)], 2),
        ([], 0),
    ],
)
def test_meals_in_a_row(offers: list[MealOffered], meals: int) -> None:
    assert meals_in_a_row(offers) == meals


def test_ready_only_when_all_is_known() -> None:
    out, today = D(2026, 6, 1), D(2026, 8, 15)
    ready = sale_ready([ATE] * 6, 1180, out, today, BALL)
    assert ready.ready and "common practice; local law" in str(ready.told[0])
    for change in ({"mass_dg": None}, {"mass_dg": 700}, {"out": None}, {"out": D(2026, 7, 20)}, {"offers": [ATE] * 4}):
        case = {"offers": [ATE] * 6, "mass_dg": 1180, "out": out} | change
        assert not sale_ready(**case, today=today, profile=BALL).ready  # type: ignore[arg-type]
    assert not sale_ready([ATE] * 6, 1180, out, today, BALL, under_treatment=True).ready
    stricter = BALL.with_own(FigureKey.SALE_MEALS_IN_A_ROW, 8)
    assert not sale_ready([ATE] * 6, 1180, out, today, stricter).ready
