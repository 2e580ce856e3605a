"""Backups and restores as a keeper does them; the window makes one on closing and every hour when something changed."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path

from coilbook.operations.people import ERASED
from coilbook.operations.settings import remember, settings_of
from coilbook.records.backups import Backup, BackupReason
from coilbook.records.changes import Outcome
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act
from coilbook.storage import backup, restore
from coilbook.storage.collection import Collection
from coilbook.storage.disk import write_whole
from coilbook.storage.layout import FILE_NAME
from coilbook.storage.trouble import plainly

LOG = logging.getLogger(__name__)
Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]


#: in a folder of backups on another disk: where the collection lies whose backups they are
OWNER = "collection.txt"


def backup_home(collection: Collection) -> Path:
    """Where backups go now: the keeper's folder on another disk while it is connected, else the collection's own."""
    chosen = settings_of(collection).backup_folder
    if chosen and Path(chosen).is_dir():
        return _home_on(Path(chosen), collection)
    return backup.backups_of(collection.folder)


def _home_on(disk: Path, collection: Collection) -> Path:
    """A folder of its own on the disk: of two collections of one name neither thins or restores the other's backups."""
    number = 1
    while True:
        home = disk / f"{collection.folder.name} backups{f' ({number})' if number > 1 else ''}"
        owner = _owner_of(home)
        # one whose collection is no longer there was moved with it
        if owner is None or owner == collection.folder.resolve() or not (owner / FILE_NAME).is_file():
            return home
        number += 1


def _owner_of(home: Path) -> Path | None:
    try:
        written = (home / OWNER).read_text(encoding="utf-8").strip()
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        LOG.warning("whose backups lie in %s cannot be read: %s", home, error)
        return None
    return Path(written) if written else None


def _claim(home: Path, collection: Collection) -> None:
    home.mkdir(exist_ok=True)
    here = collection.folder.resolve()
    if home.parent != here and _owner_of(home) != here:
        write_whole(home / OWNER, str(here).encode(errors="surrogateescape"))


def choose_backup_folder(collection: Collection, *, folder: str) -> Outcome[str]:
    """Have backups go to another disk from now on; an empty text means the collection's own folder again."""
    if folder and not Path(folder).is_dir():
        raise Refusal(say("There is no folder {place}. Is its drive connected?", place=folder))
    outcome = remember(collection, name="backup_folder", value=folder)
    told = say("backups go to {place}", place=folder) if folder else say("backups go to the collection's own folder")
    return Outcome(folder, outcome.changes, outcome.kind, told)


def backups_there(collection: Collection) -> list[Backup]:
    """The finished backups of a collection, newest first: those of its own folder and of other disks."""
    homes = {*backup.homes_of(collection.folder), backup_home(collection)}
    found = [one for home in homes for one in backup.listed(home)]
    return sorted(found, key=lambda one: one.made_at, reverse=True)


def back_up(
    collection: Collection,
    *,
    reason: BackupReason = BackupReason.BY_HAND,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Backup:
    """Make a backup with photos, opened and found whole; older ones are thinned afterwards. Any thread may call it."""
    home, now = backup_home(collection), collection.clock()
    with plainly():
        _claim(home, collection)
        backup.note_home(collection.folder, home)
    made = backup.make(collection.folder, now, reason, into=home, progress=progress, cancelled=cancelled)
    backup.thin(home, now, spare=made.name)
    return made


def back_up_if_due(collection: Collection, *, cancelled: Cancelled | None = None) -> Backup | None:
    """The hourly backup: made when the last is an hour old and something changed since."""
    if not backup.due(collection.folder, collection.clock(), into=backup_home(collection)):
        return None
    return back_up(collection, reason=BackupReason.HOURLY, cancelled=cancelled)


def back_up_on_close(collection: Collection) -> Backup | None:
    """The backup on closing: made when something changed since the last."""
    if not backup.is_changed(collection.folder, into=backup_home(collection)):
        return None
    return back_up(collection, reason=BackupReason.CLOSE)


def restore_backup(
    collection: Collection,
    *,
    name: str,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Outcome[Backup]:
    """Put a backup in the place of everything. What is here now becomes a backup first, and Undo brings it back.

    Warns when the backup brings persons back who were erased since.
    """
    chosen = next((b for b in backups_there(collection) if b.name == name), None)
    if chosen is None:
        raise Refusal(say("There is no backup {name}. `coilbook backup --list` names those there are.", name=name))
    erased = _erased(collection)
    changes = restore.restore(
        collection, chosen, into=backup.backups_of(collection.folder), progress=progress, cancelled=cancelled
    )
    back = len(erased - _erased(collection))
    warnings = (say(_PERSON_BACK, _PEOPLE_BACK, n=back),) if back else ()
    day = chosen.made_at.astimezone(collection.clock().tzinfo)
    return Outcome(chosen, changes, Act.RESTORE, say("restored as of {moment}", moment=day), warnings)


_PERSON_BACK = "The backup is older than the erasure of {n} person, who is in it again. Forget them anew in Settings."
_PEOPLE_BACK = "The backup is older than the erasure of {n} people, who are in it again. Forget them anew in Settings."


def _erased(collection: Collection) -> set[int]:
    return {int(row) for (row,) in collection.read("SELECT id FROM person WHERE name = ?", (ERASED,))}
