"""Forecasts kept as they were made: with the entry of the event they count from, in the same act.

What is shown later is conditioned on what has not happened by then; the scorecard holds the program to what it said
first, so only that is kept.
"""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import ahead
from coilbook.derived.season_reading import read_book
from coilbook.derived.season_species import Grounds, profile_for
from coilbook.husbandry.figures import Event
from coilbook.husbandry.forecast import LEVELS, EventForecast
from coilbook.husbandry.profile import Profile
from coilbook.operations.settings import settings_in
from coilbook.records.ids import AnimalId
from coilbook.records.when import moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.season_tables import ForecastMade


def profile_in(act: ActInHand, animal: AnimalId) -> Profile:
    """The season profile of an animal's species, else of the one this collection keeps."""
    return profile_for(act.rows, animal)


def keep_forecasts(act: ActInHand, female: AnimalId) -> None:
    """Write the forecasts of her newest season that were not made from this anchor before, inside an act."""
    today = moment_from(act.now_text).date()
    book = read_book(act.rows, settings_in(act).season_month)
    season, ground = book.latest(female, today), Grounds(act.rows, book).of(female)
    if season is None or not ground.forecast:
        return
    kept = set(
        act.rows("SELECT event, anchor FROM forecast_made WHERE animal_id = ? AND season = ?",
                 (female, season.key))
    )  # fmt: skip
    for forecast in ahead(season, ground.past, ground.profile, today, Event.PIP):
        if (forecast.event.value, forecast.anchor.value) not in kept and forecast.curve is not None:
            _keep(act, female, season.key, forecast, today)


def _keep(act: ActInHand, female: AnimalId, season: str, forecast: EventForecast, today: dt.date) -> None:
    values: dict[str, object] = {}
    for level in LEVELS:
        window = forecast.window(level)
        if window is None:
            return
        name = round(100 * level)
        values[f"first_{name}"], values[f"last_{name}"] = window.first.isoformat(), window.last.isoformat()
        values[f"ppm_{name}"] = round(1_000_000 * window.probability)
    act.insert(
        ForecastMade,
        animal_id=female,
        season=season,
        event=forecast.event.value,
        anchor=forecast.anchor.value,
        made_on=today.isoformat(),
        **values,
    )
