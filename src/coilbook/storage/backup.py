"""Backups: made while the program works, verified by opening them before they count, thinned with age.

A folder of backups holds one folder for each (the collection's file and a manifest) and, beside them, one store of
photos by SHA-256 shared by all: a picture never changes, so it is linked or copied once. Each backup is put together
under another name and renamed when it has been opened, checked and forced to the disk.
"""

from __future__ import annotations

import datetime as dt
import json
import logging
import shutil
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from coilbook.records.backups import Backup, BackupReason
from coilbook.records.message import Refusal, StorageTrouble, say
from coilbook.storage import disk
from coilbook.storage.connection import APPLICATION_ID, BUSY_MS
from coilbook.storage.layout import BACKUPS, ELSEWHERE, FILE_NAME, IMPORTS, MANIFEST, PHOTOS, photo_place
from coilbook.storage.photo_names import named_photos
from coilbook.storage.thinning import kept
from coilbook.storage.trouble import plainly

#: called with (pages done, pages in all) between steps of a copy
LOG = logging.getLogger(__name__)
Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]

#: pages copied in one step: 4 MB, a few milliseconds, then the caller is asked whether to go on
PAGES_A_STEP = 1024
HOUR = dt.timedelta(hours=1)
_MAKING = ".making-"
#: what a crash left half made is swept up by the next backup made this much later, by the disk's own clock
_LEFT_OVER_SECONDS = 86_400
_STAMP = "%Y-%m-%dT%H-%M-%SZ"


def backups_of(folder: Path) -> Path:
    """Where a collection's backups lie unless the keeper chose another disk."""
    return folder / BACKUPS


def homes_of(folder: Path) -> list[Path]:
    """Every folder with backups of a collection that can be reached now: its own, and those on other disks."""
    try:
        written = (backups_of(folder) / ELSEWHERE).read_text(encoding="utf-8").splitlines()
    except FileNotFoundError:
        written = []
    except (OSError, ValueError) as error:
        LOG.warning("where else there are backups cannot be read: %s", error)
        written = []
    elsewhere = dict.fromkeys(Path(line) for line in written if line.strip())
    return [backups_of(folder), *(home for home in elsewhere if home.is_dir())]


def note_home(folder: Path, home: Path) -> None:
    """Write down beside a collection where on another disk its backups go, so that a lost file can be made good."""
    if home in homes_of(folder):
        return
    disk.make_folder(backups_of(folder))
    place = backups_of(folder) / ELSEWHERE
    before = place.read_bytes() if place.is_file() else b""
    disk.write_whole(place, f"{home}\n".encode() + before)


def listed_for(folder: Path) -> list[Backup]:
    """The finished backups of a collection wherever they can be reached, newest first."""
    found = [one for home in homes_of(folder) for one in listed(home)]
    return sorted(found, key=lambda b: (b.made_at, b.name), reverse=True)


