"""A file that was written for the keeper: said in the foot with Open beside it, handed to the desktop's own program."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from coilbook.records.message import Message, say
from coilbook.ui.desk import Desk
from coilbook.ui.notices import NoticeChoice


def tell_written(desk: Desk, sentence: Message, path: Path) -> None:
    """Say that a file is there, with Open."""
    desk.notices.ask(sentence, (NoticeChoice(say("Open"), lambda: open_file(desk, path)),))


def open_file(desk: Desk, path: Path) -> None:
    """Hand a file to the program the desktop has for it."""
    if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
        desk.notices.warn(
            say("No program here opens {ending} files; the file is {path}.", ending=path.suffix, path=path)
        )
