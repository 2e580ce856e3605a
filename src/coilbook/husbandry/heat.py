"""The story of an overheated incubator in words: what the readings say, what is not known, what to do and what not.

What heat costs eggs is no number here: none was found for ball pythons. It is told apart from cold, since it is the
greater danger and no later hatching shows it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.incubator import NO_LIMIT_C, Readings, hours_above, summary
from coilbook.husbandry.outage import ClutchAfter, ClutchThen, as_noted, with_gaps
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.quantities import Temperature

#: two spells above the limit this near to each other (hours) are one, told once (from memory)
_ONE_SPELL_HOURS = 2.0


@dataclass(frozen=True, slots=True)
class Heat:
    """A time above the high limit: wall times, degrees Celsius.

    `hours_above` of it lay above the limit as far as readings tell, nought where one reading alone does; `unread_hours`
    passed without a reading. `highest_at` is None where a thermometer kept the highest between looks; `only_most` when
    nothing else tells of it: it was then at some time from `start` to `end`. `noticed` by whom and `done` as the keeper
    wrote it.
    """

    start: dt.datetime
    end: dt.datetime
    highest_c: float
    highest_at: dt.datetime | None
    limit_c: float
    critical_c: float
    hours_above: float = 0.0
    unread_hours: float = 0.0
    only_most: bool = False
    noticed: str = ""
    done: str = ""

    @property
    def critical(self) -> bool:
        """Whether it went to where eggs are taken to be in danger."""
        return self.highest_c >= self.critical_c


@dataclass(frozen=True, slots=True)
class HeatStory:
    """`clutches` in the order given; `told` the story itself."""

    clutches: tuple[ClutchAfter, ...]
    told: tuple[Message, ...]


def spells_of_heat(readings: Readings, profile: Profile) -> tuple[Heat, ...]:
    """Times above the profile's high limit that readings show, each with the gaps in the readings that it touches."""
    high, critical = profile.value(FigureKey.INCUBATOR_HIGH_C), profile.value(FigureKey.INCUBATOR_CRITICAL_C)
    found = summary(readings, -NO_LIMIT_C, high)
    if found is None:
        return ()
    spells: list[list[tuple[dt.datetime, dt.datetime, float]]] = []
    for part in with_gaps(found.above, found.gaps):
        near = spells and (part[0] - spells[-1][-1][1]).total_seconds() / 3600 <= _ONE_SPELL_HOURS
        if near:
            spells[-1].append(part)
        else:
            spells.append([part])
    return tuple(_heat(readings, spell, high, critical) for spell in spells)


def _heat(
    readings: Readings, spell: Sequence[tuple[dt.datetime, dt.datetime, float]], high: float, critical: float
) -> Heat:
    start, end = spell[0][0], spell[-1][1]
    part = summary(readings.between(start, end), -NO_LIMIT_C, high)
    assert part is not None
    hours, unread = hours_above(readings, start, end, high), sum(hours for _, _, hours in spell)
    return Heat(start, end, *part.highest, high, critical, hours, unread)


def heat_story(heat: Heat, clutches: Sequence[ClutchThen], profile: Profile) -> HeatStory:
    """A time too warm as it is told to the keeper."""
    return HeatStory(
        clutches=tuple(_after(clutch, heat) for clutch in clutches),
        told=(*_what_happened(heat), *_what_it_means(heat, profile)),
    )


def _what_happened(heat: Heat) -> list[Message]:
    told = [_when(heat)]
    if heat.unread_hours > 0:
        told.append(say("For {hours:.1f} hours beside it there is no reading: it may have been warmer, and for longer.",
                        hours=heat.unread_hours))  # fmt: skip
    return told + as_noted(heat.noticed, heat.done)


def _when(heat: Heat) -> Message:
    highest, limit = Temperature.of(heat.highest_c), Temperature.of(heat.limit_c)
    if heat.only_most:
        return say("{highest} was the most between {start} and {end}; when, and for how long, is not known.",
                   highest=highest, start=heat.start, end=heat.end)  # fmt: skip
    if heat.hours_above == 0 and heat.highest_at is not None:
        return say("{highest} was read on {at}; for how long it was so warm is not known.",
                   highest=highest, at=heat.highest_at)  # fmt: skip
    minutes = round(heat.hours_above * 60)
    return say("{start} to {end}: above {limit} for {hours} h {minutes} min that are known of, highest {highest}.",
               start=heat.start, end=heat.end, limit=limit, hours=minutes // 60, minutes=minutes % 60,
               highest=highest)  # fmt: skip


def _what_it_means(heat: Heat, profile: Profile) -> list[Message]:
    key = FigureKey.INCUBATOR_CRITICAL_C if heat.critical else FigureKey.INCUBATOR_HIGH_C
    edge = profile[key]
    degree, mark = Temperature.of(edge.value), str(edge.provenance)
    return [
        say("From {edge} on eggs are taken to be in danger ({mark}).", edge=degree, mark=mark)
        if heat.critical
        else say("Eggs are kept no warmer than {edge} ({mark}).", edge=degree, mark=mark),
        say("Bring it back to what is set and find out why: thermostat, probe out of its place, sun on the glass, a "
            "warm room. Hold a second thermometer beside the probe (common practice)."),
        say("Do not set it colder to make up for it, and do not turn or move the eggs to cool them (common practice)."),
        say("Not known: how much heat these eggs bear, and for how long. No published figure for them was found, so "
            "this is neither called harmless nor lost."),
        say("Not known: how warm the eggs themselves were; they change slower than the air around the probe."),
        say("A window of hatching says nothing of harm: warmth hastens eggs, and young may be hurt that hatch in time "
            "(from memory). Candle at the next look; a vet sees young that hatch weak, bent or with an open navel."),
    ]  # fmt: skip


def _after(clutch: ClutchThen, heat: Heat) -> ClutchAfter:
    day, name, window = (heat.end.date() - clutch.laid).days, clutch.name, clutch.hatch
    if window is None:
        return ClutchAfter(name, day, False, say("{name}, day {day}: candle at the next look.", name=name, day=day))
    near = window.first - heat.end.date() <= dt.timedelta(days=0)
    told = say("{name}, day {day}: candle at the next look; window {first} to {last}, pips may come before it.",
               name=name, day=day, first=window.first, last=window.last)  # fmt: skip
    if near:
        told = say("{name}, day {day}: window {first} to {last} is open; look for pips now and daily.",
                   name=name, day=day, first=window.first, last=window.last)  # fmt: skip
    return ClutchAfter(name, day, near, told)
