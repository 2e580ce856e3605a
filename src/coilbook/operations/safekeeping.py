"""Backups and restores as a keeper does them; the window makes one on closing and every hour when something changed."""

from __future__ import annotations

from collections.abc import Callable

from coilbook.records.backups import Backup, BackupReason
from coilbook.records.changes import Outcome
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act
from coilbook.storage import backup, restore
from coilbook.storage.collection import Collection

Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]


def backups_there(collection: Collection) -> list[Backup]:
    """The finished backups of a collection, newest first."""
    return backup.listed(backup.backups_of(collection.folder))


def back_up(
    collection: Collection,
    *,
    reason: BackupReason = BackupReason.BY_HAND,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Backup:
    """Make a backup with photos, opened and found whole; older ones are thinned afterwards. Any thread may call it."""
    made = backup.make(collection.folder, collection.clock(), reason, progress=progress, cancelled=cancelled)
    backup.thin(backup.backups_of(collection.folder), collection.clock())
    return made


def back_up_if_due(collection: Collection, *, cancelled: Cancelled | None = None) -> Backup | None:
    """The hourly backup: made when the last is an hour old and something changed since."""
    if not backup.due(collection.folder, collection.clock()):
        return None
    return back_up(collection, reason=BackupReason.HOURLY, cancelled=cancelled)


def back_up_on_close(collection: Collection) -> Backup | None:
    """The backup on closing: made when something changed since the last."""
    if not backup.is_changed(collection.folder):
        return None
    return back_up(collection, reason=BackupReason.CLOSE)


def restore_backup(
    collection: Collection,
    *,
    name: str,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Outcome[Backup]:
    """Put a backup in the place of everything. What is here now becomes a backup first, and Undo brings it back."""
    chosen = next((b for b in backups_there(collection) if b.name == name), None)
    if chosen is None:
        raise Refusal(say("There is no backup {name}.", name=name))
    changes = restore.restore(collection, chosen, progress=progress, cancelled=cancelled)
    day = chosen.made_at.astimezone(collection.clock().tzinfo)
    return Outcome(chosen, changes, Act.RESTORE, say("restored as of {moment}", moment=day))
