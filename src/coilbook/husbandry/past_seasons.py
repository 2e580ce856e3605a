"""Seasons on record turned into the intervals a forecast learns from."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.figures import ENDING_IN, Event, Interval
from coilbook.husbandry.known_day import KnownDay, days_between
from coilbook.husbandry.warmth import EggTemperature


@dataclass(frozen=True, slots=True)
class PastSeason:
    """One season (or one egg's part of it) of one female: events seen, and what the eggs lay at.

    Of a clutch the pip is that of its first egg. A shed that may have been an ordinary one is not `shed_is_sure` and
    teaches nothing. `incubator` is a key of where the eggs lay.
    """

    whose: Hashable
    happened: Mapping[Event, KnownDay]
    temperature: EggTemperature | None = None
    shed_is_sure: bool = True
    incubator: Hashable = None


def past_intervals(seasons: Sequence[PastSeason]) -> tuple[PastInterval, ...]:
    """Every interval of which both ends are known, with the doubt that inexact days bring."""
    return tuple(interval for season in seasons for interval in _of(season))


def _of(season: PastSeason) -> list[PastInterval]:
    found = []
    order = list(Event)
    for start, end in pairwise(order):
        if Event.SHED in (start, end) and not season.shed_is_sure:
            continue
        if start not in season.happened or end not in season.happened:
            continue
        days, doubt = days_between(season.happened[start], season.happened[end])
        interval = ENDING_IN[end]
        eggs = interval is Interval.LAYING_TO_PIP
        warm, where = (season.temperature, season.incubator) if eggs else (None, None)
        # an end on the day of its start took part of that day
        found.append(PastInterval(interval, season.whose, days if days > 0 else 0.5, doubt, warm, where))
    return found
