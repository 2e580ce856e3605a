"""`coilbook export`: everything in a collection as CSV files, one workbook, or one JSON book."""

from __future__ import annotations

import argparse
from pathlib import Path

from coilbook.app.exit_codes import ExitCode
from coilbook.app.on_collection import add_collection_argument, answer, opened
from coilbook.records.message import Refusal, say

#: endings somebody may hope for; a folder of such a name would not be what they meant
_NOT_WRITTEN = (".csv", ".tsv", ".txt", ".xls", ".ods", ".doc", ".docx", ".pdf", ".html", ".xml", ".sqlite", ".zip")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Where to, and in which form."""
    parser.add_argument("to", type=Path, help="a folder for CSV; a file ending in .xlsx or .json for those")
    parser.add_argument("--format", choices=("csv", "xlsx", "json"), help="guessed from the name without it")
    parser.add_argument("--force", action="store_true", help="replace a file that is there")
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write it and name what was written."""
    from coilbook.reads.export import ExportFormat, export_everything

    ending = arguments.to.suffix.lower()
    if arguments.format is None and ending in _NOT_WRITTEN:
        raise Refusal(
            say(
                "Nothing is written as {ending}. Name a folder for CSV, or a file ending in .xlsx or .json.",
                ending=ending,
            )
        )
    guessed = {".xlsx": "xlsx", ".json": "json"}.get(ending, "csv")
    form = ExportFormat(arguments.format or guessed)
    is_there = any(arguments.to.iterdir()) if arguments.to.is_dir() else arguments.to.exists()
    if is_there and not arguments.force:
        raise Refusal(say("{name} is there already; add --force to replace it.", name=arguments.to.name))
    if not arguments.to.absolute().parent.is_dir():
        raise Refusal(say("There is no folder {name} to write to.", name=str(arguments.to.absolute().parent)))
    with opened(arguments) as collection:
        written = export_everything(collection, form=form, to=arguments.to)
    answer(arguments, {"format": form.value, "written": [str(path) for path in written]}, *map(str, written))
    return ExitCode.OK
