"""What the commands that work on a collection have in common: naming it, opening it, printing for people or scripts."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coilbook.app import paths
from coilbook.records.message import Message, StorageTrouble, say
from coilbook.storage.collection import Collection
from coilbook.storage.layout import FILE_NAME


def add_collection_argument(parser: argparse.ArgumentParser) -> None:
    """Which collection, and whether a script reads the answer."""
    parser.add_argument("--collection", type=Path, help="folder of the collection; without it the usual one")
    parser.add_argument("--json", action="store_true", help="write the answer as JSON")


def is_there(arguments: argparse.Namespace) -> bool:
    """True when the collection the arguments name exists."""
    return ((arguments.collection or paths.default_collection()) / FILE_NAME).is_file()


@contextmanager
def opened(arguments: argparse.Namespace, *, create: bool = False) -> Iterator[Collection]:
    """The collection the arguments name, with its derived tables kept right."""
    from coilbook.app.start import open_collection

    folder = arguments.collection or paths.default_collection()
    if not (create or is_there(arguments)):
        text = "There is no collection in {folder}. `coilbook open {folder}` begins one."
        raise StorageTrouble(say(text, folder=str(folder)), "absent")
    with open_collection(folder, create=create) as collection:
        keeper = collection.read("SELECT id, name FROM person WHERE role = 'keeper' AND active = 1 ORDER BY id LIMIT 1")
        for row, name in keeper:
            collection.at_keyboard(row, str(name))
        yield collection


def answer(arguments: argparse.Namespace, told: dict[str, object], *lines: str) -> None:
    """Print what was done: as JSON for a script, else line by line."""
    if arguments.json:
        print(json.dumps(told, ensure_ascii=False, indent=2, default=str))
    else:
        for line in lines:
            print(line)


def worded(message: Message) -> str:
    """A message in the keeper's words."""
    from coilbook.wording.texts import render

    return render(message)
