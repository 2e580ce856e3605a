"""The stage of a female's season, derived from what was seen, with its reasons; never typed.

The last event that decides wins: laying over the pre-lay shed, that over ovulation, that over follicles and stays.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace

from coilbook.husbandry.figures import FigureKey, Interval, Provenance
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.season_vocabulary import FollicleMethod, LockCertainty, OvulationCertainty, SeasonStage

#: a pairing counts as going on for this long after the last stay (`from memory`)
PAIRING_DAYS = 42
#: follicles are news for this long; scans are made every 2 to 6 weeks (JHMS 26(3-4):108)
FOLLICLE_DAYS = 60
#: felt grades from here on are follicles of breeding size (`common practice`: "marble" and larger of 1 to 5)
FELT_GRADE = 3
#: without a weight she is taken to be through with recovering after this many days (`from memory`)
RECOVERY_DAYS = 270


@dataclass(frozen=True, slots=True)
class StaySeen:
    """A male with her; `last` None while he still is."""

    male: str
    first: dt.date
    last: dt.date | None


@dataclass(frozen=True, slots=True)
class LockSeen:
    """What was seen of a pair on a day."""

    day: dt.date
    certainty: LockCertainty


@dataclass(frozen=True, slots=True)
class FollicleSeen:
    """Largest follicle: `mm` of a scan, `grade` 1 to 5 of a palpation."""

    day: dt.date
    method: FollicleMethod
    mm: float | None = None
    grade: int | None = None


@dataclass(frozen=True, slots=True)
class SeasonEvents:
    """What was seen of one female in one season, each list in order of time.

    `start_dg` her weight when the season began, `weight_dg` her newest; `on_eggs` whether she keeps her eggs, until
    `off_eggs`; `over` the day the keeper wrote that she resorbed or did not take; `laid_before`
    when the clutches of the season before this one were laid.
    """

    stays: tuple[StaySeen, ...] = ()
    locks: tuple[LockSeen, ...] = ()
    follicles: tuple[FollicleSeen, ...] = ()
    cooled_since: dt.date | None = None
    ovulation: KnownDay | None = None
    ovulation_certainty: OvulationCertainty = OvulationCertainty.SEEN
    shed: KnownDay | None = None
    shed_is_sure: bool = True
    laid: KnownDay | None = None
    on_eggs: bool = False
    off_eggs: dt.date | None = None
    over: dt.date | None = None
    start_dg: int | None = None
    weight_dg: int | None = None
    laid_before: tuple[dt.date, ...] = ()


@dataclass(frozen=True, slots=True)
class FastTolerance:
    """Loss of weight while she fasts in this stage, as shares of the weight before the fast."""

    look: float
    alarm: float
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class StageFound:
    """A stage, since when, why, and how much loss a fast may bring; None where ordinary rules hold."""

    stage: SeasonStage
    since: dt.date | None
    reasons: tuple[Message, ...]
    tolerance: FastTolerance | None


def season_stage(events: SeasonEvents, today: dt.date, profile: Profile) -> StageFound:
    """The stage on a day, from what was seen until then."""
    tests: tuple[Callable[[SeasonEvents, dt.date, Profile], StageFound | None], ...] = (
        _after_laying, _given_up, _pre_lay, _gravid, _building, _pairing, _cooled,
    )  # fmt: skip
    for test in tests:
        found = test(events, today, profile)
        if found is not None:
            return _told_of_clutches_before(found, events)
    return _found(SeasonStage.RESTING, None, profile, _nothing_came(events))


def _nothing_came(events: SeasonEvents) -> Message:
    """Of a season without a sign of eggs: how far it came."""
    seen = [stay.last or stay.first for stay in events.stays] + [lock.day for lock in events.locks]
    if seen:
        return say("Last together with a male {day}; no sign of eggs is on record since.", day=max(seen))
    if events.follicles:
        return say("Follicles were last looked at {day}; nothing is on record since.", day=events.follicles[-1].day)
    return say("Nothing of this season is on record.")


def _told_of_clutches_before(found: StageFound, events: SeasonEvents) -> StageFound:
    if not events.laid_before:
        return found
    told = say("Clutch {n} of this season; the one before was laid {day}.", None,
               n=len(events.laid_before) + 1, day=events.laid_before[-1])  # fmt: skip
    return replace(found, reasons=(told, *found.reasons))


def _found(stage: SeasonStage, since: dt.date | None, profile: Profile, *reasons: Message) -> StageFound:
    return StageFound(stage, since, reasons, tolerance_of(stage, profile))


def tolerance_of(stage: SeasonStage, profile: Profile) -> FastTolerance | None:
    """How much loss a fast may bring in a stage; None where ordinary rules hold."""
    if stage in (SeasonStage.GRAVID, SeasonStage.PRE_LAY, SeasonStage.BROODING):
        look, alarm = profile[FigureKey.GRAVID_LOSS_LOOK], profile[FigureKey.GRAVID_LOSS_ALARM]
    elif stage in (SeasonStage.BUILDING, SeasonStage.PAIRING):
        look, alarm = profile[FigureKey.BUILDING_LOSS_LOOK], profile[FigureKey.BUILDING_LOSS_ALARM]
    else:
        return None
    return FastTolerance(look.value, alarm.value, alarm.provenance)


def _after_laying(events: SeasonEvents, today: dt.date, profile: Profile) -> StageFound | None:
    if events.laid is None:
        return None
    laid = events.laid.earliest
    days = (today - laid).days
    told = say("Laid {day}, day {days} (day of laying is day 0).", day=laid, days=days)
    if not events.laid.is_exact:
        middle = dt.date.fromordinal(round(events.laid.middle))
        told = say("Laid about {day}, day {days} give or take {doubt} (day of laying is day 0).", day=middle,
                   days=(today - middle).days, doubt=events.laid.give_or_take)  # fmt: skip
    if events.on_eggs and events.off_eggs is None:
        return _found(SeasonStage.BROODING, laid, profile, told, say("She keeps her eggs."))
    since = events.off_eggs or laid
    share = profile.value(FigureKey.RECOVERED_SHARE)
    if events.start_dg is None or events.weight_dg is None:
        stage = SeasonStage.RECOVERING if days <= RECOVERY_DAYS else SeasonStage.RESTING
        return _found(stage, since, profile, told, say("Whether she has recovered is not known: a weight is missing."))
    weight = say("{now} now, {start} when the season began ({percent:.0f}%; {share:.0f}% counts as recovered).",
                 now=Mass(events.weight_dg), start=Mass(events.start_dg),
                 percent=100 * events.weight_dg / events.start_dg, share=100 * share)  # fmt: skip
    recovered = events.weight_dg >= share * events.start_dg
    return _found(SeasonStage.RESTING if recovered else SeasonStage.RECOVERING, since, profile, told, weight)


def _given_up(events: SeasonEvents, _today: dt.date, profile: Profile) -> StageFound | None:
    if events.over is None:
        return None
    told = say("Resorbed or did not take, written {day}.", day=events.over)
    return _found(SeasonStage.RESTING, events.over, profile, told)


def _pre_lay(events: SeasonEvents, today: dt.date, profile: Profile) -> StageFound | None:
    if events.shed is None or not events.shed_is_sure:
        return None
    day = events.shed.latest
    told = [say("Pre-lay shed {day}, {n} day ago.", "Pre-lay shed {day}, {n} days ago.", day=day, n=(today - day).days)]
    told.extend(_overdue((today - day).days, profile, Interval.SHED_TO_LAYING))
    nest = profile.value(FigureKey.NEST_DAYS_AFTER_SHED)
    if (today - day).days >= nest > 0:
        told.append(say("Something to lay in belongs in the tub from day {days:.0f} on ({mark}).",
                        days=nest, mark=str(profile[FigureKey.NEST_DAYS_AFTER_SHED].provenance)))  # fmt: skip
    return _found(SeasonStage.PRE_LAY, day, profile, *told)


def _gravid(events: SeasonEvents, today: dt.date, profile: Profile) -> StageFound | None:
    if events.ovulation is None:
        return None
    day = events.ovulation.earliest
    told = [say("Ovulation {day} ({certainty}), {n} day ago.", "Ovulation {day} ({certainty}), {n} days ago.",
                day=day, certainty=events.ovulation_certainty, n=(today - day).days)]  # fmt: skip
    told.extend(_overdue((today - day).days, profile, Interval.OVULATION_TO_SHED, Interval.SHED_TO_LAYING))
    if events.ovulation_certainty is OvulationCertainty.UNSURE:
        told.append(say("An unsure ovulation can have been a meal: the stage is as unsure."))
    if events.shed is not None:
        told.append(say("The shed of {day} may have been the pre-lay shed; that is left open.", day=events.shed.latest))
    return _found(SeasonStage.GRAVID, day, profile, *told)


def _overdue(days: int, profile: Profile, *path: Interval) -> list[Message]:
    """Told when laying is later than anybody claims it can be."""
    longest = sum(profile.intervals[interval].claimed[1] for interval in path)
    if days <= longest:
        return []
    return [say("Later than the {longest:.0f} days that are claimed at most: was a laying, a resorption or a mistaken "
                "ovulation left unwritten?", longest=longest)]  # fmt: skip


def _building(events: SeasonEvents, today: dt.date, profile: Profile) -> StageFound | None:
    recent = [f for f in events.follicles if (today - f.day).days <= FOLLICLE_DAYS]
    scanned = [f for f in recent if f.method is FollicleMethod.ULTRASOUND and f.mm is not None]
    felt = [f for f in recent if f.method is FollicleMethod.PALPATION and f.grade is not None]
    told: list[Message] = []
    building, dominant = profile.value(FigureKey.FOLLICLE_BUILDING_MM), profile[FigureKey.FOLLICLE_DOMINANT_MM]
    since: list[dt.date] = []
    if scanned and scanned[-1].mm is not None and scanned[-1].mm >= building:
        last = scanned[-1]
        told.append(say("Follicles of {mm:.0f} mm on {day}, by ultrasound.", mm=last.mm, day=last.day))
        if last.mm is not None and last.mm >= dominant.value:
            told.append(say("From {mm:.0f} mm they count as large ({mark}).",
                            mm=dominant.value, mark=str(dominant.provenance)))  # fmt: skip
        since.append(last.day)
    if felt and (felt[-1].grade or 0) >= FELT_GRADE:
        told.append(say("Follicles felt on {day}, grade {grade} of 5.", day=felt[-1].day, grade=felt[-1].grade or 0))
        since.append(felt[-1].day)
    if not told:
        return None
    return _found(SeasonStage.BUILDING, min(since), profile, *told, *_paired(events, today))


def _pairing(events: SeasonEvents, today: dt.date, profile: Profile) -> StageFound | None:
    told = _paired(events, today)
    return _found(SeasonStage.PAIRING, events.stays[0].first, profile, *told) if told else None


def _paired(events: SeasonEvents, today: dt.date) -> tuple[Message, ...]:
    """Stays and locks that still count, in words."""
    told: list[Message] = []
    if events.stays:
        last = events.stays[-1]
        if last.last is None:
            told.append(say("{male} is with her, {n} day.", "{male} is with her, {n} days.",
                            male=last.male, n=(today - last.first).days))  # fmt: skip
        elif (today - last.last).days <= PAIRING_DAYS:
            told.append(say("{male} was with her until {day}.", male=last.male, day=last.last))
    locks = [lock for lock in events.locks if lock.certainty is not LockCertainty.COURTING]
    if told and locks:
        told.append(say("Last lock {day} ({certainty}).", day=locks[-1].day, certainty=locks[-1].certainty))
    return tuple(told)


def _cooled(events: SeasonEvents, _today: dt.date, profile: Profile) -> StageFound | None:
    if events.cooled_since is None:
        return None
    told = say("Her rack has been cooled since {day}.", day=events.cooled_since)
    return _found(SeasonStage.COOLED, events.cooled_since, profile, told)
