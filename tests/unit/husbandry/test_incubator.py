"""Readings typed and logged: units, limits, gaps, files of loggers, the story of an outage."""

from __future__ import annotations

import datetime as dt
import random

import numpy as np
import pytest

from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.incubator import (
    Readings,
    egg_temperature,
    minute_of,
    moment_of,
    summary,
    typed_temperature,
)
from coilbook.husbandry.logger_csv import read_logger
from coilbook.husbandry.outage import ClutchThen, Outage, delay_hours, outage_story
from coilbook.husbandry.profile import shipped_profile
from coilbook.records.message import Refusal
from coilbook.wording.texts import render

BALL = shipped_profile("ball_python")
START = dt.datetime(2026, 3, 1, 0, 0)


def readings(celsius: list[float], step: int = 10, logged: bool = True, start: dt.datetime = START) -> Readings:
    at = minute_of(start) + step * np.arange(len(celsius), dtype=np.int64)
    return Readings(at, np.array(celsius, np.float64), logged)


# --- typed ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "fahrenheit", "tenths", "told"),
    [
        ("31.5", False, 315, False),
        ("31,5", False, 315, False),
        ("89", False, 317, True),
        ("88.7 F", False, 315, False),
        ("88.7", True, 315, False),
        ("31.5 °C", True, 315, False),
        ("31.5", True, 315, True),
        ("60", False, 156, True),
        ("110", False, 433, True),
        ("20", True, 200, True),
        ("45", True, 450, True),
        ("59 f", False, 150, False),
        ("50", False, 500, False),
    ],
)
def test_typed(text: str, fahrenheit: bool, tenths: int, told: bool) -> None:
    typed = typed_temperature(text, fahrenheit)
    assert typed.temperature.tenths == tenths
    assert (typed.told is not None) == told


def test_fahrenheit_in_a_celsius_field_is_said() -> None:
    told = typed_temperature("89").told
    assert told is not None and render(told) == "89 can only be Fahrenheit: kept as 31.7 °C."


@pytest.mark.parametrize("text", ["warm", "", "55", "140 F", "-20", "59.9", "110.1", "1e1", "3_1", "nan", "31.5 c f"])
def test_no_temperature_of_an_incubator(text: str) -> None:
    with pytest.raises(Refusal):
        typed_temperature(text)


# --- summed up --------------------------------------------------------------------------------------------------


def test_limits_by_hand() -> None:
    """Straight from 31 down to 27 and back within two hours: below 28 for a quarter of that, 30 minutes."""
    found = summary(readings([31, 27, 31], step=60, logged=False), 28, 33)
    assert found is not None
    assert found.lowest == (27, START + dt.timedelta(hours=1))
    assert (found.hours, found.hours_below, found.hours_above) == (2, pytest.approx(0.5), 0)
    assert found.mean_c == pytest.approx(29)
    assert [(s.start, s.lowest_c) for s in found.below] == [(START + dt.timedelta(hours=1), 27)]


def test_a_gap_counts_neither_inside_nor_outside() -> None:
    first, later = readings([31.5] * 30), readings([26.0] * 30, start=START + dt.timedelta(hours=14))
    both = Readings(
        np.concatenate([first.minutes, later.minutes]), np.concatenate([first.celsius, later.celsius]), logged=True
    )
    found = summary(both, 28, 33)
    assert found is not None
    (gap,) = found.gaps
    assert (gap.start, gap.end) == (START + dt.timedelta(minutes=290), START + dt.timedelta(hours=14))
    assert found.hours == pytest.approx(2 * 290 / 60)
    assert found.hours_below == pytest.approx(290 / 60)
    assert found.below[0].hours == pytest.approx(290 / 60)
    assert summary(readings([]), 28, 33) is None


def test_one_reading_and_always_outside() -> None:
    found = summary(readings([34.0]), 28, 33)
    assert found is not None and (found.hours, found.mean_c, len(found.above)) == (0, 34, 1)
    always = summary(readings([34.0] * 7), 28, 33)
    assert always is not None and always.hours_above == pytest.approx(1)


