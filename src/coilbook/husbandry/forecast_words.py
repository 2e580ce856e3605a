"""What a forecast leans on, in sentences."""

from __future__ import annotations

import datetime as dt

from coilbook.husbandry.blending import Blend
from coilbook.husbandry.figures import Event
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.warmth import EggTemperature
from coilbook.records.message import Message, say
from coilbook.records.quantities import Temperature

#: each event as it stands in the middle of a sentence
EVENT_NAMES = {
    Event.OVULATION: say("ovulation"),
    Event.SHED: say("pre-lay shed"),
    Event.LAYING: say("laying"),
    Event.PIP: say("first pip"),
    Event.OUT: say("out of the egg"),
    Event.FIRST_SHED: say("first shed"),
    Event.FIRST_MEAL: say("first meal"),
    Event.SALE_READY: say("ready for sale"),
}
#: a female's own days are told apart from the species' from this difference on
_WORTH_TELLING = 1.0


def reasons(
    event: Event,
    anchor: Event,
    anchor_day: KnownDay,
    step: Blend,
    today: dt.date,
    *,
    temperature: EggTemperature | None,
    delay_days: tuple[float, float],
    ruled_out: bool,
    late: bool,
    may_be_missed: bool,
) -> tuple[Message, ...]:
    """The sentences under a forecast: anchor, days and history, warmth, what today rules out."""
    told = [_counted_from(anchor, anchor_day), _days(event, step)]
    if step.left_out:
        n = len(step.left_out)
        told.append(
            say("{n} past interval left out: far outside what is claimed, probably a slip of a date.",
                "{n} past intervals left out: far outside what is claimed, probably slips of a date.", n=n)
        )  # fmt: skip
    if event is Event.PIP:
        told.append(_warmth(temperature))
        if delay_days[1] > 0:
            low, high = (d * 24 for d in delay_days)
            told.append(say("Outages cost these eggs {low:.1f} to {high:.1f} hours.", low=low, high=high))
    if late:
        told.append(_late(event, may_be_missed))
    elif ruled_out:
        told.append(not_yet(today))
    return tuple(told)


def not_yet(today: dt.date) -> Message:
    """Said where today rules days out that held something."""
    return say("Not yet on {today}: the days that have passed are ruled out.", today=today)


def unseen() -> Message:
    """Said of an event past its window that may have happened unseen."""
    return say("Past its window and not on record: it may not have been seen.")


def _counted_from(anchor: Event, day: KnownDay) -> Message:
    name = EVENT_NAMES[anchor]
    if day.is_exact:
        return say("Counted from {event}, {day}.", event=name, day=day.earliest)
    if day.width == 0:
        days = round(day.doubt * 1.645)
        return say("Counted from {event}, {day} give or take {days} days: the window is wider for it.",
                   event=name, day=day.earliest, days=days)  # fmt: skip
    return say("Counted from {event}, known only as {first} to {last}: the window is wider for it.",
               event=name, first=day.earliest, last=day.latest)  # fmt: skip


def _days(event: Event, step: Blend) -> Message:
    order = list(Event)
    values: dict[str, object] = {"start": EVENT_NAMES[order[order.index(event) - 1]], "event": EVENT_NAMES[event]}
    values |= {"days": _number(step.days), "species": _number(step.species_days), "source": source_told(step)}
    if step.own == 0 and step.others == 0:
        return say("From {start} to {event}: {days} days are usual for the species; none is on record here yet.",
                   None, **values)  # fmt: skip
    off = step.days - step.species_days
    values["off"] = _number(abs(off))
    if abs(off) < _WORTH_TELLING:
        return say("From {start} to {event}: {days} days, as the species' {species}, from {source}.", None, **values)
    if off < 0:
        return say("From {start} to {event}: {days} days, {off} sooner than the species' {species}, from {source}.",
                   None, **values)  # fmt: skip
    return say("From {start} to {event}: {days} days, {off} later than the species' {species}, from {source}.",
               None, **values)  # fmt: skip


def source_told(step: Blend) -> Message:
    """How many intervals of hers and of others here went into a blend."""
    if step.own == 0 and step.others == 0:
        return say("none of yours on record yet")
    if step.here:
        return say("{own} of her own and {others} of others here, {n} of them in this incubator",
                   "{own} of her own and {others} of others here, {n} of them in this incubator",
                   own=step.own, others=step.others, n=step.here)  # fmt: skip
    if step.others == 0:
        return say("{own} of her own", own=step.own)
    if step.own == 0:
        return say("{others} of others here", others=step.others)
    return say("{own} of her own and {others} of others here", own=step.own, others=step.others)


def _number(days: float) -> str:
    """Whole days, tenths below ten."""
    return f"{days:.0f}" if days >= 9.95 else f"{days:.1f}"


def _warmth(temperature: EggTemperature | None) -> Message:
    if temperature is None:
        return say("The eggs' temperature is not known: the window is wider for it.")
    shown = Temperature.of(temperature.celsius)
    if temperature.source:
        low, high = (Temperature.of(temperature.celsius + off) for off in (-temperature.sd, temperature.sd))
        return say("The dam keeps the eggs, at the warmth of her tub: taken for {low} to {high} ({source}). The window "
                   "is much wider for it.", low=low, high=high, source=temperature.source)  # fmt: skip
    if temperature.sd < 0.05:
        return say("Eggs at {temperature}.", temperature=shown)
    return say("Eggs at {temperature}, not known exactly: the window is wider for it.", temperature=shown)


def _late(event: Event, may_be_missed: bool) -> Message:
    if may_be_missed:
        return unseen()
    if event is Event.LAYING:
        return say("Later than 19 of 20: check the dates it is counted from, and ask a vet to look at her.")
    return say("Later than 19 of 20: check the dates it is counted from.")
