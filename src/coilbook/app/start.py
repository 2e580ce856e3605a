"""Puts the program together: opens a collection with what keeps it right, and starts the window on it."""

from __future__ import annotations

import datetime as dt
import platform
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.app.crash import LOG
from coilbook.storage.collection import Collection
from coilbook.storage.layout import FILE_NAME

if TYPE_CHECKING:
    from PySide6.QtCore import QtMsgType
    from PySide6.QtWidgets import QApplication

    from coilbook.ui.desk import Desk
    from coilbook.ui.main_window import MainWindow

Clock = Callable[[], dt.datetime]


def real_clock() -> dt.datetime:
    """The keeper's wall clock with its zone."""
    return dt.datetime.now().astimezone()


def open_collection(folder: Path, clock: Clock = real_clock, *, create: bool = False) -> Collection:
    """Open the collection in `folder` with its derived tables kept current; make it when it is not there."""
    device = platform.node()
    if create and not is_there(folder):
        opened = Collection.create(folder, clock, device=device)
    else:
        opened = Collection.open(folder, clock, device=device)
    try:
        keep_derived(opened)
    except BaseException:
        opened.close()
        raise
    return opened


def is_there(folder: Path) -> bool:
    """True when the folder holds a collection's file, whatever its state."""
    return (folder / FILE_NAME).is_file()


def make_against_advice(folder: Path) -> None:
    """Make a new collection where one was advised against; the keeper has read why and wants it there."""
    if not is_there(folder):
        Collection.create(folder, real_clock, device=platform.node(), accept_folder=True).close()


def keep_derived(collection: Collection) -> None:
    """Have the derived tables advance inside every act."""
    from coilbook.derived.summary import attach

    attach(collection)


def make_application() -> QApplication:
    """The Qt application, with the identity the desktop knows it by."""
    from PySide6.QtCore import qInstallMessageHandler
    from PySide6.QtWidgets import QApplication

    existing = QApplication.instance()
    if isinstance(existing, QApplication):
        return existing
    qInstallMessageHandler(_qt_said)
    # a worker in the midst of an import hands the interpreter over after 0.2 ms, not 5: the window asks for it some 70
    # times in a paint, which made 100 ms of 1 ms each
    sys.setswitchinterval(0.0002)
    app = QApplication(["coilbook"])
    app.setApplicationName("Coilbook")
    app.setDesktopFileName("coilbook")
    return app


def _qt_said(kind: QtMsgType, _context: object, text: str) -> None:
    """What Qt has to say goes to the log; the keeper can do nothing about it."""
    LOG.info("Qt (%s): %s", kind.name, text)


def make_window(collection: Collection, *, inline: bool = False, state_file: Path | None = None) -> MainWindow:
    """The real window over an open collection; `inline` runs every act at once (tests, the tour)."""
    from coilbook.ui.background import Background, InlineBackground
    from coilbook.ui.desk import Desk, DeskParts
    from coilbook.ui.load_beside import load_beside
    from coilbook.ui.main_window import MainWindow
    from coilbook.ui.other_programs import OtherPrograms
    from coilbook.ui.screens.registry import registered_screens
    from coilbook.ui.sounds import Bell, Silence

    desk = Desk(DeskParts(collection, InlineBackground() if inline else Background()))
    sounds = Silence() if inline else Bell()
    screens = registered_screens()
    if not inline:
        OtherPrograms(desk).begin()
        load_beside(desk, screens)
    return MainWindow(desk, screens, state_file=state_file, sounds=sounds)


def close_window(desk: Desk, window: MainWindow) -> None:
    """End the workers and let go of the window; the collection stays open for the caller to close."""
    from coilbook.ui.other_programs import OtherPrograms

    window.close()
    for watcher in desk.findChildren(OtherPrograms):
        watcher.end()
    desk.background.close()
    window.deleteLater()