def eggs_at(found: Readings, days: float = 1, setpoint: float | None = None) -> tuple[float, float] | None:
    warm = egg_temperature(found, START, START + dt.timedelta(days=days), BALL.incubation, setpoint)
    return None if warm is None else (round(warm.celsius, 2), warm.sd)


def test_how_sure_the_eggs_temperature_is() -> None:
    assert eggs_at(readings([31.0] * 145)) == (31.0, 0.1)
    assert eggs_at(readings([31.0] * 60)) == (31.0, 0.4)
    assert eggs_at(readings([]), setpoint=31.0) == (31.0, 0.7)
    assert eggs_at(readings([])) is None, "not known is not the temperature that is usual"
    swinging = eggs_at(readings([29.0, 33.0] * 72 + [29.0]))
    assert swinging is not None and 31.0 < swinging[0] < 31.3


def test_one_cold_reading_of_a_week_stands_for_a_day() -> None:
    """Typed once a day for nine days, 31.5 but for one morning of 26.5: 8 days at 31.5 and one at 26.5, by q10 2.2."""
    at = np.array([minute_of(START) + 720 + 1440 * day for day in range(9)], np.int64)
    celsius = np.full(9, 31.5)
    celsius[4] = 26.5
    rate = (8 + 2.2**-0.5) / 9
    assert eggs_at(Readings(at, celsius, logged=False), 9) == (round(31.5 + 10 * np.log(rate) / np.log(2.2), 2), 0.4)
    # typed once a week, the days nobody looked at are as the readings usually are
    weeks = np.array([minute_of(START) + 720 + 10080 * week for week in range(9)], np.int64)
    rate = (62 + 2.2**-0.5) / 63
    assert eggs_at(Readings(weeks, celsius, logged=False), 63) == (
        round(31.5 + 10 * np.log(rate) / np.log(2.2), 2), 0.4,
    )  # fmt: skip
    assert eggs_at(Readings(weeks[4:5], celsius[4:5], logged=False), 63) == (26.5, 0.4), "nothing else is known"


def test_moments_there_and_back() -> None:
    moment = dt.datetime(2026, 3, 29, 2, 30)
    assert moment_of(minute_of(moment)) == moment


# --- files of loggers -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "Date,Time,Temperature (°C),Humidity (%)\n2026-03-01,00:00,31.5,88\n2026-03-01,00:10,31.4,88\n",
        "Humidity (%);Temperature (°C);Time\n88,1;31,5;2026-03-01 00:00:00\n88,2;31,4;2026-03-01 00:10:00\n",
        "serial 42\nmodel x\n\nNo.\tTemp (°F)\tDate Time\n1\t88.7\t03/01/2026 12:00 AM\n2\t88.52\t03/01/2026 12:10 AM\n"
        "3\t88.7\t03/13/2026 12:10 AM\n",
        "2026-03-01T00:00:00Z,31.5\n2026-03-01T00:10:00Z,31.4\n",
        "Timestamp,Relative_Humidity,Temperature_Celsius\n01.03.26 00:00,88,88.7\n13.03.26 00:10,88,88.52\n",
        "Temp_F,when\n88.7,2026-03-01 00:00\nERR,2026-03-01 00:05\n88.52,2026-03-01 00:10\n",
    ],
)
def test_any_columns_any_unit(text: str) -> None:
    found = read_logger("\ufeff" + text)
    assert moment_of(found.readings.minutes[0]) == START
    assert found.readings.celsius[:2] == pytest.approx([31.5, 31.4], abs=0.01)


def test_rows_without_a_reading_are_counted_and_wild_ones_left_out() -> None:
    text = "when,temp\n2026-03-01 00:00,31.5\n2026-03-01 00:05,\n\n2026-03-01 00:10,-127\n2026-03-01 00:15,31.4\n"
    found = read_logger(text)
    assert (len(found.readings), found.skipped) == (2, 2)
    assert any("1 reading no incubator" in str(m) for m in found.told)


