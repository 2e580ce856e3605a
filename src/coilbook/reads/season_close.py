"""The close of a season: for each clutch and female what was laid, judged good and hatched, days, weights, recovery.

A share of so few eggs is never "reliable": it comes with its range (Wilson, 90%). Eggs that stayed doubtful are in no
share and stand apart.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from coilbook.derived.season_book import FemaleSeason, season_end
from coilbook.derived.season_reading import read_book
from coilbook.derived.season_rows import weights
from coilbook.derived.season_species import Grounds
from coilbook.husbandry.figures import Event, FigureKey
from coilbook.husbandry.hatch_result import HatchResult, hatch_result
from coilbook.husbandry.known_day import days_between
from coilbook.husbandry.profile import Profile
from coilbook.reads.egg_boxes import clutches
from coilbook.reads.egg_rows import ClutchNow
from coilbook.reads.laying_balance import weights_around
from coilbook.records.egg_vocabulary import EggDeed, Outcome
from coilbook.records.ids import AnimalId, ClutchId
from coilbook.records.season_vocabulary import SeasonEnd
from coilbook.records.settings import Settings
from coilbook.storage.collection import Collection
from coilbook.wording.natural import natural_key

#: a weight this many days from the laying is still of that laying (`common practice`: weighed within two weeks)
_NEAR_DAYS = 14
_KNOWN_WITHIN = 3


@dataclass(frozen=True, slots=True)
class Treated:
    """Something done to eggs of a clutch: how often, and what the next looks and the hatching made of it."""

    what: EggDeed
    times: int
    came_of: tuple[tuple[Outcome, int], ...]
    hatched: int
    eggs: int


@dataclass(frozen=True, slots=True)
class CloseRow:
    """One clutch, or one female's season without eggs (`label` empty).

    `days` from event to event as far as both are known; `before_dg`, `after_dg` around laying; `recovered` the first
    day she weighed her share of the start again, `now_permille` her newest weight since laying against the start.
    """

    female: AnimalId | None
    keeper_id: str
    label: str
    laid: dt.date | None
    result: HatchResult | None
    outcome: SeasonEnd | None
    stays: int
    days: tuple[tuple[Event, int], ...] = ()
    start_dg: int | None = None
    before_dg: int | None = None
    after_dg: int | None = None
    recovered: dt.date | None = None
    now_permille: int | None = None
    done: tuple[Treated, ...] = ()


def season_close(collection: Collection, start: dt.date, settings: Settings) -> tuple[CloseRow, ...]:
    """Every clutch and every female with a season that begins on `start`, by female."""
    book = read_book(collection.read, settings.season_month)
    grounds = Grounds(collection.read, book)
    weighed = weights(collection.read, start - dt.timedelta(days=365))
    rounds = [one for of_hers in book.seasons.values() for season in of_hers for one in season.rounds]
    seasons = [one for one in rounds if one.start == start]
    # a laying may stand in the calendar after its season: it belongs to the one of its ovulation
    span = ((start - dt.timedelta(days=1)).isoformat(), (season_end(start) + dt.timedelta(days=120)).isoformat())
    laid = [ClutchId(row) for (row,) in collection.read("SELECT id FROM clutch WHERE laid BETWEEN ? AND ?", span)]
    all_clutches = {clutch.id: clutch for clutch in clutches(collection, laid)}
    done = _deeds(collection)
    names = dict(collection.read("SELECT id, keeper_id FROM animal"))
    rows = []
    for season in seasons:
        clutch = all_clutches.get(season.laying.clutch) if season.laying is not None else None
        treated = _treated(clutch, done) if clutch is not None else ()
        name = str(names.get(season.female, ""))
        around = _around(collection, season)
        rows.append(
            _row(
                season, name, clutch, weighed.get(season.female, []), around, treated, grounds.of(season.female).profile
            )
        )
    in_a_season = {one.laying.clutch for one in rounds if one.laying is not None}
    rows += [_found(c) for c in all_clutches.values() if c.id not in in_a_season and _in(c, start)]
    return tuple(sorted(rows, key=lambda row: (natural_key(row.keeper_id), row.laid or dt.date.max)))


def _in(clutch: ClutchNow, start: dt.date) -> bool:
    return start <= clutch.laid.first <= season_end(start)


def _found(clutch: ClutchNow) -> CloseRow:
    """A clutch of no season: eggs found, or a part of a laying entered apart."""
    dam = clutch.dam
    return CloseRow(
        dam.id if dam is not None else None, dam.name if dam is not None else "", clutch.label, clutch.laid.first,
        hatch_result([egg.story for egg in clutch.eggs]), None, 0,
    )  # fmt: skip


def _row(
    season: FemaleSeason, name: str, clutch: ClutchNow | None, weighed: Sequence[tuple[dt.date, int]],
    around: tuple[int | None, int | None], treated: tuple[Treated, ...], profile: Profile,
) -> CloseRow:  # fmt: skip
    laid = season.laying.day if season.laying is not None else None
    before = [mass for day, mass in weighed if day <= season.start]
    # the first of the season stands in for it, but never one that she had after laying
    first = [mass for day, mass in weighed if laid is None or day < laid]
    start = before[-1] if before else (first[0] if first else None)
    share = profile.value(FigureKey.RECOVERED_SHARE)
    recovered = None
    if laid is not None and start is not None:
        recovered = next((day for day, mass in weighed if day > laid and mass >= share * start), None)
    # before she laid, her newest weight says nothing of what she has to make up
    since = [mass for day, mass in weighed if laid is None or day > laid]
    now = since[-1] if since else None
    return CloseRow(
        season.female, name, clutch.label if clutch is not None else "", laid,
        hatch_result([egg.story for egg in clutch.eggs]) if clutch is not None else None,
        season.outcome.outcome if season.outcome is not None else None, len(season.stays), _days(season, profile),
        start, *around, recovered, round(1000 * (now / start - 1)) if now and start else None, treated,
    )  # fmt: skip


def _around(collection: Collection, season: FemaleSeason) -> tuple[int | None, int | None]:
    """The last weight before laying and the first after it, each within two weeks."""
    if season.laying is None:
        return None, None
    laid = season.laying.laid
    before, after = weights_around(collection, season.female, laid.earliest, laid.latest)
    near = before is not None and (laid.earliest - before.day).days <= _NEAR_DAYS
    return (before.mass_dg if before is not None and near else None), (after.mass_dg if after is not None else None)


def _days(season: FemaleSeason, profile: Profile) -> tuple[tuple[Event, int], ...]:
    """Whole days from each event on record to the very next one of a season, by the later of the two.

    A day known less well than to `_KNOWN_WITHIN` days gives no number.
    """
    happened = season.happened(profile)
    return tuple(
        (after, round(days_between(happened[before], happened[after])[0]))
        for before, after in pairwise(Event)
        if before in happened
        and after in happened
        and max(happened[before].span, happened[after].span) <= _KNOWN_WITHIN
    )


def _deeds(collection: Collection) -> dict[int, list[tuple[EggDeed, Outcome, int]]]:
    """What was done to each egg: (what, what came of it, the row)."""
    found: dict[int, list[tuple[EggDeed, Outcome, int]]] = {}
    sql = "SELECT id, egg_id, what, came_of_it FROM egg_done WHERE egg_id IS NOT NULL ORDER BY at, id"
    for row, egg, what, came in collection.read(sql):
        found.setdefault(egg, []).append((EggDeed(what), Outcome(came), row))
    return found


def _treated(clutch: ClutchNow, deeds: dict[int, list[tuple[EggDeed, Outcome, int]]]) -> tuple[Treated, ...]:
    """What was done to eggs of a clutch, apart from taking them out, with what came of it."""
    times: Counter[EggDeed] = Counter()
    came: dict[EggDeed, Counter[Outcome]] = {}
    eggs: dict[EggDeed, set[int]] = {}
    for egg in clutch.eggs:
        for what, outcome, _row in deeds.get(egg.id, []):
            if what is EggDeed.REMOVED:
                continue
            times[what] += 1
            eggs.setdefault(what, set()).add(egg.id)
            if outcome is not Outcome.UNSAID:
                came.setdefault(what, Counter())[outcome] += 1
    hatched = {egg.id for egg in clutch.eggs if egg.story.end.value == "hatched"}
    return tuple(
        Treated(what, n, tuple(came.get(what, Counter()).items()), len(eggs[what] & hatched), len(eggs[what]))
        for what, n in times.items()
    )
