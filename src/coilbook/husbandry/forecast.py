"""When the next events of a season are to be expected: windows with their odds, from what has happened so far.

The last event known is the anchor; intervals of the profile, blended with history, are added to it. A day that is not
known exactly widens what follows. What has not happened by today is taken into account, also through the events
between: eggs not laid on day 31 pip later. An event is late only past its 95% window as it stood from the start.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from coilbook.husbandry.blending import Blend, PastInterval, blend
from coilbook.husbandry.day_curve import DayCurve, Window, bell_curve, flat_curve
from coilbook.husbandry.figures import ENDING_IN, Event, Interval, OvulationCue
from coilbook.husbandry.forecast_words import reasons
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import Profile
from coilbook.husbandry.warmth import EggTemperature
from coilbook.records.message import Message

#: levels a window is shown at: the likely days, the window, and the edge past which an event is late
LEVELS = LIKELY, SHOWN, NEARLY_SURE = (0.5, 0.8, 0.95)
#: days ruled out by today are told when they held this much
WORTH_TELLING = 0.01
_NEAR_THE_EDGE = 0.9
#: events that may have happened without being seen; of the others "not recorded" means "not yet"
MAY_BE_MISSED = frozenset({Event.SHED, Event.FIRST_SHED})


@dataclass(frozen=True, slots=True)
class SeasonSoFar:
    """What is known of one female's season (or one egg's).

    `happened` the events seen, as well as they are known; `surely_not_yet` those of `MAY_BE_MISSED` that the keeper
    is sure have not happened; `shed_share` how likely a shed recorded as "unsure" was the pre-lay shed; `temperature`
    of the eggs, None while not known; `delay_days` least and most that outages cost the eggs, of those that are not in
    the temperature already. `incubator` is a key of where the eggs lie, None while not known.
    """

    happened: Mapping[Event, KnownDay]
    surely_not_yet: frozenset[Event] = frozenset()
    shed_share: float = 1.0
    temperature: EggTemperature | None = None
    delay_days: tuple[float, float] = (0.0, 0.0)
    incubator: Hashable = None


@dataclass(frozen=True, slots=True)
class EventForecast:
    """One event ahead.

    `curve` on the ordinal numbers of days, as seen from today; None when so much time has passed that records say
    nothing any more. `planned` is the curve before today ruled days out, `late` whether today lies past its 95% window,
    `because` what the forecast leans on.
    """

    event: Event
    anchor: Event | OvulationCue
    curve: DayCurve | None
    planned: DayCurve
    late: bool
    because: tuple[Message, ...] = field(default=(), compare=False)

    @property
    def from_start(self) -> Window:
        """The 95% window before today ruled days out; past its last day the event is late."""
        return self.planned.window(LEVELS[-1])

    def window(self, level: float) -> Window | None:
        """The likeliest whole days that hold at least `level`, with what they hold; None without a curve."""
        return None if self.curve is None else self.curve.window(level)


def forecasts(
    profile: Profile,
    season: SeasonSoFar,
    past: Sequence[PastInterval],
    today: dt.date,
    whose: Hashable = None,
    upto: Event = Event.SALE_READY,
) -> tuple[EventForecast, ...]:
    """Every event after the last one known, in order; empty when nothing has happened yet.

    Without an ovulation there is nothing to count from. Of a shed recorded as unsure both readings are followed.
    """
    order = list(Event)
    known = [e for e in order if e in season.happened]
    if not known:
        return ()
    anchor = known[-1]
    start = curve_of(season.happened[anchor])
    if anchor is Event.SHED and season.shed_share < 1 and Event.OVULATION in season.happened:
        return _through_doubtful_shed(profile, season, past, today, whose, upto)
    steps = order[order.index(anchor) + 1 : order.index(upto) + 1]
    return _chain(_Walk(profile, season, past, today, whose), anchor, start, steps)


def curve_of(day: KnownDay) -> DayCurve:
    """A known day as a curve on the ordinal numbers of days."""
    curve = flat_curve(day.earliest.toordinal(), day.latest.toordinal())
    return curve.plus(_bell(day.doubt)) if day.doubt > 0 else curve


def _bell(sd: float) -> DayCurve:
    return bell_curve(np.array([1.0]), np.array([0.0]), np.array([sd]))


@dataclass(frozen=True, slots=True)
class _Walk:
    """What every step of one forecast needs."""

    profile: Profile
    season: SeasonSoFar
    past: Sequence[PastInterval]
    today: dt.date
    whose: Hashable

    def step(self, event: Event) -> Blend:
        """The blended interval that ends in an event."""
        interval = ENDING_IN[event]
        mine = [p for p in self.past if p.interval is interval]
        rules = self.profile.intervals[interval]
        if interval is not Interval.LAYING_TO_PIP:
            return blend(rules, mine, self.whose)
        incubation = self.profile.incubation
        warm = self.season.temperature or EggTemperature(incubation.reference_c, incubation.doubt.unknown)
        return blend(rules, mine, self.whose, incubation=incubation, temperature=warm, where=self.season.incubator)

    def rules_out(self, event: Event) -> bool:
        """Whether not having it on record by today means that it has not happened."""
        return event not in MAY_BE_MISSED or event in self.season.surely_not_yet


def _chain(walk: _Walk, anchor: Event, start: DayCurve, steps: Sequence[Event]) -> tuple[EventForecast, ...]:
    found: list[EventForecast] = []
    as_planned: DayCurve = start
    as_seen: DayCurve | None = start
    next_certain = next((e for e in steps if walk.rules_out(e)), None)
    for event in steps:
        step = walk.step(event)
        add = step.curve
        least, most = walk.season.delay_days
        if event is Event.PIP and most > 0:
            add = add.plus(flat_curve(least, most))
        as_planned = as_planned.plus(add)
        through = None if as_seen is None else as_seen.plus(add)
        shown = None if through is None else through.after(walk.today.toordinal() - 0.5)
        # while an event before it is still awaited, an event waits and is not late
        awaits = next_certain is not None and steps.index(event) > steps.index(next_certain)
        found.append(_forecast(walk, event, anchor, as_planned, shown, step, awaits=awaits))
        # a shed nobody saw may lie behind: what follows is counted through both, seen and unseen
        as_seen = shown if walk.rules_out(event) else through
    return tuple(found)


def _forecast(
    walk: _Walk,
    event: Event,
    anchor: Event,
    as_planned: DayCurve,
    shown: DayCurve | None,
    step: Blend,
    *,
    awaits: bool = False,
) -> EventForecast:
    now = walk.today.toordinal() - 0.5
    passed = 0.0 if awaits else as_planned.cdf(now)
    # the window is worked out only where today is near its edge
    late = passed > _NEAR_THE_EDGE and walk.today > as_planned.window(LEVELS[-1]).last
    season = walk.season
    because = reasons(
        event, anchor, season.happened[anchor], step, walk.today,
        temperature=season.temperature,
        delay_days=season.delay_days,
        ruled_out=passed > WORTH_TELLING,
        late=late,
        may_be_missed=not walk.rules_out(event),
    )  # fmt: skip
    return EventForecast(event, anchor, shown, as_planned, late, because)


def _through_doubtful_shed(
    profile: Profile, season: SeasonSoFar, past: Sequence[PastInterval], today: dt.date, whose: Hashable, upto: Event
) -> tuple[EventForecast, ...]:
    """Laying by both readings of the shed, mixed by their odds today, then on as usual."""
    walk = _Walk(profile, season, past, today, whose)
    shed_step, lay_step = walk.step(Event.SHED), walk.step(Event.LAYING)
    by_shed = curve_of(season.happened[Event.SHED]).plus(lay_step.curve)
    by_ovulation = curve_of(season.happened[Event.OVULATION]).plus(shed_step.curve).plus(lay_step.curve)
    laying = by_shed.mixed(by_ovulation, season.shed_share)
    shown = laying.after(today.toordinal() - 0.5)
    first = _forecast(walk, Event.LAYING, Event.SHED, laying, shown, lay_step)
    order = list(Event)
    rest = order[order.index(Event.LAYING) + 1 : order.index(upto) + 1]
    return (first, *_chain(walk, Event.SHED, laying if shown is None else shown, rest))
