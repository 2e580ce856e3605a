"""Figures of the real window, offscreen; runs in a process of its own and prints JSON.

`python -m coilbook.app.bench.in_window WHAT FOLDER BEGAN`, where BEGAN is the monotonic clock of the process that
asked, so that the start of Python and Qt is part of the figure.
"""

from __future__ import annotations

import json
import os
import random
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, cast

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import coilbook.app.rooms_first  # noqa: F401 - before Qt, as `coilbook open` begins

# isort: split
from PySide6.QtCore import QEvent, QObject, Qt, QTimerEvent

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from coilbook.ui.main_window import MainWindow
    from coilbook.ui.screens.animals import AnimalsScreen
    from coilbook.ui.screens.import_sheet import ImportScreen

#: typed and deleted letter by letter, at the pace of a quick typist
TYPED = ("f", "p", "clown", "female over 1500 g", "in R2", "66% het", "hatched 2021 male", "last meal over 30 days")
KEY_PAUSE_S = 0.11
PATIENCE_S = 60.0


class PaintWatch(QObject):
    """Notes when one of the watched widgets is painted."""

    def __init__(self) -> None:
        super().__init__()
        self.painted = False

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Look, and let pass."""
        if event.type() is QEvent.Type.Paint:
            self.painted = True
        return False


class KeyWatch(QObject):
    """Stamps the moment a key press reaches the line, after the wait that tells a scanner from a person."""

    def __init__(self, stamps: dict[str, float]) -> None:
        super().__init__()
        self._stamps = stamps

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Look, and let pass."""
        if event.type() is QEvent.Type.KeyPress:
            self._stamps.setdefault("letter", time.perf_counter())
        return False


def ready_window(folder: Path) -> tuple[QApplication, MainWindow, AnimalsScreen, PaintWatch]:
    """The window on the list of animals, painted with rows in it."""
    from coilbook.app.bench.big_book import clock
    from coilbook.app.start import make_application, make_window, open_collection

    app = make_application()
    window = make_window(open_collection(folder, clock))
    window.resize(1440, 900)
    window.open_screen("animals")
    window.show()
    screen: AnimalsScreen = window.made("animals")  # type: ignore[assignment]
    watch = PaintWatch()
    screen.table.viewport().installEventFilter(watch)
    screen.nothing.installEventFilter(watch)
    wait(app, lambda: len(screen.model.ids) > 0)
    watch.painted = False
    screen.table.viewport().update()
    wait(app, lambda: watch.painted)
    app.processEvents()
    return app, window, screen, watch


def wait(app: QApplication, done: Callable[[], bool], *, sleeping: bool = False, longest_s: float = PATIENCE_S) -> None:
    """Let the window work until something is so; `sleeping` in between, where a worker's answer is waited for.

    A window that waits sleeps: turning here without a pause would keep the workers from running.
    """
    end = time.monotonic() + longest_s
    while not done():
        app.processEvents()
        if sleeping:
            time.sleep(0.0005)
        if time.monotonic() > end:
            raise TimeoutError("the window did not get there")


