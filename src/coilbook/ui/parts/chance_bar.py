"""A chance as a bar: filled to the value with evidence, hatched while in doubt, the value on paper as a tick."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from coilbook.ui.theme import Theme

#: height of a bar, and of the tick on it, at 100 percent
BAR, TICK = 8, 16


def paint_chance(
    painter: QPainter, box: QRectF, theme: Theme, value: float | None, paper: float | None = None, *, doubt: bool = True
) -> None:
    """Paint a bar across the middle of `box`; `value` None leaves it empty (nothing can be said)."""
    height = theme.px(BAR)
    bar = QRectF(box.left(), box.center().y() - height / 2, box.width(), height)
    painter.save()
    accent, ink = theme.colour("accent"), theme.colour("ink")
    if value is not None and value > 0:
        filled = QRectF(bar.left(), bar.top(), bar.width() * min(value, 1.0), bar.height())
        if doubt:
            _hatch(painter, filled, theme)
            painter.setPen(QPen(accent, max(2.0, theme.px(2))))
            painter.drawLine(QLineF(filled.right(), filled.top(), filled.right(), filled.bottom()))
        else:
            painter.fillRect(filled, accent)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(accent, 1))
    painter.drawRect(bar.adjusted(0, 0, -1, 0))
    if paper is not None:
        at = bar.left() + bar.width() * min(max(paper, 0.0), 1.0)
        half = theme.px(TICK) / 2
        painter.setPen(QPen(ink, max(2.0, theme.px(2))))
        painter.drawLine(QLineF(at, bar.center().y() - half, at, bar.center().y() + half))
    painter.restore()


def _hatch(painter: QPainter, box: QRectF, theme: Theme) -> None:
    """Slanted lines, by geometry and not by a brush: a pattern brush does not scale with the screen."""
    painter.save()
    painter.setClipRect(box)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(theme.colour("accent"), 1.2))
    step = max(4.0, theme.px(4))
    x = box.left() - box.height()
    while x < box.right():
        painter.drawLine(QLineF(x, box.bottom(), x + box.height(), box.top()))
        x += step
    painter.restore()
