"""Bringing an older file to the present format: backed up first, in one transaction, checked before it is kept.

Why not the runner of `playhouse.migrations`: it looks its scripts up in a folder at run time (a bundle has none),
stamps its own history table by the machine's clock, and commits step by step, so that a crash between two steps leaves
a file of no known format. Here every step, the journal's triggers and the file's version commit together. Its two
lessons are kept: foreign keys are off while tables are rebuilt (dropping a parent would delete or refuse its
children), and `foreign_key_check` runs before the commit.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from pathlib import Path

from peewee import SqliteDatabase

from coilbook.records.backups import Backup, BackupReason
from coilbook.records.message import StorageTrouble, say
from coilbook.storage import backup
from coilbook.storage.connection import APPLICATION_ID, TrackedDatabase, upgrader_for
from coilbook.storage.journal import drop_triggers, install_triggers
from coilbook.storage.layout import FILE_NAME
from coilbook.storage.migration_steps import OLDEST_KNOWN, STEPS
from coilbook.storage.schema import SCHEMA_VERSION, create_derived
from coilbook.storage.tables import DERIVED_TABLES, table_name
from coilbook.storage.trouble import plainly


def upgrade(folder: Path, now: dt.datetime) -> Backup:
    """Back a collection up and bring it to the present format; returns the backup of how it was."""
    kept = backup.make(folder, now, BackupReason.BEFORE_UPGRADE)
    upgrade_file(folder / FILE_NAME)
    return kept


def upgrade_file(file: Path, *, to: int = SCHEMA_VERSION, steps: Mapping[int, Sequence[str]] = STEPS) -> None:
    """Bring one file to format `to` in one transaction, or leave it as it was; nothing to do is no error.

    Derived tables are emptied: whoever keeps them rebuilds them.
    """
    db = upgrader_for(file)
    try:
        with plainly(), db.atomic("IMMEDIATE"):
            version = int(db.execute_sql("PRAGMA user_version").fetchone()[0])
            if version == to:
                return
            if not OLDEST_KNOWN <= version < to:
                raise StorageTrouble(say("The collection's format {found} is not known.", found=version), "newer")
            _run_steps(db, range(version + 1, to + 1), steps)
            _must_be_sound(db)
            db.execute_sql(f"PRAGMA user_version = {to}")
    finally:
        db.close_all()


def _run_steps(db: TrackedDatabase, versions: range, steps: Mapping[int, Sequence[str]]) -> None:
    drop_triggers(db)
    counters = db.execute_sql("SELECT name, seq FROM sqlite_sequence").fetchall()
    for version in versions:
        for sql in steps[version]:
            db.execute_sql(sql)
    for model in DERIVED_TABLES:
        db.execute_sql(f'DROP TABLE IF EXISTS "{table_name(model)}"')
    create_derived(db)
    keep_counters(db, counters)
    install_triggers(db)


def keep_counters(db: SqliteDatabase, counters: Sequence[tuple[str, int]]) -> None:
    """See that no table counts from lower than it did: a rebuilt table forgets the ids of rows that are gone."""
    tables = {n for (n,) in db.execute_sql("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()}
    for name, seq in counters:
        if name not in tables:
            continue
        row = db.execute_sql("SELECT seq FROM sqlite_sequence WHERE name = ?", (name,)).fetchone()
        if row is None:
            db.execute_sql("INSERT INTO sqlite_sequence (name, seq) VALUES (?, ?)", (name, seq))
        elif row[0] < seq:
            db.execute_sql("UPDATE sqlite_sequence SET seq = ? WHERE name = ?", (seq, name))


def _must_be_sound(db: TrackedDatabase) -> None:
    loose = db.execute_sql("PRAGMA foreign_key_check").fetchall()
    marked = db.execute_sql("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
    if loose or not marked:
        raise StorageTrouble(
            say("The collection could not be brought to the present format. It was left as it is."), "upgrade"
        )
