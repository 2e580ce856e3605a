"""The journal: every change of every record row, written by triggers, and the inverse of any act read from it.

Undo, history and audit are this one thing. A trigger cannot see a temporary table and a rollback must clear the act
at hand, so the current act is a one-row table written inside the act's own transaction. A write outside an act has no
act to name: the journal's NOT NULL column refuses it and SQLite takes the whole statement back.
"""

from __future__ import annotations

import json
from collections.abc import Iterable

from peewee import Model, SqliteDatabase

from coilbook.records.changes import Changes
from coilbook.records.ids import ActId
from coilbook.storage.tables import RECORD_TABLES, RECORDS_BY_NAME, column_names, table_name

#: an act with more rows than this tells its readers to reread everything
LISTED_ROWS = 5_000


def _row_json(model: type[Model], side: str) -> str:
    pairs = ", ".join(f"'{c}', {side}.\"{c}\"" for c in column_names(model))
    return f"json_object({pairs})"


def _animal_of(model: type[Model], side: str) -> str:
    if table_name(model) == "animal":
        return f"{side}.id"
    return f"{side}.animal_id" if "animal_id" in column_names(model) else "NULL"


def trigger_sql(model: type[Model]) -> list[str]:
    """The three triggers of one record table."""
    name = table_name(model)
    differs = " OR ".join(f'OLD."{c}" IS NOT NEW."{c}"' for c in column_names(model))
    parts = (
        ("insert", "I", "NEW", "NULL", ""),
        ("update", "U", "NEW", _row_json(model, "OLD"), f" WHEN {differs}"),
        ("delete", "D", "OLD", _row_json(model, "OLD"), ""),
    )
    return [
        f'CREATE TRIGGER journal_{name}_{event} AFTER {event.upper()} ON "{name}" FOR EACH ROW{when} BEGIN '
        f"INSERT INTO change (act, tbl, row, op, animal, before) VALUES ((SELECT act FROM current_act), '{name}', "
        f"{side}.id, '{op}', {_animal_of(model, side)}, {before}); END"
        for event, op, side, before, when in parts
    ]


def install_triggers(db: SqliteDatabase) -> None:
    """Write the triggers of every record table anew from the models."""
    drop_triggers(db)
    for model in RECORD_TABLES:
        for sql in trigger_sql(model):
            db.execute_sql(sql)


def drop_triggers(db: SqliteDatabase) -> None:
    """Take all journal triggers away (a migration does, before it rebuilds tables)."""
    names = db.execute_sql(
        "SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'journal\\_%' ESCAPE '\\'"
    )
    for (name,) in names.fetchall():
        db.execute_sql(f'DROP TRIGGER "{name}"')


def changes_of(db: SqliteDatabase, act: ActId) -> Changes:
    """What an act touched; `everything` when it is too much to list."""
    (size,) = db.execute_sql("SELECT count(*) FROM change WHERE act = ?", (act,)).fetchone()
    if size > LISTED_ROWS:
        tables = db.execute_sql("SELECT DISTINCT tbl FROM change WHERE act = ?", (act,)).fetchall()
        return Changes(act=act, rows={t: frozenset() for (t,) in tables}, everything=True)
    rows: dict[str, set[int]] = {}
    animals: set[int] = set()
    for table, row, animal in db.execute_sql("SELECT DISTINCT tbl, row, animal FROM change WHERE act = ?", (act,)):
        rows.setdefault(table, set()).add(row)
        if animal is not None:
            animals.add(animal)
    return Changes(act=act, rows={t: frozenset(r) for t, r in rows.items()}, animals=frozenset(animals))


def change_count(db: SqliteDatabase, act: ActId) -> int:
    """How many row changes an act wrote."""
    return int(db.execute_sql("SELECT count(*) FROM change WHERE act = ?", (act,)).fetchone()[0])


# An undo of an act younger than ours and that act cancel out: the one is not in force, the other is left out here.
_IN_FORCE = "a.id > :act AND a.in_force = 1 AND (a.undoes IS NULL OR a.undoes <= :act)"


def is_undone(db: SqliteDatabase, act: ActId) -> bool:
    """True while an undo of this act is in force."""
    row = db.execute_sql("SELECT in_force FROM act WHERE id = ?", (act,)).fetchone()
    return row is not None and row[0] == 0


def undone_by(db: SqliteDatabase, act: ActId) -> list[ActId]:
    """The acts an undo took back, newest first; none when it is no undo."""
    row = db.execute_sql("SELECT undoes, undoes_also FROM act WHERE id = ?", (act,)).fetchone()
    if row is None or row[0] is None:
        return []
    return [*sorted((ActId(int(a)) for a in row[1].split(",") if a), reverse=True), ActId(row[0])]


