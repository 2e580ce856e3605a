"""`coilbook demo`: the window on the invented collection of the keeper Wren, built once from its seed."""

from __future__ import annotations

import argparse
from pathlib import Path

from coilbook.app.system_check import must_have_window


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Where it lies, and whether to begin anew."""
    parser.add_argument(
        "--folder", type=Path, help="where the demo collection lies; the program's own place without it"
    )
    parser.add_argument("--fresh", action="store_true", help="build it again from its seed")
    parser.add_argument("--build-only", action="store_true", help="build it and open no window")


def run(arguments: argparse.Namespace) -> int:
    """Build the collection when need be, then open it on the demo's own day."""
    if not arguments.build_only:
        must_have_window()
    from coilbook.app.demo import demo_clock, ready_demo

    folder = ready_demo(arguments.folder, fresh=arguments.fresh)
    if arguments.build_only:
        print(folder)
        return 0
    import coilbook.app.rooms_first  # noqa: F401 - before Qt, for its speed
    from coilbook.app.window_run import run_window

    return run_window(folder, [], demo_clock(folder))
