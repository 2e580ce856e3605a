"""The chart of weight and meals on screen: the geometry of `drawing.weight_chart`, a pen, and hands to move it.

The same geometry goes to the paper. It is painted here rather than by the plotting library because that one takes
longer to import than a whole page may take to open.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.drawing.weight_chart import Dot, Frame, Layout, Series, View, lay_out, recent_view, whole_view
from coilbook.records.quantities import GRAMS_PER_OUNCE, MassUnit
from coilbook.ui.parts.shapes import paint_shapes
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.chart_words import mass_label, time_label
from coilbook.wording.language import translated
from coilbook.wording.style import Style

HEIGHT, LOW_HEIGHT = 176, 132
ZOOM = 0.8
#: how near a press must be to a weight to take it, in pixels
REACH = 14


def unit_dg(unit: MassUnit) -> float:
    """One unit of the mass axis in tenths of a gram; whole ounces are what pounds and ounces can be written in."""
    ounce = float(GRAMS_PER_OUNCE)
    grams = {MassUnit.KILOGRAM: 1000.0, MassUnit.OUNCE: ounce, MassUnit.POUND_OUNCE: ounce}
    return grams.get(unit, 1.0) * 10


class ChartView(QWidget):
    """Weight line with dots, meals in a row below; drag moves, Ctrl and the wheel zoom, a double press fits."""

    #: a weight came into focus (its place in the series, -1 for none)
    picked = Signal(int)
    focused = Signal()

    def __init__(self, theme: Theme, style: Callable[[], Style]) -> None:
        super().__init__()
        self._theme, self._style = theme, style
        self._series = Series((), (), (), 1.0)
        self._whole = self._view = whole_view(self._series)
        self._layout: Layout | None = None
        self._grip: tuple[float, View] | None = None
        self.at = -1
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(translated("Weight and meals"))
        theme.changed.connect(self._again)

    def show_series(self, series: Series, *, keep_view: bool = False) -> None:
        """Show an animal's series; with `keep_view` the stretch in sight stays."""
        was_whole = self._view == self._whole
        self._series, self._whole = series, whole_view(series)
        if not keep_view:
            self._view = recent_view(self._whole)
        elif was_whole:
            self._view = self._whole
        self.at = -1
        count = len(series.weights)
        self.setAccessibleDescription(translated("{n} weights, {m} offers").format(n=count, m=len(series.meals)))
        self._again()

    @property
    def view(self) -> View:
        """The stretch of time in sight."""
        return self._view

    def fit(self) -> None:
        """Everything in sight."""
        self._see(self._whole)

    def zoom(self, factor: float, around: float | None = None) -> None:
        """Nearer or farther around a time, the right end by default."""
        self._see(self._view.zoomed(factor, around if around is not None else self._view.last))

    def set_low(self, low: bool) -> None:
        """Less high, where the page is short."""
        self.setFixedHeight(self._theme.px(LOW_HEIGHT if low else HEIGHT))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(600), self._theme.px(HEIGHT))

    # --- hands ---------------------------------------------------------------------------------------------
    def wheelEvent(self, event: QWheelEvent) -> None:
        if not event.modifiers() & Qt.KeyboardModifier.ControlModifier or self._layout is None:
            event.ignore()
            return
        steps = event.angleDelta().y() / 120
        self.zoom(ZOOM**steps, self._layout.day_at(event.position().x()))
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._grip = (event.position().x(), self._view)
        near = self._layout.nearest(event.position().x(), event.position().y()) if self._layout else None
        if near is not None and _distance(near, event.position()) <= self._theme.px(REACH):
            self._pick(near.index)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._grip is not None and self._layout is not None:
            start, view = self._grip
            days = (start - event.position().x()) / self._layout.frame.width * view.days
            self._see(view.dragged(days))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._grip = None

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self._grip = None
        self.fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        last = len(self._series.weights) - 1
        key = event.key()
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right) and last >= 0:
            step = -1 if key == Qt.Key.Key_Left else 1
            self._pick(min(max(self.at + step, 0), last) if self.at >= 0 else last)
        elif key == Qt.Key.Key_Home and last >= 0:
            self._pick(0)
        elif key == Qt.Key.Key_End and last >= 0:
            self._pick(last)
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Minus):
            self.zoom(ZOOM if key == Qt.Key.Key_Plus else 1 / ZOOM)
        elif key == Qt.Key.Key_0:
            self.fit()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.focused.emit()

    def _pick(self, index: int) -> None:
        self.at = index
        at = self._series.weights[index].at
        if not self._view.first <= at <= self._view.last:
            self._see(self._view.dragged(at - (self._view.first + self._view.days / 2)))
        self.picked.emit(index)
        self.update()

    def _see(self, view: View) -> None:
        self._view = view.within(self._whole)
        self._again()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._again()

    # --- paint ---------------------------------------------------------------------------------------------
    def _again(self) -> None:
        """Lay everything out anew."""
        theme = self._theme
        small = QFontMetrics(theme.font(SMALL))
        left = max(small.horizontalAdvance("00,000"), small.horizontalAdvance(translated("meals"))) + theme.px(10)
        right, top, axis = theme.px(64), theme.px(12), theme.px(20)
        meals = theme.px(22)
        height = max(self.height() - top - axis - meals, theme.px(40))
        frame = Frame(left, top, max(self.width() - left - right, 60), height, meals, theme.px(58))
        self._layout = lay_out(self._series, self._view, frame, unit_dg(self._style().settings.mass_unit))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        layout, theme = self._layout, self._theme
        if layout is None:
            return
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            if self._series.empty:
                painter.setPen(theme.colour("second"))
                painter.setFont(theme.font(BODY))
                words = translated("Nothing is recorded yet. The first weight or meal begins the curve.")
                painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, words)
            else:
                self._paint_axes(painter, layout)
                self._paint_weights(painter, layout)
                self._paint_rows(painter, layout)
            if self.hasFocus():
                painter.setPen(QPen(theme.colour("accent"), 1))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(self.rect().adjusted(0, 0, -1, -1))

    def _paint_axes(self, painter: QPainter, layout: Layout) -> None:
        theme, frame, style = self._theme, layout.frame, self._style()
        painter.setFont(theme.font(SMALL))
        room = theme.px(8)
        for tick in layout.mass_ticks:
            painter.setPen(QPen(theme.colour("rule"), 1))
            painter.drawLine(QPointF(frame.left, tick.y), QPointF(frame.right, tick.y))
            painter.setPen(theme.colour("second"))
            box = QRectF(0, tick.y - room, frame.left - room, room * 2)
            side = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(box, side, mass_label(tick.mass_dg, style))
        painter.drawText(QRectF(0, frame.meals_y - room, frame.left - room, room * 2),
                         Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, translated("meals"))  # fmt: skip
        for time in layout.time_ticks:
            painter.setPen(QPen(theme.colour("second"), 1))
            painter.drawLine(QPointF(time.x, frame.axis_y), QPointF(time.x, frame.axis_y + 4))
            box = QRectF(time.x - 60, frame.axis_y + 4, 120, theme.px(16))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, time_label(time.day, time.unit, style))
        if layout.today_x is not None:
            painter.setPen(QPen(theme.colour("accent"), 2))
            painter.drawLine(QPointF(layout.today_x, frame.top), QPointF(layout.today_x, frame.axis_y + 4))

    def _paint_weights(self, painter: QPainter, layout: Layout) -> None:
        theme = self._theme
        ink = theme.colour("ink")
        painter.setPen(QPen(ink, 2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in layout.line]))
        crowded = len(layout.dots) > layout.frame.width / 8
        for dot in layout.dots:
            if not crowded or dot.doubted or dot.last or dot.index == self.at:
                self._paint_dot(painter, dot, ink)
        last = next((d for d in layout.dots if d.last), None)
        shown = next((d for d in layout.dots if d.index == self.at), last)
        if shown is not None:
            words = self._style().mass(self._series.weights[shown.index].mass_dg)
            self._paint_words_at(painter, shown, words)

    def _paint_dot(self, painter: QPainter, dot: Dot, ink: QColor) -> None:
        theme, radius = self._theme, self._theme.px(3)
        middle = QPointF(dot.x, dot.y)
        if dot.doubted:
            painter.setPen(QPen(theme.colour("second"), 1.4, Qt.PenStyle.DashLine))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(middle, radius + 2, radius + 2)
        else:
            painter.setPen(QPen(ink, 1.6))
            painter.setBrush(ink if dot.last else theme.colour("ground"))
            painter.drawEllipse(middle, radius + (1 if dot.last else 0), radius + (1 if dot.last else 0))
        if dot.index == self.at:
            painter.setPen(QPen(theme.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(middle, radius + 5, radius + 5)

    def _paint_words_at(self, painter: QPainter, dot: Dot, words: str) -> None:
        theme = self._theme
        font = theme.font(BODY, bold=True)
        painter.setFont(font)
        painter.setPen(theme.colour("ink"))
        wide = QFontMetrics(font).horizontalAdvance(words)
        x = dot.x + theme.px(12)
        today = self._layout.today_x if self._layout is not None else None
        if today is not None and x - theme.px(4) < today < x + wide:
            x = today + theme.px(6)
        if x + wide > self.width():
            x = self.width() - wide
        y = dot.y if x >= dot.x + theme.px(8) else dot.y - theme.px(14)
        painter.drawText(QRectF(x, y - theme.px(10), wide + 2, theme.px(20)), Qt.AlignmentFlag.AlignVCenter, words)

    def _paint_rows(self, painter: QPainter, layout: Layout) -> None:
        for row in (layout.meals, layout.sheds):
            # neighbours keep their gap as long as they can: far out, marks shrink before they run together
            side = min(self._theme.px(15), max(layout.mark_room(row) * 1.5, self._theme.px(8)))
            boxes: dict[str, list[QRectF]] = {}
            for mark in row:
                box = QRectF(mark.x - side / 2, mark.y - side / 2, side, side)
                boxes.setdefault(mark.name, []).append(box)
            for name, places in boxes.items():
                paint_shapes(painter, name, places, self._theme)


def _distance(dot: Dot, place: QPointF) -> float:
    return float(((dot.x - place.x()) ** 2 + (dot.y - place.y()) ** 2) ** 0.5)
