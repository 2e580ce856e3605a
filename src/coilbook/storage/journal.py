"""The journal: every change of every record row, written by triggers, and the inverse of any act read from it.

Undo, history and audit are this one thing. A trigger cannot see a temporary table and a rollback must clear the act
at hand, so the current act is a one-row table written inside the act's own transaction. A write outside an act has no
act to name: the journal's NOT NULL column refuses it and SQLite takes the whole statement back.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from itertools import groupby
from operator import itemgetter

from peewee import Model, SqliteDatabase

from coilbook.records.changes import Changes
from coilbook.records.ids import ActId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act
from coilbook.storage.tables import RECORD_TABLES, RECORDS_BY_NAME, column_names, references, table_name

#: references that say something of the row they point at: a meal came back, so it was taken
_LEANING = frozenset({("regurgitation", "feeding_id")})
#: an act with more rows than this tells its readers to reread everything
LISTED_ROWS = 5_000


def _row_json(model: type[Model], side: str) -> str:
    pairs = ", ".join(f"'{c}', {side}.\"{c}\"" for c in column_names(model))
    return f"json_object({pairs})"


def _animal_of(model: type[Model], side: str) -> str:
    if table_name(model) == "animal":
        return f"{side}.id"
    # a clutch belongs to the history of its dam, a stay to that of the female
    owner = next((c for c in ("animal_id", "dam_id", "female_id") if c in column_names(model)), None)
    return f"{side}.{owner}" if owner is not None else "NULL"


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


def changes_of(db: SqliteDatabase, act: ActId, size: int) -> Changes:
    """What an act of `size` changed rows touched; `everything` when it is too much to list."""
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
    newest_first = undone_by(db, act)
    # acts come back in the order they were made: an undo among them must have the last word on what it took back
    for undone in newest_first if in_force else reversed(newest_first):
        set_in_force(db, undone, not in_force)


def _touching(db: SqliteDatabase, act: ActId) -> set[int]:
    """Acts after `act`, still in force, that changed one of its rows again.

    A later undo rests on `act` only by rows of what it took back from before `act` (`act` itself taken back and done
    again included); what it took back from after `act` and itself cancel out, row by row.
    """
    sql = f"""SELECT DISTINCT later.act, later.tbl, later.row, a.undoes_also <> '' FROM change mine
        JOIN change later ON later.tbl = mine.tbl AND later.row = mine.row AND later.act > mine.act
        JOIN act a ON a.id = later.act WHERE mine.act = :act AND {_IN_FORCE}"""
    found: set[int] = set()
    for later, table, row, several in db.connection().execute(sql, {"act": act}).fetchall():
        if later not in found and (not several or _took_back_older(db, later, act, (table, row))):
            found.add(later)
    return found


def _took_back_older(db: SqliteDatabase, undo: int, act: ActId, row: tuple[str, int]) -> bool:
    older = ",".join(str(a) for a in undone_by(db, ActId(undo)) if a <= act)
    sql = f"SELECT 1 FROM change WHERE tbl = ? AND row = ? AND act IN ({older}) LIMIT 1"
    return db.execute_sql(sql, row).fetchone() is not None


def _changed_before(db: SqliteDatabase, act: ActId) -> set[str]:
    """Tables in which an act changed or removed rows (most acts, and every import, only add)."""
    sql = "SELECT DISTINCT tbl FROM change WHERE act = ? AND before IS NOT NULL"
    return {t for (t,) in db.execute_sql(sql, (act,)).fetchall()}


def _referring(db: SqliteDatabase, act: ActId) -> set[int]:
    """Acts after `act`, still in force, whose present rows point at a row that `act` made, or lean on what it says."""
    found: set[int] = set()
    rows = db.execute_sql("SELECT DISTINCT tbl, op FROM change WHERE act = ? AND op <> 'D'", (act,)).fetchall()
    for name, column, parent in references():
        leans = "IU" if (name, column) in _LEANING else "I"
        if not any(table == parent and op in leans for table, op in rows):
            continue
        sql = f"""SELECT DISTINCT c.act FROM change mine
            JOIN "{name}" child ON child."{column}" = mine.row
            JOIN change c ON c.tbl = '{name}' AND c.row = child.id AND c.act > mine.act
            JOIN act a ON a.id = c.act
            WHERE mine.act = :act AND instr('{leans}', mine.op) AND mine.tbl = '{parent}' AND {_IN_FORCE}"""
        found.update(a for (a,) in _named(db, sql, {"act": act}))
    return found


def _clearing(db: SqliteDatabase, act: ActId) -> set[int]:
    """Acts after `act`, still in force, that removed a row which a row of `act` pointed at before it."""
    found: set[int] = set()
    changed = _changed_before(db, act)
    for name, column, parent in references():
        if name not in changed:
            continue
        sql = f"""SELECT DISTINCT gone.act FROM change mine
            JOIN change gone ON gone.tbl = '{parent}' AND gone.row = json_extract(mine.before, '$.{column}')
                AND gone.op = 'D' AND gone.act > mine.act
            JOIN act a ON a.id = gone.act
            WHERE mine.act = :act AND mine.tbl = '{name}' AND mine.before IS NOT NULL AND {_IN_FORCE}"""
        found.update(a for (a,) in _named(db, sql, {"act": act}))
    return found


def _occupying(db: SqliteDatabase, act: ActId) -> set[int]:
    """Acts after `act`, still in force, whose present rows hold a unique name that a row of `act` had before it."""
    found: set[int] = set()
    for name in sorted(_changed_before(db, act) & RECORDS_BY_NAME.keys()):
        for columns in _alone_of_its_kind(RECORDS_BY_NAME[name]):
            same = " AND ".join(f"holder.\"{c}\" = json_extract(mine.before, '$.{c}')" for c in columns)
            sql = f"""SELECT DISTINCT c.act FROM change mine JOIN "{name}" holder ON {same} AND holder.id <> mine.row
                JOIN change c ON c.tbl = '{name}' AND c.row = holder.id AND c.act > mine.act
                JOIN act a ON a.id = c.act
                WHERE mine.act = :act AND mine.tbl = '{name}' AND mine.before IS NOT NULL AND {_IN_FORCE}"""
            found.update(a for (a,) in _named(db, sql, {"act": act}))
    return found


def _alone_of_its_kind(model: type[Model]) -> list[tuple[str, ...]]:
    """Columns whose values together only one row of a table has."""
    fields = model._meta.fields
    single = [(f.column_name,) for f in model._meta.sorted_fields if f.unique and f.column_name != "id"]
    several = [
        tuple(str(fields[name].column_name) for name in names) for names, unique in model._meta.indexes if unique
    ]
    return [*single, *several, *([("animal_id", "word")] if table_name(model) == "tag" else [])]


def _named(db: SqliteDatabase, sql: str, values: dict[str, object]) -> list[tuple[int]]:
    rows: list[tuple[int]] = db.connection().execute(sql, values).fetchall()
    return rows


def _after_restore(db: SqliteDatabase, act: ActId) -> set[int]:
    """Every act after a restore stands on it: taking it back puts another file in the place of all of them."""
    row = db.execute_sql("SELECT kind FROM act WHERE id = ?", (act,)).fetchone()
    if row is None or row[0] != Act.RESTORE.value:
        return set()
    return {a for (a,) in db.execute_sql("SELECT id FROM act WHERE id > ? AND in_force = 1", (act,)).fetchall()}


def resting_on(db: SqliteDatabase, act: ActId) -> list[ActId]:
    """Later acts that rest on this one, directly or through each other, newest first."""
    found: set[int] = set()
    front = {int(act)}
    while front:
        fresh: set[int] = set()
        for one in map(ActId, front):
            for rests in (_touching, _referring, _clearing, _occupying, _after_restore):
                fresh |= rests(db, one)
        front = fresh - found - {int(act)}
        found |= front
    return [ActId(a) for a in sorted(found, reverse=True)]


def apply_inverse(db: SqliteDatabase, act: ActId) -> None:
    """Write the inverse of an act, newest change first; the caller holds an act of its own open.

    Raises `Refusal` for a restore (`storage.restore` takes that back) and for rows this program no longer knows.
    """
    _must_be_invertible(db, act)
    set_in_force(db, act, False)
    db.execute_sql("PRAGMA defer_foreign_keys = ON")
    for table, op, first, last in _runs(db, act):
        if op == "I":
            # in whatever order: the pragma above defers RESTRICT too (seen at 3.40), a parent may go before its young
            db.execute_sql(
                f'DELETE FROM "{table}" WHERE id IN (SELECT row FROM change WHERE id BETWEEN ? AND ?)',
                (first, last),
            )
        else:
            befores = db.execute_sql(
                "SELECT before FROM change WHERE id BETWEEN ? AND ? ORDER BY id DESC", (first, last)
            )
            _put_back(db, table, op, [b for (b,) in befores.fetchall()])


def _must_be_invertible(db: SqliteDatabase, act: ActId) -> None:
    row = db.execute_sql("SELECT kind FROM act WHERE id = ?", (act,)).fetchone()
    if row is not None and row[0] == Act.RESTORE.value:
        raise Refusal(say("A restore puts everything back at once, so it is undone alone."))
    for (table,) in db.execute_sql("SELECT DISTINCT tbl FROM change WHERE act = ?", (act,)).fetchall():
        if table not in RECORDS_BY_NAME:
            raise Refusal(
                say(
                    "That act is of an older Coilbook, which kept {table} differently; it cannot be undone.",
                    table=table,
                )
            )


def _runs(db: SqliteDatabase, act: ActId) -> list[tuple[str, str, int, int]]:
    """Changes of an act as runs of one table and kind, newest run first: (table, op, first id, last id)."""
    changes = db.execute_sql("SELECT tbl, op, id FROM change WHERE act = ? ORDER BY id DESC", (act,)).fetchall()
    runs: list[tuple[str, str, int, int]] = []
    for (table, op), run in groupby(changes, key=itemgetter(0, 1)):
        ids = [int(change) for _, _, change in run]
        runs.append((str(table), str(op), ids[-1], ids[0]))
    return runs


def _put_back(db: SqliteDatabase, table: str, op: str, befores: Iterable[str]) -> None:
    known = column_names(RECORDS_BY_NAME[table])
    cursor = db.connection().cursor()
    for before in befores:
        row = json.loads(before)
        # every step of the format keeps these rows to the present columns; a stranger is left out, never guessed
        columns = [c for c in known if c in row]
        values = [row[c] for c in columns]
        if op == "D":
            names = ", ".join(f'"{c}"' for c in columns)
            cursor.execute(f'INSERT INTO "{table}" ({names}) VALUES ({", ".join("?" * len(columns))})', values)
        else:
            sets = ", ".join(f'"{c}" = ?' for c in columns)
            cursor.execute(f'UPDATE "{table}" SET {sets} WHERE id = ?', [*values, row["id"]])
