"""Ground that every table stands on: counters that never go back, strict types, closed lists, references that hold."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from peewee import Check, ForeignKeyField, Model, TextField
from playhouse.sqlite_ext import AutoIncrementField


def listed(column: str, kinds: type[StrEnum]) -> str:
    """SQL that holds for the codes of an enum."""
    return f"{column} IN ({', '.join(repr(str(k.value)) for k in kinds)})"


def one_of(column: str, kinds: type[StrEnum]) -> Any:
    """A constraint to the codes of an enum."""
    return Check(listed(column, kinds))


def choice(column: str, kinds: type[StrEnum], default: StrEnum) -> TextField:
    """A column that holds the code of an enum."""
    return TextField(default=str(default.value), constraints=[one_of(column, kinds)])


class Base(Model):
    """Common ground: a counter that never goes back and strict column types."""

    id = AutoIncrementField()

    class Meta:
        strict_tables = True
        legacy_table_names = False


def to_row(model: type[Base], **more: Any) -> ForeignKeyField:
    """A column that names a row of another table, which then stays as long as it is named."""
    return ForeignKeyField(model, on_delete="RESTRICT", **more)
