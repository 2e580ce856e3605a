"""The story of an outage in words: what the readings say, what it cost, what is not known, and what not to do.

Development lost = hours * (1 - rate(T) / rate(set)), the rate a straight line above a temperature where it stops. That
temperature is not known for ball pythons: both ends of the profile's range are tried, which gives least and most.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.incubator import NO_LIMIT_C, Readings, Stretch, summary
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.quantities import Temperature

#: a pip is looked for when the hatch window is this near
NEAR_HATCH_DAYS = 3


@dataclass(frozen=True, slots=True)
class Outage:
    """An outage of an incubator: wall times, degrees Celsius; `noticed` by whom and `done` as the keeper wrote it.

    `unread_hours` of it passed without a reading; lowest and mean are those of the rest. `clock_forward_hours` by which
    the clock was put forward (negative: back) in between.
    """

    start: dt.datetime
    end: dt.datetime
    lowest_c: float
    mean_c: float
    set_c: float
    noticed: str = ""
    done: str = ""
    unread_hours: float = 0.0
    clock_forward_hours: float = 0.0

    @property
    def hours(self) -> float:
        """Hours that passed, whatever the clock said."""
        return (self.end - self.start).total_seconds() / 3600 - self.clock_forward_hours


@dataclass(frozen=True, slots=True)
class ClutchThen:
    """A clutch in the incubator: its name, laying day, and hatch window, the readings of the outage in it."""

    name: str
    laid: dt.date
    hatch: Window | None


@dataclass(frozen=True, slots=True)
class ClutchAfter:
    """What the outage means for one clutch; `look_for_pips` when its hatch window was open or near."""

    name: str
    day: int
    look_for_pips: bool
    told: Message


@dataclass(frozen=True, slots=True)
class OutageStory:
    """`delay_hours` least and most later; `clutches` in the order given; `told` the story itself."""

    delay_hours: tuple[float, float]
    clutches: tuple[ClutchAfter, ...]
    told: tuple[Message, ...]

    @property
    def delay_days(self) -> tuple[float, float]:
        """The same in days, as a forecast takes it."""
        return self.delay_hours[0] / 24, self.delay_hours[1] / 24


def delay_hours(hours: float, mean_c: float, set_c: float, stops_below_c: tuple[float, float]) -> tuple[float, float]:
    """Hours of development lost, least and most; none is lost in the warm (it is never "gained back").

    >>> low, high = delay_hours(9, 28.6, 31.5, (18, 24))
    >>> round(low, 1), round(high, 1)
    (1.9, 3.5)
    """
    lost = [hours * min(1.0, max(0.0, (set_c - mean_c) / (set_c - stop))) for stop in stops_below_c if set_c > stop]
    return (min(lost), max(lost)) if lost else (0.0, 0.0)


def outages(readings: Readings, set_c: float, low_c: float) -> tuple[Outage, ...]:
    """Outages that readings show: times below `low_c` (a degree below the setpoint, say), each joined with
    the gap in the readings that it touches.

    A gap between two readings inside the limits is no outage here; the summary of the readings names it.
    """
    found = summary(readings, low_c, NO_LIMIT_C)
    if found is None:
        return ()
    parts = with_gaps(found.below, found.gaps)
    return tuple(_outage(readings, start, end, unread, set_c) for start, end, unread in parts)


def with_gaps(outside: Sequence[Stretch], gaps: Sequence[Stretch]) -> list[tuple[dt.datetime, dt.datetime, float]]:
    """Stretches outside a limit, each joined with the gaps it touches: start, end, hours of it without a reading."""
    parts: list[tuple[dt.datetime, dt.datetime, float]] = [(s.start, s.end, 0.0) for s in outside]
    for gap in gaps:
        touching = [p for p in parts if p[0] == gap.end or p[1] == gap.start]
        if touching:
            start, end = min(gap.start, *(p[0] for p in touching)), max(gap.end, *(p[1] for p in touching))
            unread = gap.hours + sum(p[2] for p in touching)
            parts = [p for p in parts if p not in touching] + [(start, end, unread)]
    return sorted(parts)


def _outage(readings: Readings, start: dt.datetime, end: dt.datetime, unread: float, set_c: float) -> Outage:
    part = summary(readings.between(start, end), -NO_LIMIT_C, NO_LIMIT_C)
    lowest, mean = (set_c, set_c) if part is None else (part.lowest[0], part.mean_c)
    return Outage(start, end, lowest, mean, set_c, unread_hours=unread)


def outage_story(outage: Outage, clutches: Sequence[ClutchThen], profile: Profile) -> OutageStory:
    """An outage as it is told to the keeper."""
    stops = profile.incubation.stops_below_c
    # of hours without a reading the least is that nothing was lost in them
    least, _ = delay_hours(outage.hours - outage.unread_hours, outage.mean_c, outage.set_c, stops)
    _, most = delay_hours(outage.hours, outage.mean_c, outage.set_c, stops)
    delay = least, most
    return OutageStory(
        delay_hours=delay,
        clutches=tuple(_after(clutch, outage, delay) for clutch in clutches),
        told=(*_what_happened(outage), *_what_it_means(outage, delay, profile)),
    )


def _what_happened(outage: Outage) -> list[Message]:
    minutes = round(outage.hours * 60)
    told = [
        say("{start} to {end}, {hours} h {minutes} min: lowest {lowest}, mean {mean}, where {set} is set.",
            start=outage.start, end=outage.end, hours=minutes // 60, minutes=minutes % 60,
            lowest=Temperature.of(outage.lowest_c), mean=Temperature.of(outage.mean_c),
            set=Temperature.of(outage.set_c))
    ]  # fmt: skip
    if outage.clock_forward_hours:
        told.append(say("The clock was changed in between; these are the hours that passed."))
    if outage.unread_hours > 0:
        told.append(say("For {hours:.1f} hours of it there is no reading: it may have been colder then.",
                        hours=outage.unread_hours))  # fmt: skip
    return told + as_noted(outage.noticed, outage.done)


def as_noted(noticed: str, done: str) -> list[Message]:
    """Who noticed it and what was done, as the keeper wrote it; nothing of what was not written."""
    who, what = say("Noticed by {who}.", who=noticed), say("Done: {what}.", what=done)
    return [*([who] if noticed else []), *([what] if done else [])]


def _what_it_means(outage: Outage, delay: tuple[float, float], profile: Profile) -> list[Message]:
    high = profile[FigureKey.INCUBATOR_HIGH_C]
    critical = profile[FigureKey.INCUBATOR_CRITICAL_C]
    return [
        say("Hatching may come {low:.1f} to {high:.1f} hours later: nothing beside the width of a hatch window.",
            low=delay[0], high=delay[1])
        if delay[1] < 12
        else say("Hatching may come {low:.0f} to {high:.0f} hours later; the windows are moved and widened by that.",
                 low=delay[0], high=delay[1]),
        say("Do not raise the setpoint to catch up: heat is the greater danger, above {high} and all the more above "
            "{critical} ({mark}).", high=Temperature.of(high.value), critical=Temperature.of(critical.value),
            mark=str(high.provenance)),
        say("Not known: how much cold these eggs bear. No published figure was found, so this is neither "
            "called safe nor lost."),
        say("Not known: how cold the eggs themselves were; they change slower than the air around the probe."),
        say("Watch and wait; leave the lids on until the temperature is back."),
    ]  # fmt: skip


def _after(clutch: ClutchThen, outage: Outage, delay: tuple[float, float]) -> ClutchAfter:
    day = (outage.end.date() - clutch.laid).days
    near = clutch.hatch is not None and clutch.hatch.first - outage.end.date() <= dt.timedelta(days=NEAR_HATCH_DAYS)
    name, window = clutch.name, clutch.hatch
    if window is None:
        told = say("{name}, day {day}: no hatch window to move.", name=name, day=day)
    elif delay[1] >= 12:
        told = say("{name}, day {day}: window {first} to {last}; the cold, {low:.1f} to {high:.1f} days, is in it.",
                   name=name, day=day, first=window.first, last=window.last, low=delay[0] / 24,
                   high=delay[1] / 24)  # fmt: skip
        if near:
            told = say("{what} Look for pips now and daily.", what=told)
    elif near:
        told = say("{name}, day {day}: window {first} to {last} unchanged but for hours; look for pips now and daily.",
                   name=name, day=day, first=window.first, last=window.last)  # fmt: skip
    else:
        told = say("{name}, day {day}: window {first} to {last} unchanged, widened by hours.",
                   name=name, day=day, first=window.first, last=window.last)  # fmt: skip
    return ClutchAfter(name, day, near, told)
