"""How a hatchling is getting on: started or not, ready for sale or not, and what is to be expected when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace

from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.figures import Event, FigureKey
from coilbook.husbandry.forecast import EventForecast, SeasonSoFar, forecasts
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.past_seasons import PastSeason, past_intervals
from coilbook.husbandry.profile import Profile
from coilbook.husbandry.sale_ready import MealOffered, SaleReady, ready_since, sale_ready
from coilbook.records.message import Message, say

#: after this many days an animal is no hatchling any more (`from memory`)
YOUNG_DAYS = 365
#: days between offers to a hatchling without a number of its own (common practice: 5 to 7)
OFFERED_EVERY = 7


@dataclass(frozen=True, slots=True)
class YoungSoFar:
    """What is on record of one hatchling, each in order of time.

    `whose` the clutch it is compared with first; `offers` with what came of each, `weights` in tenths of a gram;
    `offered_every` days between offers, 5 to 7 by common practice.
    """

    whose: Hashable
    out: KnownDay
    first_shed: dt.date | None = None
    offers: tuple[tuple[dt.date, MealOffered], ...] = ()
    weights: tuple[tuple[dt.date, int], ...] = ()
    offered_every: int = OFFERED_EVERY
    under_treatment: bool = False

    @property
    def first_meal(self) -> dt.date | None:
        """The first meal taken and kept, unaided."""
        return next((day for day, offer in self.offers if offer.counts), None)

    def happened(self, profile: Profile) -> dict[Event, KnownDay]:
        """The events on record; a shed after the first meal was not the first one, or was not seen in time."""
        found = {Event.OUT: self.out}
        meal = self.first_meal
        if self.first_shed is not None and (meal is None or self.first_shed <= meal):
            found[Event.FIRST_SHED] = KnownDay.on(self.first_shed)
        if meal is not None:
            found[Event.FIRST_MEAL] = KnownDay.on(meal)
        ready = ready_since(self.offers, self.weights, self.out.latest, profile)
        if ready is not None:
            found[Event.SALE_READY] = KnownDay.on(ready)
        return found


@dataclass(frozen=True, slots=True)
class YoungNow:
    """Where a hatchling stands today.

    `rule` part by part, `since` the day the rule was met first; `started` whether it has taken a meal unaided; `mind`
    what asks for the keeper; `ahead` the events to come, `not_before` what holds its being ready back.
    """

    rule: SaleReady
    since: dt.date | None
    started: bool
    mind: Message | None
    ahead: tuple[EventForecast, ...]
    not_before: Message | None = None

    @property
    def ready_ahead(self) -> EventForecast | None:
        """The forecast of being ready for sale; None once the rule is met."""
        return next((one for one in self.ahead if one.event is Event.SALE_READY), None)


def past_young(young: Sequence[YoungSoFar], profile: Profile) -> tuple[PastInterval, ...]:
    """What hatchlings on record teach of first shed, first meal and being ready."""
    return past_intervals([PastSeason(one.whose, one.happened(profile)) for one in young])


def young_now(young: YoungSoFar, past: Sequence[PastInterval], today: dt.date, profile: Profile) -> YoungNow:
    """A hatchling on a day, from what is on record until then."""
    offers = [offer for day, offer in young.offers if day <= today]
    weights = [mass for day, mass in young.weights if day <= today]
    rule = sale_ready(offers, weights[-1] if weights else None, young.out.latest, today, profile, young.under_treatment)
    happened = young.happened(profile)
    since = happened.pop(Event.SALE_READY, None)
    ahead, held = _ahead(young, happened, rule, past, today, profile)
    return YoungNow(
        rule=rule,
        since=since.earliest if since is not None and rule.ready else None,
        started=young.first_meal is not None,
        mind=_mind(young, weights, today, profile),
        ahead=() if rule.ready else ahead,
        not_before=None if rule.ready else held,
    )


def _ahead(
    young: YoungSoFar,
    happened: Mapping[Event, KnownDay],
    rule: SaleReady,
    past: Sequence[PastInterval],
    today: dt.date,
    profile: Profile,
) -> tuple[tuple[EventForecast, ...], Message | None]:
    """The events to come; ready for sale no sooner than its age and the meals still missing allow."""
    found = forecasts(profile, SeasonSoFar(happened), past, today, young.whose)
    age = young.out.earliest + dt.timedelta(days=int(profile.value(FigureKey.SALE_AGE_DAYS)))
    lacking = max(0, rule.needed - rule.meals)
    last = max((day for day, offer in young.offers if offer.counts and day <= today), default=None)
    fed = max(today, today if last is None else last + dt.timedelta(days=young.offered_every))
    meals = fed + dt.timedelta(days=young.offered_every * (lacking - 1)) if lacking else today
    floor = max(age, meals)
    if floor <= today:
        return found, None
    shown = tuple(
        replace(one, curve=None if one.curve is None else one.curve.after(floor.toordinal() - 0.5))
        if one.event is Event.SALE_READY
        else one
        for one in found
    )
    if floor == meals:
        return shown, say("Not before {day}: {n} more meal in a row, one every {every} days.",
                          "Not before {day}: {n} more meals in a row, one every {every} days.",
                          day=floor, n=lacking, every=young.offered_every)  # fmt: skip
    return shown, say("Not before {day}: its age.", day=floor)


def _mind(young: YoungSoFar, weights: Sequence[int], today: dt.date, profile: Profile) -> Message | None:
    """Told of one that has lost much, or has not started in time."""
    loss = profile[FigureKey.HATCHLING_LOSS_VET]
    if len(weights) > 1 and weights[-1] <= (1 - loss.value) * weights[0]:
        return say("{percent:.0f}% lighter than at its first weight: ask a reptile vet or experienced help ({mark}).",
                   percent=100 * (1 - weights[-1] / weights[0]), mark=str(loss.provenance))  # fmt: skip
    weeks = profile[FigureKey.NON_STARTER_WEEKS]
    if young.first_meal is None and (today - young.out.latest).days >= 7 * weeks.value:
        return say("No meal of its own by {weeks:g} weeks ({mark}): other prey, other places, a vet's look.",
                   weeks=weeks.value, mark=str(weeks.provenance))  # fmt: skip
    return None
