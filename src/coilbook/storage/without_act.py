"""The book as it would stand today without one act: a copy in memory of some of its tables, the act's rows put back.

What later acts wrote stands: only what is still as the act left it goes back to what stood before. The copy answers the
same queries as the collection it was made of; the collection is only read.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Protocol

from coilbook.records.composed import composed_values
from coilbook.records.ids import ActId
from coilbook.records.message import Refusal, say
from coilbook.storage.collection import Collection
from coilbook.storage.connection import BUSY_MS
from coilbook.storage.trouble import plainly


class Readable(Protocol):
    """What answers queries: a collection, or a copy of a part of one."""

    def read(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """All rows of a query."""
        ...

    def read_one(self, sql: str, values: Sequence[Any] = ()) -> tuple[Any, ...] | None:
        """First row of a query, or None."""
        ...


class WithoutAct:
    """A copy of `tables` of a collection, and of the newest act, without one act; for one thread, closed when done.

    Raises `Refusal` where the act is not in the book. An act that was taken back changes nothing of the copy.
    """

    def __init__(self, collection: Collection, act: ActId, tables: Iterable[str]) -> None:
        self._memory = sqlite3.connect(":memory:", uri=True, isolation_level=None)
        with plainly():
            try:
                self._copy(collection, tables)
                self._take_back(act)
                self._memory.execute("DETACH book")
            except BaseException:
                self._memory.close()
                raise

    @property
    def newest(self) -> ActId:
        """The newest act of the book when it was copied."""
        row = self.read_one("SELECT id FROM act")
        return ActId(int(row[0]) if row is not None else 0)

    def close(self) -> None:
        """Let the copy go."""
        self._memory.close()

    def read(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """All rows of a query."""
        return self._memory.execute(sql, composed_values(values)).fetchall()

    def read_one(self, sql: str, values: Sequence[Any] = ()) -> tuple[Any, ...] | None:
        """First row of a query, or None."""
        rows = self.read(sql, values)
        return rows[0] if rows else None

    def _copy(self, collection: Collection, tables: Iterable[str]) -> None:
        """Everything from one moment: one transaction, whatever is written meanwhile."""
        db = self._memory
        db.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
        db.execute("ATTACH ? AS book", (f"{collection.file.resolve().as_uri()}?mode=ro",))
        db.execute("BEGIN")
        db.execute("CREATE TABLE act AS SELECT * FROM book.act ORDER BY id DESC LIMIT 1")
        for table in tables:
            db.execute(f'CREATE TABLE main."{table}" AS SELECT * FROM book."{table}"')
            db.execute(f'CREATE UNIQUE INDEX main."{table}_by_id" ON "{table}" (id)')
        self._tables = tuple(tables)

    def _take_back(self, act: ActId) -> None:
        """Undo the rows of the act newest first, as far as they are still as it left them; ends the transaction."""
        db = self._memory
        row = db.execute("SELECT in_force FROM book.act WHERE id = ?", (act,)).fetchone()
        if row is None:
            raise Refusal(say("That act is not in the book."))
        marks = ",".join("?" * len(self._tables))
        changes = db.execute(
            f"SELECT id, tbl, row, op, before FROM book.change WHERE act = ? AND tbl IN ({marks}) ORDER BY id DESC",
            (act, *self._tables),
        ).fetchall()
        for change, table, number, op, before in changes if row[0] else ():
            if op == "I":
                db.execute(f'DELETE FROM main."{table}" WHERE id = ?', (number,))
            elif op == "D":
                self._bring_back(table, json.loads(before))
            else:
                self._set_back(change, table, number, json.loads(before))
        db.execute("COMMIT")

    def _bring_back(self, table: str, before: Mapping[str, Any]) -> None:
        names = ", ".join(f'"{name}"' for name in before)
        marks = ", ".join("?" * len(before))
        self._memory.execute(f'INSERT OR IGNORE INTO main."{table}" ({names}) VALUES ({marks})', (*before.values(),))

    def _set_back(self, change: int, table: str, number: int, before: Mapping[str, Any]) -> None:
        """The columns that still hold what the act wrote; what was written over since stands."""
        db = self._memory
        later = db.execute(
            "SELECT before FROM book.change WHERE tbl = ? AND row = ? AND id > ? AND before IS NOT NULL"
            " ORDER BY id LIMIT 1",
            (table, number, change),
        ).fetchone()
        cursor = db.execute(f'SELECT * FROM main."{table}" WHERE id = ?', (number,))
        names, today = [str(column[0]) for column in cursor.description], cursor.fetchone()
        if today is None:
            return
        stands = dict(zip(names, today, strict=True))
        wrote = json.loads(later[0]) if later is not None else stands
        back = {n: was for n, was in before.items() if wrote.get(n) != was and stands.get(n) == wrote.get(n)}
        for name, was in back.items():
            db.execute(f'UPDATE main."{table}" SET "{name}" = ? WHERE id = ?', (was, number))
