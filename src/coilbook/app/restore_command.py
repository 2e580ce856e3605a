"""`coilbook restore`: a backup in the place of everything; the present state becomes a backup first."""

from __future__ import annotations

import argparse
from pathlib import Path

from coilbook.app import paths
from coilbook.app.exit_codes import ExitCode
from coilbook.app.on_collection import add_collection_argument, answer, opened, worded
from coilbook.app.rescue import open_or_rescue
from coilbook.app.start import real_clock
from coilbook.records.message import Refusal, StorageTrouble, say
from coilbook.storage import backup
from coilbook.storage.layout import MANIFEST
from coilbook.storage.offers import MENDED_BY_RESTORE
from coilbook.storage.trouble import plainly


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which backup."""
    parser.add_argument(
        "name", help="name or folder of the backup, as `coilbook backup --list` tells them, or 'newest'"
    )
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Restore it; undo in the window brings the present state back."""
    from coilbook.operations.safekeeping import backups_there, restore_backup

    arguments.name = _named(arguments)
    if not _opens(arguments):
        return _rescue(arguments)
    with opened(arguments) as collection:
        name = arguments.name
        if name == "newest":
            name = next((backup.name for backup in backups_there(collection)), name)
        outcome = restore_backup(collection, name=name)
    answer(arguments, {"restored": outcome.value.name}, worded(outcome.notice))
    return ExitCode.OK


def _named(arguments: argparse.Namespace) -> str:
    """The name of the backup; one said by its folder, on whatever disk, is known to the collection from now on."""
    place = Path(arguments.name)
    if not (place / MANIFEST).is_file():
        return str(arguments.name)
    folder = arguments.collection or paths.default_collection()
    with plainly():
        folder.mkdir(parents=True, exist_ok=True)
        backup.note_home(folder, place.resolve().parent)
    return place.resolve().name


def _opens(arguments: argparse.Namespace) -> bool:
    """False when the collection's own file is lost or damaged, so that a backup can only be put in its place."""
    try:
        with opened(arguments):
            return True
    except StorageTrouble as trouble:
        if trouble.kind in MENDED_BY_RESTORE:
            return False
        raise


def _rescue(arguments: argparse.Namespace) -> int:
    folder = arguments.collection or paths.default_collection()
    there = backup.listed_for(folder)
    chosen = next((b for b in there if arguments.name in (b.name, "newest")), None)
    if chosen is None:
        raise Refusal(say("There is no backup {name} in {folder}.", name=arguments.name, folder=str(folder)))
    open_or_rescue(folder, real_clock, lambda _trouble, _backups: chosen).close()
    answer(arguments, {"restored": chosen.name}, f"{chosen.name} restored; the damaged file was kept aside")
    return ExitCode.OK
