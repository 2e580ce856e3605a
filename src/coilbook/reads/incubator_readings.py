"""Readings of an incubator over a stretch of time, a logger's where there is one, else those typed."""

from __future__ import annotations

import datetime as dt

import numpy as np

from coilbook.husbandry.incubator import DAY_MINUTES, Readings, minute_of, pairs_of
from coilbook.records.ids import IncubatorId
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection


def readings_of(collection: Collection, incubator: IncubatorId, since: dt.datetime, until: dt.datetime) -> Readings:
    """Everything read between two wall times; a logger's readings alone when it wrote any then."""
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
    logged = bool(at)
    if not logged:
        rows = collection.read(
            "SELECT at, tenths FROM incubator_reading WHERE incubator_id = ? AND at BETWEEN ? AND ? ORDER BY at, id",
            (incubator, since.isoformat(timespec="minutes"), until.isoformat(timespec="minutes")),
        )
        at = [minute_of(moment_from(moment)) for moment, _ in rows]
        tenths = [int(value) for _, value in rows]
    found = Readings(np.array(at, np.int64), np.array(tenths, np.float64) / 10, logged)
    return found.between(since, until)


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


def last_at_shelf(collection: Collection, incubator: IncubatorId) -> dict[int, tuple[int, str]]:
    """The last reading typed at each shelf: tenths of a degree and when."""
    rows = collection.read(
        "SELECT shelf, tenths, max(at) FROM incubator_reading WHERE incubator_id = ? AND shelf IS NOT NULL"
        " GROUP BY shelf",
        (incubator,),
    )
    return {int(shelf): (int(tenths), str(at)) for shelf, tenths, at in rows}
