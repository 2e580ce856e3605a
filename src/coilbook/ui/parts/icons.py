"""Icons of one open set (licence beside them), drawn in the theme's ink; never without words or a tooltip."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from coilbook.ui.theme import Theme
from coilbook.wording.resources import resource_path


def icon(theme: Theme, name: str, token: str = "ink", side: int = 18) -> QIcon:
    """The icon `name` in the colour of `token`, `side` px at 100 percent."""
    svg = resource_path("icons", f"{name}.svg").read_text(encoding="utf-8")
    coloured = svg.replace("currentColor", getattr(theme.tokens, token))
    pixels = theme.px(side) * 2
    pixmap = QPixmap(pixels, pixels)
    pixmap.fill(Qt.GlobalColor.transparent)
    with QPainter(pixmap) as painter:
        QSvgRenderer(QByteArray(coloured.encode())).render(painter, QRectF(0, 0, pixels, pixels))
    pixmap.setDevicePixelRatio(2)
    return QIcon(pixmap)
