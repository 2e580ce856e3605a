"""Readings typed with the wrong degrees, and a logger's file of 200,000 rows."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from coilbook.husbandry.incubator import pairs_of, typed_temperature
from coilbook.operations.egg_boxes import BoxDetails, edit_box, set_up_box
from coilbook.operations.incubators import (
    IncubatorDetails,
    add_incubator,
    edit_incubator,
    import_readings,
    read_incubator,
)
from coilbook.records.ids import IncubatorId
from coilbook.records.message import Refusal
from coilbook.records.quantities import Temperature
from coilbook.storage.check import check
from tests.operations.conftest import Room


def warm(room: Room) -> IncubatorId:
    details = IncubatorDetails(name="Incubator 1", set_at=Temperature.of(31.5), shelves=("top", "low"), per_shelf=2)
    return add_incubator(room.book, details=details).value


def test_a_correction_takes_no_place_from_under_a_box(room: Room) -> None:
    incubator = warm(room)
    set_up_box(room.book, details=BoxDetails(label="EB-1", incubator=incubator, shelf=2, spot=2))
    for lost in (IncubatorDetails(shelves=("top",)), IncubatorDetails(per_shelf=1)):
        with pytest.raises(Refusal, match="a place that would be gone"):
            edit_incubator(room.book, incubator=incubator, details=lost)
    with pytest.raises(Refusal, match="needs a name"):
        edit_incubator(room.book, incubator=incubator, details=IncubatorDetails(name=" "))
    edit_incubator(room.book, incubator=incubator, details=IncubatorDetails(shelves=("high", "low"), set_known=False))
    rows = room.book.read("SELECT name, set_tenths, shelves, per_shelf FROM incubator")
    assert rows == [("Incubator 1", None, "high\nlow", 2)]


def test_what_it_is_set_to_in_fahrenheit_is_said_too(room: Room) -> None:
    details = IncubatorDetails(name="Incubator 1", set_at=typed_temperature("89"))
    added = add_incubator(room.book, details=details)
    edited = edit_incubator(room.book, incubator=added.value, details=details)
    assert room.book.read("SELECT set_tenths FROM incubator") == [(317,)]
    for outcome in (added, edited):
        assert [w.text for w in outcome.warnings] == ["{value:g} can only be Fahrenheit: kept as {temperature}."]


def test_89_in_a_celsius_field_is_fahrenheit_and_said_so(room: Room) -> None:
    outcome = read_incubator(room.book, incubator=warm(room), typed="89")
    # (89 - 32) / 1.8 = 31.67 (NIST SP 811, from memory)
    assert room.book.read("SELECT tenths, typed FROM incubator_reading") == [(317, "89")]
    assert [warning.text for warning in outcome.warnings] == [
        "{value:g} can only be Fahrenheit: kept as {temperature}."
    ]
    with pytest.raises(Refusal, match="no temperature of an incubator"):
        read_incubator(room.book, incubator=IncubatorId(1), typed="315")


def test_boxes_take_the_first_free_place_and_none_that_is_taken(room: Room) -> None:
    incubator = warm(room)
    for _ in range(4):
        set_up_box(room.book, details=BoxDetails(incubator=incubator))
    places = room.book.read("SELECT label, shelf, spot FROM egg_box ORDER BY id")
    assert places == [("EB-01", 1, 1), ("EB-02", 1, 2), ("EB-03", 2, 1), ("EB-04", 2, 2)]
    with pytest.raises(Refusal, match="taken or not there"):
        set_up_box(room.book, details=BoxDetails(incubator=incubator, shelf=2, spot=1))
    assert set_up_box(room.book, details=BoxDetails(incubator=incubator)).value == 5
    edit_box(room.book, box=1, details=BoxDetails(emptied=dt.date(2026, 5, 30)))  # type: ignore[arg-type]
    edit_box(room.book, box=5, details=BoxDetails(incubator=incubator, shelf=1))  # type: ignore[arg-type]
    assert room.book.read("SELECT shelf, spot FROM egg_box WHERE id = 5") == [(1, 1)]


def test_two_hundred_thousand_readings_come_in(room: Room, tmp_path: Path) -> None:
    incubator = warm(room)
    start = dt.datetime(2025, 1, 1)
    lines = ["Humidity %,Temperature (C),Time"]
    for n in range(200_000):
        lines.append(
            f"80,{31.5 + (n % 7 - 3) / 10:.1f},{(start + dt.timedelta(minutes=2 * n)).isoformat(' ', 'minutes')}"
        )
    file = tmp_path / "logger.csv"
    file.write_text("\n".join(lines), encoding="utf-8")
    outcome = import_readings(room.book, incubator=incubator, file=file)
    assert outcome.value == 200_000
    days = room.book.read("SELECT day, readings FROM logger_day ORDER BY day")
    assert (days[0][0], days[0][1][:18]) == ("2025-01-01", "0:312,2:313,4:314,")
    assert sum(len(pairs_of(text)) for _, text in days) == 200_000
    with pytest.raises(Refusal, match="in the book already"):
        import_readings(room.book, incubator=incubator, file=file)
    assert check(room.book).findings == ()


def test_a_file_in_wide_characters_or_with_nothing_an_incubator_has(room: Room, tmp_path: Path) -> None:
    incubator = warm(room)
    wide = tmp_path / "wide.csv"
    wide.write_text("Date\tTemperature\n2026-03-01 10:00\t31.5\n", encoding="utf-16")
    assert import_readings(room.book, incubator=incubator, file=wide).value == 1
    cold = tmp_path / "cold.csv"
    cold.write_text("Date,Temperature\n2026-03-01 10:00,315\n", encoding="utf-8")
    with pytest.raises(Refusal, match="one an incubator can have"):
        import_readings(room.book, incubator=incubator, file=cold)
    assert room.book.read("SELECT count(*) FROM logger_day") == [(1,)]
