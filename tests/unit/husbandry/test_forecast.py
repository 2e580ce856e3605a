"""Forecasts: the handbook's example, conditions by today, unsure inputs, warmth, late only past the edge."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.husbandry.blending import PastInterval, blend
from coilbook.husbandry.day_curve import bell_curve, flat_curve, waiting_curve
from coilbook.husbandry.figures import Event, Interval
from coilbook.husbandry.forecast import EventForecast, SeasonSoFar, forecasts
from coilbook.husbandry.known_day import KnownDay, days_between
from coilbook.husbandry.profile import shipped_profile
from coilbook.husbandry.warmth import EggTemperature, days_at, effective_celsius
from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate
from coilbook.wording.texts import render

BALL, CORN = shipped_profile("ball_python"), shipped_profile("corn_snake")
SHED, OVULATED = dt.date(2026, 3, 3), dt.date(2026, 2, 12)
HERS = [PastInterval(Interval.SHED_TO_LAYING, "F-014", days) for days in (27, 28)]


def one(event: Event, season: SeasonSoFar, past: list[PastInterval], today: dt.date) -> EventForecast:
    return next(f for f in forecasts(BALL, season, past, today, "F-014") if f.event is event)


def after_shed(days: int = 1) -> dt.date:
    return SHED + dt.timedelta(days=days)


# --- blending ---------------------------------------------------------------------------------------------------


def test_handbook_example_of_her_own_history() -> None:
    """Default 30 +- 3.5, hers 27 and 28 with 2.5 between seasons: 28.0, sd 3.0, 80% window day 24 to 32 [calc].

    By hand: (2 x 27.5/6.25 + 30/12.25) / (2/6.25 + 1/12.25) = 28.01; sqrt(1/0.4016 + 6.25) = 2.96.
    """
    rules = BALL.intervals[Interval.SHED_TO_LAYING]
    assert (rules.collection**2 + rules.female**2) ** 0.5 == pytest.approx(3.5)
    held = blend(replace(rules, doubt=1e-6), HERS, "F-014")
    assert held.curve.mean == pytest.approx(28.01, abs=0.01)
    assert held.curve.sd == pytest.approx(2.96, abs=0.01)
    # with the doubt about the spread that ships: her two seasons agree closely, so a little narrower, the same days
    learned = blend(rules, HERS, "F-014")
    assert (round(learned.curve.mean, 1), round(learned.curve.sd, 1)) == (28.0, 2.9)
    window = learned.curve.shifted(SHED.toordinal()).window(0.8)
    assert ((window.first - SHED).days, (window.last - SHED).days) == (24, 32)
    assert 0.8 < window.probability < 0.9


def test_history_of_others_moves_a_new_female_less_than_her_own() -> None:
    rules = BALL.intervals[Interval.SHED_TO_LAYING]
    others = [PastInterval(Interval.SHED_TO_LAYING, f"F-{n}", 26) for n in range(6)]
    assert blend(rules, [], "new").days == pytest.approx(30)
    by_others, by_own = (
        blend(rules, others, "new").days,
        blend(rules, [replace(o, whose="x") for o in others], "x").days,
    )
    assert by_own < by_others < 29


def test_from_the_first_case_on() -> None:
    rules = BALL.intervals[Interval.SHED_TO_LAYING]
    assert blend(rules, HERS[:1], "F-014").days < 29


def test_a_slip_of_a_date_is_left_out_and_told() -> None:
    slip = PastInterval(Interval.SHED_TO_LAYING, "F-014", 395)
    blended = blend(BALL.intervals[Interval.SHED_TO_LAYING], [*HERS, slip], "F-014")
    assert (blended.left_out, blended.own) == ((slip,), 2)


def test_an_unsure_interval_weighs_less() -> None:
    rules = BALL.intervals[Interval.SHED_TO_LAYING]
    sure = blend(rules, HERS, "F-014").days
    unsure = blend(rules, [replace(p, doubt=8.0) for p in HERS], "F-014").days
    assert sure < unsure < 30


# --- windows ----------------------------------------------------------------------------------------------------


def test_scenario_of_a_laying() -> None:
    """Pre-lay shed 3 Mar, own history 27 and 28 days: 27 Mar to 4 Apr."""
    season = SeasonSoFar({Event.OVULATION: KnownDay.on(OVULATED), Event.SHED: KnownDay.on(SHED)})
    window = one(Event.LAYING, season, HERS, after_shed()).window(0.8)
    assert window is not None
    assert (window.first, window.last) == (dt.date(2026, 3, 27), dt.date(2026, 4, 4))
    season = SeasonSoFar({Event.LAYING: KnownDay.on(dt.date(2026, 3, 31))}, temperature=EggTemperature(31.5))
    hatch = one(Event.PIP, season, [], dt.date(2026, 4, 1)).window(0.8)
    assert hatch is not None
    assert (hatch.first, hatch.last) == (dt.date(2026, 5, 25), dt.date(2026, 5, 30))  # day 55 to 60


def test_whole_days_say_what_they_hold() -> None:
    curve = bell_curve(np.array([1.0]), np.array([100.2]), np.array([3.0]))
    window = curve.window(0.8)
    held = NormalDist(100.2, 3)
    first, last = window.first.toordinal(), window.last.toordinal()
    assert (first, last) == (96, 104)
    assert window.probability == pytest.approx(held.cdf(104.5) - held.cdf(95.5), abs=1e-3)


def test_not_laid_on_day_31_rules_out_the_past() -> None:
    season = SeasonSoFar({Event.SHED: KnownDay.on(SHED)})
    early, late = (one(Event.LAYING, season, HERS, after_shed(d)) for d in (1, 31))
    window = late.window(0.8)
    assert window is not None and window.first == after_shed(31)
    assert not late.late
    by_then = after_shed(33).toordinal() + 0.5
    assert late.curve is not None and early.curve is not None
    assert late.curve.cdf(by_then) < early.curve.cdf(by_then)
    assert any("ruled out" in str(m) for m in late.because)
    pips = [one(Event.PIP, season, HERS, after_shed(d)).curve.mean for d in (1, 31)]  # type: ignore[union-attr]
    assert pips[1] > pips[0] + 2


def test_late_only_past_the_95_percent_edge() -> None:
    season = SeasonSoFar({Event.SHED: KnownDay.on(SHED)})
    edge = one(Event.LAYING, season, HERS, after_shed()).from_start.last
    on_edge, past_it = (one(Event.LAYING, season, HERS, edge + dt.timedelta(days=n)) for n in (0, 1))
    assert not on_edge.late
    assert past_it.late
    assert "vet" in str(past_it.because[-1])
    pip = one(Event.PIP, season, HERS, edge + dt.timedelta(days=90))
    assert not pip.late, "what waits for the laying is not late itself"


def test_long_after_there_is_no_window() -> None:
    season = SeasonSoFar({Event.SHED: KnownDay.on(SHED)})
    forecast = one(Event.LAYING, season, HERS, after_shed(200))
    assert forecast.late
    assert forecast.window(0.8) is None and forecast.curve is None


def test_unsure_and_missing_inputs_widen() -> None:
    def days(season: SeasonSoFar) -> int:
        window = one(Event.LAYING, season, [], OVULATED + dt.timedelta(days=1)).window(0.8)
        assert window is not None
        return window.days

    seen = days(SeasonSoFar({Event.OVULATION: KnownDay.on(OVULATED)}))
    unsure = days(SeasonSoFar({Event.OVULATION: KnownDay.on(OVULATED, 7)}))
    month = days(SeasonSoFar({Event.OVULATION: KnownDay.of(PartialDate(dt.date(2026, 2, 1), Precision.MONTH))}))
    shed = days(SeasonSoFar({Event.OVULATION: KnownDay.on(OVULATED), Event.SHED: KnownDay.on(SHED)}))
    assert shed < seen < unsure < month
    assert forecasts(BALL, SeasonSoFar({}), [], OVULATED) == ()


def test_an_unseen_shed_does_not_hold_the_laying_back() -> None:
    season = SeasonSoFar({Event.OVULATION: KnownDay.on(OVULATED)})
    today = OVULATED + dt.timedelta(days=36)
    shed, laying = forecasts(BALL, season, [], today, "F-014", Event.LAYING)
    assert "may not have been seen" in str(shed.because[-1])
    sure = replace(season, surely_not_yet=frozenset({Event.SHED}))
    waiting = forecasts(BALL, sure, [], today, "F-014", Event.LAYING)[-1]
    assert waiting.curve.mean > laying.curve.mean + 5  # type: ignore[union-attr]


def test_a_doubtful_shed_follows_both_readings() -> None:
    happened = {Event.OVULATION: KnownDay.on(OVULATED), Event.SHED: KnownDay.on(OVULATED + dt.timedelta(days=12))}
    today = OVULATED + dt.timedelta(days=13)
    sure, doubtful = (one(Event.LAYING, SeasonSoFar(happened, shed_share=s), [], today) for s in (1.0, 0.5))
    plain = one(Event.LAYING, SeasonSoFar({Event.OVULATION: happened[Event.OVULATION]}), [], today)
    assert sure.curve.mean < doubtful.curve.mean < plain.curve.mean  # type: ignore[union-attr]
    assert doubtful.curve.sd > sure.curve.sd  # type: ignore[union-attr]


def test_an_outage_widens_and_shifts_by_hours() -> None:
    season = SeasonSoFar({Event.LAYING: KnownDay.on(dt.date(2026, 3, 31))}, temperature=EggTemperature(31.5))
    today = dt.date(2026, 4, 1)
    before = one(Event.PIP, season, [], today)
    after = one(Event.PIP, replace(season, delay_days=(2 / 24, 3.5 / 24)), [], today)
    assert after.curve.mean - before.curve.mean == pytest.approx(2.75 / 24, abs=0.02)  # type: ignore[union-attr]
    assert any("2.0 to 3.5 hours" in str(m) for m in after.because)


def test_every_sentence_renders() -> None:
    season = SeasonSoFar({Event.OVULATION: KnownDay.on(OVULATED, 5)}, temperature=EggTemperature(30.8, 0.4))
    for forecast in forecasts(BALL, season, HERS, OVULATED + dt.timedelta(days=70), "F-014"):
        for message in forecast.because:
            assert render(message)


def test_every_female_of_a_large_collection_is_forecast() -> None:
    """150 females ahead, 480 clutches on record: what a season screen asks for, in the background."""
    chance = np.random.default_rng(5)
    past = [PastInterval(interval, f"F-{n % 120}", days * float(chance.normal(1, 0.05)))
            for n in range(480)
            for interval, days in ((Interval.OVULATION_TO_SHED, 19), (Interval.SHED_TO_LAYING, 30),
                                   (Interval.LAYING_TO_PIP, 57.5))]  # fmt: skip
    season = SeasonSoFar({Event.OVULATION: KnownDay.on(OVULATED, 5)})
    found = [forecasts(BALL, season, past, OVULATED, f"F-{n}", Event.PIP) for n in range(150)]
    assert all(forecast and forecast[-1].event is Event.PIP for forecast in found)


# --- warmth -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("celsius", "days"), [(28, 79.1), (29, 73.1), (30, 67.5), (31, 62.4), (32, 57.7), (33, 53.3)])
def test_q10_table(celsius: float, days: float) -> None:
    """60 d at 31.5 C and q10 2.2, computed in the handbook from the formula."""
    assert days_at(celsius, 60, 31.5, BALL.incubation) == pytest.approx(days, abs=0.05)


@pytest.mark.parametrize(("celsius", "days"), [(22, 101.7), (30, 53.9), (32, 50.5)])
def test_du_and_ji_2008(celsius: float, days: float) -> None:
    """Mean incubation of Elaphe taeniura, Du & Ji 2008: 101.7, 53.9, 50.5 d; flatter above 30 C."""
    assert days_at(celsius, 101.7, 22, CORN.incubation) == pytest.approx(days, abs=0.15)


def test_ellis_and_chappell_1987() -> None:
    """58 to 70 d at 29.2 C (abstract): the profile's middle, carried there, lies inside."""
    rules = BALL.intervals[Interval.LAYING_TO_PIP]
    blended = blend(rules, [], incubation=BALL.incubation, temperature=EggTemperature(29.2))
    assert 58 < blended.days < 70
    # trade's rule of thumb, from memory: 4 to 5 days less a degree
    at = [blend(rules, [], incubation=BALL.incubation, temperature=EggTemperature(c)).days for c in (31, 32)]
    assert 4 < at[0] - at[1] < 5


