"""Readings of an incubator over a stretch of time, a logger's where there is one, else those typed."""

from __future__ import annotations

import datetime as dt

import numpy as np

from coilbook.husbandry.incubator import DAY_MINUTES, Readings, minute_of, pairs_of
from coilbook.records.ids import IncubatorId
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection


def readings_of(collection: Collection, incubator: IncubatorId, since: dt.datetime, until: dt.datetime) -> Readings:
    """Everything read between two wall times: a logger's readings, and those typed in the hours it does not cover."""
    logged = logged_in(collection, incubator, since, until)
    typed = typed_in(collection, incubator, since, until)
    return logged.filled_with(typed) if len(logged) else typed


def logged_in(collection: Collection, incubator: IncubatorId, since: dt.datetime, until: dt.datetime) -> Readings:
    """What a logger wrote between two wall times."""
    days = collection.read(
        "SELECT day, readings FROM logger_day WHERE incubator_id = ? AND day BETWEEN ? AND ? ORDER BY day",
        (incubator, since.date().isoformat(), until.date().isoformat()),
    )
    at: list[int] = []
    tenths: list[int] = []
    for day, text in days:
        start = (dt.date.fromisoformat(day).toordinal() - dt.date(1970, 1, 1).toordinal()) * DAY_MINUTES
        for minute, value in pairs_of(str(text)):
            at.append(start + minute)
            tenths.append(value)
    return Readings(np.array(at, np.int64), np.array(tenths, np.float64) / 10, logged=True).between(since, until)


def typed_in(collection: Collection, incubator: IncubatorId, since: dt.datetime, until: dt.datetime) -> Readings:
    """What was typed between two wall times."""
    rows = collection.read(
        "SELECT at, tenths FROM incubator_reading WHERE incubator_id = ? AND at BETWEEN ? AND ? ORDER BY at, id",
        (incubator, since.isoformat(timespec="minutes"), until.isoformat(timespec="minutes")),
    )
    at = [minute_of(moment_from(moment)) for moment, _ in rows]
    tenths = [int(value) for _, value in rows]
    return Readings(np.array(at, np.int64), np.array(tenths, np.float64) / 10, logged=False).between(since, until)


def noted_extremes(
    collection: Collection, incubator: IncubatorId, since: dt.datetime, until: dt.datetime
) -> tuple[int | None, int | None]:
    """Least and most that a thermometer kept between looks, tenths of a degree; when in between is not known."""
    row = collection.read_one(
        "SELECT min(least_tenths), max(most_tenths) FROM incubator_reading"
        " WHERE incubator_id = ? AND at BETWEEN ? AND ?",
        (incubator, since.isoformat(timespec="minutes"), until.isoformat(timespec="minutes")),
    )
    return (row[0], row[1]) if row is not None else (None, None)


def most_noted(
    collection: Collection, incubator: IncubatorId, since: dt.datetime, until: dt.datetime
) -> tuple[tuple[dt.datetime, dt.datetime, float], ...]:
    """The most that a thermometer kept between one look and the next: from, until, degrees Celsius; oldest first.

    A first look has no look before it: its most is of the day before at the longest, as far as anybody knows.
    """
    rows = collection.read(
        "SELECT at, most_tenths, lag(at) OVER (ORDER BY at, id) FROM incubator_reading WHERE incubator_id = ?"
        " AND at <= ? ORDER BY at, id",
        (incubator, until.isoformat(timespec="minutes")),
    )
    found = []
    for at, most, before in rows:
        end = moment_from(at)
        if most is not None and end >= since:
            start = moment_from(before) if before is not None else end - dt.timedelta(1)
            found.append((start, end, most / 10))
    return tuple(found)


def last_at_shelf(collection: Collection, incubator: IncubatorId) -> dict[int, tuple[int, str]]:
    """The last reading typed at each shelf: tenths of a degree and when."""
    rows = collection.read(
        "SELECT shelf, tenths, max(at) FROM incubator_reading WHERE incubator_id = ? AND shelf IS NOT NULL"
        " GROUP BY shelf",
        (incubator,),
    )
    return {int(shelf): (int(tenths), str(at)) for shelf, tenths, at in rows}
