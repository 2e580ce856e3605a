"""Figures of eggs: a logger's file of 200,000 readings, and forecasts for a whole season of females."""

from __future__ import annotations

import datetime as dt
import random
import tempfile
from pathlib import Path

from coilbook.app.bench.figures import Line, milliseconds

READINGS = 200_000
FEMALES, PAST = 150, 480
START = dt.datetime(2025, 1, 1)


def eggs_lines() -> list[Line]:
    """Every line about eggs."""
    text = _logger_file()
    return [*_read_lines(text), _import_line(text), _forecast_line()]


def _logger_file() -> str:
    """A logger's file as it comes: the columns in an odd order, one reading in two minutes."""
    chance = random.Random(4)
    rows = ["RH,Temperature C,Time"]
    for n in range(READINGS):
        moment = START + dt.timedelta(minutes=2 * n)
        rows.append(f"{chance.uniform(80, 95):.1f},{chance.gauss(31.5, 0.3):.2f},{moment:%Y-%m-%d %H:%M}")
    return "\n".join(rows)


def _read_lines(text: str) -> list[Line]:
    from coilbook.husbandry.incubator import egg_temperature, summary
    from coilbook.husbandry.logger_csv import read_logger
    from coilbook.husbandry.profile import shipped_profile

    profile = shipped_profile("ball_python")
    end = START + dt.timedelta(minutes=2 * READINGS)
    found = read_logger(text).readings
    return [
        Line(f"{READINGS:,} readings read from a logger's text", None, milliseconds(lambda: read_logger(text))),
        Line("their least, most, time outside limits and gaps", None, milliseconds(lambda: summary(found, 28, 33))),
        Line("the temperature of the eggs from them", None,
             milliseconds(lambda: egg_temperature(found, START, end, profile.incubation))),
    ]  # fmt: skip


def _import_line(text: str) -> Line:
    from coilbook.operations.incubators import IncubatorDetails, add_incubator, import_readings
    from coilbook.records.quantities import Temperature
    from coilbook.storage.collection import Collection

    now = (START + dt.timedelta(366)).astimezone()
    with tempfile.TemporaryDirectory(prefix="coilbook-bench-") as place:
        file = Path(place) / "logger.csv"
        file.write_text(text, encoding="utf-8")
        with Collection.create(Path(place) / "eggs", lambda: now) as collection:
            details = IncubatorDetails(name="Incubator 1", set_at=Temperature.of(31.5), shelves=("top",))
            incubator = add_incubator(collection, details=details).value
            took = milliseconds(lambda: import_readings(collection, incubator=incubator, file=file))
    return Line(f"{READINGS:,} readings brought into an incubator", 5_000, took, note="read, written, journal and all")


def _forecast_line() -> Line:
    from coilbook.husbandry.blending import PastInterval
    from coilbook.husbandry.figures import Event, Interval
    from coilbook.husbandry.forecast import SeasonSoFar, forecasts
    from coilbook.husbandry.known_day import KnownDay
    from coilbook.husbandry.profile import shipped_profile

    profile, chance, ovulated = shipped_profile("ball_python"), random.Random(5), dt.date(2026, 2, 1)
    usual = ((Interval.OVULATION_TO_SHED, 19), (Interval.SHED_TO_LAYING, 30), (Interval.LAYING_TO_PIP, 57.5))
    past = [PastInterval(interval, f"F-{n % 120}", days * chance.gauss(1, 0.05))
            for n in range(PAST) for interval, days in usual]  # fmt: skip
    season = SeasonSoFar({Event.OVULATION: KnownDay.on(ovulated, 5)})

    def all_of_them() -> None:
        for n in range(FEMALES):
            forecasts(profile, season, past, ovulated, f"F-{n}", Event.PIP)

    return Line(f"windows of {FEMALES} females from {PAST} clutches on record", 5_000, milliseconds(all_of_them))