def test_history_at_another_temperature_is_carried_over() -> None:
    rules = BALL.intervals[Interval.LAYING_TO_PIP]
    past = [PastInterval(Interval.LAYING_TO_PIP, n, 64, 0, EggTemperature(30)) for n in range(8)]
    at_30, at_32 = (blend(rules, past, incubation=BALL.incubation, temperature=EggTemperature(c)) for c in (30.0, 32.0))
    assert at_30.days == pytest.approx(64, abs=0.5)
    assert 53 < at_32.days < 56
    assert at_32.curve.sd > at_30.curve.sd * 54 / 64, "an unsure q10 is carried over two degrees"


def test_clutches_at_two_temperatures_teach_how_much_warmth_matters() -> None:
    """By q10 3 the days at 29 would be 3 ** 0.25 = 1.32 times those at 31.5; by the profile's 2.2 only 1.22."""
    rules = BALL.intervals[Interval.LAYING_TO_PIP]
    past = [PastInterval(Interval.LAYING_TO_PIP, n, 57.5 * 3 ** (d / 10), 0, EggTemperature(31.5 - d))
            for n, d in enumerate((0.0, 0.3, 2.0, 2.4) * 5)]  # fmt: skip
    cool = EggTemperature(29.0)
    learned, told = (blend(rules, h, incubation=BALL.incubation, temperature=cool).days for h in (past, []))
    assert told == pytest.approx(57.5 * 2.2**0.25, abs=0.2)
    assert learned == pytest.approx(57.5 * 3**0.25, rel=0.02)


