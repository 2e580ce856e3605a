"""One act in hand: the only way to write a record row."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import islice
from typing import Any, TypeVar

from peewee import Model, SqliteDatabase

from coilbook.records.changes import Changes, Outcome
from coilbook.records.composed import composed_values
from coilbook.records.ids import ActId
from coilbook.records.message import Message
from coilbook.records.vocabulary import Act
from coilbook.storage.columns import Base
from coilbook.storage.tables import column_names, table_name

T = TypeVar("T")

#: values one statement may bind whatever SQLite was built with (SQLITE_MAX_VARIABLE_NUMBER was 999 before 3.32,
#: from memory)
_VALUES_A_STATEMENT = 900


def defaults_of(model: type[Model]) -> dict[str, Any]:
    """Default of every column but the id, by column name."""
    return {f.column_name: f.default for f in model._meta.sorted_fields if f.column_name != "id"}


class ActInHand:
    """Writes of one act inside its transaction; `changes` is filled when it has been committed."""

    def __init__(self, db: SqliteDatabase, act_id: ActId, now_text: str) -> None:
        self.db = db
        self.id = act_id
        #: the keeper's wall clock as a stored moment, for entries whose time was not given
        self.now_text = now_text
        self.changes = Changes()
        self.notice = Message("")
        self.warnings: list[Message] = []

    def insert(self, model: type[Base], **values: Any) -> int:
        """Add a row by column names (`animal_id=`), return its id."""
        row = {**defaults_of(model), **values}
        names = ", ".join(f'"{c}"' for c in row)
        sql = f'INSERT INTO "{table_name(model)}" ({names}) VALUES ({", ".join("?" * len(row))})'
        return int(self.db.execute_sql(sql, composed_values(row.values())).lastrowid)

    def insert_many(self, model: type[Base], columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        """Add many rows; columns not named take their default.

        Several rows go into one statement: with a statement for each, a row of a table with a trigger takes about
        twice the time (measured).
        """
        rest = {c: d for c, d in defaults_of(model).items() if c not in columns}
        names = ", ".join(f'"{c}"' for c in (*columns, *rest))
        marks = f"({', '.join('?' * (len(columns) + len(rest)))})"
        tail = tuple(rest.values())
        head = f'INSERT INTO "{table_name(model)}" ({names}) VALUES '
        cursor, coming = self.db.connection().cursor(), iter(rows)
        while some := tuple(islice(coming, _VALUES_A_STATEMENT // (len(columns) + len(rest)))):
            values = composed_values(value for row in some for value in (*row, *tail))
            cursor.execute(head + ", ".join([marks] * len(some)), values)

    def update(self, model: type[Base], row_id: int, **values: Any) -> None:
        """Change columns of one row."""
        unknown = set(values) - set(column_names(model))
        if unknown:
            raise ValueError(f"no such column in {table_name(model)}: {sorted(unknown)}")
        sets = ", ".join(f'"{c}" = ?' for c in values)
        self.db.execute_sql(
            f'UPDATE "{table_name(model)}" SET {sets} WHERE id = ?', (*composed_values(values.values()), row_id)
        )

    def delete(self, model: type[Base], row_id: int) -> None:
        """Take one row away; what refers to it keeps it (the file refuses)."""
        self.db.execute_sql(f'DELETE FROM "{table_name(model)}" WHERE id = ?', (row_id,))

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """Read inside the act, seeing its own writes."""
        found: list[tuple[Any, ...]] = self.db.execute_sql(sql, composed_values(values)).fetchall()
        return found

    def set_undoes(self, acts: Sequence[ActId]) -> None:
        """Say which acts this one takes back, when that is more than it set out with."""
        oldest = min(acts)
        also = ",".join(str(a) for a in sorted(acts) if a != oldest)
        self.db.execute_sql("UPDATE act SET undoes = ?, undoes_also = ? WHERE id = ?", (oldest, also, self.id))

    def tell(self, notice: Message) -> None:
        """The one line that says what this act was; it stands in the journal and in the foot of the window."""
        self.notice = notice

    def outcome(self, kind: Act, value: T) -> Outcome[T]:
        """The outcome of this act, once it is committed."""
        return Outcome(value, self.changes, kind, self.notice, tuple(self.warnings))

    def run(self, sql: str, values: Sequence[Any] = ()) -> None:
        """Run one statement on tables outside the journal."""
        self.db.execute_sql(sql, tuple(values))

    def run_many(self, sql: str, rows: Iterable[Sequence[Any]]) -> None:
        """Run one statement for many rows on tables outside the journal."""
        self.db.connection().executemany(sql, rows)

    def warn(self, message: Message) -> None:
        """Say something with the outcome without stopping the act."""
        self.warnings.append(message)
