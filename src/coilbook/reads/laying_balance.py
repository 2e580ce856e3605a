"""The balance of a female's mass with her clutch's, from her weights and meals around a laying."""

from __future__ import annotations

import datetime as dt

from coilbook.husbandry.mass_balance import Laying, MassBalance, Weighed, mass_balance
from coilbook.husbandry.profile import Profile
from coilbook.reads.egg_rows import ClutchNow
from coilbook.records.egg_vocabulary import ClutchMass
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import TAKEN_RESULTS
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection
from coilbook.storage.tables import ON_A_DAY

#: a weight this many days after laying no longer is the one after laying
_AFTER_DAYS = 14
#: follicles counted in a scan longer before laying say nothing of this clutch (it takes at most 60 days from ovulation;
#: `common practice`)
_COUNTED_DAYS = 60


def laying_balance(collection: Collection, clutch: ClutchNow, profile: Profile) -> MassBalance | None:
    """The balance of a clutch, or why there is none; None when the dam is not known."""
    if clutch.dam is None:
        return None
    first = clutch.laid.first - dt.timedelta(clutch.doubt_days)
    last = clutch.laid_day.latest + dt.timedelta(clutch.doubt_days)
    before, after = weights_around(collection, clutch.dam.id, first, last)
    laying = Laying(
        day=first,
        before=before,
        after=after,
        clutch_dg=_mass(clutch),
        unweighed=sum(egg.mass_dg is None and not egg.stuck for egg in clutch.eggs),
        laid=len(clutch.eggs),
        scanned=_counted(collection, clutch.dam.id, first),
        ate=after is not None and _ate(collection, clutch.dam.id, first, after.day),
        ate_before=before is not None and _ate(collection, clutch.dam.id, before.day, first - dt.timedelta(1)),
        latest=last if last != first else None,
    )
    return mass_balance(laying, profile)


def weights_around(
    collection: Collection, dam: AnimalId, first: dt.date, last: dt.date
) -> tuple[Weighed | None, Weighed | None]:
    """The last weight before the first day a laying can have been, and the first after it.

    Of the days it can have been, only a weight marked as after laying is one; from the day after on any is.
    """
    before = collection.read_one(
        f"SELECT at, mass_dg FROM weight WHERE animal_id = ? AND doubted = 0 AND {ON_A_DAY}"
        " AND tag <> 'after_laying' AND at < ?"
        " ORDER BY at DESC, id DESC LIMIT 1",
        (dam, first.isoformat()),
    )
    after = collection.read_one(
        f"SELECT at, mass_dg FROM weight WHERE animal_id = ?1 AND doubted = 0 AND {ON_A_DAY} AND at >= ?2 AND at < ?3"
        " AND (tag = 'after_laying' OR at >= ?4) ORDER BY at, id LIMIT 1",
        (dam, first.isoformat(), (last + dt.timedelta(_AFTER_DAYS)).isoformat(),
         (last + dt.timedelta(1)).isoformat()),
    )  # fmt: skip
    return _weighed(before), _weighed(after)


def _weighed(row: tuple[str, int] | None) -> Weighed | None:
    return Weighed(moment_from(row[0]).date(), int(row[1])) if row is not None else None


def _mass(clutch: ClutchNow) -> int | None:
    """What its eggs weigh as they stand corrected, else what was weighed as one."""
    masses = [egg.mass_dg for egg in clutch.eggs if egg.mass_dg is not None]
    if clutch.mass_kind is ClutchMass.EGGS and len(masses) == len(clutch.eggs):
        return sum(masses)
    return clutch.mass_dg


def _ate(collection: Collection, dam: AnimalId, first: dt.date, last: dt.date) -> bool:
    """Whether she took a meal on one of these days and kept it."""
    row = collection.read_one(
        "SELECT 1 FROM feeding f WHERE f.animal_id = ? AND f.result IN (?, ?) AND f.at >= ? AND f.at < ?"
        " AND NOT EXISTS (SELECT 1 FROM regurgitation r WHERE r.feeding_id = f.id) LIMIT 1",
        (dam, *(result.value for result in TAKEN_RESULTS), first.isoformat(), (last + dt.timedelta(1)).isoformat()),
    )
    return row is not None


def _counted(collection: Collection, dam: AnimalId, laid: dt.date) -> int | None:
    """What the last scan with both sides counted found in her; None without one."""
    row = collection.read_one(
        "SELECT count_left + count_right FROM follicle WHERE animal_id = ? AND method = 'ultrasound'"
        " AND count_left + count_right IS NOT NULL AND at >= ? AND at < ? ORDER BY at DESC, id DESC LIMIT 1",
        (dam, (laid - dt.timedelta(_COUNTED_DAYS)).isoformat(), laid.isoformat()),
    )
    return None if row is None else int(row[0])
