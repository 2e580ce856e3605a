"""Where the window stood, kept beside the program's other state, not in the collection."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow


def save_window(window: MainWindow, file: Path | None) -> None:
    """Keep size, place and whether the margin is folded; a disk that refuses costs only that."""
    if file is None:
        return
    geometry = bytes(window.saveGeometry().toBase64().data()).decode("ascii")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps({"geometry": geometry, "folded": window.margin.folded}), encoding="utf-8")
    except OSError:
        return


def restore_window(window: MainWindow, file: Path | None) -> None:
    """Put the window where it stood; anything unreadable leaves it as it is."""
    if file is None or not file.is_file():
        return
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
        window.restoreGeometry(QByteArray.fromBase64(str(kept["geometry"]).encode("ascii")))
        window.margin.fold(bool(kept["folded"]))
    except (OSError, ValueError, KeyError, TypeError):
        return
