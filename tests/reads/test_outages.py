"""Outages through a file on disk: where the logger itself went dark, and what a thermometer kept between looks."""

from __future__ import annotations

import datetime as dt
import time
from pathlib import Path

import pytest

from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.operations.incubators import IncubatorDetails, add_incubator, import_readings, read_incubator
from coilbook.reads.egg_boxes import boxes_in_use, incubators
from coilbook.reads.hatch_windows import hatch_windows
from coilbook.reads.incubator_readings import noted_extremes
from coilbook.reads.outages import recent_outages, story_of
from coilbook.records.egg_line import read_egg_line
from coilbook.records.quantities import Temperature
from coilbook.wording.texts import render
from tests.operations.conftest import Clock, Room, book, clock, room

__all__ = ["Clock", "Room", "book", "clock", "room"]

#: a night in which no zone changes its clock
NIGHT = dt.datetime(2026, 3, 24, 22, 0)


def test_a_logger_that_went_dark_with_the_power_is_an_outage_of_those_hours(room: Room, tmp_path: Path) -> None:
    """31.5 until 02:00, dark until 11:00, then 27.0 up to 31.5 in three hours: 9 h unread and 2 h 20 min below 30.5."""
    incubator = add_incubator(
        room.book, details=IncubatorDetails(name="Incubator 1", set_at=Temperature.of(31.5), shelves=("top",))
    ).value
    lines = ["Time,Temperature"]
    for step in range(20 * 6):
        moment = NIGHT + dt.timedelta(minutes=10 * step)
        since = (moment - dt.datetime(2026, 3, 25, 11, 0)).total_seconds() / 3600
        if moment > dt.datetime(2026, 3, 25, 2, 0) and since < 0:
            continue
        celsius = 31.5 if since < 0 else min(31.5, 27.0 + 1.5 * since)
        lines.append(f"{moment:%Y-%m-%d %H:%M},{celsius:.2f}")
    file = tmp_path / "logger.csv"
    file.write_text("\n".join(lines), encoding="utf-8")
    import_readings(room.book, incubator=incubator, file=file)
    (seen,) = recent_outages(room.book, incubators(room.book), room.clock.now)
    outage = seen.outage
    # 27 + 1.5 x 2 h 20 min = 30.5 is the first reading not below, so the last below is of 13:10
    assert (outage.start, outage.end) == (dt.datetime(2026, 3, 25, 2, 0), dt.datetime(2026, 3, 25, 13, 10))
    assert (outage.lowest_c, outage.unread_hours) == (27.0, 9.0)
    told = " ".join(render(m) for m in story_of(seen, (), {}, shipped_profile("ball_python")).told)
    assert "For 9.0 hours of it there is no reading: it may have been colder then." in told


def test_least_and_most_a_thermometer_kept(room: Room) -> None:
    incubator = add_incubator(room.book, details=IncubatorDetails(name="Incubator 1", shelves=("top",))).value
    at = dt.datetime(2026, 3, 29, 8, 0)
    read_incubator(room.book, incubator=incubator, typed="31.4", least="26.4", most="32", at=at)
    read_incubator(room.book, incubator=incubator, typed="31.4", most="92", at=at)  # 92 F is 33.3 C
    week = (at - dt.timedelta(7), at + dt.timedelta(1))
    assert noted_extremes(room.book, incubator, *week) == (264, 333)
    assert noted_extremes(room.book, incubator, week[0], at - dt.timedelta(hours=1)) == (None, None)


@pytest.mark.parametrize("minutes", [5, 10])
def test_readings_twice_a_file_count_once(room: Room, tmp_path: Path, minutes: int) -> None:
    incubator = add_incubator(room.book, details=IncubatorDetails(name="Incubator 1", shelves=("top",))).value
    rows = [f"{NIGHT + dt.timedelta(minutes=minutes * n):%Y-%m-%d %H:%M},31.5" for n in range(10)]
    file = tmp_path / "logger.csv"
    file.write_text("\n".join(["Time,Temperature", *rows, *rows]), encoding="utf-8")
    outcome = import_readings(room.book, incubator=incubator, file=file)
    assert outcome.value == 10
    assert "share their minute" in " ".join(render(m) for m in outcome.warnings)


