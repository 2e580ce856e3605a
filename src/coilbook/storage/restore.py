"""Putting a backup in the place of everything, so that nothing is lost by it and Undo brings it back.

What is there now becomes a backup first. The restored file goes on counting where the present one stands: an id or a
code that was given since the backup is never given again, and a label stuck on in between still answers. The restore is
an act in the restored journal that names the backup made before it; taking it back is a restore of that backup.
"""

from __future__ import annotations

import datetime as dt
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path

from peewee import SqliteDatabase

from coilbook.records.backups import Backup, BackupReason
from coilbook.records.changes import Changes
from coilbook.records.ids import ActId
from coilbook.records.message import Refusal, StorageTrouble, say
from coilbook.records.stored_message import stored
from coilbook.records.vocabulary import Act
from coilbook.storage import arrival, backup, disk, migrations
from coilbook.storage.backup import Cancelled, Progress
from coilbook.storage.collection import Clock, Collection
from coilbook.storage.connection import upgrader_for
from coilbook.storage.layout import FILE_NAME, IMPORTS, PHOTOS
from coilbook.storage.photo_names import named_photos
from coilbook.storage.trouble import plainly

#: another program that keeps writing is waited for this many times
TRIES = 3


def restore(
    collection: Collection,
    chosen: Backup,
    *,
    into: Path | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Changes:
    """Put a backup in the place of an open collection's content; a crash at any moment leaves either state whole.

    `into`: where backups lie when the keeper chose another disk. Raises `StorageTrouble` when the backup is not whole.
    """
    home = into or backup.backups_of(collection.folder)
    backup.verify(chosen)
    with collection.standing_still():
        for _ in range(TRIES):
            now = collection.clock()
            before = backup.make(
                collection.folder, now, BackupReason.BEFORE_RESTORE, into=home, progress=progress, cancelled=cancelled
            )
            with _composing(collection.folder) as work:
                act = _compose(work, chosen, before, collection)
                _bring_photos(chosen, collection.folder, work)
                backup.verified_facts(work)
                if collection.become(work, partial(_stands_at, collection, before.mark)):
                    _rederive(collection)
                    return Changes(act=act, everything=True)
        raise StorageTrouble(
            say("Another program keeps writing to the collection, so it was not restored. Close it and try again."),
            "locked",
        )


def restore_lost(folder: Path, chosen: Backup, clock: Clock, *, device: str = "") -> Collection:
    """Restore into a folder whose own file is gone or cannot be opened, and open it; the old file is kept aside."""
    backup.verify(chosen)
    with plainly():
        folder.mkdir(exist_ok=True)
        with _composing(folder) as work:
            _copy_up_to_date(chosen, work)
            with _upgrader(work) as db, db.atomic("IMMEDIATE"):
                _write_act(db, clock(), device, chosen, before="")
            _bring_photos(chosen, folder, work)
            backup.verified_facts(work)
            disk.force_file(work)
            arrival.arrive(folder, work)
    return Collection.open(folder, clock, device=device)


def backup_before(collection: Collection, act: ActId, *, into: Path | None = None) -> Backup | None:
    """The backup that taking a restore back would restore; None when the act is no restore or the backup is gone."""
    row = collection.read_one("SELECT before FROM restored WHERE act = ?", (act,))
    found = backup.listed(into or backup.backups_of(collection.folder))
    return next((b for b in found if row is not None and b.name == row[0]), None)


def undo_restore(collection: Collection, act: ActId, *, into: Path | None = None) -> Changes:
    """Take a restore back: restore what stood before it. What was entered since goes into a backup of its own.

    Acts later than `act` rest on it (`journal.resting_on` names them): the caller asks first.
    """
    if collection.read_one("SELECT 1 FROM restored WHERE act = ?", (act,)) is None:
        raise Refusal(say("That act is no restore."))
    before = backup_before(collection, act, into=into)
    if before is None:
        raise Refusal(say("The backup made before that restore is no longer there, so it cannot be taken back."))
    return restore(collection, before, into=into)


@contextmanager
def _composing(folder: Path) -> Iterator[Path]:
    """A path in the collection's folder for the file being put together; gone afterwards."""
    place = Path(tempfile.mkdtemp(prefix=".restoring-", dir=folder))
    try:
        yield place / FILE_NAME
    finally:
        shutil.rmtree(place, ignore_errors=True)


@contextmanager
def _upgrader(file: Path) -> Iterator[SqliteDatabase]:
    db = upgrader_for(file, log=False)
    try:
        yield db
    finally:
        db.close_all()


def _copy_up_to_date(chosen: Backup, work: Path) -> None:
    backup.copy_database(chosen.folder / FILE_NAME, work)
    migrations.upgrade_file(work)


def _compose(work: Path, chosen: Backup, before: Backup, collection: Collection) -> ActId:
    """Put the restored file together: the backup, the counters and codes of now, and the act of the restore."""
    _copy_up_to_date(chosen, work)
    with _upgrader(work) as db:
        db.execute_sql("ATTACH DATABASE ? AS present", (str(before.folder / FILE_NAME),))
        with db.atomic("IMMEDIATE"):
            _carry_counters(db)
            act = _write_act(db, collection.clock(), collection.device, chosen, before=before.name)
            db.execute_sql(
                "UPDATE act SET person = ?, person_name = ? WHERE id = ?",
                (collection.person, collection.person_name, act),
            )
        db.execute_sql("DETACH DATABASE present")
    return act


def _carry_counters(db: SqliteDatabase) -> None:
    """What was counted or issued since the backup stays used up."""
    counters = db.execute_sql("SELECT name, seq FROM present.sqlite_sequence").fetchall()
    migrations.keep_counters(db, counters)
    db.execute_sql(
        "INSERT INTO main.code (body, kind, target, issued_at) SELECT body, kind, target, issued_at FROM present.code "
        "WHERE body NOT IN (SELECT body FROM main.code) ORDER BY id"
    )
    db.execute_sql(
        "UPDATE main.code_counter SET last = max(last, coalesce("
        "(SELECT p.last FROM present.code_counter p WHERE p.kind = main.code_counter.kind), 0))"
    )
    db.execute_sql(
        "INSERT INTO main.code_counter (kind, last) SELECT kind, last FROM present.code_counter "
        "WHERE kind NOT IN (SELECT kind FROM main.code_counter)"
    )


def _write_act(db: SqliteDatabase, now: dt.datetime, device: str, chosen: Backup, *, before: str) -> ActId:
    told = stored(say("restored the backup of {when}", when=chosen.made_at))
    stamp = now.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    cursor = db.execute_sql(
        "INSERT INTO act (kind, at, device, person, person_name, detail, undoes, undoes_also, size, in_force)"
        " VALUES (?, ?, ?, NULL, '', ?, NULL, '', 0, 1)",
        (Act.RESTORE.value, stamp, device, told),
    )
    act = ActId(int(cursor.lastrowid))
    db.execute_sql("INSERT INTO restored (act, came_from, before) VALUES (?, ?, ?)", (act, chosen.name, before))
    return act


def _bring_photos(chosen: Backup, folder: Path, work: Path) -> None:
    """Have every picture the restored file names, and the imported originals, in the folder before the file is."""
    backup.keep_originals(chosen.folder.parent / IMPORTS, folder / IMPORTS)
    photos = folder / PHOTOS
    disk.make_folder(photos)
    with closing(sqlite3.connect(work)) as connection:
        wanted = named_photos(connection)
    for sha256, ending in wanted:
        # one that is whole in neither place was lost before the backup: its row stays and `check` names it
        backup.keep_photo(chosen.folder.parent / PHOTOS, photos, sha256, ending, read_through=True)


def _rederive(collection: Collection) -> None:
    """Let whoever follows acts rebuild what it keeps; a crash before that is noticed at the next start."""
    with collection.writing() as db:
        for hook in collection.hooks:
            hook(db, Changes(everything=True))


def _stands_at(collection: Collection, mark: str) -> bool:
    with closing(sqlite3.connect(collection.file.absolute().as_uri() + "?mode=rw", uri=True)) as connection:
        return backup.mark_of(connection) == mark
