"""Plain facts drawn from an animal's rows: weight and its trend, the fast, sheds. No judgement, no forecast.

A doubted weight drives nothing; a meal that came back is not kept; a pending offer is neither taken nor refused; a
decision not to offer is no offer. Days count calendar days.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median_low

from coilbook.reads.animal_rows import Meal, ShedSeen, Weighing
from coilbook.records.vocabulary import REFUSED_RESULTS, SHED_RESULTS, TAKEN_RESULTS, FeedingResult, Status
from coilbook.records.when import moment_from

#: no day counts on for an animal that is not in the keeper's care
GONE = (Status.SOLD, Status.DEAD, Status.LOST, Status.OUTSIDE)
#: the short look back of the weight trend
SHORT_DAYS = 30
#: the long look back: the highest weight of the last year
LONG_DAYS = 365
#: how many intervals between sheds make an animal's own
OWN_GAPS = 4


@dataclass(frozen=True, slots=True)
class Compared:
    """A weight the present one is compared with; `percent` is the change from it to now, in tenths of a percent."""

    then: Weighing
    permille: int


@dataclass(frozen=True, slots=True)
class WeightFacts:
    """The present weight, and against the last meal, a month before it and the highest of the year before it."""

    now: Weighing
    since_meal: Compared | None
    short: Compared | None
    highest: Compared | None


@dataclass(frozen=True, slots=True)
class FastFacts:
    """What happened since the last kept meal (or ever, when there is none).

    `refused` the offers refused since; `last_offer` the newest real offer; `days` since the meal; `not_offered`
    days since the newest offer, None when there was none; `weight` from the last weight before the meal to now.
    """

    meal: Meal | None
    refused: tuple[Meal, ...]
    pending: Meal | None
    last_offer: Meal | None
    days: int | None
    not_offered: int | None
    weight: Compared | None


@dataclass(frozen=True, slots=True)
class ShedFacts:
    """The newest shed, a blue that stands open since, and the animal's own interval in days over `counted` gaps."""

    last: ShedSeen | None
    blue: ShedSeen | None
    interval: int | None
    shortest: int | None
    longest: int | None
    counted: int


def day_of(at: str) -> dt.date:
    """Calendar day of a stored moment."""
    return moment_from(at).date()


def kept_meals(meals: Sequence[Meal]) -> list[Meal]:
    """Meals taken and kept, oldest first."""
    return [m for m in meals if m.result in TAKEN_RESULTS and m.kept]


def weight_facts(weights: Sequence[Weighing], meals: Sequence[Meal]) -> WeightFacts | None:
    """The present weight and its trend; None when there is no weight that counts. Of what day is not known no trend."""
    counting = [w for w in weights if not w.doubted]
    if not counting:
        return None
    now, earlier = counting[-1], [w for w in counting[:-1] if not w.undated]
    if now.undated:
        return WeightFacts(now, None, None, None)
    day = day_of(now.at)
    kept = kept_meals(meals)
    before_month = [w for w in earlier if (day - day_of(w.at)).days >= SHORT_DAYS]
    of_year = [w for w in earlier if (day - day_of(w.at)).days <= LONG_DAYS]
    return WeightFacts(
        now,
        _since_meal(earlier, now, kept[-1] if kept else None),
        _compared(before_month[-1], now) if before_month else None,
        _compared(max(of_year, key=lambda w: (w.mass_dg, w.at)), now) if of_year else None,
    )


def fast_facts(meals: Sequence[Meal], weights: Sequence[Weighing], today: dt.date) -> FastFacts:
    """The fast as it stands `today`."""
    kept = kept_meals(meals)
    meal = kept[-1] if kept else None
    later = meals[meals.index(meal) + 1 :] if meal else meals
    offers = [m for m in meals if m.result is not FeedingResult.NOT_OFFERED]
    last = offers[-1] if offers else None
    counting = [w for w in weights if not w.doubted and not w.undated]
    return FastFacts(
        meal,
        tuple(m for m in later if m.result in REFUSED_RESULTS),
        next((m for m in reversed(meals) if m.result is FeedingResult.PENDING), None),
        last,
        (today - day_of(meal.at)).days if meal else None,
        (today - day_of(last.at)).days if last else None,
        _since_meal(counting[:-1], counting[-1], meal) if counting else None,
    )


def shed_facts(sheds: Sequence[ShedSeen]) -> ShedFacts:
    """The shed and the animal's own interval: the median of the gaps between its last sheds."""
    done = [s for s in sheds if s.kind in SHED_RESULTS]
    last = sheds[-1] if sheds else None
    blue = last if last is not None and last.kind not in SHED_RESULTS else None
    days = [day_of(s.at) for s in done[-OWN_GAPS - 1 :]]
    gaps = [(later - earlier).days for earlier, later in pairwise(days)]
    return ShedFacts(
        done[-1] if done else None,
        blue,
        median_low(gaps) if gaps else None,
        min(gaps, default=None),
        max(gaps, default=None),
        len(gaps),
    )


def _since_meal(earlier: Sequence[Weighing], now: Weighing, meal: Meal | None) -> Compared | None:
    """From the last weight on or before the day of the meal to now, when now is later than the meal."""
    if meal is None or day_of(now.at) <= day_of(meal.at):
        return None
    before = [w for w in earlier if day_of(w.at) <= day_of(meal.at)]
    return _compared(before[-1], now) if before else None


def _compared(then: Weighing, now: Weighing) -> Compared:
    return Compared(then, round((now.mass_dg - then.mass_dg) * 1000 / then.mass_dg))
