"""Opening a collection with a way out: when its file is lost or damaged, its backups are offered."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from coilbook.app.start import Clock, keep_derived, open_collection
from coilbook.records.backups import Backup
from coilbook.records.message import StorageTrouble
from coilbook.storage import backup, restore
from coilbook.storage.collection import Collection
from coilbook.storage.offers import MENDED_BY_RESTORE

#: asked with the trouble and the backups; the one to restore, or None
Ask = Callable[[StorageTrouble, Sequence[Backup]], Backup | None]


def open_or_rescue(folder: Path, clock: Clock, ask: Ask) -> Collection:
    """Open (or make) the collection in `folder`; offer its backups when its own file cannot be used.

    Raises the `StorageTrouble` again when there is no backup or the keeper leaves everything as it is.
    """
    there = backup.listed_for(folder)
    try:
        return open_collection(folder, clock, create=not there)
    except StorageTrouble as trouble:
        if trouble.kind not in MENDED_BY_RESTORE or not there:
            raise
        chosen = ask(trouble, there)
        if chosen is None:
            raise
    rescued = restore.restore_lost(folder, chosen, clock)
    keep_derived(rescued)
    return rescued


def ask_in_a_window(clock: Clock) -> Ask:
    """The question as a window of its own."""

    def ask(trouble: StorageTrouble, backups: Sequence[Backup]) -> Backup | None:
        from coilbook.ui.rescue import RescueWindow
        from coilbook.ui.theme import Theme

        theme = Theme()
        theme.apply()
        window = RescueWindow(theme, trouble, backups, clock().tzinfo)
        window.exec()
        return window.chosen

    return ask
