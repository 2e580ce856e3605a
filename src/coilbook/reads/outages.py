"""Outages and heat of an incubator, found in its readings, with who noticed and what was done then."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.heat import Heat, HeatStory, heat_story, spells_of_heat
from coilbook.husbandry.outage import ClutchThen, Outage, OutageStory, outage_story, outages
from coilbook.husbandry.profile import Profile
from coilbook.reads.egg_rows import BoxNowRow, IncubatorNow
from coilbook.reads.hatch_windows import HatchWindow
from coilbook.reads.incubator_readings import most_noted, readings_of
from coilbook.records.egg_vocabulary import MAY_HATCH
from coilbook.records.ids import ClutchId, IncubatorId
from coilbook.records.when import moment_text
from coilbook.storage.collection import Collection

#: colder than the setpoint by this much for this long is told as an outage (from memory)
COLDER_C, LEAST_HOURS = 1.0, 1.0
#: a logger's reading just above the limit for less than this (hours) is a lid that was opened (from memory)
_LEAST_WARM_HOURS = 0.5
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


@dataclass(frozen=True, slots=True)
class HeatSeen:
    """A time one incubator was too warm, the newest first in a list."""

    incubator: IncubatorId
    name: str
    heat: Heat


def recent_heat(
    collection: Collection, there: Sequence[IncubatorNow], now: dt.datetime, profile: Profile
) -> tuple[HeatSeen, ...]:
    """Every time above the profile's high limit in the last days, newest first, whatever an incubator is set to.

    What only the most of a thermometer tells is one of its own where no reading of that time is above the limit.
    """
    found = []
    until = now.replace(tzinfo=None)
    since = until - dt.timedelta(DAYS_BACK)
    for incubator in there:
        spells = list(spells_of_heat(readings_of(collection, incubator.id, since, until), profile))
        for start, end, most in most_noted(collection, incubator.id, since, until):
            _add_most(spells, start, end, most, profile)
        for spell in spells:
            if spell.critical or spell.only_most or not 0 < spell.hours_above < _LEAST_WARM_HOURS:
                noticed, done = _noted(collection, incubator.id, spell.start, spell.end)
                found.append(HeatSeen(incubator.id, incubator.name, replace(spell, noticed=noticed, done=done)))
    return tuple(sorted(found, key=lambda one: one.heat.start, reverse=True))


def worst_heat(seen: Sequence[HeatSeen]) -> HeatSeen | None:
    """The one to tell: one that went where eggs are in danger before a newer one that did not; None without any."""
    return max(seen, key=lambda one: (one.heat.critical, one.heat.end), default=None)


def _add_most(spells: list[Heat], start: dt.datetime, end: dt.datetime, most: float, profile: Profile) -> None:
    high, critical = profile.value(FigureKey.INCUBATOR_HIGH_C), profile.value(FigureKey.INCUBATOR_CRITICAL_C)
    if most <= high:
        return
    for number, spell in enumerate(spells):
        if spell.start <= end and start <= spell.end:
            if most > spell.highest_c:
                spells[number] = replace(spell, highest_c=most, highest_at=None)
            return
    spells.append(Heat(start, end, most, None, high, critical, only_most=True))


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
    then = _clutches_then(seen.incubator, seen.outage.end.date(), boxes, windows)
    return outage_story(seen.outage, then, profile)


def heat_story_of(
    seen: HeatSeen, boxes: Sequence[BoxNowRow], windows: Mapping[ClutchId, HatchWindow], profile: Profile
) -> HeatStory:
    """What heat means for every clutch that lay in that incubator and may still hatch."""
    return heat_story(seen.heat, _clutches_then(seen.incubator, seen.heat.end.date(), boxes, windows), profile)


def _clutches_then(
    incubator: IncubatorId, day: dt.date, boxes: Sequence[BoxNowRow], windows: Mapping[ClutchId, HatchWindow]
) -> list[ClutchThen]:
    then = []
    for box in boxes:
        for clutch in box.clutches if box.incubator == incubator else ():
            if clutch.laid.first > day or not any(e.state in MAY_HATCH for e in clutch.eggs):
                continue
            window = windows.get(clutch.id)
            laid = dt.date.fromordinal(round(clutch.laid_day.middle))
            then.append(ClutchThen(clutch.label, laid, window.ahead if window is not None else None))
    return then