def set_in_force(db: SqliteDatabase, act: ActId, in_force: bool) -> None:
    """Mark an act; taking an undo back puts what it had undone in force again, and so on down."""
    db.execute_sql("UPDATE act SET in_force = ? WHERE id = ?", (int(in_force), act))
    for undone in undone_by(db, act):
        set_in_force(db, undone, not in_force)


def _touching(db: SqliteDatabase, act: ActId) -> set[int]:
    """Acts after `act`, still in force, that changed one of its rows again."""
    sql = f"""SELECT DISTINCT later.act FROM change mine
        JOIN change later ON later.tbl = mine.tbl AND later.row = mine.row AND later.act > mine.act
        JOIN act a ON a.id = later.act WHERE mine.act = :act AND {_IN_FORCE}"""
    return {a for (a,) in _named(db, sql, {"act": act})}


def _referring(db: SqliteDatabase, act: ActId) -> set[int]:
    """Acts after `act`, still in force, whose present rows point at a row that `act` made."""
    found: set[int] = set()
    made = {t for (t,) in db.execute_sql("SELECT DISTINCT tbl FROM change WHERE act = ? AND op = 'I'", (act,))}
    for child in RECORD_TABLES:
        name = table_name(child)
        for field in child._meta.refs:
            parent = table_name(field.rel_model)
            if parent not in made:
                continue
            sql = f"""SELECT DISTINCT c.act FROM change mine
                JOIN "{name}" child ON child."{field.column_name}" = mine.row
                JOIN change c ON c.tbl = '{name}' AND c.row = child.id AND c.act > mine.act
                JOIN act a ON a.id = c.act
                WHERE mine.act = :act AND mine.op = 'I' AND mine.tbl = '{parent}' AND {_IN_FORCE}"""
            found.update(a for (a,) in _named(db, sql, {"act": act}))
    return found


def _named(db: SqliteDatabase, sql: str, values: dict[str, object]) -> list[tuple[int]]:
    rows: list[tuple[int]] = db.connection().execute(sql, values).fetchall()
    return rows


def resting_on(db: SqliteDatabase, act: ActId) -> list[ActId]:
    """Later acts that rest on this one, directly or through each other, newest first."""
    found: set[int] = set()
    front = {int(act)}
    while front:
        fresh: set[int] = set()
        for one in front:
            fresh |= _touching(db, ActId(one)) | _referring(db, ActId(one))
        front = fresh - found - {int(act)}
        found |= front
    return [ActId(a) for a in sorted(found, reverse=True)]


def apply_inverse(db: SqliteDatabase, act: ActId) -> None:
    """Write the inverse of an act, newest change first; the caller holds an act of its own open."""
    set_in_force(db, act, False)
    db.execute_sql("PRAGMA defer_foreign_keys = ON")
    for table, op, first, last in _runs(db, act):
        if op == "I":
            db.execute_sql(
                f'DELETE FROM "{table}" WHERE id IN (SELECT row FROM change WHERE id BETWEEN ? AND ?)',
                (first, last),
            )
        else:
            befores = db.execute_sql(
                "SELECT before FROM change WHERE id BETWEEN ? AND ? ORDER BY id DESC", (first, last)
            )
            _put_back(db, table, op, [b for (b,) in befores.fetchall()])


def _runs(db: SqliteDatabase, act: ActId) -> list[tuple[str, str, int, int]]:
    """Changes of an act as runs of one table and kind, newest run first: (table, op, first id, last id)."""
    sql = """SELECT tbl, op, min(id), max(id) FROM (
        SELECT id, tbl, op, id - row_number() OVER (PARTITION BY tbl, op ORDER BY id) AS run
        FROM change WHERE act = ?) GROUP BY tbl, op, run ORDER BY max(id) DESC"""
    return [(str(t), str(o), int(a), int(b)) for t, o, a, b in db.execute_sql(sql, (act,)).fetchall()]


def _put_back(db: SqliteDatabase, table: str, op: str, befores: Iterable[str]) -> None:
    columns = column_names(RECORDS_BY_NAME[table])
    names = ", ".join(f'"{c}"' for c in columns)
    if op == "D":
        sql = f'INSERT INTO "{table}" ({names}) VALUES ({", ".join("?" * len(columns))})'
    else:
        sql = f'UPDATE "{table}" SET {", ".join(f"{chr(34)}{c}{chr(34)} = ?" for c in columns)} WHERE id = ?'
    cursor = db.connection().cursor()
    for before in befores:
        row = json.loads(before)
        values = [row.get(c) for c in columns]
        cursor.execute(sql, values if op == "D" else [*values, row["id"]])
