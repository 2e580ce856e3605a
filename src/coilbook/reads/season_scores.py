"""How often the windows this program gave have held, from the forecasts kept as they were made."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import FemaleSeason, SeasonBook
from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.figures import Event
from coilbook.husbandry.forecast import LEVELS
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import Profile
from coilbook.husbandry.scorecard import KeptForecast, Score, scorecard
from coilbook.records.ids import AnimalId
from coilbook.records.season_vocabulary import PreLay
from coilbook.storage.collection import Collection


def scores(collection: Collection, book: SeasonBook, profile: Profile) -> tuple[Score, ...]:
    """The scorecard of every forecast kept, one score a level; an event counts once, by its first forecast."""
    return scorecard(kept_forecasts(collection, book, profile))


def kept_forecasts(collection: Collection, book: SeasonBook, profile: Profile) -> list[KeptForecast]:
    """Every forecast as it was made, with what happened."""
    happened = {
        (season.female, season.key): _happened(season, profile)
        for of_hers in book.seasons.values()
        for whole in of_hers
        for season in whole.rounds
    }
    found = []
    for animal, season, event, made_on, *windows in collection.read(
        "SELECT animal_id, season, event, made_on, first_50, last_50, ppm_50, first_80, last_80, ppm_80,"
        " first_95, last_95, ppm_95 FROM forecast_made ORDER BY made_on, id"
    ):
        key = (AnimalId(animal), str(season))
        kept = tuple(
            Window(level, dt.date.fromisoformat(windows[3 * n]), dt.date.fromisoformat(windows[3 * n + 1]),
                   windows[3 * n + 2] / 1_000_000)
            for n, level in enumerate(LEVELS)
        )  # fmt: skip
        day = happened.get(key, {}).get(Event(event))
        found.append(KeptForecast(key, Event(event), dt.date.fromisoformat(made_on), kept, day))
    return found


def _happened(season: FemaleSeason, profile: Profile) -> dict[Event, KnownDay]:
    """What is held against forecasts: a shed that may have been an ordinary one decides nothing."""
    seen = season.happened(profile)
    if season.shed is not None and season.shed.was is not PreLay.PRE_LAY:
        del seen[Event.SHED]
    return seen
