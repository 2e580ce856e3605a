"""Putting a whole file in the place of one that cannot be opened, so that a crash at any moment can be finished.

The new file first lies complete under the name `ARRIVING`. From then on every step can be done again: what is there now
is moved aside into the folder of backups (the log before the file, since a log left behind would be read into the new
one), then the arriving file takes the name.
"""

from __future__ import annotations

from pathlib import Path

from coilbook.storage import disk
from coilbook.storage.layout import ARRIVING, BACKUPS, FILE_NAME, beside

#: where a file that could not be opened is kept, below the folder of backups
ASIDE = "set-aside"


def arrive(folder: Path, whole: Path) -> None:
    """Put the complete file `whole` (on the same disk, forced to it) in the place of the collection's file."""
    whole.replace(folder / ARRIVING)
    disk.force_folder(folder)
    finish(folder)


def finish(folder: Path) -> None:
    """Finish what `arrive` began, if it did; called before every opening."""
    new = folder / ARRIVING
    if not new.is_file():
        return
    file = folder / FILE_NAME
    aside = _aside(folder)
    for old in (*beside(file), file):
        if old.exists():
            old.replace(aside / old.name)
    disk.force_folder(aside)
    new.replace(file)
    disk.force_folder(folder)


def _aside(folder: Path) -> Path:
    """The folder of this arrival: the newest one that has no database in it yet."""
    backups = folder / BACKUPS
    disk.make_folder(backups)
    disk.make_folder(backups / ASIDE)
    number = 1
    while (backups / ASIDE / str(number) / FILE_NAME).exists():
        number += 1
    place = backups / ASIDE / str(number)
    disk.make_folder(place)
    return place
