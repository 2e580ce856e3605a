"""An incubator too warm, through a file on disk and typed readings: what is told, and what is not known of it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.operations.incubators import IncubatorDetails, add_incubator, import_readings, read_incubator
from coilbook.reads.egg_boxes import boxes_in_use, incubators
from coilbook.reads.hatch_windows import hatch_windows
from coilbook.reads.incubator_readings import readings_of
from coilbook.reads.outages import HeatSeen, heat_story_of, recent_heat
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import IncubatorId
from coilbook.records.quantities import Temperature
from coilbook.wording.texts import render
from tests.operations.conftest import Clock, Room, book, clock, room

__all__ = ["Clock", "Room", "book", "clock", "room"]

BALL = shipped_profile("ball_python")
NIGHT = dt.datetime(2026, 3, 24, 22, 0)


def incubator_of(room: Room, name: str = "Incubator 1", set_at: float | None = 31.5) -> IncubatorId:
    at = Temperature.of(set_at) if set_at is not None else None
    return add_incubator(room.book, details=IncubatorDetails(name=name, set_at=at, shelves=("top",))).value


def bring_in(room: Room, tmp_path: Path, incubator: IncubatorId, readings: dict[dt.datetime, float]) -> None:
    file = tmp_path / f"logger{incubator}.csv"
    rows = [f"{at:%Y-%m-%d %H:%M},{celsius}" for at, celsius in sorted(readings.items())]
    file.write_text("\n".join(["Time,Temperature", *rows]), encoding="utf-8")
    import_readings(room.book, incubator=incubator, file=file)


def every(minutes: int, hours: float, celsius: float, start: dt.datetime = NIGHT) -> dict[dt.datetime, float]:
    return {start + dt.timedelta(minutes=m): celsius for m in range(0, round(60 * hours), minutes)}


def heat(room: Room) -> tuple[HeatSeen, ...]:
    return recent_heat(room.book, incubators(room.book), room.clock.now, BALL)


def story(room: Room, seen: HeatSeen) -> str:
    return " ".join(render(m) for m in heat_story_of(seen, boxes_in_use(room.book), {}, BALL).told)


def test_a_thermostat_that_stuck_is_told_with_its_hours(room: Room, tmp_path: Path) -> None:
    """31.5, from 01:00 to 03:50 at 35.0 every 10 minutes, then 31.5: 2 h 50 min, and up and down of 10 minutes each.

    A line from 31.5 to 35.0 is above 33.0 for 2.0 / 3.5 of its way, 5.7 minutes: 2 h 50 min and 11.4 min are 3 h 1 min.
    """
    incubator = incubator_of(room)
    warm = every(10, 3, 35.0, NIGHT + dt.timedelta(hours=3))
    bring_in(room, tmp_path, incubator, every(10, 12, 31.5) | warm)
    (seen,) = heat(room)
    assert (seen.heat.start, seen.heat.end) == (dt.datetime(2026, 3, 25, 1), dt.datetime(2026, 3, 25, 3, 50))
    assert seen.heat.hours_above == pytest.approx(170 / 60 + 2 * (10 / 60) * 2.0 / 3.5)
    assert seen.heat.critical and seen.heat.unread_hours == 0
    told = story(room, seen)
    assert "3 h 1 min" in told and "35.0" in told and "in danger (common practice)" in told
    assert told.count("Not known") == 2 and told.count("a vet sees") == 1 and "Do not set it colder" in told


def test_a_lid_opened_for_ten_minutes_is_no_heat_and_no_setpoint_is_needed(room: Room, tmp_path: Path) -> None:
    incubator = incubator_of(room, set_at=None)
    bring_in(room, tmp_path, incubator, every(10, 12, 31.5) | {NIGHT + dt.timedelta(hours=3): 33.4})
    assert heat(room) == ()
    read_incubator(room.book, incubator=incubator, typed="33.4", at=NIGHT + dt.timedelta(hours=20))
    (seen,) = heat(room)
    assert seen.heat.highest_c == 33.4 and not seen.heat.critical
    assert "for how long it was so warm is not known" in story(room, seen)


def test_the_most_a_thermometer_kept_is_heat_at_a_time_not_known(room: Room) -> None:
    incubator = incubator_of(room)
    evening, morning = NIGHT, NIGHT + dt.timedelta(hours=10)
    read_incubator(room.book, incubator=incubator, typed="31.5", at=evening)
    read_incubator(room.book, incubator=incubator, typed="31.4", most="35.5", at=morning, note="sun on the glass")
    (seen,) = heat(room)
    assert (seen.heat.start, seen.heat.end, seen.heat.only_most) == (evening, morning, True)
    told = story(room, seen)
    assert "35.5" in told and "when, and for how long, is not known" in told and "Done: sun on the glass." in told


def test_two_spells_an_hour_apart_are_one_and_the_clutches_are_named(room: Room, tmp_path: Path) -> None:
    room.clock.now = dt.datetime(2026, 3, 24, 12, tzinfo=room.clock.now.tzinfo)
    incubator = incubator_of(room)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("2x"), box=BoxDetails(incubator=incubator)))
    first, second = (every(10, 1, 33.6, NIGHT + dt.timedelta(hours=h)) for h in (2, 4))
    bring_in(room, tmp_path, incubator, every(10, 12, 31.5) | first | second)
    room.clock.pass_(days=1)
    (seen,) = heat(room)
    assert (seen.heat.start, seen.heat.end) == (dt.datetime(2026, 3, 25, 0), dt.datetime(2026, 3, 25, 2, 50))
    boxes = boxes_in_use(room.book)
    windows = hatch_windows(room.book, boxes, room.clock.now.date())
    (after,) = heat_story_of(seen, boxes, windows, BALL).clutches
    assert "day 1" in render(after.told) and "candle at the next look" in render(after.told)


def test_hours_a_logger_does_not_cover_count_as_they_were_typed(room: Room, tmp_path: Path) -> None:
    """Ten days by a logger at 31.5, then twenty typed morning and evening at 29.0 where 31.5 is set."""
    laid = dt.datetime(2026, 3, 1, 12)
    room.clock.now = laid.replace(tzinfo=room.clock.now.tzinfo)
    found = []
    for name in "ABC":
        incubator = incubator_of(room, name)
        box = BoxDetails(incubator=incubator, set_up=laid.date())
        lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line("2x"), box=box))
    room.clock.pass_(days=30)
    for incubator, typed in ((1, 29.0), (2, 31.5), (3, None)):
        bring_in(room, tmp_path, IncubatorId(incubator), every(60, 240, 31.5, laid))
        for half in range(40) if typed is not None else ():
            at = laid + dt.timedelta(days=10, hours=12 * half + 6)
            read_incubator(room.book, incubator=IncubatorId(incubator), typed=f"{typed}", at=at)
    merged = readings_of(room.book, IncubatorId(1), laid, laid + dt.timedelta(30))
    assert len(merged) == 240 + 40 and merged.logged
    for _, window in sorted(hatch_windows(room.book, boxes_in_use(room.book), room.clock.now.date()).items()):
        assert window.forecast is not None
        found.append(window.forecast)
    cold, set_so, unread = (one.planned.mean for one in found)
    # 2/3 of the time at 2.2 to the power of -0.25 of the speed: 57.5 days become 57.5 / (1/3 + 2/3 * 0.821) = 65.3
    assert 6.5 < cold - set_so < 9
    assert abs(set_so - unread) < 0.5
    widths = [(w.last - w.first).days for w in (one.window(0.8) for one in found) if w is not None]
    assert widths[1] <= widths[2], "typed readings are surer than a setpoint alone"
