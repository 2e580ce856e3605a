"""The journal as a keeper reads it: which act, on what, by whom, when, and what stood before."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from coilbook.records.changes import ODDS_REST_ON
from coilbook.records.ids import ActId, AnimalId
from coilbook.records.message import Message, say
from coilbook.records.stored_message import from_stored
from coilbook.records.vocabulary import Act
from coilbook.storage.collection import Collection

#: columns of an animal that odds rest on
_OF_ANIMAL = frozenset({"species", "sex", "sex_percent", "genetics", "dam_id", "hatched", "hatched_precision"})


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One act; `at` is stored UTC; `in_force` is False while an undo of it stands."""

    id: ActId
    kind: Act
    at: str
    person: str
    told: Message
    size: int
    in_force: bool
    undoes: ActId | None


@dataclass(frozen=True, slots=True)
class HistoryFilter:
    """What to show: any of these may be given; `since` and `until` are stored UTC moments, the end exclusive."""

    animal: AnimalId | None = None
    kinds: tuple[Act, ...] = ()
    person: str | None = None
    since: str | None = None
    until: str | None = None


@dataclass(frozen=True, slots=True)
class ChangedRow:
    """One row an act touched: its table, what was done (I, U, D) and the columns that differ as (before, after)."""

    table: str
    row: int
    op: str
    differences: Mapping[str, tuple[object, object]]


def history(
    collection: Collection, wanted: HistoryFilter, *, before: ActId | None = None, limit: int = 200
) -> list[HistoryRow]:
    """The newest acts that fit, newest first, older than `before` when a page is continued."""
    where, values = _where(wanted)
    if before is not None:
        where.append("a.id < ?")
        values.append(before)
    clause = f"WHERE {' AND '.join(where)}" if where else ""
    rows = collection.read(
        f"SELECT a.id, a.kind, a.at, a.person_name, a.detail, a.size, a.in_force, a.undoes FROM act a {clause}"
        " ORDER BY a.id DESC LIMIT ?",
        (*values, limit),
    )
    return [_row(r) for r in rows]


def act_words(collection: Collection, act: ActId) -> Message | None:
    """The sentence of an act; None when it is not in the book."""
    row = collection.read_one(
        "SELECT id, kind, at, person_name, detail, size, in_force, undoes FROM act WHERE id = ?", (act,)
    )
    return _row(row).told if row is not None else None


def people_in_history(collection: Collection) -> list[str]:
    """Names that stand in the journal."""
    return [
        str(n) for (n,) in collection.read("SELECT DISTINCT person_name FROM act WHERE person_name <> '' ORDER BY 1")
    ]


def changed_rows(collection: Collection, act: ActId, *, limit: int = 200) -> list[ChangedRow]:
    """What an act changed, row by row; after is the row's next `before` or what stands today."""
    rows = collection.read(
        "SELECT id, tbl, row, op, before FROM change WHERE act = ? ORDER BY id LIMIT ?", (act, limit)
    )
    return [
        ChangedRow(table, row, op, _differences(_loaded(before), _after(collection, change, table, row, op)))
        for change, table, row, op, before in rows
    ]


def may_move_odds(changed: Iterable[ChangedRow]) -> bool:
    """Whether odds can rest on any of the rows an act changed."""
    for row in changed:
        plain = row.table == "animal" and row.op == "U"
        if row.table in ODDS_REST_ON and not (plain and _OF_ANIMAL.isdisjoint(row.differences)):
            return True
    return False


def last_act_on(collection: Collection, table: str, row: int) -> ActId | None:
    """The newest act in force that wrote an entry; None where none is known."""
    found = collection.read_one(
        "SELECT max(c.act) FROM change c JOIN act a ON a.id = c.act WHERE c.tbl = ? AND c.row = ? AND a.in_force = 1",
        (table, row),
    )
    return ActId(int(found[0])) if found is not None and found[0] is not None else None


def _where(wanted: HistoryFilter) -> tuple[list[str], list[object]]:
    where: list[str] = []
    values: list[object] = []
    if wanted.animal is not None:
        where.append("a.id IN (SELECT act FROM change WHERE animal = ?)")
        values.append(wanted.animal)
    if wanted.kinds:
        where.append(f"a.kind IN ({','.join('?' * len(wanted.kinds))})")
        values.extend(k.value for k in wanted.kinds)
    for column, sign, value in (
        ("person_name", "=", wanted.person),
        ("at", ">=", wanted.since),
        ("at", "<", wanted.until),
    ):
        if value is not None:
            where.append(f"a.{column} {sign} ?")
            values.append(value)
    return where, values


def _row(row: Sequence[object]) -> HistoryRow:
    act, kind, at, person, detail, size, in_force, undoes = row
    known = Act(str(kind))
    told = from_stored(str(detail)) if detail else say("{act}", act=known)
    undone = ActId(int(str(undoes))) if undoes is not None else None
    return HistoryRow(ActId(int(str(act))), known, str(at), str(person), told, int(str(size)), bool(in_force), undone)


def _loaded(text: str | None) -> dict[str, object]:
    return dict(json.loads(text)) if text else {}


def _after(collection: Collection, change: int, table: str, row: int, op: str) -> dict[str, object]:
    if op == "D":
        return {}
    later = collection.read_one(
        "SELECT before FROM change WHERE tbl = ? AND row = ? AND id > ? AND before IS NOT NULL ORDER BY id LIMIT 1",
        (table, row, change),
    )
    if later is not None:
        return _loaded(later[0])
    names = [str(n) for (n,) in collection.read(f"SELECT name FROM pragma_table_info('{table}')")]
    today = collection.read_one(f'SELECT * FROM "{table}" WHERE id = ?', (row,))
    return dict(zip(names, today, strict=True)) if today else {}


def _differences(before: Mapping[str, object], after: Mapping[str, object]) -> dict[str, tuple[object, object]]:
    names = {**before, **after}
    return {n: (before.get(n), after.get(n)) for n in names if n != "id" and before.get(n) != after.get(n)}
