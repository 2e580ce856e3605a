"""Loads, on a worker, what screens not opened yet are made from, once the window has come to rest.

Only modules that know no Qt: the window's own are imported on its own thread, by the screen that needs them.
"""

from __future__ import annotations

import contextlib
import importlib
from collections.abc import Callable, Iterable

from PySide6.QtCore import QTimer

from coilbook.records.message import say
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk
from coilbook.ui.screen import ScreenKind

#: by then the first page has been read and drawn
AFTER_START_MS = 1500


def load_beside(desk: Desk, kinds: Iterable[ScreenKind]) -> None:
    """Begin to load when the window has been up for a while, one screen's after another's.

    A screen opened before waits for no more than its own and what is just being loaded.
    """
    waiting = [names for kind in kinds if (names := tuple(getattr(kind, "beside", ())))]

    def begin() -> None:
        if not waiting:
            return
        if desk.background.busy:  # two at work beside the window would be felt in it
            QTimer.singleShot(AFTER_START_MS, desk, begin)
            return
        desk.background.load(_loading(waiting.pop(0)), lambda _nothing: begin(), lambda _error: begin())

    QTimer.singleShot(AFTER_START_MS, desk, begin)


def load_first(desk: Desk, names: Iterable[str], then: Callable[[], None]) -> None:
    """Load what a screen is made from that is asked for before the window came to rest, then go on."""
    desk.background.load(_loading(tuple(names)), lambda _nothing: then(), lambda _error: then(), say("Opening"))


def _loading(names: tuple[str, ...]) -> Callable[[Control], None]:
    def work(control: Control) -> None:
        for name in names:
            control.check()
            # what could not be loaded the screen imports itself, and says what is wrong
            with contextlib.suppress(ImportError):
                importlib.import_module(name)

    return work