def idle(app: QApplication, seconds: float) -> None:
    """Let the window work for a while."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        app.processEvents()
        time.sleep(0.002)


def start(folder: Path, began: float) -> dict[str, object]:
    """From nothing to a list that can be used, and the memory of the window when it rests."""
    app, _window, _screen, _ = ready_window(folder)
    usable = (time.monotonic() - began) * 1000
    idle(app, 3.0)
    return {"usable": usable, "memory": memory_mb()}


def memory_mb() -> float:
    """Resident memory of this process, MB."""
    try:
        for line in Path("/proc/self/status").read_text().splitlines():
            if line.startswith("VmRSS"):
                return int(line.split()[1]) * 1024 / 1e6
    except OSError:
        return float("nan")
    return float("nan")


def typing(folder: Path, _began: float) -> dict[str, object]:
    """Every key typed and deleted: from the key, and from its letter in the line, to the new list and its picture."""
    from PySide6.QtTest import QTest

    app, window, screen, watch = ready_window(folder)
    field = window.line.field
    field.setFocus()
    idle(app, 1.0)
    stamps: dict[str, float] = {}
    screen.model.modelReset.connect(lambda: stamps.__setitem__("reset", time.perf_counter()))
    reaching = KeyWatch(stamps)
    field.installEventFilter(reaching)
    keys: list[Qt.Key] = []
    for text in TYPED:
        keys += [Qt.Key(ord(letter.upper())) for letter in text] + [Qt.Key.Key_Backspace] * len(text)
    from_key: list[float] = []
    from_letter: list[float] = []
    painted: list[float] = []
    for key in keys:
        stamps.clear()
        watch.painted = False
        pressed = time.perf_counter()
        QTest.keyClick(window.windowHandle(), key)
        wait(app, lambda: "reset" in stamps)
        from_key.append((stamps["reset"] - pressed) * 1000)
        from_letter.append((stamps["reset"] - stamps.get("letter", pressed)) * 1000)
        before = stamps.get("letter", pressed)
        wait(app, lambda b=stamps["reset"]: watch.painted or _stays_empty(screen, b))  # type: ignore[misc]
        painted.append(((time.perf_counter() if watch.painted else stamps["reset"]) - before) * 1000)
        idle(app, KEY_PAUSE_S)
    return {"key_to_reset": from_key, "letter_to_reset": from_letter, "letter_to_painted": painted}


def _stays_empty(screen: AnimalsScreen, reset: float) -> bool:
    """True when nothing fitted before and nothing fits now: then there is nothing new to paint."""
    return not len(screen.model.ids) and time.perf_counter() - reset > 0.1


def sorting(folder: Path, _began: float) -> dict[str, object]:
    """Every column sorted by, once up and once down, to the new list."""
    app, _window, screen, _ = ready_window(folder)
    times: dict[str, float] = {}
    for column in screen.table.shown_columns():
        for turn in ("up", "down"):
            began = time.perf_counter()
            screen.table.horizontalHeader().sectionClicked.emit(_place(screen, column.key))
            times[f"{column.key} {turn}"] = (time.perf_counter() - began) * 1000
            app.processEvents()
    return {"times": times}


def _place(screen: AnimalsScreen, key: str) -> int:
    from coilbook.ui.animals.columns import COLUMNS

    return next(place for place, column in enumerate(COLUMNS) if column.key == key)


def page(folder: Path, _began: float) -> dict[str, object]:
    """The page of an animal, the first and thirty after it, to its picture."""
    app, window, screen, _ = ready_window(folder)
    chance = random.Random(9)
    animals = [int(chance.choice(screen.model.ids)) for _ in range(31)]
    idle(app, 1.0)
    times: list[float] = []
    for animal in animals:
        watch = PaintWatch()
        began = time.perf_counter()
        window.open_screen("animal", animal=animal)
        window.made("animal").installEventFilter(watch)
        window.made("animal").update()
        wait(app, lambda w=watch: w.painted)  # type: ignore[misc]
        times.append((time.perf_counter() - began) * 1000)
        window.made("animal").removeEventFilter(watch)
        idle(app, 0.15)
    return {"first": times[0], "after": times[1:]}


class Gaps(QObject):
    """How long the window did not answer, ms: the times between two ticks of a timer of its own."""

    def __init__(self) -> None:
        super().__init__()
        self.all: list[float] = []
        #: how long this thread worked in each of them
        self.worked: list[float] = []
        self._last, self._work = time.perf_counter(), time.thread_time()
        self.startTimer(1)

    def timerEvent(self, event: QTimerEvent) -> None:
        """One tick."""
        now, work = time.perf_counter(), time.thread_time()
        self.all.append((now - self._last) * 1000)
        self.worked.append((work - self._work) * 1000)
        self._last, self._work = now, work

    def clear(self) -> None:
        """Forget what was so far."""
        self.all.clear()
        self.worked.clear()


def stall(folder: Path, _began: float) -> dict[str, object]:
    """The longest gap in each step of an import of 20,000 rows, three times, ms.

    Everything is done as the keeper does it; the first opening of the page is not in it.
    """
    import tempfile

    from coilbook.app.bench.wide_sheet import write_csv

    app, window, _screen, _ = ready_window(folder)
    desk, page = window.desk, cast("ImportScreen", window.made("import"))
    longest: dict[str, list[float]] = {"read": [], "accept": [], "undo": []}
    gaps = Gaps()
    with tempfile.TemporaryDirectory(prefix="coilbook-bench-") as place:
        file = Path(place) / "wide.csv"
        write_csv(file)
        begin: dict[str, Callable[[], object]] = {
            "read": lambda: page.read(file),
            "accept": page.accept,
            "undo": desk.undo,
        }
        for _ in range(3):
            desk.go("import")
            for step, times in longest.items():
                idle(app, 1.0)
                gaps.clear()
                begin[step]()
                wait(app, lambda: not desk.background.busy)
                idle(app, 1.0)
                wait(app, lambda: not desk.background.busy)
                times.append(max(gaps.all))
    return {"longest": longest}


def opening(key: str, folder: Path, _began: float) -> dict[str, object]:
    """The longest gap, ms, while a screen is opened for the first time, a tenth of a second after the list is there.

    `busy`: the longest of them that the window's own thread worked, which another program at work does not lengthen.
    """
    app, window, screen, _ = ready_window(folder)
    idle(app, 0.1)
    gaps = Gaps()
    app.processEvents()
    gaps.clear()
    window.open_screen(key, **({"animal": int(screen.model.ids[0])} if key == "animal" else {}))
    wait(app, lambda: window.screen_open is not None and window.screen_open.key == key)
    wait(app, lambda: not window.desk.background.busy)
    idle(app, 0.3)
    return {"longest": max(gaps.all), "busy": max(gaps.worked)}


MODES: dict[str, Callable[[Path, float], dict[str, object]]] = {
    "start": start,
    "typing": typing,
    "sorting": sorting,
    "page": page,
    "stall": stall,
}


def main() -> None:
    """Measure one thing and print it; leaves without ceremony, so that closing is not part of anything."""
    what, folder, began = sys.argv[1:4]
    word, _, key = what.partition(" ")
    mode = partial(opening, key) if word == "open" else MODES[what]
    print(json.dumps(mode(Path(folder), float(began))), flush=True)
    os._exit(0)


if __name__ == "__main__":
    main()
