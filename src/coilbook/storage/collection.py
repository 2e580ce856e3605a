"""A collection: a folder with one SQLite file, its photos, backups, papers and imports.

`Collection` opens and closes it, runs acts one at a time and lets any thread read. Everything it needs is passed in:
the clock, the person at the keyboard, and the hooks that keep derived tables right inside the act's own transaction.
"""

from __future__ import annotations

import datetime as dt
import errno
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import peewee

from coilbook.records.changes import Changes
from coilbook.records.composed import composed, composed_values
from coilbook.records.ids import ActId, PersonId
from coilbook.records.message import Refusal, StorageTrouble, say
from coilbook.records.stored_message import stored
from coilbook.records.vocabulary import Act
from coilbook.records.when import moment_text
from coilbook.storage import arrival, disk, folder_kind, journal, migrations
from coilbook.storage.act import ActInHand
from coilbook.storage.connection import APPLICATION_ID, TrackedDatabase, maker_for, readers_for, writer_for
from coilbook.storage.layout import FILE_NAME, FOLDERS
from coilbook.storage.offers import offering_backups
from coilbook.storage.schema import SCHEMA_VERSION, create_schema, must_be_complete, prepare
from coilbook.storage.trouble import plainly

Clock = Callable[[], dt.datetime]
#: called inside the transaction with the writer and what the act changed
DerivedHook = Callable[[TrackedDatabase, Changes], None]

#: pages taken over in one step of a restore: the window's readers go on in between
PAGES_A_STEP = 1024


