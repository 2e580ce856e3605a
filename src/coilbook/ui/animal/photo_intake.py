"""Pictures that come from outside: dropped files, a chosen file and the clipboard."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMimeData
from PySide6.QtGui import QGuiApplication, QImageWriter
from PySide6.QtWidgets import QFileDialog, QWidget

from coilbook.wording.language import translated

#: endings of files that are taken for a picture; what is in them is judged when they are kept
ENDINGS = frozenset({".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif"})


def picture_paths(paths: list[Path]) -> list[Path]:
    """The files that may be pictures."""
    return [path for path in paths if path.suffix.lower() in ENDINGS]


def chosen_picture(parent: QWidget | None) -> Path | None:
    """A picture chosen in the file window of the desktop; None when it was left."""
    kinds = translated("Pictures (*.jpg *.jpeg *.png *.webp)")
    name, _ = QFileDialog.getOpenFileName(parent, translated("The photo to add"), "", kinds)
    return Path(name) if name else None


def pasted_picture() -> Path | bytes | None:
    """The clipboard's picture: a copied file as its path, pixels as PNG; None when there is neither."""
    # an empty clipboard has no data at all, whatever the binding's types say
    data: QMimeData | None = QGuiApplication.clipboard().mimeData()
    if data is None:
        return None
    files = picture_paths([Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()])
    if files:
        return files[0]
    image = QGuiApplication.clipboard().image()
    if image.isNull():
        return None
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(image)
    return bytes(buffer.data().data())
