"""`coilbook tour`: pictures of every screen and every paper, from a copy of the demo collection."""

from __future__ import annotations

import argparse
import datetime as dt
import tempfile
from pathlib import Path

from coilbook.app.exit_codes import ExitCode
from coilbook.app.start import Clock
from coilbook.app.system_check import must_have_libraries


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Where to."""
    parser.add_argument("out", type=Path, metavar="OUT", help="folder for the pictures and papers")
    parser.add_argument("--quick", action="store_true", help="one theme and size instead of all")
    parser.add_argument("--screen", action="append", default=[], help="only this screen (may be given again)")


def run(arguments: argparse.Namespace) -> int:
    """Build the demo in a folder of its own, drive the window, print what was written."""
    must_have_libraries(display=False)
    from coilbook.app.demo import build_demo
    from coilbook.app.demo_room.recipe import load_recipe
    from coilbook.app.start import open_collection
    from coilbook.app.tour import looks, offscreen, take_tour

    offscreen()
    with tempfile.TemporaryDirectory(prefix="coilbook-tour-") as place:
        folder = Path(place) / "demo"
        build_demo(folder)
        with open_collection(folder, fixed(load_recipe().now.astimezone())) as collection:
            wanted = looks()[:1] if arguments.quick else looks()
            written = take_tour(collection, arguments.out, wanted=wanted, only=tuple(arguments.screen), told=print)
    print(f"{len(written)} files in {arguments.out}")
    return ExitCode.OK


def fixed(moment: dt.datetime) -> Clock:
    """A clock that stands still, so that two tours of the same program are the same pictures."""
    return lambda: moment
