"""Keeps `animal_now` right: what lists, rounds and the filter need of each animal today.

One set of statements serves a single animal after an act, the thousands of an import and the whole collection, so
that there is one definition of every column. Nothing here depends on the clock: what "today" makes of these facts is
for the reader to say.

* A regurgitated meal is not kept: `taken_at` is the newest offer taken and kept, `refused_since` counts from there.
* A pending offer is neither taken nor refused; a decision not to offer is no offer at all.
* A doubted weight drives nothing.
* A weight whose day is not on record has no `weight_at`, though it is the newest, and no point on the curve.
* The curve holds the weights of the twelve months before the newest of a day, thinned to at most `CURVE_POINTS`.
* Due = last offer + the animal's own interval, else the collection's; only for animals that are here.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from peewee import SqliteDatabase

from coilbook.derived.touched import INTERVAL_SETTING, animals_touched, interval_touched
from coilbook.records.changes import Changes
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import REFUSED_RESULTS, SHED_RESULTS, TAKEN_RESULTS, FeedingResult, ShedKind, Status
from coilbook.storage.collection import Collection
from coilbook.storage.tables import ON_A_DAY

#: raised when the meaning of a column changes, so that collections are rebuilt once
FORM = 3
CURVE_POINTS = 24

_WHICH = "SELECT value FROM json_each(:ids)"


def _listed(codes: Iterable[str]) -> str:
    return ", ".join(f"'{code!s}'" for code in codes)


# Days as Python's date.toordinal counts them: the Julian day of 0001-01-01 00:00 is 1721425.5.
_ORDINAL = "CAST(julianday(substr(at, 1, 10)) - 1721424.5 AS INTEGER)"

_NEXT_DUE = f"""CASE WHEN a.status = '{Status.HERE}' AND offered_at IS NOT NULL
    THEN date(substr(offered_at, 1, 10), '+' || coalesce(a.interval_days, :interval) || ' days') END"""

# Every line is one column's source; each inner query walks the index on (animal, at) from its newest end.
_FACTS = f"""SELECT a.id AS animal, w.mass_dg AS weight_dg,
    CASE WHEN w.{ON_A_DAY} THEN w.at END AS weight_at, t.at AS taken_at, o.at AS offered_at,
    o.result AS offered_result,
    (SELECT count(*) FROM feeding f WHERE f.animal_id = a.id AND f.result IN ({_listed(REFUSED_RESULTS)})
        AND f.at >= coalesce(t.at, '') AND (t.id IS NULL OR f.at > t.at OR f.id > t.id)) AS refused_since,
    (SELECT count(*) FROM feeding f WHERE f.animal_id = a.id AND f.result = '{FeedingResult.PENDING}') AS pending,
    (SELECT max(s.at) FROM shed s WHERE s.animal_id = a.id AND s.kind IN ({_listed(SHED_RESULTS)})) AS shed_at,
    CASE WHEN b.kind = '{ShedKind.BLUE}' THEN b.at END AS blue_at
FROM animal a
LEFT JOIN weight w ON w.id = (SELECT x.id FROM weight x WHERE x.animal_id = a.id AND x.doubted = 0
    ORDER BY x.at DESC, x.id DESC LIMIT 1)
LEFT JOIN feeding t ON t.id = (SELECT f.id FROM feeding f WHERE f.animal_id = a.id
    AND f.result IN ({_listed(TAKEN_RESULTS)})
    AND NOT EXISTS (SELECT 1 FROM regurgitation r WHERE r.feeding_id = f.id)
    ORDER BY f.at DESC, f.id DESC LIMIT 1)
LEFT JOIN feeding o ON o.id = (SELECT f.id FROM feeding f WHERE f.animal_id = a.id
    AND f.result <> '{FeedingResult.NOT_OFFERED}' ORDER BY f.at DESC, f.id DESC LIMIT 1)
LEFT JOIN shed b ON b.id = (SELECT s.id FROM shed s WHERE s.animal_id = a.id ORDER BY s.at DESC, s.id DESC LIMIT 1)
"""

_TEXT = """SELECT lower(a.keeper_id || char(10) || a.name || char(10) || a.genetics
    || coalesce(char(10) || p.label, '') || coalesce(char(10) || dam.keeper_id || char(10) || dam.name, '')
    || coalesce((SELECT group_concat(char(10) || x.keeper_id || char(10) || x.name, '')
        FROM sire s JOIN animal x ON x.id = s.sire_id WHERE s.animal_id = a.id), '')
    || coalesce((SELECT group_concat(char(10) || c.text, '') FROM claim c WHERE c.animal_id = a.id), '')
    || coalesce((SELECT group_concat(char(10) || g.word, '') FROM tag g WHERE g.animal_id = a.id), '')
    || coalesce((SELECT group_concat(char(10) || n.text, '') FROM note n WHERE n.animal_id = a.id), '')
    || coalesce((SELECT group_concat(char(10) || h.what_for || char(10) || h.done, '')
        FROM health_course h WHERE h.animal_id = a.id), '')
    || char(10) || a.microchip || char(10) || a.temperament || char(10) || a.holdback || char(10) || a.feeding_note)
