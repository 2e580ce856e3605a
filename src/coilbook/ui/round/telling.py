"""The words of the round: what is due and why, what the tray holds, what a state is called."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping

from coilbook.husbandry.waits import HOLD_DAYS
from coilbook.operations.weighing import COMPARED_DAYS
from coilbook.reads.health_now import course_words, short_words
from coilbook.reads.round import Offer, RoundAnimal, RoundState, RoundTime, Tub
from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.vocabulary import FeedingResult
from coilbook.records.when import moment_from
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words


def prey_words(animal: RoundAnimal) -> str:
    """What she gets: "medium rat, f/t"."""
    return f"{animal.prey}, {words(animal.prey_state)}" if animal.prey else translated("prey not said")


def tray_words(prey: Mapping[str, int]) -> str:
    """Counts by prey, the word they all end in left out: "2 medium, 9 small, 25 weaned".

    >>> tray_words({"medium rat": 2, "small rat": 9})
    '2 medium, 9 small'
    """
    kinds = [kind.split() for kind in prey if kind]
    last = {kind[-1] for kind in kinds}
    drop = len(last) == 1 and len(kinds) > 1 and all(len(kind) > 1 for kind in kinds)
    named = {kind: (" ".join(kind.split()[:-1]) if drop and kind else kind) for kind in prey}
    parts = [f"{count} {named[kind] or translated('prey not said')}" for kind, count in prey.items() if count]
    return ", ".join(parts)


def due_words(animal: RoundAnimal, time: RoundTime) -> str:
    """Since when she is due, in three words or so."""
    if animal.next_due is None:
        return translated("never offered here")
    late = (time.day - animal.next_due).days
    if late == 0:
        return translated("due today")
    if late > 0:
        return translated_plural("due {n} day ago", "due {n} days ago", late)
    return translated_plural("due in {n} day", "due in {n} days", -late)


def fed_words(animal: RoundAnimal, time: RoundTime, style: Style) -> str:
    """Last offer and interval: "last offer 10 days ago, interval 10 d", on two lines."""
    past = [offer for offer in animal.offers if offer.at < time.since]
    interval = translated("interval {n} d").format(n=animal.interval_days)
    if not past:
        return translated("no offer on record,\n{interval}").format(interval=interval)
    ago = style.days_ago(moment_from(past[0].at).date(), time.day)
    return translated("last offer {ago},\n{interval}").format(ago=ago, interval=interval)


def look_words(animal: RoundAnimal, style: Style) -> tuple[str, str]:
    """Genetics, and when she hatched."""
    hatched = translated("hatched {date}").format(date=style.date(animal.hatched)) if animal.hatched else ""
    return animal.genetics, hatched


def last_weight_words(animal: RoundAnimal, time: RoundTime, style: Style) -> str:
    """The last weight, and from where to where a new one is written without a question."""
    if animal.weight_dg is None:
        return translated("No weight of this animal is on record.")
    mass = style.mass(animal.weight_dg)
    if animal.weight_at is None:
        last = translated("Last {mass}, on a day not said.").format(mass=mass)
    else:
        day = moment_from(animal.weight_at).date()
        last = translated("Last {mass} on {date}.").format(mass=mass, date=style.date(day, year=False))
        if (time.day - day).days >= COMPARED_DAYS:
            return last
    allowed = style.settings.weight_ask_percent
    low, high = (animal.weight_dg * (100 + by) // 1000 * 10 for by in (-allowed, allowed))
    asks = translated("Under {low} or over {high} asks once.").format(low=style.mass(low), high=style.mass(high))
    return f"{last}\n{asks}"


def offer_words(offer: Offer) -> str:
    """The result of an offer with its reason: "refused, in blue"."""
    result = words(offer.result)
    return f"{result}, {words(offer.reason)}" if offer.reason is not None else result


def hold_words(animal: RoundAnimal, style: Style) -> str:
    """Why no meal should be left in unasked, or nothing."""
    if animal.rest_from is not None:
        end = moment_from(animal.rest_from).date() + dt.timedelta(days=HOLD_DAYS)
        return translated("at rest after a meal came back, until {date}").format(date=style.date(end, year=False))
    if animal.blue_at is not None:
        since = style.date(moment_from(animal.blue_at).date(), year=False)
        return translated("in blue since {date}").format(date=since)
    return ""


def health_words(animal: RoundAnimal, time: RoundTime, style: Style) -> str:
    """Which treatment or quarantine of hers goes on, and when something of it is due."""
    return "; ".join(render(course_words(course, time.day), style) for course in animal.courses)


def health_mark(tub: Tub, animal: RoundAnimal, time: RoundTime, style: Style) -> str:
    """What must be seen beside the slot whatever else there is to say: quarantine by place or record, treatment."""
    told = [render(short_words(course, time.day), style) for course in animal.courses]
    by_record = any(course.kind is CourseKind.QUARANTINE for course in animal.courses)
    return ", ".join(dict.fromkeys([*([translated("quarantine")] if tub.quarantine and not by_record else []), *told]))


def state_words(animal: RoundAnimal, state: RoundState, style: Style) -> str:
    """Where she stands in this round, when something was written already."""
    if state is RoundState.OPEN:
        offer = animal.open_offer
        when = style.moment(offer.at, year=False) if offer else ""
        return translated("left in {when}: how did it end?").format(when=when)
    if state in (RoundState.TODO, RoundState.NOT_DUE):
        return ""
    return translated("written: {result}").format(result=words(FeedingResult(state.value)))


def counts_words(results: Counter[RoundState]) -> str:
    """ "21 offered, 1 not offered"."""
    none = results[RoundState.NOT_OFFERED]
    offered = sum(results.values()) - none
    parts = [translated_plural("{n} offered", "{n} offered", offered)]
    if none:
        parts.append(translated_plural("{n} not offered", "{n} not offered", none))
    return ", ".join(parts)