def make(
    folder: Path,
    now: dt.datetime,
    reason: BackupReason,
    *,
    into: Path | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Backup:
    """Back a collection up, also while acts are written; returns only what was opened and found whole.

    Reads by a connection of its own, so any thread may call it. Raises `StorageTrouble`; `Refusal` when cancelled.
    """
    home = into or backups_of(folder)
    with plainly():
        _must_be_there(folder, home)
        _sweep(home)
        making = Path(tempfile.mkdtemp(prefix=_MAKING, dir=home))
        try:
            copy_database(folder / FILE_NAME, making / FILE_NAME, progress=progress, cancelled=cancelled)
            photos, missing = _keep_photos(folder, making / FILE_NAME, home / PHOTOS, cancelled)
            keep_originals(folder / IMPORTS, home / IMPORTS)
            facts = verified_facts(making / FILE_NAME, cancelled)
            facts |= {"format": 1, "reason": reason.value, "photos": photos, "photos_missing": missing}
            stamp = now.astimezone(dt.UTC)
            facts["made_at"] = stamp.strftime("%Y-%m-%dT%H:%M:%SZ")
            disk.write_whole(making / MANIFEST, json.dumps(facts, indent=1, sort_keys=True).encode())
            disk.force_file(making / FILE_NAME)
            disk.force_folder(making)
            final = _free_name(home, f"{stamp.strftime(_STAMP)}-{reason.value}")
            making.rename(final)
            disk.force_folder(home)
        except BaseException:
            shutil.rmtree(making, ignore_errors=True)
            raise
    return _from_manifest(final)


def _must_be_there(folder: Path, home: Path) -> None:
    if not (folder / FILE_NAME).is_file():
        raise StorageTrouble(say("There is no collection in {folder}.", folder=str(folder)), "absent")
    if not home.parent.is_dir():
        raise StorageTrouble(
            say("The folder for backups is not there: {place}. Is its drive connected?", place=home), "backup_place"
        )
    disk.make_folder(home)


def _sweep(home: Path) -> None:
    newest = max((p.stat().st_mtime for p in home.iterdir()), default=0.0)
    unfinished = [p for p in home.glob("[0-9]*") if not (p / MANIFEST).is_file()]
    for left in [*home.glob(_MAKING + "*"), *unfinished]:
        if newest - left.stat().st_mtime > _LEFT_OVER_SECONDS:
            shutil.rmtree(left, ignore_errors=True)


def _free_name(home: Path, name: str) -> Path:
    number = 1
    while (home / (name if number == 1 else f"{name}-{number}")).exists():
        number += 1
    return home / (name if number == 1 else f"{name}-{number}")


def copy_database(
    source: Path, target: Path, *, progress: Progress | None = None, cancelled: Cancelled | None = None
) -> None:
    """Copy a database in small steps as it is at this moment; the copy is one file that needs no log beside it.

    The read transaction holds one snapshot: without it every act in between would start the copy over.
    """

    def step(_status: int, remaining: int, total: int) -> None:
        if cancelled is not None and cancelled():
            raise Refusal(say("The backup was stopped; nothing of it was kept."))
        if progress is not None:
            progress(total - remaining, total)

    uri = source.absolute().as_uri() + "?mode=rw"
    with (
        closing(sqlite3.connect(uri, uri=True, timeout=BUSY_MS / 1000, isolation_level=None)) as reading,
        closing(sqlite3.connect(target, isolation_level=None)) as writing,
    ):
        reading.execute("PRAGMA query_only = ON")
        reading.execute("BEGIN")
        reading.execute("SELECT count(*) FROM sqlite_master").fetchone()
        reading.backup(writing, pages=PAGES_A_STEP, progress=step)
        writing.execute("PRAGMA journal_mode = DELETE").fetchone()


def _keep_photos(folder: Path, copy: Path, store: Path, cancelled: Cancelled | None) -> tuple[int, int]:
    disk.make_folder(store)
    with closing(sqlite3.connect(copy)) as connection:
        wanted = named_photos(connection)
    missing = 0
    for sha256, ending in wanted:
        if cancelled is not None and cancelled():
            raise Refusal(say("The backup was stopped; nothing of it was kept."))
        missing += not keep_photo(folder / PHOTOS, store, sha256, ending)
    return len(wanted), missing


def keep_photo(source: Path, target: Path, sha256: str, ending: str, *, read_through: bool = False) -> bool:
    """Have a picture of one folder of photos in another; False when it is whole in neither. A copy's hash is checked.

    One that lies there is taken for whole by its size, with `read_through` by its content; a damaged one is replaced.
    """
    there, here = source / photo_place(sha256, ending), target / photo_place(sha256, ending)
    if here.is_file() and _seems_whole(here, there, sha256, read_through):
        return True
    if not there.is_file():
        return False
    disk.make_folder(here.parent)
    if disk.sha256_of(there) != sha256:
        return False
    if here.is_file():
        disk.copy_whole(there, here)
    else:
        disk.link_or_copy(there, here)
    return True


def _seems_whole(here: Path, there: Path, sha256: str, read_through: bool) -> bool:
    if read_through:
        return disk.sha256_of(here) == sha256
    # the same file under two names is as whole as it is; reading all pictures through with every backup takes too long
    return not there.is_file() or there.stat().st_size == here.stat().st_size or disk.sha256_of(here) == sha256


def keep_originals(source: Path, target: Path) -> None:
    """Have every imported file of one folder in another; they are named by their SHA-256 and never change."""
    if not source.is_dir():
        return
    disk.make_folder(target)
    for original in sorted(source.iterdir()):
        if original.is_file() and not original.name.startswith(".") and not (target / original.name).is_file():
            disk.link_or_copy(original, target / original.name)


def verified_facts(file: Path, cancelled: Cancelled | None = None) -> dict[str, object]:
    """Open a copied database and read it through; what is not whole raises `StorageTrouble` of kind `backup`."""
    with closing(sqlite3.connect(file.absolute().as_uri() + "?mode=ro", uri=True)) as connection:
        if cancelled is not None:
            connection.set_progress_handler(lambda: int(cancelled()), 100_000)
        try:
            found = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
            loose = connection.execute("PRAGMA foreign_key_check").fetchall()
        except sqlite3.OperationalError as error:
            if cancelled is not None and cancelled():
                raise Refusal(say("The backup was stopped; nothing of it was kept.")) from error
            raise
        application_id = connection.execute("PRAGMA application_id").fetchone()[0]
        if found != "ok" or loose or application_id != APPLICATION_ID:
            why = found if found != "ok" else "loose references" if loose else "not a collection"
            raise StorageTrouble(say("The backup is not whole ({why}), so it does not count.", why=why), "backup")
        counts = counts_of(connection)
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        mark = mark_of(connection)
    return {
        "application_id": application_id,
        "version": version,
        "bytes": file.stat().st_size,
        "sha256": disk.sha256_of(file),
        "counts": counts,
        "mark": mark,
    }


def counts_of(connection: sqlite3.Connection) -> dict[str, int]:
    """Rows of every table of a file, whatever its format."""
    names = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name"
    ).fetchall()
    return {n: int(connection.execute(f'SELECT count(*) FROM "{n}"').fetchone()[0]) for (n,) in names}


