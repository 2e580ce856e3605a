"""Where the window stood, kept beside the program's other state, not in the collection."""

from __future__ import annotations

import json
import logging
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow

LOG = logging.getLogger(__name__)
#: a window is never restored smaller than this
SMALLEST = (960, 600)


def save_window(window: MainWindow, file: Path | None) -> None:
    """Keep size, place and whether the margin is folded; a disk that refuses costs only that."""
    if file is None:
        return
    usual = window.normalGeometry() if window.isMaximized() or window.isFullScreen() else window.geometry()
    kept = {
        "size": [usual.width(), usual.height()],
        "corner": [window.pos().x(), window.pos().y()],
        "maximised": window.isMaximized(),
        "folded": window.margin.folded and not window.desk.theme.room,
    }
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps(kept), encoding="utf-8")
    except OSError as error:
        LOG.warning("size and place of the window were not kept: %s", error)


def restore_window(window: MainWindow, file: Path | None) -> None:
    """Put the window where it stood; anything unreadable, or a corner off every screen, leaves that as it is."""
    if file is None or not file.is_file():
        return
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
        width, height = (int(part) for part in kept["size"])
        corner = QPoint(*(int(part) for part in kept["corner"]))
        folded, maximised = bool(kept["folded"]), bool(kept["maximised"])
    except (OSError, ValueError, KeyError, TypeError) as error:
        LOG.warning("size and place of the window could not be read: %r", error)
        return
    window.resize(max(width, SMALLEST[0]), max(height, SMALLEST[1]))
    if QGuiApplication.screenAt(corner) is not None:
        window.move(corner)
    if maximised:
        window.setWindowState(window.windowState() | Qt.WindowState.WindowMaximized)
    window.margin.fold(folded)
