"""Outages of an incubator, found in its readings, with who noticed and what was done then."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from coilbook.husbandry.outage import ClutchThen, Outage, OutageStory, outage_story, outages
from coilbook.husbandry.profile import Profile
from coilbook.reads.egg_rows import BoxNowRow, IncubatorNow
from coilbook.reads.hatch_windows import HatchWindow
from coilbook.reads.incubator_readings import readings_of
from coilbook.records.egg_vocabulary import MAY_HATCH
from coilbook.records.ids import ClutchId, IncubatorId
from coilbook.records.when import moment_text
from coilbook.storage.collection import Collection

#: colder than the setpoint by this much for this long is told as an outage (from memory)
COLDER_C, LEAST_HOURS = 1.0, 1.0
#: outages further back than this are in the readings, and no longer told
DAYS_BACK = 14
#: less than this (hours) is the step over the hour a clock skips
_SKIPPED = 0.5
#: what was written this long after an outage still belongs to it
_NOTED_HOURS = 12


@dataclass(frozen=True, slots=True)
class OutageSeen:
    """An outage of one incubator, the newest first in a list."""

    incubator: IncubatorId
    name: str
    outage: Outage


def recent_outages(collection: Collection, there: Sequence[IncubatorNow], now: dt.datetime) -> tuple[OutageSeen, ...]:
    """Every outage of the last days, newest first; none of an incubator whose setpoint is not known."""
    found = []
    until = now.replace(tzinfo=None)
    for incubator in there:
        if incubator.set_tenths is None:
            continue
        set_c = incubator.set_tenths / 10
        readings = readings_of(collection, incubator.id, until - dt.timedelta(DAYS_BACK), until)
        for one in outages(readings, set_c, set_c - COLDER_C):
            forward = _clock_forward(one.start, one.end)
            # the hour a clock skips is no hour without a reading
            unread = max(0.0, one.unread_hours - max(0.0, forward))
            cold = replace(one, clock_forward_hours=forward, unread_hours=unread if unread >= _SKIPPED else 0.0)
            if cold.hours >= LEAST_HOURS:
                noticed, done = _noted(collection, incubator.id, cold.start, cold.end)
                found.append(OutageSeen(incubator.id, incubator.name, replace(cold, noticed=noticed, done=done)))
    return tuple(sorted(found, key=lambda one: one.outage.start, reverse=True))


def _clock_forward(start: dt.datetime, end: dt.datetime) -> float:
    """Hours by which the clock of this machine's zone was put forward between two wall times."""
    before, after = start.astimezone().utcoffset(), end.astimezone().utcoffset()
    return 0.0 if before is None or after is None else (after - before).total_seconds() / 3600


def _noted(collection: Collection, incubator: IncubatorId, start: dt.datetime, end: dt.datetime) -> tuple[str, str]:
    """Who wrote a note about it, and the notes."""
    rows = collection.read(
        "SELECT r.note, a.person_name FROM incubator_reading r JOIN change c ON c.tbl = 'incubator_reading'"
        " AND c.row = r.id AND c.op = 'I' JOIN act a ON a.id = c.act WHERE r.incubator_id = ? AND r.note <> ''"
        " AND r.at BETWEEN ? AND ? ORDER BY r.at, r.id",
        (incubator, moment_text(start), moment_text(end + dt.timedelta(hours=_NOTED_HOURS))),
    )
    people = list(dict.fromkeys(str(person) for _, person in rows if person))
    return ", ".join(people), "; ".join(dict.fromkeys(str(note) for note, _ in rows))


def story_of(
    seen: OutageSeen, boxes: Sequence[BoxNowRow], windows: Mapping[ClutchId, HatchWindow], profile: Profile
) -> OutageStory:
    """What an outage means for every clutch that lay in that incubator and may still hatch."""
    then = []
    for box in boxes:
        for clutch in box.clutches if box.incubator == seen.incubator else ():
            if clutch.laid.first > seen.outage.end.date() or not any(e.state in MAY_HATCH for e in clutch.eggs):
                continue
            window = windows.get(clutch.id)
            laid = dt.date.fromordinal(round(clutch.laid_day.middle))
            then.append(ClutchThen(clutch.label, laid, window.ahead if window is not None else None))
    return outage_story(seen.outage, then, profile)
