"""Where a hatchling stands, for its page; which are ready for sale or have not started, for the filter."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

import numpy as np

from coilbook.derived.season_profile import ProfileSource, source_now
from coilbook.derived.young_rows import hatchlings_since, young_of
from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.sale_ready import sale_ready
from coilbook.husbandry.young import YOUNG_DAYS, YoungNow, YoungSoFar, past_young, young_now
from coilbook.reads.herd_columns import YoungKnown
from coilbook.records.ids import AnimalId
from coilbook.storage.collection import Collection

#: hatchlings a forecast learns from at most, the newest: more would say no more and take longer
_LEARNED_FROM = 150
_YEARS = 6


def young_page(collection: Collection, animal: AnimalId, today: dt.date) -> YoungNow | None:
    """One hatchling today; None for an animal that is none, or whose day of hatching is not known."""
    source = source_now(collection.read)
    mine = young_of(collection.read, [animal]).get(animal)
    if mine is None or not 0 <= (today - mine.out.earliest).days <= YOUNG_DAYS:
        return None
    since = dt.date(today.year - _YEARS, 1, 1)
    others = [one for one in hatchlings_since(collection.read, since, _LEARNED_FROM) if one != animal]
    learned = young_of(collection.read, others)
    return young_now(mine, _past(tuple(learned.values()), source), today, source.profile)


@lru_cache(maxsize=8)
def _past(young: tuple[YoungSoFar, ...], source: ProfileSource) -> tuple[PastInterval, ...]:
    return past_young(young, source.profile)


def young_known(collection: Collection, today: dt.date) -> YoungKnown:
    """Which hatchlings here are ready for sale by the rule, and which took no meal of their own yet."""
    profile = source_now(collection.read).profile
    since = today - dt.timedelta(days=YOUNG_DAYS)
    ready, waiting = [], []
    for animal, young in young_of(collection.read, hatchlings_since(collection.read, since)).items():
        weights = [mass for _, mass in young.weights]
        offers = [offer for _, offer in young.offers]
        rule = sale_ready(offers, weights[-1] if weights else None, young.out.latest, today, profile,
                          young.under_treatment)  # fmt: skip
        if rule.ready:
            ready.append(animal)
        if young.first_meal is None:
            waiting.append(animal)
    return YoungKnown(np.asarray(sorted(ready), np.int32), np.asarray(sorted(waiting), np.int32))
