"""`coilbook calendar`: every expected event of the season as an iCalendar file.

Written over the file of before, what is expected no more is in it as cancelled; a file of another name holds only what
is expected now, and a calendar that imported the one before keeps what that said.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from coilbook.app.exit_codes import ExitCode, Misuse
from coilbook.app.on_collection import add_collection_argument, answer, opened
from coilbook.records.message import Refusal, say


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Where to."""
    parser.add_argument("to", type=Path, help="a file ending in .ics")
    parser.add_argument(
        "--force",
        action="store_true",
        help="replace a file that is there; what it expected and is expected no more stays in it, as cancelled",
    )
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write it and say how many events it holds."""
    from coilbook.operations.settings import settings_of
    from coilbook.reads.season_calendar import former_text, season_calendar

    to: Path = arguments.to
    if to.suffix.lower() != ".ics":
        raise Misuse(say("A calendar is written to a file ending in .ics, not to {name}.", name=to.name))
    if to.exists() and not arguments.force:
        raise Refusal(say("{name} is there already; add --force to replace it.", name=to.name))
    if not to.absolute().parent.is_dir():
        raise Refusal(say("There is no folder {name} to write to.", name=str(to.absolute().parent)))
    with opened(arguments) as collection:
        text, count = season_calendar(collection, settings_of(collection), collection.clock(), former_text(to))
    to.write_bytes(text.encode())
    answer(arguments, {"written": str(to), "events": count}, f"{count} events in {to}")
    return ExitCode.OK