def mark_of(connection: sqlite3.Connection) -> str:
    """A text that moves with every act and every issued code (their counters never go back)."""
    rows = connection.execute("SELECT name, seq FROM sqlite_sequence WHERE name IN ('act', 'code') ORDER BY name")
    return " ".join(f"{name}:{seq}" for name, seq in rows.fetchall())


def listed(home: Path) -> list[Backup]:
    """Backups in a folder, newest first; what has no readable manifest was never finished and does not count."""
    found: list[Backup] = []
    if home.is_dir():
        for manifest in home.glob(f"[0-9]*/{MANIFEST}"):
            try:
                found.append(_from_manifest(manifest.parent))
            except (OSError, ValueError, KeyError) as error:
                LOG.warning("%s does not count as a backup: %r", manifest.parent, error)
    return sorted(found, key=lambda b: (b.made_at, b.name), reverse=True)


def _from_manifest(folder: Path) -> Backup:
    facts = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    return Backup(
        folder=folder,
        made_at=dt.datetime.fromisoformat(facts["made_at"].replace("Z", "+00:00")),
        reason=BackupReason(facts["reason"]),
        version=int(facts["version"]),
        bytes=int(facts["bytes"]),
        sha256=str(facts["sha256"]),
        counts={str(k): int(v) for k, v in facts["counts"].items()},
        photos=int(facts["photos"]),
        photos_missing=int(facts["photos_missing"]),
        mark=str(facts["mark"]),
    )


def verify(backup: Backup) -> None:
    """Open a backup again and compare it with its manifest; `StorageTrouble` of kind `backup` when it differs."""
    with plainly():
        file = backup.folder / FILE_NAME
        if not file.is_file() or disk.sha256_of(file) != backup.sha256:
            raise StorageTrouble(
                say("The backup {name} is not as it was written; choose another one.", name=backup.name), "backup"
            )
        facts = verified_facts(file)
        if facts["counts"] != dict(backup.counts) or facts["version"] != backup.version:
            raise StorageTrouble(
                say("The backup {name} does not hold what it says; choose another one.", name=backup.name), "backup"
            )


def is_changed(folder: Path, *, into: Path | None = None) -> bool:
    """True when something was written since the newest backup."""
    newest = next(iter(listed(into or backups_of(folder))), None)
    if newest is None:
        return True
    with plainly():
        uri = (folder / FILE_NAME).absolute().as_uri() + "?mode=rw"
        with closing(sqlite3.connect(uri, uri=True, timeout=BUSY_MS / 1000)) as connection:
            connection.execute("PRAGMA query_only = ON")
            return mark_of(connection) != newest.mark


def due(folder: Path, now: dt.datetime, *, into: Path | None = None) -> bool:
    """True when the last backup is an hour old or more (or of the future: a clock was set) and something changed."""
    newest = next(iter(listed(into or backups_of(folder))), None)
    if newest is not None and dt.timedelta(0) <= now.astimezone(dt.UTC) - newest.made_at < HOUR:
        return False
    return is_changed(folder, into=into)


def thin(home: Path, now: dt.datetime, *, spare: str = "") -> list[str]:
    """Take away the backups that age has made superfluous; returns their names. Photos in the store stay.

    `spare` names the one just made: by a clock that stands years back it would be the oldest of all.
    """
    backups = listed(home)
    keep = kept(backups, now.astimezone(dt.UTC))
    gone = [b for b in backups if b.name not in keep and b.name != spare]
    with plainly():
        for backup in gone:
            # without its manifest it no longer counts, so a crash in between leaves nothing that looks whole
            (backup.folder / MANIFEST).unlink(missing_ok=True)
            shutil.rmtree(backup.folder, ignore_errors=True)
    return [b.name for b in gone]
