"""The window for ovulation: what the calendar, follicles and history do to it, and what it says of itself."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.figures import Event, Interval, OvulationCue
from coilbook.husbandry.forecast import EventForecast
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.ovulation_ahead import (
    OvulationCues,
    calendar_from,
    ovulation_ahead,
    past_cues,
    reckoned_back,
)
from coilbook.husbandry.profile import shipped_profile
from coilbook.husbandry.season_stage import FollicleSeen
from coilbook.records.season_vocabulary import FollicleMethod

BALL = shipped_profile("ball_python")
YEAR = dt.date(2025, 8, 1)
TODAY = dt.date(2026, 1, 20)


def scan(day: dt.date, mm: float) -> FollicleSeen:
    return FollicleSeen(day, FollicleMethod.ULTRASOUND, mm)


def felt(day: dt.date, grade: int) -> FollicleSeen:
    return FollicleSeen(day, FollicleMethod.PALPATION, None, grade)


def ahead(*follicles: FollicleSeen, past: tuple[PastInterval, ...] = (), today: dt.date = TODAY) -> EventForecast:
    return ovulation_ahead(BALL, OvulationCues(YEAR, follicles), past, today, "she")


def middle(forecast: EventForecast) -> dt.date:
    assert forecast.curve is not None
    return dt.date.fromordinal(round(forecast.curve.quantile(0.5)))


def width(forecast: EventForecast) -> int:
    window = forecast.window(0.8)
    assert window is not None
    return window.days


def shape(forecast: EventForecast) -> tuple[object, ...]:
    return forecast.anchor, *(forecast.window(level) for level in (0.5, 0.8, 0.95)), told(forecast)


def told(forecast: EventForecast) -> str:
    return " ".join(str(message) for message in forecast.because)


def test_with_no_input_it_is_the_common_months_wide_and_says_so() -> None:
    """Ovulation January to May in the north is common practice (job handbook 2.4); nothing narrower is known."""
    forecast = ahead(today=dt.date(2025, 11, 1))
    window = forecast.window(0.95)
    assert window is not None and forecast.anchor is OvulationCue.SEASON
    assert dt.date(2025, 12, 15) < window.first < dt.date(2026, 1, 20)
    assert dt.date(2026, 5, 10) < window.last < dt.date(2026, 6, 15)
    assert width(forecast) > 60
    assert "common practice" in told(forecast) and "inputs are weak; a scan narrows it" in told(forecast)
    assert "none of yours on record yet" in told(forecast)


@pytest.mark.parametrize(
    ("month", "from_"), [(8, (2025, 8)), (10, (2025, 8)), (5, (2025, 8)), (1, (2025, 2)), (12, (2026, 2))]
)
def test_the_calendar_of_the_south_lies_half_a_year_later(month: int, from_: tuple[int, int]) -> None:
    assert calendar_from(dt.date(2025, month, 1)) == dt.date(*from_, 1)


def test_a_follicle_narrows_and_a_larger_one_narrows_more() -> None:
    widths, middles = [], []
    for mm in (18, 28, 38):
        forecast = ahead(scan(TODAY, mm))
        assert forecast.anchor is OvulationCue.FOLLICLE and forecast.event is Event.OVULATION
        widths.append(width(forecast))
        middles.append(middle(forecast))
    assert widths == sorted(widths, reverse=True) and widths[0] < width(ahead())
    assert middles == sorted(middles, reverse=True) and middles[-1] - TODAY < dt.timedelta(21)
    assert "from memory" in told(ahead(scan(TODAY, 28)))


def test_a_grade_says_less_than_a_scan_and_the_newest_telling_one_counts() -> None:
    by_scan, by_feel = ahead(scan(TODAY, 26)), ahead(felt(TODAY, 4))
    assert width(by_feel) > width(by_scan)
    assert shape(ahead(scan(dt.date(2026, 1, 2), 18), scan(TODAY, 28))) == shape(ahead(scan(TODAY, 28)))
    # a resting follicle tells nothing, nor does a scan of tomorrow
    assert shape(ahead(scan(TODAY, 8))) == shape(ahead())
    assert shape(ahead(scan(TODAY + dt.timedelta(1), 28))) == shape(ahead())


def test_her_own_past_outweighs_the_collection_and_both_the_species() -> None:
    early = tuple(PastInterval(Interval.SEASON_TO_OVULATION, "she", days) for days in (170, 175, 168))
    late = tuple(PastInterval(Interval.SEASON_TO_OVULATION, f"other {n}", 270 + n) for n in range(3))
    autumn = dt.date(2025, 11, 1)
    nobody, others, own = ahead(today=autumn), ahead(past=late, today=autumn), ahead(past=early + late, today=autumn)
    assert middle(own) < middle(nobody) < middle(others)
    assert width(own) < width(nobody)
    assert "3 of her own and 3 of others here" in told(own)


def test_today_rules_days_out_and_past_everything_it_may_have_been_missed() -> None:
    before, now = ahead(scan(TODAY, 38)), ahead(scan(TODAY, 38), today=TODAY + dt.timedelta(12))
    window = now.window(0.8)
    assert window is not None and window.first >= TODAY + dt.timedelta(12) > before.window(0.8).first  # type: ignore[union-attr]
    assert "are ruled out" in told(now)
    gone = ahead(scan(TODAY, 38), today=TODAY + dt.timedelta(150))
    assert gone.late and "may not have been seen" in told(gone)


def test_a_follicle_out_of_season_is_believed() -> None:
    """A southern room with a northern season: the month never argues the follicle away."""
    august = dt.date(2025, 8, 20)
    forecast = ahead(scan(august, 40), today=august)
    assert middle(forecast) - august < dt.timedelta(25)


def test_history_teaches_seen_ovulations_fully_and_reckoned_ones_the_calendar_alone() -> None:
    cues = OvulationCues(YEAR, (scan(dt.date(2026, 1, 1), 30),))
    ovulated = KnownDay.on(dt.date(2026, 1, 21))
    season, follicle = past_cues(cues, ovulated, "she", BALL, seen=True)
    assert (season.interval, season.days, season.doubt) == (Interval.SEASON_TO_OVULATION, 173, 0)
    # 20 days from a size that has 25 in the table, carried to the table's 55 at 20 mm
    assert (follicle.interval, follicle.days) == (Interval.SCAN_TO_OVULATION, pytest.approx(20 * 55 / 25))
    laid = reckoned_back(KnownDay.on(dt.date(2026, 3, 11)), BALL, Interval.OVULATION_TO_SHED, Interval.SHED_TO_LAYING)
    assert laid.earliest == dt.date(2026, 1, 21) and 4 < laid.doubt < 7
    (only,) = past_cues(cues, laid, "she", BALL, seen=False)
    assert only.doubt == laid.doubt


def test_follicles_that_were_slow_before_are_slow_again() -> None:
    slow = tuple(PastInterval(Interval.SCAN_TO_OVULATION, "she", days) for days in (80, 85, 78))
    assert middle(ahead(scan(TODAY, 25), past=slow)) > middle(ahead(scan(TODAY, 25))) + dt.timedelta(5)
