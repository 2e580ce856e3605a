"""The season of a collection for the screen: stages with their reasons, windows, loads, planned against happened.

Reads everything at once and computes the windows; takes some milliseconds a female, so it belongs on the reading
worker. Windows are kept by what they rest on, so that reading again after an entry costs only what that entry moved.
"""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from coilbook.derived.season_book import (
    FemaleSeason,
    SeasonBook,
    ahead,
    ovulated_about,
    season_end,
    season_start,
)
from coilbook.derived.season_profile import ProfileSource, profile_now
from coilbook.derived.season_reading import read_book
from coilbook.derived.season_rows import CoolingRow, StayRow, coolings, weights
from coilbook.derived.season_species import Grounds
from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.figures import Event
from coilbook.husbandry.fit_to_pair import Floors
from coilbook.husbandry.forecast import EventForecast
from coilbook.husbandry.male_load import HisStay, male_load
from coilbook.husbandry.season_stage import season_stage
from coilbook.reads.egg_boxes import boxes_in_use
from coilbook.reads.hatch_windows import HatchWindow, hatch_windows
from coilbook.reads.season_fast import fasts_of
from coilbook.reads.season_lines import EggsAhead, FemaleLine, MaleLine, PlanRow, SeasonPage, SireRow
from coilbook.reads.season_plans import plan_rows
from coilbook.reads.season_scores import scores
from coilbook.reads.season_words import headline
from coilbook.records.ids import AnimalId, ClutchId
from coilbook.records.season_vocabulary import PlanState, SeasonStage
from coilbook.records.settings import Settings
from coilbook.storage.collection import Collection
from coilbook.wording.natural import natural_key

