"""The days of one event ahead as curves in the margin: as it was at first, as it stands today, and the window."""

from __future__ import annotations

import datetime as dt

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.husbandry.day_curve import DayCurve
from coilbook.husbandry.forecast import SHOWN, EventForecast
from coilbook.ui.theme import SMALL, Theme
from coilbook.wording.chances import percent
from coilbook.wording.language import translated
from coilbook.wording.style import Style

HEIGHT = 132


class CurveChart(QWidget):
    """Solid: as seen from today; dashed: before today ruled days out; shaded: the 80% window."""

    def __init__(self, theme: Theme, style: Style, forecast: EventForecast, today: dt.date) -> None:
        super().__init__()
        self._theme, self._style, self._forecast, self._today = theme, style, forecast, today
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        window = forecast.window(SHOWN)
        said = ""
        if window is not None:
            said = f"{style.date(window.first)} \u2013 {style.date(window.last)}, {percent(window.probability, 0)}"
        self.setAccessibleName(translated("How likely each day is: {said}").format(said=said))
        curve = forecast.curve or forecast.planned
        low, high = curve.span(0.995)
        before = forecast.planned.span(0.98)
        self._first, self._last = min(low, before[0]) - 1, max(high, before[1]) + 1

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(280), self._theme.px(HEIGHT))

    def _x(self, day: float) -> float:
        return (day - self._first) / (self._last - self._first) * self.width()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, px = self._theme, self._theme.px
        bottom, top = self.height() - px(20), px(16)
        shown = self._forecast.curve
        curves = [c for c in (shown, self._forecast.planned) if c is not None]
        highest = max(float(_density(c, self._first, self._last)[1].max()) for c in curves) or 1.0
        with QPainter(self) as painter:
            window = self._forecast.window(SHOWN)
            if window is not None:
                left, right = self._x(window.first.toordinal() - 0.5), self._x(window.last.toordinal() + 0.5)
                painter.fillRect(QRectF(left, top, right - left, bottom - top), theme.colour("tint"))
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(theme.colour("second"), 1, Qt.PenStyle.DashLine))
            painter.drawPolyline(self._line(self._forecast.planned, top, bottom, highest))
            if shown is not None:
                painter.setPen(QPen(theme.colour("accent"), 2))
                painter.drawPolyline(self._line(shown, top, bottom, highest))
            self._axis(painter, top, bottom)

    def _line(self, curve: DayCurve, top: float, bottom: float, highest: float) -> QPolygonF:
        days, density = _density(curve, self._first, self._last)
        scale = (bottom - top - 2) / highest
        return QPolygonF([QPointF(self._x(d), bottom - scale * v) for d, v in zip(days.tolist(), density.tolist())])

    def _axis(self, painter: QPainter, top: float, bottom: float) -> None:
        theme, px = self._theme, self._theme.px
        painter.setFont(theme.font(SMALL))
        painter.setPen(QPen(theme.colour("rule"), 1))
        painter.drawLine(0, int(bottom), self.width(), int(bottom))
        today = self._x(self._today.toordinal())
        if 0 <= today <= self.width():
            painter.setPen(QPen(theme.colour("accent"), 1.4))
            painter.drawLine(QPointF(today, top - px(2)), QPointF(today, bottom))
            painter.drawText(QRectF(max(today - px(40), 0), 0, px(80), top), Qt.AlignmentFlag.AlignLeft,
                             translated("today"))  # fmt: skip
        step = 7 if self._last - self._first > 24 else 4 if self._last - self._first > 10 else 2
        painter.setPen(theme.colour("second"))
        day = int(self._first) + step
        while day < self._last - 1:
            text = self._style.date(dt.date.fromordinal(day), year=False)
            box = QRectF(self._x(day) - px(30), bottom + px(3), px(60), px(16))
            if box.left() >= 0 and box.right() <= self.width():
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
            day += max(step, int((self._last - self._first) * px(64) / max(self.width(), 1)) + 1)


def _density(curve: DayCurve, first: float, last: float) -> tuple[np.ndarray, np.ndarray]:
    """Probability of a day around each of many moments between two."""
    days = np.linspace(first, last, 160)
    cells = curve.edges()
    mass = np.concatenate(([0.0], np.cumsum(curve.mass)))
    below = np.interp(days - 0.5, cells, mass, left=0.0, right=1.0)
    above = np.interp(days + 0.5, cells, mass, left=0.0, right=1.0)
    return days, above - below
