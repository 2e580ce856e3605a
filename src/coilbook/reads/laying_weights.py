"""A female's weights around a laying, for the balance of her mass with the clutch's."""

from __future__ import annotations

import datetime as dt

from coilbook.records.ids import AnimalId
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection

DayMass = tuple[dt.date, int]
#: a weight this many days after laying no longer is the one after laying
_AFTER_DAYS = 14


def weights_around(collection: Collection, dam: AnimalId, laid: dt.date) -> tuple[DayMass | None, DayMass | None]:
    """(day, tenths of a gram) of the last weight before the day of laying, and of the first marked as after it."""
    before = collection.read_one(
        "SELECT at, mass_dg FROM weight WHERE animal_id = ? AND doubted = 0 AND tag <> 'after_laying' AND at < ?"
        " ORDER BY at DESC, id DESC LIMIT 1",
        (dam, laid.isoformat()),
    )
    after = collection.read_one(
        "SELECT at, mass_dg FROM weight WHERE animal_id = ? AND doubted = 0 AND tag = 'after_laying'"
        " AND at >= ? AND at < ? ORDER BY at, id LIMIT 1",
        (dam, laid.isoformat(), (laid + dt.timedelta(_AFTER_DAYS)).isoformat()),
    )
    return _day(before), _day(after)


def _day(row: tuple[str, int] | None) -> DayMass | None:
    return (moment_from(row[0]).date(), int(row[1])) if row is not None else None