def test_a_logger_that_writes_each_hour_and_a_little_counts(room: Room, tmp_path: Path) -> None:
    """29.5 every 61 minutes where 31.5 is set: the window is that of 29.5, some nine days later."""
    room.clock.now = dt.datetime(2026, 3, 1, 12, tzinfo=room.clock.now.tzinfo)
    windows = []
    for name, setpoint, celsius in (("A", 31.5, 29.5), ("B", 29.5, 29.5), ("C", 31.5, 31.5)):
        details = IncubatorDetails(name=name, set_at=Temperature.of(setpoint), shelves=("top",))
        incubator = add_incubator(room.book, details=details).value
        box = BoxDetails(incubator=incubator, set_up=dt.date(2026, 3, 1))
        lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line("2x"), box=box))
        start = dt.datetime(2026, 3, 1, 12)
        rows = [f"{start + dt.timedelta(minutes=61 * n):%Y-%m-%d %H:%M},{celsius}" for n in range(24 * 30)]
        file = tmp_path / f"{name}.csv"
        file.write_text("\n".join(["Time,Temperature", *rows]), encoding="utf-8")
        import_readings(room.book, incubator=incubator, file=file)
    room.clock.pass_(days=29)
    there = boxes_in_use(room.book)
    for _, found in sorted(hatch_windows(room.book, there, room.clock.now.date()).items()):
        assert found.ahead is not None
        windows.append(found.ahead)
    assert abs((windows[0].first - windows[1].first).days) <= 1, "what is set does not matter"
    # 57.5 days at 31.5, times 2.2 to the power of 0.2, are 67.3 at 29.5
    assert 8 <= (windows[0].first - windows[2].first).days <= 11


def test_eggs_at_no_known_temperature_are_not_told_to_lie_at_one(room: Room) -> None:
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("2x"), box=BoxDetails()))
    (window,) = hatch_windows(room.book, boxes_in_use(room.book), room.clock.now.date()).values()
    assert window.forecast is not None
    told = " ".join(render(m) for m in window.forecast.because)
    assert "temperature is not known" in told and "Eggs at" not in told


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of this machine cannot be set for a test")
@pytest.mark.parametrize(
    ("night", "hours"),
    [(dt.date(2026, 3, 29), 8.25), (dt.date(2026, 10, 25), 10.25), (dt.date(2026, 5, 27), 9.25)],
)
def test_an_outage_over_a_changed_clock_is_as_long_as_it_was(
    room: Room, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, night: dt.date, hours: float
) -> None:
    """From 01:10 to 10:25 by the clock, in a zone that changes at 02:00 or 03:00 of that night, or not."""
    monkeypatch.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")
    time.tzset()
    incubator = add_incubator(
        room.book, details=IncubatorDetails(name="Incubator 1", set_at=Temperature.of(31.5), shelves=("top",))
    ).value
    room.clock.now = dt.datetime.combine(night, dt.time(14), room.clock.now.tzinfo)
    start = dt.datetime.combine(night, dt.time(1, 10))
    rows = [
        f"{start + dt.timedelta(minutes=5 * n):%Y-%m-%d %H:%M},{28.6 if 0 <= n <= 111 else 31.5}"
        for n in range(-12, 140)
        # a clock put forward has no 02:30
        if night.month != 3 or (start + dt.timedelta(minutes=5 * n)).hour != 2
    ]
    file = tmp_path / "logger.csv"
    file.write_text("\n".join(["Time,Temperature", *rows]), encoding="utf-8")
    import_readings(room.book, incubator=incubator, file=file)
    (seen,) = recent_outages(room.book, incubators(room.book), room.clock.now)
    monkeypatch.undo()
    time.tzset()
    assert (seen.outage.start, seen.outage.end) == (start, start + dt.timedelta(hours=9, minutes=15))
    assert (seen.outage.hours, seen.outage.unread_hours) == (hours, 0)
    told = " ".join(render(m) for m in story_of(seen, (), {}, shipped_profile("ball_python")).told)
    assert f"{int(hours)} h 15 min" in told and ("clock was changed" in told) == (hours != 9.25)
