"""Who may have sired a clutch, before anything hatched: odds from stays, locks and stored sperm, with the rule told.

The weights are a rule of thumb (`from memory`; no published figure was found): a paternity test or the looks of the
young outrank them. Where males were together with her in several seasons, sperm of an earlier one may have been kept
(5 and 6 years are on record for pitvipers: Booth & Schuett 2011; Levine, Schuett & Booth 2021, both from memory).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.forecast import curve_of
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.season_vocabulary import LockCertainty

#: points; a day together counts one
LOCK_POINTS = {LockCertainty.LOCK: 10.0, LockCertainty.LIKELY: 3.0, LockCertainty.COURTING: 1.0}
#: a stay of many days is not many stays
MOST_DAYS = 5
#: what happened this close before ovulation counts in full, half of it up to twice as long before, then a tenth
NEAR_DAYS = 60
FAR_DAYS = 2 * NEAR_DAYS
STORED_POINTS = 0.3
UNKNOWN_POINTS = 0.1


@dataclass(frozen=True, slots=True)
class StayWithLocks:
    """A male with her; days inclusive, `last` None while it lasts. `locks` are (day, what was seen)."""

    male: str
    first: dt.date
    last: dt.date | None
    locks: tuple[tuple[dt.date, LockCertainty], ...] = ()


@dataclass(frozen=True, slots=True)
class SireShare:
    """A candidate's probability; `male` empty for one not on record; `stored` when he was there earlier only."""

    male: str
    share: float
    stored: bool
    because: tuple[Message, ...]


def sire_prior(
    stays: Sequence[StayWithLocks], ovulation: KnownDay, season_start: dt.date, profile: Profile
) -> tuple[SireShare, ...]:
    """Candidates with their probabilities, likeliest first; they sum to one.

    `ovulation` seen or reckoned back from the laying; where it is not known to the day every day it can have been
    counts by its chance. Stays that began before `season_start` are of earlier seasons, save one that lasted until
    `FAR_DAYS` before ovulation or less: where a season is said to begin says nothing of her.
    """
    days = _days_of(ovulation)
    points: dict[str, float] = {}
    because: dict[str, list[Message]] = {}
    for stay in stays:
        if not _is_earlier(stay, ovulation, season_start):
            worth = sum(chance * _worth(stay, day) for day, chance in days)
            points[stay.male] = points.get(stay.male, 0.0) + worth
            because.setdefault(stay.male, []).append(_told(stay, ovulation))
    present = {male for male, worth in points.items() if worth > 0}
    longest = dt.timedelta(days=365.25 * profile.value(FigureKey.STORED_SPERM_YEARS))
    stored = _earlier(stays, present, ovulation, longest, season_start)
    for male, last in stored.items():
        points[male] = points.get(male, 0.0) + STORED_POINTS
        told = say("With her last on {day}, in an earlier season: only as stored sperm, which is rare.", day=last)
        because.setdefault(male, []).append(told)
    total = sum(points.values()) + UNKNOWN_POINTS
    shares = [SireShare(m, p / total, m in stored, tuple(because[m])) for m, p in points.items() if p > 0]
    unknown = SireShare("", UNKNOWN_POINTS / total, False, (say("A male not on record, or none."),))
    return (*sorted(shares, key=lambda s: (-s.share, s.male)), unknown)


def rule_told() -> tuple[Message, ...]:
    """The rule in sentences, for the explanation behind the odds."""
    return (
        say("Each day together before ovulation counts one point, at most {most} a stay; a lock seen {lock:.0f}, a "
            "likely one {likely:.0f}, courting {courting:.0f}.", most=MOST_DAYS, lock=LOCK_POINTS[LockCertainty.LOCK],
            likely=LOCK_POINTS[LockCertainty.LIKELY], courting=LOCK_POINTS[LockCertainty.COURTING]),
        say("More than {near} days before ovulation half, more than {far} a tenth; after ovulation nothing. Where its "
            "day is not known, every day it can have been counts by its chance.", near=NEAR_DAYS, far=FAR_DAYS),
        say("A male of earlier seasons, last with her more than {far} days before ovulation, counts {stored} of a "
            "point, one not on record {unknown}.",
            far=FAR_DAYS, stored=str(STORED_POINTS), unknown=str(UNKNOWN_POINTS)),
        say("These are weights from memory, not measured odds; what hatches and tests outrank them."),
    )  # fmt: skip


def _days_of(ovulation: KnownDay) -> list[tuple[dt.date, float]]:
    """Every day ovulation can have been on, with its chance."""
    if ovulation.is_exact:
        return [(ovulation.earliest, 1.0)]
    curve = curve_of(ovulation)
    first, last = (round(curve.quantile(share)) for share in (0.001, 0.999))
    chances = [(day, curve.cdf(day + 0.5) - curve.cdf(day - 0.5)) for day in range(first, last + 1)]
    total = sum(chance for _, chance in chances)
    return [(dt.date.fromordinal(day), chance / total) for day, chance in chances]


def _worth(stay: StayWithLocks, ovulation: dt.date) -> float:
    """Points of a stay when she ovulated on that day."""
    last = min(stay.last or ovulation, ovulation)
    days = (last - stay.first).days + 1
    if days <= 0:
        return 0.0
    worth = min(days, MOST_DAYS) * _nearness(ovulation, last)
    locks = [(day, seen) for day, seen in stay.locks if day <= ovulation]
    return worth + sum(LOCK_POINTS[seen] * _nearness(ovulation, day) for day, seen in locks)


def _told(stay: StayWithLocks, ovulation: KnownDay) -> Message:
    middle = dt.date.fromordinal(round(ovulation.middle))
    if stay.first > middle and ovulation.is_exact:
        return say("With her from {day}, after ovulation.", day=stay.first)
    if stay.first > middle:
        return say("With her from {day}, after ovulation if it was on {middle}, which is not known to the day.",
                   day=stay.first, middle=middle)  # fmt: skip
    last = min(stay.last or middle, middle)
    locks = [(day, seen) for day, seen in stay.locks if day <= middle]
    if not locks:
        return say("With her {first} to {last}.", first=stay.first, last=last)
    day, seen = max(locks, key=lambda lock: LOCK_POINTS[lock[1]])
    return say("With her {first} to {last}; {seen} on {day}.", first=stay.first, last=last, seen=seen, day=day)


def _nearness(ovulation: dt.date, day: dt.date) -> float:
    before = (ovulation - day).days
    return 1.0 if before <= NEAR_DAYS else 0.5 if before <= FAR_DAYS else 0.1


def _is_earlier(stay: StayWithLocks, ovulation: KnownDay, season_start: dt.date) -> bool:
    """Whether a stay is of an earlier season: begun in it, and over too long before ovulation to be an ordinary one."""
    if stay.first >= season_start or stay.last is None:
        return False
    return (ovulation.earliest - stay.last).days > FAR_DAYS


def _earlier(
    stays: Sequence[StayWithLocks], present: set[str], ovulation: KnownDay, longest: dt.timedelta, season_start: dt.date
) -> dict[str, dt.date]:
    """Males of earlier seasons not with her in this one, with the last day of each."""
    found: dict[str, dt.date] = {}
    for stay in stays:
        last = stay.last or stay.first
        recent = last >= ovulation.earliest - longest
        if recent and _is_earlier(stay, ovulation, season_start) and stay.male not in present:
            found[stay.male] = max(last, found.get(stay.male, last))
    return found