def test_day_and_month_are_told_or_asked() -> None:
    rows = "".join(f"03/{day:02d}/2026 10:00,31.5\n" for day in range(1, 13))
    told = read_logger("when,temp\n" + rows)
    assert moment_of(told.readings.minutes[-1]) == dt.datetime(2026, 3, 12, 10)
    assert "month first" in str(told.told[0])
    with pytest.raises(Refusal, match="say which"):
        read_logger("when,temp\n03/04/2026 10:00,31.5\n")
    answered = read_logger("when,temp\n03/04/2026 10:00,31.5\n", day_first=True)
    assert moment_of(answered.readings.minutes[0]) == dt.datetime(2026, 4, 3, 10)


HEAD = "Date,Temperature\n"
TWO = "2026-03-01 10:00,31.5\n2026-03-01 10:15,31.6\n"


@pytest.mark.parametrize(
    ("text", "celsius", "skipped", "words"),
    [
        # what stands above the table, a date of its own among it
        ("Exported,2026-03-02 09:00\nFirmware,1.2.3\nNo,Date,Temperature,RH\n1,2026-03-01 10:00,31.5,80\n"
         "2,2026-03-01 10:15,31.6,81\n", [31.5, 31.6], 0, ""),
        # rows that are none: no such day, a clock not yet set, no such hour, no number
        (HEAD + TWO + "2026-02-30 10:30,31\n0000-00-00 00:00,31\n2026-03-01 25:10,31\n2026-03-01 10:40,NaN\n",
         [31.5, 31.6], 4, ""),
        # one that is no number does not hide that the others are Fahrenheit: (88.7 - 32) / 1.8 = 31.5
        (HEAD + "2026-03-01 10:00,88.7\n2026-03-01 10:15,nan\n", [31.5], 1, "only be Fahrenheit"),
        ("Date,Temp_F\n2026-03-01 10:00,55.4\n", [13.0], 0, "in Fahrenheit"),
        ("Date,Temperature (F)\n" + TWO, [31.5, 31.6], 0, "only be Celsius"),
        ("Date,Set temperature,Temperature\n2026-03-01 10:00,31.5,29.0\n", [29.0], 0, "'Temperature' was taken"),
        # a quotation mark left open swallows its line alone
        (HEAD + '2026-03-01 09:45,"31.4\n' + TWO, [31.4, 31.5, 31.6], 0, ""),
        (HEAD + "2026-03-01T10:00:00Z,31.5\n", [31.5], 0, "given with their zone"),
        ("Date (UTC),Temperature\n2026-03-01 10:00,31.5\n", [31.5], 0, "given with their zone"),
        # the clock put back: the second 02:00 is kept, and that is said
        (HEAD + "2026-10-25 01:00,31\n2026-10-25 02:00,32\n2026-10-25 02:00,33\n", [31, 33], 0, "shares its minute"),
    ],
)  # fmt: skip
def test_files_as_loggers_write_them(text: str, celsius: list[float], skipped: int, words: str) -> None:
    found = read_logger(text)
    assert found.readings.celsius.tolist() == pytest.approx(celsius)
    assert found.skipped == skipped
    told = " ".join(render(m) for m in found.told)
    assert (words in told) if words else not told


def test_unordered_rows_are_put_in_order() -> None:
    found = read_logger("when,temp\n2026-03-01 00:10,31.4\n2026-03-01 00:00,31.5\n")
    assert found.readings.celsius.tolist() == [31.5, 31.4]


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "when,temp\n2026-03-01,31.5\n", "when,temp\n2026-03-01 00:00,no\n"])
def test_no_logger_file(text: str) -> None:
    with pytest.raises(Refusal):
        read_logger(text)


