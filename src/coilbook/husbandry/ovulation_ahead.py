"""When a female is to be expected to ovulate: by the calendar and her own past seasons, and by her follicles.

Two independent tellings of one day are multiplied: the day of the year, blended with the collection's and her own past
ovulations, and the days to go from the newest follicle, blended with what followed follicles before. Stays, locks and
a cooled rack move nothing: no number for them was found, and they would only seem to know.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from coilbook.husbandry.blending import Blend, PastInterval, blend
from coilbook.husbandry.day_curve import DayCurve, flat_curve
from coilbook.husbandry.figures import Event, FigureKey, Interval, OvulationCue, Provenance
from coilbook.husbandry.forecast import LEVELS, SHOWN, WORTH_TELLING, EventForecast
from coilbook.husbandry.forecast_words import not_yet, source_told, unseen
from coilbook.husbandry.known_day import KnownDay, days_between
from coilbook.husbandry.profile import FollicleTable, Profile
from coilbook.husbandry.season_stage import FollicleSeen
from coilbook.records.message import Message, say
from coilbook.records.season_vocabulary import FollicleMethod

_YEAR = 365.0
#: an 80% window from this many days on is called wide
_WIDE_DAYS = 28
_MAY, _OCTOBER = 5, 10


@dataclass(frozen=True, slots=True)
class OvulationCues:
    """What there is to tell by: `year` the first day its calendar is counted from, every follicle of the season."""

    year: dt.date
    follicles: tuple[FollicleSeen, ...] = ()


def calendar_from(season: dt.date) -> dt.date:
    """The day the profile's calendar counts from, for the season that begins on `season`.

    The profile is told for the north from 1 August on; whoever begins seasons from November to April is taken to
    live in the south, half a year later.

    >>> calendar_from(dt.date(2025, 9, 1)), calendar_from(dt.date(2026, 1, 1))
    (datetime.date(2025, 8, 1), datetime.date(2026, 2, 1))
    """
    if _MAY <= season.month <= _OCTOBER:
        return dt.date(season.year, 8, 1)
    return dt.date(season.year + (season.month > _OCTOBER), 2, 1)


def newest_telling(cues: OvulationCues, profile: Profile, until: dt.date) -> tuple[FollicleSeen, float] | None:
    """The newest follicle of a size that tells anything, with its median days to go; None without one."""
    for seen in reversed(cues.follicles):
        days = _table(seen, profile).days_to_go(_size(seen)) if seen.day <= until else None
        if days is not None:
            return seen, days
    return None


def past_cues(
    cues: OvulationCues, ovulated: KnownDay, whose: Hashable, profile: Profile, *, seen: bool
) -> tuple[PastInterval, ...]:
    """What an ovulation on record teaches; one that was only reckoned back (not `seen`) teaches the calendar alone.

    Days from a follicle are carried to the size the profile's middle is told for.
    """
    days, doubt = days_between(KnownDay.on(cues.year), ovulated)
    found = [PastInterval(Interval.SEASON_TO_OVULATION, whose, days, doubt)]
    before = newest_telling(cues, profile, ovulated.earliest - dt.timedelta(days=1)) if seen else None
    if before is not None:
        follicle, median = before
        interval = _interval(follicle)
        days, doubt = days_between(KnownDay.on(follicle.day), ovulated)
        factor = profile.intervals[interval].middle / median
        found.append(PastInterval(interval, whose, max(days, 0.5) * factor, doubt * factor))
    return tuple(found)


def reckoned_back(later: KnownDay, profile: Profile, *path: Interval) -> KnownDay:
    """An ovulation nobody saw, from the shed or the laying at the end of `path`; as unsure as those days are."""
    rules = [profile.intervals[interval] for interval in path]
    back = round(sum(r.middle for r in rules))
    variance = sum(r.collection**2 + r.female**2 + r.season**2 for r in rules) + later.doubt**2
    return KnownDay(later.earliest - dt.timedelta(back), later.latest - dt.timedelta(back), variance**0.5)


def ovulation_ahead(
    profile: Profile, cues: OvulationCues, past: Sequence[PastInterval], today: dt.date, whose: Hashable = None
) -> EventForecast:
    """The ovulation to be expected of `whose`, if she ovulates at all this season."""
    calendar = _blended(profile, Interval.SEASON_TO_OVULATION, past, whose)
    planned = calendar.curve.shifted(cues.year.toordinal())
    told = [_by_calendar(profile, cues.year, calendar)]
    telling = newest_telling(cues, profile, today)
    anchor = OvulationCue.SEASON
    if telling is not None:
        anchor = OvulationCue.FOLLICLE
        follicle, median = telling
        step = _from_follicle(profile, follicle, median, past, whose)
        seen = follicle.day.toordinal()
        waits = step.curve.shifted(seen).weighed_by_wait(seen)
        planned = _robust(planned, profile, cues.year).agreeing(waits) or waits
        told.append(_by_follicle(follicle, step, _table(follicle, profile).provenance))
    now = today.toordinal() - 0.5
    shown = planned.after(now)
    late = today > planned.window(LEVELS[-1]).last
    told += _doubts(profile, shown, telling is not None)
    if late:
        told.append(unseen())
    elif planned.cdf(now) > WORTH_TELLING:
        told.append(not_yet(today))
    return EventForecast(Event.OVULATION, anchor, shown, planned, late, tuple(told))


def _robust(calendar: DayCurve, profile: Profile, year: dt.date) -> DayCurve:
    """The calendar with room for seasons that keep to none, so that a follicle is never argued away by the month."""
    any_day = flat_curve(year.toordinal(), year.toordinal() + _YEAR)
    return any_day.mixed(calendar, profile.ovulation.odd_share)


def _blended(profile: Profile, interval: Interval, past: Sequence[PastInterval], whose: Hashable) -> Blend:
    return blend(profile.intervals[interval], [p for p in past if p.interval is interval], whose)


def _from_follicle(
    profile: Profile, seen: FollicleSeen, median: float, past: Sequence[PastInterval], whose: Hashable
) -> Blend:
    """Days from a follicle on, profile and history carried to its size."""
    interval = _interval(seen)
    rules = profile.intervals[interval]
    factor = median / rules.middle
    least, most = rules.claimed
    here = replace(rules, middle=median, claimed=(least * factor, most * factor))
    mine = [replace(p, days=p.days * factor, doubt=p.doubt * factor) for p in past if p.interval is interval]
    return blend(here, mine, whose)


def _interval(seen: FollicleSeen) -> Interval:
    scanned = seen.method is FollicleMethod.ULTRASOUND
    return Interval.SCAN_TO_OVULATION if scanned else Interval.FEEL_TO_OVULATION


def _table(seen: FollicleSeen, profile: Profile) -> FollicleTable:
    scanned = seen.method is FollicleMethod.ULTRASOUND
    return profile.ovulation.by_scan if scanned else profile.ovulation.by_feel


def _size(seen: FollicleSeen) -> float:
    return float((seen.mm if seen.method is FollicleMethod.ULTRASOUND else seen.grade) or 0)


def _by_calendar(profile: Profile, year: dt.date, step: Blend) -> Message:
    rules = profile.intervals[Interval.SEASON_TO_OVULATION]
    first, last = (year + dt.timedelta(round(days)) for days in rules.claimed)
    return say("By the season: {first} to {last} ({mark}), middle {day} with {source}.",
               first=first, last=last, mark=str(rules.middle_provenance),
               day=year + dt.timedelta(round(step.days)), source=source_told(step))  # fmt: skip


def _by_follicle(seen: FollicleSeen, step: Blend, mark: Provenance) -> Message:
    values: dict[str, object] = {"day": seen.day, "days": f"{step.days:.0f}", "mark": str(mark)}
    values["source"] = source_told(step)
    if seen.method is FollicleMethod.ULTRASOUND:
        return say("By {mm:g} mm on {day}: about {days} days from there ({mark}), with {source}.",
                   None, mm=seen.mm, **values)  # fmt: skip
    return say("By grade {grade} felt on {day}: about {days} days from there ({mark}), with {source}.",
               None, grade=seen.grade, **values)  # fmt: skip


def _doubts(profile: Profile, shown: DayCurve | None, by_follicle: bool) -> list[Message]:
    told = []
    days = 0 if shown is None else shown.window(SHOWN).days
    if days >= _WIDE_DAYS and by_follicle:
        told.append(say("{days} days wide: the inputs are weak.", days=days))
    elif days >= _WIDE_DAYS:
        told.append(say("{days} days wide: the inputs are weak; a scan narrows it.", days=days))
    lay = profile[FigureKey.PAIRED_FEMALES_THAT_LAY]
    told.append(say("It holds if she ovulates: follicles can still be resorbed ({share:.0f}% of paired females lay, "
                    "{mark}).", share=100 * lay.value, mark=str(lay.provenance)))  # fmt: skip
    told.append(say("Stays, locks and a cooled rack do not move it: no numbers for them are known."))
    return told
