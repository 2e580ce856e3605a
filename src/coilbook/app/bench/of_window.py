"""Figures of the window: each in a process of its own, started as a keeper starts the program."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import coilbook
from coilbook.app.bench import own_process
from coilbook.app.bench.figures import Line, median, p95

STARTS = 5
LONGEST_S = 900
#: every screen but the list, by the word that asks for it
OPENINGS = tuple(f"open {key}" for key in (
    "round", "pedigree", "animal", "changed", "outlook", "genes", "identify", "season", "eggs", "places", "import",
    "labels", "history", "backups", "numbers", "settings",
))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measured:
    """A collection, and the folder that holds the compiled modules of the program while it is measured."""

    folder: Path
    modules: Path

    def ask(self, what: str) -> dict[str, Any]:
        """Run one measurement in its own process."""
        began = time.monotonic()
        words = ("coilbook.app.bench.in_window", what, str(self.folder), repr(began))
        return dict(own_process.measured(*words, longest_s=LONGEST_S, environment=self._environment()))

    def compile_modules(self) -> None:
        """An installed program has its modules compiled: what is opened once would measure the compiler."""
        words = [sys.executable, "-m", "compileall", "-q", str(Path(coilbook.__file__).parent)]
        subprocess.run(words, env=self._environment(), check=True, capture_output=True)

    def _environment(self) -> dict[str, str]:
        environment = own_process.offscreen()
        if environment.pop("PYTHONDONTWRITEBYTECODE", ""):
            environment["PYTHONPYCACHEPREFIX"] = str(self.modules)
        return environment


def window_lines(folder: Path, told: Callable[[str], None]) -> list[Line]:
    """Every line that needs the window; one that fails says why."""
    lines: list[Line] = []
    with tempfile.TemporaryDirectory(prefix="coilbook-bench-modules-") as modules:
        measured = Measured(folder, Path(modules))
        measured.compile_modules()
        for measure in (_starts, _typing, _sorting, _pages, _openings, _stalls):
            told(f"  {measure.__name__.strip('_')}")
            try:
                lines += measure(measured)
            except own_process.NotMeasured as error:
                lines.append(Line(measure.__name__.strip("_"), None, None, note=str(error)))
    return lines


def _starts(measured: Measured) -> list[Line]:
    warmed = measured.ask("start")
    put_out = _put_out_of_cache(measured.folder)
    cold = measured.ask("start")
    warm = [measured.ask("start") for _ in range(STARTS)]
    times = [float(one["usable"]) for one in warm]
    memory = [float(one["memory"]) for one in warm]
    note = f"files put out of the cache first ({put_out:,} MB)" if put_out else "the system keeps its cache here"
    return [
        Line(
            "window with the list usable, warm, median",
            1000,
            median(times),
            note=f"of {STARTS}, longest {max(times):,.0f}",
        ),
        Line("window with the list usable, cold", None, float(cold["usable"]), note=note),
        Line("window, the first time on this collection", None, float(warmed["usable"])),
        Line("memory of the idle window", 250, median(memory), "MB", note=f"of {STARTS}, 3 s after the start"),
    ]


def _put_out_of_cache(folder: Path) -> int:
    """Ask the system to drop the files of the collection and of the program from its cache; MB asked for."""
    if not hasattr(os, "posix_fadvise"):
        return 0
    places = [folder, Path(sysconfig.get_path("purelib")), Path(__file__).parents[2]]
    asked = 0
    for place in places:
        for file in place.rglob("*"):
            if not file.is_file() or (place is folder and file.suffix not in (".sqlite", ".npz", ".herd")):
                continue
            handle = os.open(file, os.O_RDONLY)
            try:
                os.fsync(handle)
                os.posix_fadvise(handle, 0, 0, os.POSIX_FADV_DONTNEED)
                asked += file.stat().st_size
            finally:
                os.close(handle)
    return asked // 1_000_000


def _typing(measured: Measured) -> list[Line]:
    found = measured.ask("typing")
    keys = len(found["key_to_reset"])
    note = f"{keys} keys, each letter typed and deleted"
    return [
        Line("filter: letter in the line to the new list, p95", 16, p95(found["letter_to_reset"]), note=note),
        Line("filter: letter in the line to painted, p95", 33, p95(found["letter_to_painted"]), note=note),
        Line(
            "filter: key pressed to the new list, p95",
            None,
            p95(found["key_to_reset"]),
            note="with the wait that tells a scanner from a person",
        ),
    ]


def _sorting(measured: Measured) -> list[Line]:
    times = {str(k): float(v) for k, v in measured.ask("sorting")["times"].items()}
    worst = max(times, key=lambda key: times[key])
    return [
        Line("sort by a column, the slowest", 100, times[worst], note=f"{worst}; median {median(times.values()):,.1f}")
    ]


def _pages(measured: Measured) -> list[Line]:
    found = measured.ask("page")
    after = [float(v) for v in found["after"]]
    return [
        Line("animal page, the first, to painted", 600, float(found["first"])),
        Line(
            "animal page, later ones, to painted, p95",
            50,
            p95(after),
            note=f"{len(after)} pages; median {median(after):,.1f}",
        ),
    ]


def _openings(measured: Measured) -> list[Line]:
    found = {word.removeprefix("open "): measured.ask(word) for word in OPENINGS}
    slowest = max(found, key=lambda key: float(found[key]["busy"]))
    waited = max(found, key=lambda key: float(found[key]["longest"]))
    return [
        Line(
            "first opening of a screen within a second of the start: the longest step",
            100,
            float(found[slowest]["busy"]),
            note=f"of {len(found)} screens, {slowest}; with what else ran {found[waited]['longest']:,.0f}, {waited}",
        )
    ]


def _stalls(measured: Measured) -> list[Line]:
    longest = {str(step): [float(v) for v in times] for step, times in measured.ask("stall")["longest"].items()}
    steps = ", ".join(f"{step} {max(times):,.0f}" for step, times in longest.items())
    return [
        Line(
            "import in the window: the longest it did not answer",
            100,
            max(max(times) for times in longest.values()),
            note=f"3 sheets of 20,000 rows; {steps}",
        )
    ]
