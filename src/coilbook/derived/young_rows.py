"""Hatchlings as they are entered: hatched, first shed, offers, weights, read for an act or a reader alike."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Iterable

from coilbook.derived.season_rows import Read
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.sale_ready import MealOffered
from coilbook.husbandry.young import OFFERED_EVERY, YoungSoFar
from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import SHED_RESULTS, FeedingResult, Precision
from coilbook.records.when import PartialDate
from coilbook.storage.health_tables import GOES_ON
from coilbook.storage.tables import ON_A_DAY

#: entries later than this after hatching are of no hatchling (days)
_FOLLOWED = 400
_AMONG = "IN (SELECT value FROM json_each(?1))"
_TREATED = f"SELECT DISTINCT c.animal_id FROM health_course c WHERE c.kind = '{CourseKind.TREATMENT}' AND {GOES_ON}"


def hatchlings_since(read: Read, since: dt.date, species: str, limit: int = -1) -> list[AnimalId]:
    """Animals of a species hatched here since a day, of any status, the newest first."""
    rows = read(
        """SELECT a.id FROM animal a WHERE a.hatched >= ? AND a.species = ? AND (a.origin = 'bred_here'
        OR EXISTS (SELECT 1 FROM hatchling h WHERE h.animal_id = a.id)) ORDER BY a.hatched DESC, a.id DESC LIMIT ?""",
        (since.isoformat(), species, limit),
    )
    return [AnimalId(row) for (row,) in rows]


def young_of(read: Read, animals: Iterable[AnimalId]) -> dict[AnimalId, YoungSoFar]:
    """What is on record of each; those without a date of hatching are left out."""
    listed = (json.dumps(sorted(animals)),)
    sheds: dict[int, dt.date] = {}
    kinds = ", ".join(f"'{kind.value}'" for kind in SHED_RESULTS)
    sql = f"SELECT animal_id, min(at) FROM shed WHERE animal_id {_AMONG} AND kind IN ({kinds}) GROUP BY animal_id"
    for animal, at in read(sql, listed):
        sheds[animal] = _day(at)
    offers, weights = _offers(read, listed), _weights(read, listed)
    treated = {int(animal) for (animal,) in read(_TREATED, ())}
    found = {}
    sql = f"""SELECT a.id, a.hatched, a.hatched_precision, a.dam_id, e.clutch_id, a.interval_days FROM animal a
        LEFT JOIN hatchling h ON h.animal_id = a.id LEFT JOIN egg e ON e.id = h.egg_id
        WHERE a.id {_AMONG} AND a.hatched IS NOT NULL AND a.hatched <> '' GROUP BY a.id"""
    for animal, hatched, precision, dam, clutch, every in read(sql, listed):
        day = PartialDate(_day(hatched), Precision(precision) if precision else Precision.DAY)
        whose = ("clutch", clutch) if clutch is not None else ("dam", dam, hatched[:7])
        until = day.last + dt.timedelta(days=_FOLLOWED)
        found[AnimalId(animal)] = YoungSoFar(
            whose,
            KnownDay.of(day),
            sheds.get(animal),
            tuple(one for one in offers[animal] if one[0] <= until),
            tuple(one for one in weights[animal] if one[0] <= until),
            every or OFFERED_EVERY,
            animal in treated,
        )
    return found


def _offers(read: Read, listed: tuple[str]) -> dict[int, list[tuple[dt.date, MealOffered]]]:
    sql = f"""SELECT animal_id, at, result, EXISTS (SELECT 1 FROM regurgitation r WHERE r.feeding_id = f.id)
        FROM feeding f WHERE animal_id {_AMONG} AND result <> 'not_offered' ORDER BY at, id"""
    found: dict[int, list[tuple[dt.date, MealOffered]]] = defaultdict(list)
    for animal, at, result, came_back in read(sql, listed):
        found[animal].append((_day(at), MealOffered(FeedingResult(result), came_back=bool(came_back))))
    return found


def _weights(read: Read, listed: tuple[str]) -> dict[int, list[tuple[dt.date, int]]]:
    sql = f"""SELECT animal_id, at, mass_dg FROM weight
        WHERE animal_id {_AMONG} AND doubted = 0 AND {ON_A_DAY} ORDER BY at, id"""
    found: dict[int, list[tuple[dt.date, int]]] = defaultdict(list)
    for animal, at, mass in read(sql, listed):
        found[animal].append((_day(at), mass))
    return found


def _day(text: str) -> dt.date:
    return dt.date.fromisoformat(text[:10])
