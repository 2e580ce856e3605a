"""Which animals' summaries some acts can have changed, read from the journal and from what refers to its rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

#: runs one query with numbered values and gives every row
Read = Callable[[str, Sequence[Any]], list[tuple[Any, ...]]]

INTERVAL_SETTING = "default_interval_days"
#: tables whose rows show in a summary or a list row of the animal they belong to
_OWN = (
    "animal", "sire", "acquisition", "claim", "tag", "feeding", "regurgitation", "weight", "shed", "note",
    "health_course", "course_step",
)  # fmt: skip

# `+tbl` keeps SQLite from finding the rows by their table: then it would read the whole journal for every single act.
_BELONGING = f"""SELECT animal FROM change WHERE act > ?1 AND animal IS NOT NULL AND +tbl IN {_OWN}
    UNION SELECT json_extract(before, '$.animal_id') FROM change
        WHERE act > ?1 AND op = 'U' AND tbl <> 'animal' AND +tbl IN {_OWN}"""
_YOUNG = """SELECT child.id FROM change c JOIN animal child ON child.dam_id = c.row
        WHERE c.act > ?1 AND +c.tbl = 'animal'
    UNION SELECT s.animal_id FROM change c JOIN sire s ON s.sire_id = c.row WHERE c.act > ?1 AND +c.tbl = 'animal'"""
_LIVING_THERE = """SELECT a.id FROM change c JOIN animal a ON a.place_id = c.row
    WHERE c.act > ?1 AND +c.tbl = 'place'"""
_INTERVAL = """SELECT 1 FROM change c LEFT JOIN setting s ON s.id = c.row WHERE c.act > ?1 AND +c.tbl = 'setting'
    AND (s.name = ?2 OR json_extract(c.before, '$.name') = ?2) LIMIT 1"""


def tables_touched(read: Read, after: int) -> frozenset[str]:
    """Record tables that acts later than `after` wrote in."""
    return frozenset(str(table) for (table,) in read("SELECT DISTINCT +tbl FROM change WHERE act > ?1", (after,)))


def animals_touched(read: Read, after: int, tables: frozenset[str]) -> set[int]:
    """Animals whose row is to be recomputed after those acts, also animals that are no more.

    These are the animals the changed rows belong to, those they belonged to before (an entry given to another
    animal), the young of a changed animal and whoever lives in a changed place.
    """
    found: set[int] = set()
    if tables.intersection(_OWN):
        found |= _ids(read, _BELONGING, after)
    if "animal" in tables:
        found |= _ids(read, _YOUNG, after)
    if "place" in tables:
        found |= _ids(read, _LIVING_THERE, after)
    return found


def interval_touched(read: Read, after: int, tables: frozenset[str]) -> bool:
    """True when those acts set, changed or took away the collection's interval between offers."""
    return "setting" in tables and bool(read(_INTERVAL, (after, INTERVAL_SETTING)))


def _ids(read: Read, sql: str, after: int) -> set[int]:
    return {int(animal) for (animal,) in read(sql, (after,)) if animal is not None}