def test_effective_temperature_weighs_warm_hours_more() -> None:
    even = effective_celsius(np.array([29.0, 33.0]), np.array([12.0, 12.0]), BALL.incubation)
    assert 31.0 < even < 31.4
    assert effective_celsius(np.array([30.0]), np.array([5.0]), BALL.incubation) == pytest.approx(30)


# --- curves and days --------------------------------------------------------------------------------------------


@given(st.floats(0.5, 8), st.floats(0.5, 8), st.floats(5, 90))
def test_sum_of_bells_is_a_bell(a: float, b: float, mean: float) -> None:
    bell = [bell_curve(np.array([1.0]), np.array([mean]), np.array([s])) for s in (a, b)]
    total = bell[0].plus(bell[1])
    assert total.mean == pytest.approx(2 * mean, abs=0.01)
    assert total.sd == pytest.approx((a * a + b * b) ** 0.5, rel=0.01)
    exact = NormalDist(2 * mean, (a * a + b * b) ** 0.5)
    for share in (0.1, 0.5, 0.9):
        assert total.quantile(share) == pytest.approx(exact.inv_cdf(share), abs=0.05)


@given(st.floats(10, 90), st.floats(1, 6), st.floats(0, 2))
def test_condition_is_the_tail(mean: float, sd: float, out: float) -> None:
    curve = bell_curve(np.array([1.0]), np.array([mean]), np.array([sd]))
    now, bell = mean + out * sd, NormalDist(mean, sd)
    left = curve.after(now)
    assert left is not None
    assert left.cdf(now) == 0
    expected = (bell.cdf(now + sd) - bell.cdf(now)) / (1 - bell.cdf(now))
    assert left.cdf(now + sd) == pytest.approx(expected, abs=0.01)


def test_waiting_time_has_its_median_and_a_long_tail() -> None:
    curve = waiting_curve(np.array([1.0]), np.array([np.log(6.0)]), np.array([0.8]))
    assert curve.quantile(0.5) == pytest.approx(6, abs=0.05)
    assert curve.quantile(0.9) == pytest.approx(6 * np.exp(0.8 * NormalDist().inv_cdf(0.9)), rel=0.01)
    low, high = curve.span(0.8)
    assert high - low < curve.quantile(0.9) - curve.quantile(0.1), "the shortest stretch, not the middle one"


def test_days_known_to_a_precision() -> None:
    between = KnownDay.between(dt.date(2026, 3, 1), dt.date(2026, 3, 4))
    assert (between.width, between.is_exact) == (3, False)
    exact = KnownDay.on(dt.date(2026, 3, 31))
    days, doubt = days_between(between, exact)
    assert days == 28.5
    assert doubt == pytest.approx((9 / 12) ** 0.5)
    assert flat_curve(10, 20).sd == pytest.approx((100 / 12) ** 0.5, rel=0.01)
    with pytest.raises(ValueError):
        KnownDay(dt.date(2026, 3, 2), dt.date(2026, 3, 1))
