"""The real window on a real collection, offscreen; a test that leaves a thread, a timer or a window behind fails."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent, QThread, QTimer
from PySide6.QtWidgets import QApplication

from coilbook.storage.collection import Collection
from coilbook.ui.background import InlineBackground
from coilbook.ui.desk import Desk, DeskParts
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screen import ScreenKind
from coilbook.ui.screens.registry import registered_screens
from tests.operations.conftest import Clock, Room, book, clock, room

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

__all__ = ["Clock", "Room", "book", "clock", "room"]

MakeWindow = Callable[..., MainWindow]


@pytest.fixture(autouse=True)
def nothing_left_behind(qapp: QApplication) -> Iterator[None]:
    """Fail a test after which a thread, a running timer or a window of its own is still there."""
    threads = set(threading.enumerate())
    timers = _running_timers()
    yield
    for _ in range(3):
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        qapp.processEvents()
    left = [thread.name for thread in set(threading.enumerate()) - threads if thread.is_alive()]
    assert not left, f"threads left behind: {left}"
    shown = [widget for widget in qapp.topLevelWidgets() if widget.isVisible()]
    assert not shown, f"windows left open: {shown}"
    still = _running_timers() - timers
    assert not still, f"timers left running: {still}"


def _running_timers() -> set[str]:
    """Timers that run and threads of Qt that live, as words."""
    found = set()
    for wrapper in shiboken6.getAllValidWrappers():
        if isinstance(wrapper, QTimer) and wrapper.isActive():
            found.add(f"{wrapper!r} of {wrapper.parent()!r}")
        elif isinstance(wrapper, QThread) and wrapper.isRunning() and not wrapper.isCurrentThread():
            found.add(repr(wrapper))
    return found


@pytest.fixture
def make_desk(qapp: QApplication) -> Iterator[Callable[[Collection], Desk]]:
    """Desks whose acts run at once."""
    made: list[Desk] = []

    def make(collection: Collection) -> Desk:
        desk = Desk(DeskParts(collection, InlineBackground()))
        made.append(desk)
        return desk

    yield make
    for desk in made:
        desk.background.close()
        desk.deleteLater()


@pytest.fixture
def desk(make_desk: Callable[[Collection], Desk], book: Collection) -> Desk:
    """A desk on a new collection with the keeper Wren."""
    return make_desk(book)


@pytest.fixture
def make_window(qtbot: QtBot, desk: Desk) -> MakeWindow:
    """Windows of any screens, shown at 1440x900 and active."""

    def make(*screens: ScreenKind, **more: object) -> MainWindow:
        window = MainWindow(desk, screens, **more)  # type: ignore[arg-type]
        qtbot.addWidget(window)
        window.show()
        qtbot.waitExposed(window)
        window.activateWindow()
        qtbot.waitUntil(lambda: QApplication.activeWindow() is window)
        return window

    return make


@pytest.fixture
def window(make_window: MakeWindow) -> MainWindow:
    """The window as it is, with every screen there is."""
    return make_window(*registered_screens())
