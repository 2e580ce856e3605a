"""`coilbook open`: the window on a collection; files and codes named beside it are opened in it."""

from __future__ import annotations

import argparse
from pathlib import Path

from coilbook.app import paths
from coilbook.app.system_check import must_have_window
from coilbook.records.message import CoilbookError, Refusal, say


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What can be named."""
    parser.add_argument("things", nargs="*", metavar="THING", help="folder of a collection, file to open, or a code")
    parser.add_argument("--collection", type=Path, help="folder of the collection; without it the usual one")
    parser.add_argument(
        "--here-anyway", action="store_true", help="make a new collection in a folder that was advised against"
    )


def run(arguments: argparse.Namespace) -> int:
    """Open the window, or hand everything to the one that is open."""
    must_have_window()
    folder, words = sort_out(arguments.collection, arguments.things)
    if arguments.here_anyway:
        from coilbook.app.start import make_against_advice

        make_against_advice(folder)
    import coilbook.app.rooms_first  # noqa: F401 - before Qt, for its speed
    from coilbook.app.window_run import run_window

    return run_window(folder, words)


def sort_out(collection: Path | None, things: list[str]) -> tuple[Path, list[str]]:
    """The collection to open, and the files and codes for its window; a path into a folder that is there is a new
    collection, anything else a code. Raises Refusal for a path to nowhere: the usual collection is not meant by it."""
    folder, words = collection, []
    for thing in things:
        path = Path(thing)
        if folder is None and path.is_dir():
            folder = path
        elif path.exists():
            words.append(str(path.resolve()))
        elif folder is None and path.parent != Path(".") and path.parent.is_dir():
            folder = path
        elif _is_lost_path(thing):
            raise Refusal(say("There is neither a file nor a folder {path}.", path=thing))
        else:
            words.append(thing)
    return (folder if folder is not None else paths.default_collection()), words


def _is_lost_path(thing: str) -> bool:
    """True for a path that leads nowhere; a link and a code with what is printed before it are none."""
    from coilbook.labels.code import parse

    if "://" in thing or len(Path(thing).parts) < 2:
        return False
    try:
        parse(thing)
    except CoilbookError:
        return True
    return False
