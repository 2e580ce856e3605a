"""The weights of twelve months in the margin: a line with a scale of three masses and the months."""

from __future__ import annotations

import datetime as dt

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.ui.theme import SMALL, Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

Points = tuple[tuple[int, int], ...]
HEIGHT = 148
#: dots are drawn while they can be told apart
MOST_DOTS = 14
_STEPS = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000, 100000)


class SmallWeightChart(QWidget):
    """`points` are (ordinal of the day, decigrams), oldest first; at least two."""

    def __init__(self, theme: Theme, style: Style, points: Points) -> None:
        super().__init__()
        self._theme, self._style, self._points = theme, style, points
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        first, last = (style.mass(points[k][1]) for k in (0, -1))
        self.setAccessibleName(translated("Weights from {first} to {last}").format(first=first, last=last))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(280), self._theme.px(HEIGHT))

    def _grid(self) -> list[int]:
        """Two to four round masses that span the points."""
        low, high = min(m for _, m in self._points), max(m for _, m in self._points)
        step = next((s for s in _STEPS if (high - low) / s <= 2.6), _STEPS[-1])
        first = low // step * step
        return [first + k * step for k in range(-(-(high - first) // step) + 1)] or [first]

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, grid = self._theme, self._grid()
        with QPainter(self) as painter:
            painter.setFont(theme.font(SMALL))
            metrics = painter.fontMetrics()
            words = [self._style.mass(mass, unit=False) for mass in grid]
            left = max(metrics.horizontalAdvance(word) for word in words) + theme.px(8)
            area = QRectF(left, theme.px(8), self.width() - left - theme.px(6), self.height() - theme.px(30))
            low, span = grid[0], max(grid[-1] - grid[0], 1)
            first, length = self._points[0][0], max(self._points[-1][0] - self._points[0][0], 1)

            def at(day: int, mass: int) -> QPointF:
                across = area.left() + (day - first) / length * area.width()
                return QPointF(across, area.bottom() - (mass - low) / span * area.height())

            for mass, word in zip(grid, words):
                y = at(first, mass).y()
                painter.setPen(theme.colour("rule"))
                painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
                painter.setPen(theme.colour("second"))
                box = QRectF(0, y - theme.px(8), left - theme.px(8), theme.px(16))
                painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, word)
            self._months(painter, area, first, length)
            self._line(painter, [at(day, mass) for day, mass in self._points])

    def _months(self, painter: QPainter, area: QRectF, first: int, length: int) -> None:
        """Every month, or every second, third ... where there is less room."""
        theme, metrics = self._theme, painter.fontMetrics()
        widest = metrics.horizontalAdvance("Mmm") + theme.px(12)
        every = max(1, -(-widest // max(int(area.width() / length * 30), 1)))
        painter.setPen(theme.colour("second"))
        month, number = dt.date.fromordinal(first).replace(day=1), 0
        while month.toordinal() <= first + length:
            x = area.left() + (month.toordinal() - first) / length * area.width()
            word = self._style.month(month)
            if x >= area.left():
                if number % every == 0 and x + metrics.horizontalAdvance(word) <= self.width():
                    painter.drawLine(QPointF(x, area.bottom() + 1), QPointF(x, area.bottom() + theme.px(5)))
                    painter.drawText(QPointF(x + 2, area.bottom() + theme.px(18)), word)
                number += 1
            month = (month + dt.timedelta(days=32)).replace(day=1)

    def _line(self, painter: QPainter, placed: list[QPointF]) -> None:
        theme = self._theme
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(theme.colour("ink"), 2))
        painter.drawPolyline(QPolygonF(placed))
        dot = theme.px(6) / 2
        if len(placed) <= MOST_DOTS:
            painter.setBrush(theme.colour("ground"))
            painter.setPen(QPen(theme.colour("ink"), 1.5))
            for point in placed[:-1]:
                painter.drawEllipse(point, dot, dot)
        painter.setBrush(theme.colour("ink"))
        painter.drawEllipse(placed[-1], dot, dot)
