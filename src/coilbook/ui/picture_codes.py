"""Codes in pictures: a file that was dropped, or a picture on the clipboard; searched off the UI thread."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtGui import QGuiApplication, QImage

from coilbook.records.message import Refusal, say
from coilbook.ui.background import Control

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow

#: endings of pictures that are searched for a code
PICTURES = frozenset({".png", ".jpg", ".jpeg", ".webp", ".bmp", ".gif", ".tif", ".tiff"})


class PictureCodes(QObject):
    """Hands what it finds to the scans of the window, as if the scanner had read it."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window

    def read_file(self, path: Path) -> None:
        """Search a picture file."""
        from coilbook.scanning.pictures import texts_in_file

        self._search(lambda: texts_in_file(path), path.name)

    def read_clipboard(self) -> None:
        """Search the picture on the clipboard; a text there is taken as what a scanner read."""
        clipboard = QGuiApplication.clipboard()
        image = clipboard.image()
        if not image.isNull():
            self._search(lambda: texts_in_image(image), say("the picture on the clipboard"))
        elif clipboard.text().strip():
            self._window.scans.scanned(clipboard.text().strip())
        else:
            self._window.desk.notices.refuse(Refusal(say("There is neither a picture nor a code on the clipboard.")))

    def _search(self, look: Callable[[], tuple[str, ...]], where: object) -> None:
        def found(texts: tuple[str, ...]) -> None:
            if texts:
                self._window.scans.scanned(texts[0])
            else:
                self._window.desk.notices.refuse(Refusal(say("No code was found in {where}.", where=where)))

        def work(_control: Control) -> tuple[str, ...]:
            return look()

        self._window.desk.background.read(work, found, self._window.desk.notices.refuse)


def texts_in_image(image: QImage) -> tuple[str, ...]:
    """Texts of the symbols in a Qt picture."""
    from coilbook.scanning.pictures import texts_in_rgb

    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    return texts_in_rgb(bytes(plain.constBits()), plain.width(), plain.height(), plain.bytesPerLine())
