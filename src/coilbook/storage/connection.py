"""Connections to a collection's file: one that writes, and one reader a thread."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path
from typing import Any

from peewee import SqliteDatabase

#: "CBK1": marks the file as a collection of this program (SQLite's application_id)
APPLICATION_ID = 0x43424B31
BUSY_MS = 5_000

WRITER_PRAGMAS = {
    "journal_mode": "wal",
    "synchronous": "full",
    "foreign_keys": 1,
    "recursive_triggers": 1,
    # what was taken out or written over is gone from the file too, however SQLite was built: a person may ask for it
    "secure_delete": 1,
    "cache_size": -16_000,
    "temp_store": "memory",
}
#: off before the transaction begins (inside one SQLite ignores the switch): rebuilding a parent must not touch children
UPGRADER_PRAGMAS = {**WRITER_PRAGMAS, "foreign_keys": 0}
READER_PRAGMAS = {"query_only": 1, "cache_size": -8_000, "temp_store": "memory"}


class TrackedDatabase(SqliteDatabase):
    """A database whose connections, whatever thread opened them, can be closed together."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        self._opened: list[sqlite3.Connection] = []
        self._opened_lock = threading.Lock()
        super().__init__(*args, **kwargs)

    def _connect(self) -> sqlite3.Connection:
        connection: sqlite3.Connection = super()._connect()  # type: ignore[misc]
        with self._opened_lock:
            self._opened.append(connection)
        return connection

    def close_all(self) -> None:
        """Close every connection; the object is not used afterwards."""
        with self._opened_lock:
            for connection in self._opened:
                connection.close()
            self._opened.clear()


def writer_for(path: Path) -> TrackedDatabase:
    """The one connection that writes, shared by threads behind the collection's lock."""
    return TrackedDatabase(
        str(path), pragmas=WRITER_PRAGMAS, timeout=BUSY_MS / 1000, thread_safe=False, check_same_thread=False
    )


def readers_for(path: Path) -> TrackedDatabase:
    """Connections that cannot write, one a thread."""
    return TrackedDatabase(str(path), pragmas=READER_PRAGMAS, timeout=BUSY_MS / 1000, check_same_thread=False)


def upgrader_for(path: Path, *, log: bool = True) -> TrackedDatabase:
    """A connection that may rebuild tables: as the writer, with foreign keys off; checked before the commit.

    Without `log` the file is left as one file, with no log beside it.
    """
    pragmas = UPGRADER_PRAGMAS if log else {**UPGRADER_PRAGMAS, "journal_mode": "delete"}
    return TrackedDatabase(str(path), pragmas=pragmas, timeout=BUSY_MS / 1000, thread_safe=False)


def maker_for(path: Path) -> TrackedDatabase:
    """A connection that writes a new file and leaves no log beside it."""
    pragmas = {**WRITER_PRAGMAS, "journal_mode": "delete"}
    return TrackedDatabase(str(path), pragmas=pragmas, timeout=BUSY_MS / 1000, thread_safe=False)
