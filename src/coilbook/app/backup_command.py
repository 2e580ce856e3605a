"""`coilbook backup`: a verified backup with photos, or the list of those there are."""

from __future__ import annotations

import argparse

from coilbook.app.exit_codes import ExitCode
from coilbook.app.on_collection import add_collection_argument, answer, opened, worded
from coilbook.records.backups import Backup
from coilbook.records.message import say


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Make one, or list them."""
    parser.add_argument("--list", action="store_true", help="only name the backups there are, newest first")
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Make a backup and say where it lies."""
    from coilbook.operations.safekeeping import back_up, backups_there

    with opened(arguments) as collection:
        made = backups_there(collection) if arguments.list else [back_up(collection)]
    answer(arguments, {"backups": [_facts(b) for b in made]}, *(_line(b) for b in made))
    return ExitCode.OK


def _facts(backup: Backup) -> dict[str, object]:
    return {
        "name": backup.name,
        "folder": str(backup.folder),
        "made_at": backup.made_at.isoformat(),
        "reason": backup.reason.value,
        "animals": backup.counts.get("animal", 0),
        "photos": backup.photos,
        "photos_missing": backup.photos_missing,
    }


def _line(backup: Backup) -> str:
    parts = [
        say("{n} animal", "{n} animals", n=backup.counts.get("animal", 0)),
        say("{n} photo", "{n} photos", n=backup.photos),
    ]
    if backup.photos_missing:
        parts.append(say("{n} photo missing", "{n} photos missing", n=backup.photos_missing))
    return f"{backup.name}: {', '.join(map(worded, parts))}"
