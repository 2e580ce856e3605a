"""The fast before laying of females in season, and the stage of one animal for her page."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.derived.season_book import SeasonBook, season_start
from coilbook.derived.season_reading import read_book
from coilbook.derived.season_rows import coolings, weights
from coilbook.derived.season_species import Grounds
from coilbook.husbandry.figures import Event
from coilbook.husbandry.forecast import SHOWN, EventForecast
from coilbook.husbandry.pre_lay_fast import Offer, PreLayFast, Weight, past_fasts, pre_lay_fast
from coilbook.husbandry.season_stage import StageFound, season_stage
from coilbook.records.ids import AnimalId
from coilbook.records.season_vocabulary import SeasonStage
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import FeedingResult
from coilbook.storage.collection import Collection
from coilbook.storage.tables import ON_A_DAY

#: stages in which a refused meal belongs to the season
FASTING = frozenset({SeasonStage.PAIRING, SeasonStage.BUILDING, SeasonStage.GRAVID, SeasonStage.PRE_LAY})
#: how far back her own fasts are read
_YEARS = 6

InSeason = tuple[AnimalId, StageFound, tuple[EventForecast, ...]]


def fasts_of(
    collection: Collection, females: Sequence[InSeason], book: SeasonBook, today: dt.date, grounds: Grounds
) -> dict[AnimalId, PreLayFast]:
    """The fast of every female in a stage that explains one."""
    fasting = [f for f in females if f[1].stage in FASTING]
    since = dt.date(today.year - _YEARS, 1, 1)
    ids = [animal for animal, _, _ in fasting]
    offers, weighed = _offers(collection, ids, since, today), _weights(collection, ids, since, today)
    found = {}
    for animal, stage, windows in fasting:
        rounds = [one for season in book.seasons.get(animal, ()) for one in season.rounds]
        laid = [s.laying.day for s in rounds if s.laying is not None]
        hers = weighed[animal]
        forecast = next((w for w in windows if w.event is Event.LAYING), None)
        window = forecast.window(SHOWN) if forecast is not None else None
        past = past_fasts(offers[animal], hers, laid)
        found[animal] = pre_lay_fast(offers[animal], hers, stage, window, past, today, grounds.of(animal).profile)
    return found


def _weights(
    collection: Collection, ids: Sequence[AnimalId], since: dt.date, today: dt.date
) -> dict[AnimalId, list[Weight]]:
    """Undoubted weights in order of time; one marked as after a meal weighs the meal too and is left out."""
    sql = f"""SELECT animal_id, at, mass_dg FROM weight WHERE animal_id IN (SELECT value FROM json_each(?))
        AND doubted = 0 AND {ON_A_DAY} AND tag <> 'after_meal' AND at >= ? AND substr(at, 1, 10) <= ? ORDER BY at, id"""
    found: dict[AnimalId, list[Weight]] = defaultdict(list)
    for animal, at, mass in collection.read(sql, (json.dumps(list(ids)), since.isoformat(), today.isoformat())):
        found[AnimalId(animal)].append(Weight(dt.date.fromisoformat(at[:10]), int(mass)))
    return found


def _offers(
    collection: Collection, ids: Sequence[AnimalId], since: dt.date, today: dt.date
) -> dict[AnimalId, list[Offer]]:
    """Closed offers in order of time; a meal that came back was not kept and is left out."""
    sql = """SELECT animal_id, at, result FROM feeding f WHERE animal_id IN (SELECT value FROM json_each(?))
        AND result <> 'pending' AND at >= ? AND substr(at, 1, 10) <= ?
        AND NOT EXISTS (SELECT 1 FROM regurgitation r WHERE r.feeding_id = f.id) ORDER BY at, id"""
    found: dict[AnimalId, list[Offer]] = defaultdict(list)
    for animal, at, result in collection.read(sql, (json.dumps(list(ids)), since.isoformat(), today.isoformat())):
        found[AnimalId(animal)].append(Offer(dt.date.fromisoformat(at[:10]), FeedingResult(result)))
    return found


@dataclass(frozen=True, slots=True)
class SeasonNow:
    """Where one female stands today, and the fast that stage explains, None where none does."""

    stage: StageFound
    fast: PreLayFast | None


def season_now(collection: Collection, animal: AnimalId, today: dt.date, settings: Settings) -> SeasonNow | None:
    """The stage of one female today; None when nothing of any season of hers is on record."""
    book = read_book(collection.read, settings.season_month, animal)
    if not book.seasons:
        return None
    season = book.counting(animal, season_start(today, settings.season_month), today)
    place = collection.read_one("SELECT place_id FROM animal WHERE id = ?", (animal,))
    slot = place[0] if place is not None else None
    cooled = next((c.since for c in coolings(collection.read) if slot in c.slots and c.until is None), None)
    weighed = weights(collection.read, season.start - dt.timedelta(days=365), animal).get(animal, [])
    before = [mass for day, mass in weighed if day <= season.start]
    start = before[-1] if before else (weighed[0][1] if weighed else None)
    grounds = Grounds(collection.read, book)
    profile = grounds.of(animal).profile
    events = season.events(cooled, start, weighed[-1][1] if weighed else None, profile)
    stage = season_stage(events, today, profile)
    return SeasonNow(stage, fasts_of(collection, [(animal, stage, ())], book, today, grounds).get(animal))
