"""What one animal's cells rest on, for the margin beside the list: plain records, newest first."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.reads.health_now import Course, courses_now
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import FeedingResult, MoveReason, Origin, RefusalReason, ShedKind, WeightTag
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection
from coilbook.storage.tables import ON_A_DAY

#: entries of a kind that are shown
SHOWN = 7


@dataclass(frozen=True, slots=True)
class OfferMade:
    """One offer; `kept` is False when the meal came back; `left_for` is how long it lay, when it was closed."""

    at: dt.datetime
    result: FeedingResult
    reason: RefusalReason | None
    prey: str
    prey_dg: int | None
    kept: bool
    left_for: dt.timedelta | None


@dataclass(frozen=True, slots=True)
class Weighed:
    """One weight; `at` says nothing where its day is not on record."""

    at: dt.datetime
    mass_dg: int
    tag: WeightTag
    doubted: bool
    undated: bool


@dataclass(frozen=True, slots=True)
class Moved:
    """One move; empty labels for no place."""

    at: dt.datetime
    came_from: str
    went_to: str
    reason: MoveReason


@dataclass(frozen=True, slots=True)
class Behind:
    """Everything the margin can be asked about one animal."""

    offers: tuple[OfferMade, ...]
    weights: tuple[Weighed, ...]
    moves: tuple[Moved, ...]
    sheds: tuple[tuple[dt.datetime, ShedKind], ...]
    claims: tuple[tuple[str, str], ...]
    parents: tuple[tuple[str, str, int], ...]
    neighbours: tuple[str, ...]
    tags: tuple[str, ...]
    notes: tuple[tuple[dt.datetime, str], ...]
    origin: Origin
    interval_days: int | None
    prey: str
    #: offers written down since the last taken meal that was kept, however many are shown
    not_offered_since: int
    #: treatments and quarantines that go on
    courses: tuple[Course, ...]


def behind(collection: Collection, animal: AnimalId) -> Behind:
    """Read what stands behind an animal's row."""
    row = collection.read_one("SELECT origin, interval_days, prey_kind FROM animal WHERE id = ?", (animal,))
    origin, interval, prey = row if row is not None else (Origin.UNKNOWN.value, None, "")
    return Behind(
        _offers(collection, animal),
        _weights(collection, animal),
        _moves(collection, animal),
        tuple((moment_from(at), ShedKind(kind)) for at, kind in _newest(collection, "shed", "at, kind", animal)),
        tuple((str(t), str(s)) for t, s in collection.read(_CLAIMS, (animal,))),
        tuple((str(k), str(role), int(p)) for k, role, p in collection.read(_PARENTS, (animal, animal))),
        tuple(str(k) for (k,) in collection.read(_NEIGHBOURS, (animal, animal))),
        tuple(str(w) for (w,) in collection.read("SELECT word FROM tag WHERE animal_id = ? ORDER BY word", (animal,))),
        tuple((moment_from(at), str(text)) for at, text in _newest(collection, "note", "at, text", animal)),
        Origin(origin),
        interval,
        str(prey),
        int((collection.read_one(_PASSED, (animal, animal)) or (0,))[0]),
        courses_now(collection, (animal,)).get(animal, ()),
    )


_CLAIMS = "SELECT text, source FROM claim WHERE animal_id = ? ORDER BY id"
_PARENTS = """SELECT d.keeper_id, 'dam', 100 FROM animal a JOIN animal d ON d.id = a.dam_id WHERE a.id = ?
    UNION ALL SELECT x.keeper_id, 'sire', s.percent FROM sire s JOIN animal x ON x.id = s.sire_id
        WHERE s.animal_id = ?"""
_NEIGHBOURS = """SELECT keeper_id FROM animal WHERE id <> ? AND place_id = (SELECT place_id FROM animal WHERE id = ?)
    ORDER BY id LIMIT 4"""
_PASSED = """SELECT count(*) FROM feeding WHERE animal_id = ? AND result = 'not_offered'
    AND at > coalesce((SELECT taken_at FROM animal_now WHERE animal = ?), '')"""


def _newest(collection: Collection, table: str, columns: str, animal: AnimalId) -> list[tuple[str, str]]:
    sql = f'SELECT {columns} FROM "{table}" WHERE animal_id = ? ORDER BY at DESC, id DESC LIMIT {SHOWN}'
    return [(str(at), str(what)) for at, what in collection.read(sql, (animal,))]


def _offers(collection: Collection, animal: AnimalId) -> tuple[OfferMade, ...]:
    rows = collection.read(
        f"""SELECT f.at, f.result, f.reason, f.prey, f.prey_dg, f.closed_at,
            NOT EXISTS (SELECT 1 FROM regurgitation r WHERE r.feeding_id = f.id)
        FROM feeding f WHERE f.animal_id = ? ORDER BY f.at DESC, f.id DESC LIMIT {SHOWN}""",
        (animal,),
    )
    return tuple(
        OfferMade(
            moment_from(at),
            FeedingResult(result),
            RefusalReason(reason) if reason else None,
            prey,
            prey_dg,
            bool(kept),
            moment_from(closed) - moment_from(at) if closed else None,
        )
        for at, result, reason, prey, prey_dg, closed, kept in rows
    )


def _weights(collection: Collection, animal: AnimalId) -> tuple[Weighed, ...]:
    rows = collection.read(
        f"""SELECT at, mass_dg, tag, doubted, NOT {ON_A_DAY} FROM weight WHERE animal_id = ?
        ORDER BY at DESC, id DESC LIMIT {SHOWN}""",
        (animal,),
    )
    return tuple(
        Weighed(moment_from(at), mass, WeightTag(tag), bool(doubted), bool(undated))
        for at, mass, tag, doubted, undated in rows
    )


def _moves(collection: Collection, animal: AnimalId) -> tuple[Moved, ...]:
    rows = collection.read(
        f"""SELECT m.at, coalesce(f.label, ''), coalesce(t.label, ''), m.reason FROM move m
        LEFT JOIN place f ON f.id = m.from_place_id LEFT JOIN place t ON t.id = m.to_place_id
        WHERE m.animal_id = ? ORDER BY m.at DESC, m.id DESC LIMIT {SHOWN}""",
        (animal,),
    )
    return tuple(Moved(moment_from(at), came, went, MoveReason(reason)) for at, came, went, reason in rows)