class Collection:
    """An open collection. Use `create` or `open`, close it when done, or use it as a context manager."""

    def __init__(self, folder: Path, clock: Clock, *, device: str = "") -> None:
        self.folder = folder
        self.clock = clock
        self.device = device
        self.person: PersonId | None = None
        self.person_name = ""
        self.hooks: list[DerivedHook] = []
        self._writer = writer_for(self.file)
        self._readers = readers_for(self.file)
        self._lock = threading.RLock()
        self._in_act = False
        self._closed = False
        self._identity = _identity(self.file)

    @property
    def file(self) -> Path:
        return self.folder / FILE_NAME

    @classmethod
    def create(cls, folder: Path, clock: Clock, *, device: str = "", accept_folder: bool = False) -> Collection:
        """Make a new collection in `folder`; refuse when one is there already.

        A folder kept in step with other machines or on a network share is refused with the reason and the safe way,
        unless the keeper has read it and says `accept_folder`.
        """
        advice = None if accept_folder else folder_kind.advice(folder)
        if advice is not None:
            raise Refusal(advice)
        with plainly():
            folder.mkdir(parents=True, exist_ok=True)
            if (folder / FILE_NAME).exists():
                raise StorageTrouble(say("There is a collection in {folder} already.", folder=folder.name), "exists")
            for name in FOLDERS:
                (folder / name).mkdir(exist_ok=True)
            _make_file(folder)
        return cls.open(folder, clock, device=device)

    @classmethod
    def open(cls, folder: Path, clock: Clock, *, device: str = "") -> Collection:
        """Open a collection: refuse what is foreign or newer untouched, bring an older one up to date.

        What a crash interrupted is finished first. When the file cannot be opened the sentence names the newest backup.
        """
        file = folder / FILE_NAME
        with offering_backups(folder), plainly():
            arrival.finish(folder)
            if not file.is_file():
                raise StorageTrouble(say("There is no collection in {folder}.", folder=str(folder)), "absent")
            if not (os.access(folder, os.W_OK) and os.access(file, os.W_OK)):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(file))
            if prepare(file, APPLICATION_ID) < SCHEMA_VERSION:
                migrations.upgrade(folder, clock())
            for name in FOLDERS:
                (folder / name).mkdir(exist_ok=True)
            collection = cls(folder, clock, device=device)
            try:
                collection._writer.connect(reuse_if_open=True)
                must_be_complete(collection._writer)
            except BaseException:
                collection.close()
                raise
        return collection

    def __enter__(self) -> Collection:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close every connection; safe to call twice."""
        with self._lock:
            if not self._closed:
                self._closed = True
                self._readers.close_all()
                self._writer.close_all()

    def at_keyboard(self, person: PersonId | None, name: str) -> None:
        """Say who acts from now on; it stands in the journal of every later act."""
        self.person, self.person_name = person, name

    @contextmanager
    def act(self, kind: Act, *, undoes: Sequence[ActId] = ()) -> Iterator[ActInHand]:
        """Run one act in one transaction; all of it is written durably at the end, or nothing is.

        An act that changed no row leaves no trace. After the block `act.changes` says what was touched.
        """
        with self._lock, plainly():
            self._must_be_there()
            if self._in_act:
                raise RuntimeError("an act is already in hand; pass it on instead of opening another")
            self._in_act = True
            try:
                with self._transaction():
                    hand = self._begin(kind, undoes)
                    yield hand
                    self._finish(hand)
            except (sqlite3.IntegrityError, peewee.IntegrityError) as error:
                if kind is not Act.UNDO:
                    raise
                # undos that themselves took several acts back can be so entangled; newest first always works
                raise Refusal(
                    say(
                        "That cannot be taken back as things stand: what it would bring back does not fit what is "
                        "there. Nothing was changed. Take the newer acts back first."
                    )
                ) from error
            finally:
                self._in_act = False

    def _begin(self, kind: Act, undoes: Sequence[ActId]) -> ActInHand:
        now = self.clock()
        oldest = min(undoes, default=None)
        also = ",".join(str(a) for a in sorted(undoes) if a != oldest)
        stamp = now.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        cursor = self._writer.execute_sql(
            "INSERT INTO act (kind, at, device, person, person_name, detail, undoes, undoes_also, size, in_force)"
            " VALUES (?,?,?,?,?,'',?,?,0,1)",
            (str(kind.value), stamp, self.device, self.person, self.person_name, oldest, also),
        )
        act_id = ActId(int(cursor.lastrowid))
        self._writer.execute_sql("INSERT INTO current_act (act) VALUES (?)", (act_id,))
        return ActInHand(self._writer, act_id, moment_text(now))

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """One transaction of the writer, which the caller may have ended by taking it back.

        SQLite takes some back by itself (a full disk at the commit): then there is nothing left to take back, and
        asking for it would hide the reason.
        """
        connection: sqlite3.Connection = self._writer.connection()
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            if connection.in_transaction:
                connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise

    def _finish(self, hand: ActInHand) -> None:
        size = journal.change_count(self._writer, hand.id)
        if size == 0:
            self._writer.connection().execute("ROLLBACK")
            return
        hand.changes = journal.changes_of(self._writer, hand.id, size)
        for hook in self.hooks:
            hook(self._writer, hand.changes)
        self._writer.execute_sql(
            "UPDATE act SET size = ?, detail = ? WHERE id = ?", (size, composed(stored(hand.notice)), hand.id)
        )
        self._writer.execute_sql("DELETE FROM current_act")

    def read(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """All rows of a query, from this thread's reader; never a half-read cursor."""
        if self._closed:
            raise _closed()
        with plainly():
            rows: list[tuple[Any, ...]] = self._readers.execute_sql(sql, composed_values(values)).fetchall()
        return rows

    def read_one(self, sql: str, values: Sequence[Any] = ()) -> tuple[Any, ...] | None:
        """First row of a query, or None."""
        rows = self.read(sql, values)
        return rows[0] if rows else None

    def data_version(self) -> int:
        """A number that moves when another program has written to the file."""
        row = self.read_one("PRAGMA data_version")
        return int(row[0]) if row else 0

    @contextmanager
    def building(self) -> Iterator[None]:
        """For a collection that counts only once it is whole (the demo): commits do not wait for the disk until then.

        At the end everything is on the disk and the writer is as careful as ever.
        """
        with self._lock, plainly():
            self._writer.execute_sql("PRAGMA synchronous = OFF")
            try:
                yield
            finally:
                self._writer.execute_sql("PRAGMA synchronous = FULL")
            self._writer.execute_sql("PRAGMA wal_checkpoint(TRUNCATE)")

    @contextmanager
    def writing(self) -> Iterator[TrackedDatabase]:
        """The writer for work outside the journal (derived tables, backup); holds the lock, in one transaction."""
        with self._lock, plainly():
            self._must_be_there()
            if self._in_act:
                raise RuntimeError("an act is in hand; write what lies outside the journal through it")
            with self._transaction():
                yield self._writer

    @contextmanager
    def standing_still(self) -> Iterator[None]:
        """Hold every act of this program back; other programs are not held (see `become`)."""
        with self._lock:
            if self._in_act:
                raise RuntimeError("an act is in hand; finish it first")
            self._must_be_there()
            yield

    def become(self, file: Path, unchanged: Callable[[], bool]) -> bool:
        """Take over the whole content of another file in one transaction: all of it is there durably, or none.

        SQLite copies the pages into the write-ahead log and commits once, so that a crash at any moment leaves either
        state whole and other programs go on reading. `unchanged` is asked when nobody else can write any more; when it
        says no, nothing happened and False is returned.
        """
        held = False

        def step(_status: int, _remaining: int, _total: int) -> None:
            nonlocal held
            if not held:
                held = True
                if not unchanged():
                    raise _MovedOn

        with self._lock, plainly(), closing(sqlite3.connect(file)) as source:
            self._must_be_there()
            try:
                # the first step takes the write lock and must not be the last one, which commits
                (pages,) = source.execute("PRAGMA page_count").fetchone()
                source.backup(self._writer.connection(), pages=min(PAGES_A_STEP, pages // 2), progress=step)
            except _MovedOn:
                return False
        return True

    def _must_be_there(self) -> None:
        """A removed or replaced file would go on taking acts on Linux and lose them all at close."""
        if self._closed:
            raise _closed()
        if _identity(self.file) != self._identity:
            raise StorageTrouble(
                say(
                    "The collection's folder {folder} is no longer where it was, so this was not written. "
                    "Put it back or connect its drive, then open it again.",
                    folder=self.folder.name,
                ),
                "vanished",
            )


class _MovedOn(Exception):
    """Another program wrote while a restore was prepared."""


def _identity(file: Path) -> tuple[int, int] | None:
    try:
        found = os.stat(file)
    except (FileNotFoundError, NotADirectoryError):
        return None
    return found.st_dev, found.st_ino


def _closed() -> StorageTrouble:
    return StorageTrouble(say("The collection has been closed. Open it again."), "closed")


def _make_file(folder: Path) -> None:
    """Write an empty collection whole under another name; of two programs that try at once one is told."""
    with disk.arriving(folder / FILE_NAME, new=True) as path:
        db = maker_for(path)
        try:
            create_schema(db, APPLICATION_ID)
        finally:
            db.close_all()
