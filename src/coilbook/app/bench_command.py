"""`coilbook bench`: measures what a keeper waits for and prints goal and figure side by side."""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import sys
import tempfile
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.app.exit_codes import ExitCode

if TYPE_CHECKING:
    from coilbook.app.bench.big_book import Size
    from coilbook.app.bench.figures import Line


#: what is measured without a collection, and its title
_WITHOUT_BOOK = {
    "genetics": "The genetics engine",
    "pedigree": "Kinship and the tree",
    "outlook": "The outlook of pairings",
    "findings": "A finding, from the key to the page",
    "season": "The season on screen",
    "eggs": "Eggs and incubators",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which size, where the collections are kept, where the table goes."""
    parser.add_argument("--size", choices=("keeper", "large", "both"), default="keeper", help="500 or 100,000 animals")
    parser.add_argument("--folder", type=Path, help="where built collections are kept for the next time")
    parser.add_argument("--out", type=Path, help="also write the tables to this file")
    parser.add_argument("--json", action="store_true", help="print the figures as JSON")
    parser.add_argument("--only", choices=("window", "book", *_WITHOUT_BOOK), help="only these lines")
    parser.add_argument("--genetics", dest="only", action="store_const", const="genetics", help="only the engine's")


def run(arguments: argparse.Namespace) -> int:
    """Build what is missing, measure, print. The exit code does not judge: machines differ."""
    from coilbook.app.bench.big_book import SIZES, built
    from coilbook.app.bench.figures import table

    kept = arguments.folder or Path(tempfile.gettempdir()) / "coilbook-bench"
    kept.mkdir(parents=True, exist_ok=True)
    sizes = list(SIZES.values()) if arguments.size == "both" else [SIZES[arguments.size]]
    texts: list[str] = []
    figures: dict[str, object] = {"machine": _machine()}
    for name, title in _WITHOUT_BOOK.items():
        if arguments.only in (None, name):
            _tell(f"measuring {title.lower()}")
            lines = _without_book(name)
            figures[name] = [asdict(line) for line in lines]
            texts.append(table(f"{title}; {_machine()}", lines))
    for size in sizes if arguments.only not in _WITHOUT_BOOK else ():
        lines = _measure(built(kept, size, _tell), size, arguments.only, _tell)
        figures[size.name] = [asdict(line) for line in lines]
        texts.append(table(f"{size.animals:,} animals and {size.events:,} events; {_machine()}", lines))
    whole = "\n\n".join(texts)
    print(json.dumps(figures, indent=2) if arguments.json else whole)
    if arguments.out is not None:
        arguments.out.write_text(whole + "\n", encoding="utf-8")
    return ExitCode.OK


def _without_book(name: str) -> list[Line]:
    if name == "genetics":
        from coilbook.app.bench.of_genetics import genetics_lines
        from coilbook.app.bench.of_sires import sires_lines

        return [*genetics_lines(_tell), *sires_lines()]
    if name == "pedigree":
        from coilbook.app.bench.of_pedigree import pedigree_lines

        return pedigree_lines(_tell)
    if name == "findings":
        from coilbook.app.bench.of_findings import finding_lines

        return finding_lines(_tell)
    if name == "season":
        from coilbook.app.bench.of_season import season_lines

        return season_lines()
    if name == "eggs":
        from coilbook.app.bench.of_eggs import eggs_lines

        return eggs_lines()
    from coilbook.app.bench.of_outlook import outlook_lines

    return outlook_lines()


def _measure(folder: Path, size: Size, only: str | None, told: Callable[[str], None]) -> list[Line]:
    """All lines, on a copy: measuring writes acts."""
    from coilbook.app.bench.of_book import book_lines
    from coilbook.app.bench.of_genetics_book import genetics_book_lines
    from coilbook.app.bench.of_window import window_lines

    with tempfile.TemporaryDirectory(prefix="coilbook-bench-") as place:
        copy = Path(place) / size.name
        told(f"copying the collection of {size.animals:,} animals")
        shutil.copytree(folder, copy)
        lines: list[Line] = []
        if only != "book":
            told("measuring the window")
            lines += window_lines(copy, told)
            lines += genetics_book_lines(copy, told)
        if only != "window":
            told("measuring acts, reads, imports and papers")
            lines += book_lines(copy, told)
    return lines


def _machine() -> str:
    busy = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return f"{os.cpu_count()} cores, Python {platform.python_version()}, {platform.system()}{busy}"


def _tell(line: str) -> None:
    print(line, file=sys.stderr, flush=True)
