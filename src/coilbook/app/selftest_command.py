"""`coilbook selftest`: tries the installed program where it stands; `--system` only looks at the machine, before Qt."""

from __future__ import annotations

import argparse
import importlib.util
import json
import os
import platform
import sys
import tempfile
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from coilbook import __version__
from coilbook.app.crash import note_bug
from coilbook.app.exit_codes import ExitCode
from coilbook.app.system_check import FIRST_UNTRIED, OLDEST_PYTHON, must_have_libraries
from coilbook.records.message import CoilbookError, Refusal, say


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was tried."""

    what: str
    well: bool
    told: str = ""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """How much to try."""
    parser.add_argument("--system", action="store_true", help="only the machine: Python, system libraries")
    parser.add_argument("--json", action="store_true", help="write the findings as JSON")


def run(arguments: argparse.Namespace) -> int:
    """Try everything, print a line each; 4 when something is wrong."""
    steps = SYSTEM if arguments.system else SYSTEM + PROGRAM
    findings = []
    for what, step in steps:
        findings.append(attempt(what, step))
        if not arguments.json:
            print(_line(findings[-1]))
        if not findings[-1].well and what in STOPS:
            break
    if arguments.json:
        print(json.dumps({"version": __version__, "findings": [asdict(one) for one in findings]}, indent=2))
    return ExitCode.OK if all(one.well for one in findings) else ExitCode.CHECK_FAILED


def attempt(what: str, step: Callable[[], str]) -> Finding:
    """Run one step; what goes wrong becomes its finding."""
    try:
        return Finding(what, True, step())
    except CoilbookError as error:
        return Finding(what, False, str(error))
    except Exception as error:
        note_bug(error)
        return Finding(what, False, f"{type(error).__name__}: {error}")


def _line(finding: Finding) -> str:
    return f"{'ok ' if finding.well else 'BAD'}  {finding.what}" + (f": {finding.told}" if finding.told else "")


def _python() -> str:
    now = sys.version_info[:2]
    if not OLDEST_PYTHON <= now < FIRST_UNTRIED:
        raise Refusal(say("Coilbook needs Python 3.11 to 3.13; this is {version}.", version=platform.python_version()))
    return platform.python_version()


def _libraries() -> str:
    must_have_libraries(display=False, tests=importlib.util.find_spec("pyagrum") is not None)
    return "all there"


def _files() -> str:
    from coilbook.wording.resources import resource_path

    names: list[tuple[str, ...]] = [
        ("fonts", "CoilbookSans-Regular.ttf"),
        ("fonts", "OFL.txt"),
        ("icons", "LICENSE-icons.txt"),
    ]
    names += [("stocks",), ("species", "ball_python.toml")]
    for parts in names:
        resource_path(*parts)
    return f"{len(names)} found"


def _collection() -> str:
    """Adds an animal, weighs her, takes the weight back, opens the collection again."""
    from coilbook.app.start import open_collection
    from coilbook.operations.animals import AnimalDetails, add_animal
    from coilbook.operations.undo import undo_last
    from coilbook.operations.weighing import weigh
    from coilbook.records.quantities import Mass

    with tempfile.TemporaryDirectory(prefix="coilbook-selftest-") as place:
        folder = Path(place) / "book"
        with open_collection(folder, create=True) as book:
            animal = add_animal(book, details=AnimalDetails(keeper_id="F-001")).value
            weigh(book, animal=animal, mass=Mass(12_340))
            undo_last(book)
        with open_collection(folder) as book:
            left = book.read("SELECT keeper_id, (SELECT count(*) FROM weight) FROM animal")
    if left != [("F-001", 0)]:
        raise Refusal(say("The collection did not come back as it was written: {found}.", found=str(left)))
    return "written, undone, opened again"


def _label() -> str:
    """Draws a code and reads it back."""
    import numpy as np
    import zxingcpp

    from coilbook.labels.code import LabelCode, nth_body, parse
    from coilbook.labels.symbol import QUIET_MODULES, symbol
    from coilbook.records.vocabulary import CodeKind

    body = next(found for n in range(100) if (found := nth_body(CodeKind.ANIMAL, n)) is not None)
    code = LabelCode(CodeKind.ANIMAL, body)
    drawn = symbol(code.text)
    side, dots = drawn.modules_with_quiet, 6
    picture = np.full((side * dots, side * dots), 255, dtype=np.uint8)
    for run in drawn.dark:
        top, left = (run.y + QUIET_MODULES) * dots, (run.x + QUIET_MODULES) * dots
        picture[top : top + run.height * dots, left : left + run.width * dots] = 0
    read = [parse(found.text) for found in zxingcpp.read_barcodes(picture)]
    if read != [code]:
        raise Refusal(say("A code that was drawn did not read back: {read}.", read=str(read)))
    return f"{code.shown} read back"


def _window() -> str:
    """Opens every screen of the real window, offscreen."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from coilbook.app.start import close_window, make_application, make_window, open_collection

    app = make_application()
    with (
        tempfile.TemporaryDirectory(prefix="coilbook-selftest-") as place,
        open_collection(Path(place) / "book", create=True) as book,
    ):
        window = make_window(book, inline=True)
        window.show()
        for kind in window.kinds:
            window.open_screen(kind.key)
            app.processEvents()
        count = len(window.kinds)
        close_window(window.desk, window)
        app.processEvents()
    return f"{count} screens opened"


Step = tuple[str, Callable[[], str]]
SYSTEM: tuple[Step, ...] = (("Python", _python), ("system libraries", _libraries))
PROGRAM: tuple[Step, ...] = (
    ("files of the program", _files),
    ("a collection", _collection),
    ("a label", _label),
    ("the window", _window),
)
#: without these nothing after them can be tried: a missing library would abort the process
STOPS = ("Python", "system libraries")
