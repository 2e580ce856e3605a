"""Photos in the dim room: nothing there is brighter than its ink."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from coilbook.ui.theme import Theme

#: the dim theme's ground, laid over a photo as thick as this
_SHADE = QColor(18, 13, 10, 150)


def shade_photo(painter: QPainter, theme: Theme, frame: QRectF) -> None:
    """Darken a photo that was just drawn; in the other themes it stays as it is."""
    if theme.name == "dim":
        painter.fillRect(frame, _SHADE)
