"""Which animals' summaries an act can have changed, read from the journal and from what refers to its rows."""

from __future__ import annotations

from peewee import SqliteDatabase

from coilbook.records.changes import Changes

#: tables whose rows show in a summary of the animal they belong to
_OWN = ("animal", "sire", "claim", "tag", "feeding", "regurgitation", "weight", "shed", "note")


def animals_touched(db: SqliteDatabase, changes: Changes) -> set[int]:
    """Ids of the animals whose row is to be recomputed, also of animals that are no more."""
    own = [table for table in _OWN if table in changes.rows]
    found: set[int] = set()
    if own:
        found |= _belonging(db, changes, own)
    if "animal" in changes.rows:
        found |= _ids(
            db,
            """SELECT child.id FROM change c JOIN animal child ON child.dam_id = c.row
                WHERE c.act = :act AND c.tbl = 'animal'
            UNION SELECT s.animal_id FROM change c JOIN sire s ON s.sire_id = c.row
                WHERE c.act = :act AND c.tbl = 'animal'""",
            changes,
        )
    if "place" in changes.rows:
        found |= _ids(
            db,
            "SELECT a.id FROM change c JOIN animal a ON a.place_id = c.row WHERE c.act = :act AND c.tbl = 'place'",
            changes,
        )
    return found


def _belonging(db: SqliteDatabase, changes: Changes, tables: list[str]) -> set[int]:
    """Animals the changed rows belong to, and those they belonged to before (an entry moved to another animal)."""
    marks = ", ".join(f"'{table}'" for table in tables)
    return _ids(
        db,
        f"""SELECT animal FROM change WHERE act = :act AND animal IS NOT NULL AND tbl IN ({marks})
        UNION SELECT json_extract(before, '$.animal_id') FROM change
            WHERE act = :act AND op = 'U' AND tbl <> 'animal' AND tbl IN ({marks})""",
        changes,
    )


def interval_setting_touched(db: SqliteDatabase, changes: Changes, name: str) -> bool:
    """True when the act set, changed or took away the setting `name`."""
    if "setting" not in changes.rows:
        return False
    sql = """SELECT 1 FROM change c LEFT JOIN setting s ON s.id = c.row WHERE c.act = :act AND c.tbl = 'setting'
        AND (s.name = :name OR json_extract(c.before, '$.name') = :name) LIMIT 1"""
    return bool(db.connection().execute(sql, {"act": changes.act, "name": name}).fetchone())


def _ids(db: SqliteDatabase, sql: str, changes: Changes) -> set[int]:
    rows = db.connection().execute(sql, {"act": changes.act}).fetchall()
    return {int(animal) for (animal,) in rows if animal is not None}