FROM animal a LEFT JOIN place p ON p.id = a.place_id LEFT JOIN animal dam ON dam.id = a.dam_id
WHERE a.id = animal_now.animal"""

# Of n points those are kept that are the first in one of CURVE_POINTS - 1 equal stretches, and the last.
_CURVE = f"""SELECT group_concat(point, ' ') FROM (SELECT day || ':' || mass_dg AS point FROM (
    SELECT {_ORDINAL} AS day, mass_dg, at, id, row_number() OVER (ORDER BY at, id) - 1 AS place, count(*) OVER () AS n
    FROM weight WHERE animal_id = animal_now.animal AND doubted = 0 AND {ON_A_DAY}
        AND substr(at, 1, 10) >= date(substr(coalesce(animal_now.weight_at, (SELECT max(w.at) FROM weight w
            WHERE w.animal_id = animal_now.animal AND w.doubted = 0 AND w.{ON_A_DAY})), 1, 10), '-12 months'))
    WHERE n <= {CURVE_POINTS} OR place = 0
        OR place * {CURVE_POINTS - 1} / (n - 1) > (place - 1) * {CURVE_POINTS - 1} / (n - 1)
    ORDER BY at, id)"""


def refresh(db: SqliteDatabase, animal_ids: Iterable[int]) -> None:
    """Recompute the rows of some animals; a row of an animal that is no more goes away."""
    ids = json.dumps(sorted(set(animal_ids)))
    _run(db, f"DELETE FROM animal_now WHERE animal IN ({_WHICH})", ids=ids)
    _fill(db, f"WHERE a.id IN ({_WHICH})", f"animal IN ({_WHICH})", ids)


def rebuild(db: SqliteDatabase) -> None:
    """Recompute every row from the records, and note that the table is right."""
    _run(db, "DELETE FROM animal_now")
    _fill(db, "", "TRUE", "[]")
    note_current(db)


def _fill(db: SqliteDatabase, facts_where: str, now_where: str, ids: str) -> None:
    columns = (
        "animal, weight_dg, weight_at, taken_at, offered_at, offered_result, refused_since, pending, shed_at, blue_at"
    )
    _run(db, f"INSERT INTO animal_now ({columns}) {_FACTS} {facts_where}", ids=ids)
    due = f"SELECT {_NEXT_DUE} FROM animal a WHERE a.id = animal_now.animal"
    curve = f"CASE WHEN weight_dg IS NULL THEN '' ELSE coalesce(({_CURVE}), '') END"
    _run(
        db,
        f"UPDATE animal_now SET next_due = ({due}), search = ({_TEXT}), curve = {curve} WHERE {now_where}",
        ids=ids,
        interval=default_interval(db),
    )
    _fold_rest(db, now_where, ids)


def _fold_rest(db: SqliteDatabase, now_where: str, ids: str) -> None:
    """SQLite lowers ASCII only: the few texts with other letters are folded here."""
    rows = _run(db, f"SELECT animal, search FROM animal_now WHERE {now_where} AND search GLOB '*[^ -~\n]*'", ids=ids)
    folded = [(text.casefold(), animal) for animal, text in rows]
    if folded:
        db.connection().executemany("UPDATE animal_now SET search = ? WHERE animal = ?", folded)


def default_interval(db: SqliteDatabase) -> int:
    """Days between offers for animals without their own interval."""
    rows = _run(db, "SELECT value FROM setting WHERE name = :name", name=INTERVAL_SETTING)
    stored = {INTERVAL_SETTING: str(rows[0][0])} if rows else {}
    return Settings.from_stored(stored).default_interval_days


def _run(db: SqliteDatabase, sql: str, **values: object) -> list[tuple[int, str]]:
    named = {name: value for name, value in values.items() if f":{name}" in sql}
    rows: list[tuple[int, str]] = db.connection().execute(sql, named).fetchall()
    return rows


def note_current(db: SqliteDatabase) -> None:
    """Write down that `animal_now` holds everything up to the newest act."""
    sql = """INSERT INTO derived_state (name, value) VALUES (?, (SELECT coalesce(max(id), 0) FROM act))
        ON CONFLICT (name) DO UPDATE SET value = excluded.value"""
    db.connection().execute(sql, (f"summary {FORM}",))


def is_current(collection: Collection) -> bool:
    """True when the table was kept by this form of the rules up to the newest act."""
    row = collection.read_one(
        "SELECT value = (SELECT coalesce(max(id), 0) FROM act) FROM derived_state WHERE name = ?", (f"summary {FORM}",)
    )
    return bool(row[0]) if row is not None else collection.read_one("SELECT 1 FROM animal") is None


def follow(db: SqliteDatabase, changes: Changes) -> None:
    """Bring the table up to an act, inside the act's own transaction."""
    if changes.everything and changes.act is None:
        rebuild(db)
        return

    def read(sql: str, values: Sequence[Any]) -> list[tuple[Any, ...]]:
        rows: list[tuple[Any, ...]] = db.connection().execute(sql, values).fetchall()
        return rows

    after, tables = int(changes.act or 0) - 1, frozenset(changes.rows)
    touched = animals_touched(read, after, tables)
    if touched:
        refresh(db, touched)
    if interval_touched(read, after, tables):
        due = f"SELECT {_NEXT_DUE} FROM animal a WHERE a.id = animal_now.animal"
        _run(db, f"UPDATE animal_now SET next_due = ({due})", interval=default_interval(db))
    note_current(db)


def attach(collection: Collection) -> None:
    """Keep the table right from now on: rebuild it if anything wrote without it, then follow every act."""
    if not is_current(collection):
        with collection.writing() as db:
            rebuild(db)
    collection.hooks.append(follow)
