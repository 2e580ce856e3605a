"""The schema's version, making it new, and checking a file before anything touches it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from peewee import SqliteDatabase

from coilbook.records.message import StorageTrouble, say
from coilbook.storage.connection import BUSY_MS
from coilbook.storage.journal import install_triggers
from coilbook.storage.layout import beside
from coilbook.storage.tables import ALL_TABLES, DERIVED_TABLES, table_name

#: raised with every change of a table that has been in a release, together with a step in `migration_steps`
SCHEMA_VERSION = 3


def create_schema(db: SqliteDatabase, application_id: int) -> None:
    """Write tables, triggers and marks into an empty file, in one transaction."""
    db.connect(reuse_if_open=True)
    with db.atomic("IMMEDIATE"), db.bind_ctx(ALL_TABLES):
        db.create_tables(ALL_TABLES)
        install_triggers(db)
        db.execute_sql(f"PRAGMA application_id = {application_id}")
        db.execute_sql(f"PRAGMA user_version = {SCHEMA_VERSION}")


def create_derived(db: SqliteDatabase) -> None:
    """Write the derived tables, empty, inside the caller's transaction."""
    with db.bind_ctx(DERIVED_TABLES):
        db.create_tables(DERIVED_TABLES)


def marks_of(file: Path) -> tuple[int, int]:
    """(application_id, user_version) as they stand in the file itself, without writing to it or its folder.

    Asked of SQLite and not read as bytes: closing a file of ours would drop every lock this process holds on it
    (SQLite's documentation of how files get corrupted, from memory).
    """
    try:
        return _marks_by(file, "?mode=ro&immutable=1")
    except sqlite3.DatabaseError:
        log = beside(file)[0]
        if not (log.is_file() and log.stat().st_size):
            raise
    # stopped while the log was being carried over: the file makes sense only together with its log
    return _marks_by(file, "?mode=ro")


def _marks_by(file: Path, how: str) -> tuple[int, int]:
    with closing(sqlite3.connect(file.absolute().as_uri() + how, uri=True, timeout=BUSY_MS / 1000)) as connection:
        application_id = connection.execute("PRAGMA application_id").fetchone()[0]
        return int(application_id), int(connection.execute("PRAGMA user_version").fetchone()[0])


def prepare(file: Path, application_id: int) -> int:
    """Check that `file` is ours and of a version this program can open; returns the version."""
    if file.stat().st_size == 0:
        raise sqlite3.DatabaseError("database disk image is malformed: it is empty")
    found_id, version = marks_of(file)
    if found_id != application_id:
        raise sqlite3.DatabaseError("file is not a database")
    _refuse_newer(version)
    # a version written just before a crash may still stand in the log alone
    with closing(sqlite3.connect(file.absolute().as_uri() + "?mode=rw", uri=True, timeout=5)) as connection:
        version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    _refuse_newer(version)
    if version < 1:
        raise sqlite3.DatabaseError("database disk image is malformed: it has no version")
    return version


def must_be_complete(db: SqliteDatabase) -> None:
    """Raise when a table is missing or the file is shorter than it says."""
    found = {n for (n,) in db.execute_sql("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()}
    missing = sorted({table_name(m) for m in ALL_TABLES} - found)
    if missing:
        raise sqlite3.DatabaseError(f"database disk image is malformed: no table {missing[0]}")


def _refuse_newer(version: int) -> None:
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
