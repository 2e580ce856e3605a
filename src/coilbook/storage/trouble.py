"""SQLite's and the disk's complaints, each told as one plain sentence."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

import peewee

from coilbook.records.message import StorageTrouble, say

_SAFE = "What was saved before is safe."
_BY_WORDS: tuple[tuple[str, str, str], ...] = (
    (
        "disk is full",
        "full",
        "The disk is full, so this was not written. " + _SAFE + " Free some space and try again.",
    ),
    ("readonly", "read_only", "The collection cannot be written: its folder or file is read-only. " + _SAFE),
    ("read-only", "read_only", "The collection cannot be written: its folder or file is read-only. " + _SAFE),
    (
        "locked",
        "locked",
        "Another program holds the collection, so this was not written. Close it and try again.",
    ),
    ("not a database", "foreign", "This file is not a Coilbook collection. It was left as it is."),
    (
        "malformed",
        "damaged",
        "The collection's file is damaged. It was left as it is; restore the newest backup.",
    ),
    (
        "disk i/o",
        "vanished",
        "The disk with the collection did not answer. Check the drive; nothing half-written is kept.",
    ),
    (
        "unable to open",
        "unopened",
        "The collection could not be opened: check that its folder is there and yours to use.",
    ),
)
#: I/O errors of SQLite that a full disk causes (measured: opening a collection on one)
_NO_ROOM = {"SQLITE_IOERR_SHMSIZE"}
_BY_ERRNO = {
    errno.ENOSPC: ("full", _BY_WORDS[0][2]),
    errno.EDQUOT: ("full", _BY_WORDS[0][2]),
    errno.EROFS: ("read_only", _BY_WORDS[1][2]),
    errno.EACCES: ("read_only", _BY_WORDS[1][2]),
    errno.EPERM: ("read_only", _BY_WORDS[1][2]),
    errno.EIO: ("vanished", _BY_WORDS[6][2]),
    errno.ENOENT: ("unopened", _BY_WORDS[7][2]),
    errno.EEXIST: ("exists", "There is a collection in this folder already."),
    errno.ENODEV: ("vanished", _BY_WORDS[6][2]),
}


def _names(error: Exception) -> set[str]:
    """What SQLite calls the error, also when peewee has wrapped it."""
    return {str(getattr(one, "sqlite_errorname", "")) for one in (error, getattr(error, "orig", None))}


def told(error: Exception) -> StorageTrouble | None:
    """The sentence for an error of SQLite or the disk; None when it is not one of theirs (then it is a bug)."""
    if isinstance(error, OSError):
        kind, text = _BY_ERRNO.get(error.errno or 0, ("storage", "The disk refused: {why}. " + _SAFE))
        return StorageTrouble(say(text, why=error.strerror or str(error)), kind)
    if isinstance(error, (sqlite3.OperationalError, sqlite3.DatabaseError, peewee.DatabaseError)):
        # SQLite has no room for the memory shared beside its log: it calls that an I/O error
        words = "disk is full" if _names(error) & _NO_ROOM else str(error).lower()
        for part, kind, text in _BY_WORDS:
            if part in words:
                return StorageTrouble(say(text), kind)
    return None


@contextmanager
def plainly() -> Iterator[None]:
    """Run a piece of storage work; the environment's complaints leave as `StorageTrouble`, bugs as they are."""
    try:
        yield
    except (OSError, sqlite3.DatabaseError, peewee.DatabaseError) as error:
        trouble = told(error)
        if trouble is None:
            raise
        raise trouble from error