def test_two_hundred_thousand_rows_are_read() -> None:
    chance = random.Random(4)
    rows = ["RH,Temperature C,Date,Time"]
    moment = START
    for _ in range(200_000):
        rows.append(f"{chance.uniform(80, 95):.1f},{chance.gauss(31.5, 0.3):.2f},{moment:%d/%m/%Y},{moment:%H:%M:%S}")
        moment += dt.timedelta(minutes=2)
    text = "\n".join(rows)
    found = read_logger(text)
    assert summary(found.readings, 28, 33) is not None
    egg_temperature(found.readings, START, moment, BALL.incubation)
    assert len(found.readings) == 200_000


# --- the story of an outage -------------------------------------------------------------------------------------

CUT = Outage(
    dt.datetime(2026, 5, 26, 2, 10), dt.datetime(2026, 5, 26, 11, 25), 26.4, 28.6, 31.5, noticed="the keeper",
    done="towels over the incubator",
)  # fmt: skip


def clutch(day: int) -> ClutchThen:
    laid = CUT.end.date() - dt.timedelta(days=day)
    return ClutchThen(f"C{day}", laid, Window(0.8, laid + dt.timedelta(55), laid + dt.timedelta(60), 0.84))


def test_delay_by_hand() -> None:
    """Nine hours at 28.6 where 31.5 is set: 9 x (1 - 10.6/13.5) = 1.9 h and 9 x (1 - 4.6/7.5) = 3.5 h (computed)."""
    assert delay_hours(9, 28.6, 31.5, (18, 24)) == pytest.approx((9 * 2.9 / 13.5, 9 * 2.9 / 7.5))
    assert delay_hours(9, 33, 31.5, (18, 24)) == (0, 0), "nothing is gained back in the warm"
    assert delay_hours(9, 10, 31.5, (18, 24)) == (9, 9), "no more than the hours themselves"


def test_scenario_of_a_power_cut() -> None:
    """02:10 to 11:25, clutches at day 3, 19, 34, 51, 56: dates shown unchanged, day 56 gets a look for pips."""
    story = outage_story(CUT, [clutch(d) for d in (3, 19, 34, 51, 56)], BALL)
    assert 1.9 < story.delay_hours[0] < 2.1 and 3.4 < story.delay_hours[1] < 3.7
    told = " ".join(render(m) for m in story.told)
    assert "9 h 15 min: lowest 26.4 °C, mean 28.6 °C, where 31.5 °C is set." in told
    assert "Do not raise the setpoint to catch up" in told
    assert "No published figure was found" in told and "Not known: how cold the eggs themselves were" in told
    assert "Noticed by the keeper." in told and "Done: towels over the incubator." in told
    assert [c.look_for_pips for c in story.clutches] == [False, False, False, False, True]
    assert all("unchanged" in str(c.told) for c in story.clutches)
    assert [c.day for c in story.clutches] == [3, 19, 34, 51, 56]


def test_a_long_cold_moves_windows() -> None:
    long = Outage(CUT.start, CUT.start + dt.timedelta(days=3), 22, 24, 31.5)
    story = outage_story(long, [clutch(20)], BALL)
    assert story.delay_days[1] == pytest.approx(3)
    assert "the cold, 1.7 to 3.0 days, is in it" in render(story.clutches[0].told)
    assert "moved and widened" in " ".join(render(m) for m in story.told)
    near = outage_story(long, [clutch(56)], BALL).clutches[0]
    assert near.look_for_pips and "unchanged" not in render(near.told) and "pips now" in render(near.told)


def test_hours_without_a_reading_are_in_the_most_and_not_in_the_least() -> None:
    """Of 9 hours 6 were not read: least 3 x 2.9 / 13.5, most 9 x 2.9 / 7.5 hours lost (by hand)."""
    start = dt.datetime(2026, 5, 26, 2)
    half = Outage(start, start + dt.timedelta(hours=9), 26.4, 28.6, 31.5, unread_hours=6)
    assert outage_story(half, [], BALL).delay_hours == pytest.approx((3 * 2.9 / 13.5, 9 * 2.9 / 7.5))
