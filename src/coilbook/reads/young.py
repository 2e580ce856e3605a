"""Where a hatchling stands, for its page; which are ready for sale or have not started, for the filter."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from coilbook.derived.season_profile import ProfileSource, source_known
from coilbook.derived.young_rows import hatchlings_since, young_of
from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.profile import Profile
from coilbook.husbandry.sale_ready import sale_ready
from coilbook.husbandry.young import YOUNG_DAYS, YoungNow, YoungSoFar, past_young, young_now
from coilbook.reads.herd_columns import YoungKnown
from coilbook.records.ids import AnimalId
from coilbook.storage.collection import Collection

#: hatchlings a forecast learns from at most, the newest: more would say no more and take longer
LEARNED_FROM = 150
_YEARS = 6


def young_page(collection: Collection, animal: AnimalId, today: dt.date) -> YoungNow | None:
    """One hatchling today; None for one that is none, whose day of hatching or whose species' numbers are not known."""
    row = collection.read_one("SELECT species FROM animal WHERE id = ?", (animal,))
    mine = young_of(collection.read, [animal]).get(animal)
    if mine is None or not 0 <= (today - mine.out.earliest).days <= YOUNG_DAYS:
        return None
    source = source_known(collection.read, row[0] if row is not None else None)
    if source is None:
        return None
    since = dt.date(today.year - _YEARS, 1, 1)
    others = [one for one in hatchlings_since(collection.read, since, source.species, LEARNED_FROM) if one != animal]
    learned = young_of(collection.read, others)
    return young_now(mine, _past(tuple(learned.values()), source), today, source.profile)


@lru_cache(maxsize=8)
def _past(young: tuple[YoungSoFar, ...], source: ProfileSource) -> tuple[PastInterval, ...]:
    return past_young(young, source.profile)


def young_known(collection: Collection, today: dt.date) -> YoungKnown:
    """Which hatchlings here are ready for sale by the rule, and which took no meal of their own yet."""
    since = today - dt.timedelta(days=YOUNG_DAYS)
    ready, waiting = [], []
    for profile, animal, young in _by_profile(collection, since):
        weights = [mass for _, mass in young.weights]
        offers = [offer for _, offer in young.offers]
        rule = sale_ready(offers, weights[-1] if weights else None, young.out.latest, today, profile,
                          young.under_treatment)  # fmt: skip
        if rule.ready:
            ready.append(animal)
        if young.first_meal is None:
            waiting.append(animal)
    return YoungKnown(np.asarray(sorted(ready), np.int32), np.asarray(sorted(waiting), np.int32))


def _by_profile(collection: Collection, since: dt.date) -> Iterator[tuple[Profile, AnimalId, YoungSoFar]]:
    """Hatchlings since a day with the profile of their species; those of a species without one are left out."""
    for (species,) in collection.read("SELECT DISTINCT species FROM animal ORDER BY species"):
        source = source_known(collection.read, species)
        if source is None:
            continue
        for animal, young in young_of(collection.read, hatchlings_since(collection.read, since, species)).items():
            yield source.profile, animal, young