#: stages in which a female counts as awaiting something, in the order of the lines that have no window
_ORDER = (
    SeasonStage.PRE_LAY, SeasonStage.GRAVID, SeasonStage.BUILDING, SeasonStage.PAIRING, SeasonStage.BROODING,
    SeasonStage.RECOVERING, SeasonStage.COOLED, SeasonStage.RESTING,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Who:
    id: AnimalId
    keeper_id: str
    genetics: str
    place: str
    place_id: int | None


@dataclass(frozen=True, slots=True)
class _Around:
    """What every line of one page needs."""

    book: SeasonBook
    start: dt.date
    today: dt.date
    settings: Settings
    present: bool
    grounds: Grounds
    cool: tuple[CoolingRow, ...]
    weights: dict[AnimalId, list[tuple[dt.date, int]]]
    undated: dict[AnimalId, int]
    hatch: dict[ClutchId, HatchWindow]
    plans: tuple[PlanRow, ...]
    names: dict[AnimalId, str]

    def weighed(self, animal: AnimalId, since: dt.date | None = None) -> tuple[int | None, int | None]:
        """(until `since`, or when the season began; newest) in tenths of a gram; the first where none stands before.

        Where no day of any weight is on record the newest is what it is, and nothing is lost or gained since.
        """
        found = [(day, mass) for day, mass in self.weights.get(animal, []) if day <= self.today]
        if not found:
            return None, self.undated.get(animal)
        before = [mass for day, mass in found if day <= (since or self.start)]
        return (before[-1] if before else found[0][1]), found[-1][1]


def season_page(collection: Collection, today: dt.date, settings: Settings, start: dt.date | None = None) -> SeasonPage:
    """The season that begins on `start`, the present one when not given."""
    present = season_start(today, settings.season_month)
    first = start or present
    end = season_end(first)
    seen_from = min(today, end)
    book, kept = read_book(collection.read, settings.season_month), profile_now(collection.read, settings.species)
    grounds = Grounds(collection.read, book)
    around = _Around(
        book, first, seen_from, settings, seen_from == today, grounds, coolings(collection.read),
        weights(collection.read, first - dt.timedelta(days=365)), _undated(collection),
        hatch_windows(collection, boxes_in_use(collection), today) if seen_from == today else {},
        plan_rows(collection, book, first, end), _names(collection),
    )  # fmt: skip
    shown = _shown(book, around.plans, first, seen_from)
    females = [_female(around, who) for who in _who(collection, shown)]
    fasts = fasts_of(collection, [(f.id, f.stage, f.windows) for f in females], book, seen_from, grounds)
    lines = tuple(sorted((replace(f, fast=fasts.get(f.id)) for f in females), key=_place))
    every = sorted({s.start for of_hers in book.seasons.values() for s in of_hers} | {first, present})
    males = _males(collection, around)
    return SeasonPage(
        first, end, today, lines, males, around.plans, scores(collection, book, kept), tuple(every)
    )  # fmt: skip


def _shown(book: SeasonBook, plans: Sequence[PlanRow], start: dt.date, today: dt.date) -> list[AnimalId]:
    """Females with anything in the season, a plan, or a season before that still tells: a laying, or gravid since."""
    found = {plan.female for plan in plans}
    before = season_start(start - dt.timedelta(days=1), start.month)
    for female, seasons in book.seasons.items():
        counting = book.counting(female, start, today)
        if any(s.start == start or (s.start == before and (s.laying or s == counting)) for s in seasons):
            found.add(female)
    return sorted(found)


def _who(collection: Collection, ids: Sequence[AnimalId]) -> list[_Who]:
    rows = collection.read(
        "SELECT a.id, a.keeper_id, a.genetics, coalesce(p.label, ''), a.place_id FROM animal a"
        " LEFT JOIN place p ON p.id = a.place_id WHERE a.id IN (SELECT value FROM json_each(?))"
        " AND a.status IN ('here', 'loan')",
        (json.dumps(list(ids)),),
    )
    return [_Who(AnimalId(i), name, genetics, place, slot) for i, name, genetics, place, slot in rows]


def _undated(collection: Collection) -> dict[AnimalId, int]:
    """The newest weight of those whose day of it is not on record."""
    sql = "SELECT animal, weight_dg FROM animal_now WHERE weight_dg IS NOT NULL AND weight_at IS NULL"
    return {AnimalId(i): int(mass) for i, mass in collection.read(sql)}


def _names(collection: Collection) -> dict[AnimalId, str]:
    sql = "SELECT DISTINCT a.id, a.keeper_id FROM stay s JOIN animal a ON a.id = s.male_id"
    return {AnimalId(i): str(name) for i, name in collection.read(sql)}


def _female(around: _Around, who: _Who) -> FemaleLine:
    season = around.book.of(who.id, around.start)
    counting = around.book.counting(who.id, around.start, around.today)
    start_dg, now_dg = around.weighed(who.id)
    cooled = [c for c in around.cool if who.place_id in c.slots]
    since = next((c.since for c in reversed(cooled) if c.since <= around.today and (c.until is None)), None)
    profile = around.grounds.of(who.id).profile
    stage = season_stage(counting.events(since, start_dg, now_dg, profile), around.today, profile)
    before = season_start(around.start - dt.timedelta(days=1), around.start.month)
    earlier = around.book.of(who.id, before).laying
    return FemaleLine(
        who.id, who.keeper_id, who.genetics, who.place, season, stage, headline(season, stage, around.today),
        windows=_windows(around, season) or _windows_before(around, counting),
        eggs=_eggs_before(around, counting, around.book.of(who.id, before)),
        counted_from=counting.start,
        counted_round=len(counting.rounds),
        laid_before=(earlier.day,) if earlier is not None else (),
        cooled=tuple((c.since, c.until) for c in cooled if c.until is None or c.until >= around.start),
        start_dg=start_dg,
        now_dg=now_dg,
        sires=_sires(around, counting if _windows_before(around, counting) else season),
        plans=tuple(p for p in around.plans if p.female == who.id),
    )  # fmt: skip


def _windows(around: _Around, season: FemaleSeason) -> tuple[EventForecast, ...]:
    laying = season.laying
    if laying is not None and laying.clutch in around.hatch:
        # the incubator's own readings say more of the eggs than what it is set to
        known = around.hatch[laying.clutch].forecast
        return (known,) if known is not None else ()
    if season == FemaleSeason(season.female, season.start) or not around.present:
        return ()
    ground = around.grounds.of(season.female)
    return _kept(season, ground.past, ground.source, around.today) if ground.forecast else ()


def _eggs_before(around: _Around, counting: FemaleSeason, before: FemaleSeason) -> tuple[EggsAhead, ...]:
    """Clutches before the one that counts, of its season and of the one before, that still lie in the warm."""
    rounds = [*enumerate(counting.earlier, start=1)]
    rounds = rounds if counting.start == before.start else [*enumerate(before.rounds, start=1), *rounds]
    found = []
    for number, one in rounds:
        known = around.hatch.get(one.laying.clutch) if one.laying is not None else None
        if one.laying is not None and known is not None and known.forecast is not None:
            found.append(EggsAhead(one.laying.label, known.forecast, one.start, number))
    return tuple(found)


def _windows_before(around: _Around, counting: FemaleSeason) -> tuple[EventForecast, ...]:
    """Of a season that turned while she was gravid, or her eggs in the warm; nothing of one that is over."""
    laid = counting.laying
    if counting.start == around.start or (laid is not None and laid.clutch not in around.hatch):
        return ()
    return _windows(around, counting)


@lru_cache(maxsize=2048)
def _kept(
    season: FemaleSeason, past: tuple[PastInterval, ...], source: ProfileSource, today: dt.date
) -> tuple[EventForecast, ...]:
    return ahead(season, past, source.profile, today, Event.PIP)


def _sires(around: _Around, season: FemaleSeason) -> tuple[SireRow, ...]:
    """Who may have sired what she lays; nobody before she was paired or is known to be gravid."""
    if not season.every_stay and season.ovulation is None and season.laying is None:
        return ()
    profile = around.grounds.of(season.female).profile
    ovulated = ovulated_about(season, around.today, profile)
    shares = around.book.sires(season.female, ovulated, season.start, profile)
    rows = []
    for share in shares:
        male = AnimalId(int(share.male)) if share.male else None
        name = around.names.get(male, "") if male is not None else ""
        rows.append(SireRow(male, name, share.share, share.stored, share.because))
    return tuple(rows)


def _males(collection: Collection, around: _Around) -> tuple[MaleLine, ...]:
    """Every male with a stay in the season or in an open plan."""
    stays: dict[AnimalId, list[StayRow]] = defaultdict(list)
    for seasons in around.book.seasons.values():
        for season in seasons:
            if season.start == around.start:
                for stay in season.every_stay:
                    stays[stay.male].append(stay)
    planned: dict[AnimalId, list[PlanRow]] = defaultdict(list)
    for plan in around.plans:
        if plan.state is PlanState.OPEN:
            planned[plan.male].append(plan)
    lines = []
    for who in _who(collection, sorted({*stays, *planned})):
        his = sorted(stays[who.id], key=lambda s: s.at)
        # from his weight before the first stay: a young one grows until then
        start_dg, now_dg = around.weighed(who.id, his[0].first if his else None)
        profile = around.grounds.of(who.id).profile
        floors = Floors.of(around.settings, profile, around.today)
        load = male_load([HisStay(s.female_name, s.first, s.last) for s in his], start_dg, now_dg, profile, floors)
        lines.append(MaleLine(who.id, who.keeper_id, load, now_dg, tuple(his), tuple(planned[who.id])))
    return tuple(sorted(lines, key=lambda line: (-line.load.days, natural_key(line.keeper_id))))


def _place(line: FemaleLine) -> tuple[int, int, str]:
    """By the next event; lines without one by their stage, those whose season is over last."""
    ahead_of = line.next
    if ahead_of is not None and ahead_of.curve is not None:
        return 0, round(ahead_of.curve.quantile(0.5)), natural_key(line.keeper_id)
    over = 10 if line.season.outcome is not None else 0
    return 1, over + _ORDER.index(line.stage.stage), natural_key(line.keeper_id)
