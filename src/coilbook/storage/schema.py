"""The schema's version, making it new, and checking a file before anything touches it."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from peewee import SqliteDatabase

from coilbook.records.message import StorageTrouble, say
from coilbook.storage.journal import install_triggers
from coilbook.storage.tables import ALL_TABLES

SCHEMA_VERSION = 1


def create_schema(db: SqliteDatabase, application_id: int) -> None:
    """Write tables, triggers and marks into an empty file, in one transaction."""
    db.connect(reuse_if_open=True)
    with db.atomic("IMMEDIATE"), db.bind_ctx(ALL_TABLES):
        db.create_tables(ALL_TABLES)
        install_triggers(db)
        db.execute_sql(f"PRAGMA application_id = {application_id}")
        db.execute_sql(f"PRAGMA user_version = {SCHEMA_VERSION}")


def marks_of(file: Path) -> tuple[int, int]:
    """(application_id, user_version) of a file, read without writing to it or its folder."""
    with file.open("rb") as stream:
        header = stream.read(100)
    if len(header) < 100 or not header.startswith(b"SQLite format 3\x00"):
        raise sqlite3.DatabaseError("file is not a database")
    return int.from_bytes(header[68:72], "big"), int.from_bytes(header[60:64], "big")


def prepare(file: Path, application_id: int) -> None:
    """Check that `file` is ours and of a version this program can open."""
    found_id, version = marks_of(file)
    if found_id != application_id:
        raise sqlite3.DatabaseError("file is not a database")
    if version > SCHEMA_VERSION:
        raise StorageTrouble(
            say(
                "This collection was written by a newer Coilbook (format {found}; this program knows {known}). "
                "It was left as it is.",
                found=version,
                known=SCHEMA_VERSION,
            ),
            "newer",
        )
