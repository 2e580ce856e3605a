"""`coilbook restore`: a backup in the place of everything; the present state becomes a backup first."""

from __future__ import annotations

import argparse

from coilbook.app.exit_codes import ExitCode
from coilbook.app.on_collection import add_collection_argument, answer, opened, worded


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which backup."""
    parser.add_argument("name", help="name of the backup, as `coilbook backup --list` tells it, or 'newest'")
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Restore it; undo in the window brings the present state back."""
    from coilbook.operations.safekeeping import backups_there, restore_backup

    with opened(arguments) as collection:
        name = arguments.name
        if name == "newest":
            name = next((backup.name for backup in backups_there(collection)), name)
        outcome = restore_backup(collection, name=name)
    answer(arguments, {"restored": outcome.value.name}, worded(outcome.notice))
    return ExitCode.OK
