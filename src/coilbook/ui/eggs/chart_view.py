"""Paints a course of weight or temperature with its limits: the geometry is `drawing.egg_chart`."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.drawing.egg_chart import Area, Course, Drawn, draw
from coilbook.ui.theme import SMALL, Theme


class CourseChart(QWidget):
    """One course; `x_word` and `y_word` write the labels of its axes."""

    def __init__(
        self, theme: Theme, name: str, height: int, x_word: Callable[[float], str], y_word: Callable[[float], str]
    ) -> None:
        super().__init__()
        self._theme, self._height = theme, height
        self._x_word, self._y_word = x_word, y_word
        self._course = Course((), (0, 1), 1)
        self._unit = 10.0
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self._again)
        self._again()

    def _again(self) -> None:
        self.setFixedHeight(self._theme.px(self._height))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(180), self._theme.px(self._height))

    def show_course(self, course: Course, told: str, unit: float = 10.0) -> None:
        """Show another course; `told` says it in words."""
        self._course, self._unit = course, unit
        self.setAccessibleDescription(told)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        metrics = QFontMetrics(theme.font(SMALL))
        left = metrics.horizontalAdvance("1,860") + theme.px(8)
        low = metrics.height() + theme.px(4)
        right = theme.px(8)
        area = Area(left, theme.px(8), self.width() - left - right, self.height() - low - theme.px(10),
                    max(2, (self.width() - left) // theme.px(44)), 5)  # fmt: skip
        drawn = draw(self._course, area, unit=self._unit)
        with QPainter(self) as painter:
            painter.setFont(theme.font(SMALL))
            self._paint_axes(painter, drawn, area)
            if self._course.empty:
                return
            self._paint_course(painter, drawn, area)

    def _paint_axes(self, painter: QPainter, drawn: Drawn, area: Area) -> None:
        theme = self._theme
        if drawn.band is not None:
            band = QRectF(area.left, drawn.band[0], area.width, drawn.band[1] - drawn.band[0])
            painter.fillRect(band, theme.colour("tint"))
        for y, value in drawn.y_ticks:
            painter.setPen(QPen(theme.colour("rule"), 1))
            painter.drawLine(QLineF(area.left, y, area.left + area.width, y))
            painter.setPen(theme.colour("second"))
            box = QRectF(0, y - theme.px(8), area.left - theme.px(6), theme.px(16))
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, self._y_word(value))
        under = area.top + area.height + theme.px(2)
        for x, value in drawn.x_ticks:
            box = QRectF(x - theme.px(30), under, theme.px(60), theme.px(16))
            if box.right() > self.width() + theme.px(16):
                continue
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, self._x_word(value))

    def _paint_course(self, painter: QPainter, drawn: Drawn, area: Area) -> None:
        theme = self._theme
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for y, limit in drawn.limits:
            pen = QPen(theme.colour("clay" if limit.alarm else "moss"), 1.4)
            pen.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(pen)
            painter.drawLine(QLineF(area.left, y, area.left + area.width, y))
            box = QRectF(area.left, y - theme.px(16), area.width, theme.px(15))
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom, limit.word)
        if drawn.aim:
            pen = QPen(theme.colour("moss"), 1.4)
            pen.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(pen)
            painter.drawPolyline(QPolygonF([QPointF(*point) for point in drawn.aim]))
        painter.setPen(QPen(theme.colour("ink"), 1.5))
        for run in drawn.runs:
            painter.drawPolyline(QPolygonF([QPointF(*point) for point in run]))
        painter.setBrush(theme.colour("surface"))
        for dot in drawn.dots:
            painter.drawEllipse(QPointF(*dot), theme.px(3), theme.px(3))
        pen = QPen(theme.colour("second"), 1)
        pen.setStyle(Qt.PenStyle.DotLine)
        painter.setPen(pen)
        for start, end in drawn.gaps:
            middle = area.top + area.height / 2
            painter.drawLine(QLineF(start, middle, end, middle))
        painter.setPen(theme.colour("ink"))
        for (x, y), word in drawn.notes:
            wide = QFontMetrics(painter.font()).horizontalAdvance(word)
            left = min(x + theme.px(6), area.left + area.width - wide)
            painter.drawText(QPointF(max(left, area.left), y - theme.px(6)), word)
