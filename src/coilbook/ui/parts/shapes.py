"""Small painted shapes: a state is told by its shape and its word; the hue only helps."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.records.vocabulary import FeedingResult
from coilbook.ui.theme import Theme

#: the shape of every result of an offer
RESULT_SHAPES: dict[FeedingResult, str] = {
    FeedingResult.PENDING: "pending",
    FeedingResult.TAKEN: "taken",
    FeedingResult.TAKEN_LATE: "taken_late",
    FeedingResult.REFUSED: "refused",
    FeedingResult.STRUCK: "struck",
    FeedingResult.NOT_OFFERED: "not_offered",
}

#: token of the colour a shape has when none is asked for
_TOKEN = {
    "taken": "taken",
    "taken_late": "taken",
    "refused": "refused",
    "struck": "refused",
    "back": "refused",
    "triangle": "clay",
    "cross": "clay",
    "tick": "moss",
    "done": "moss",
}

Draw = Callable[[QPainter, QRectF, QColor], None]


def paint_card(widget: QWidget, theme: Theme, token: str, *, edge: str = "rule") -> None:
    """The ground of a card in the page: surface, a hairline around, a bar of one colour at its left."""
    with QPainter(widget) as painter:
        painter.fillRect(widget.rect(), theme.colour("surface"))
        painter.setPen(theme.colour(edge))
        painter.drawRect(widget.rect().adjusted(0, 0, -1, -1))
        painter.fillRect(0, 0, theme.px(4), widget.height(), theme.colour(token))


def paint_shape(painter: QPainter, name: str, box: QRectF, theme: Theme, colour: QColor | None = None) -> None:
    """Paint the shape `name` in the middle of `box`; an unknown name paints nothing."""
    paint_shapes(painter, name, (box,), theme, colour)


def paint_shapes(
    painter: QPainter, name: str, boxes: Sequence[QRectF], theme: Theme, colour: QColor | None = None
) -> None:
    """Paint one shape in the middle of each of several boxes of the same size."""
    draw = SHAPES.get(name)
    if draw is None or not boxes:
        return
    side = min(boxes[0].width(), boxes[0].height(), theme.px(16))
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    chosen = colour if colour is not None else theme.colour(_TOKEN.get(name, "second"))
    pen = QPen(chosen, max(side / 10, 1.2))
    for box in boxes:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen)
        square = QRectF(0, 0, side, side)
        square.moveCenter(box.center())
        draw(painter, square, chosen)
    painter.restore()


def _inset(square: QRectF, share: float) -> QRectF:
    gap = square.width() * share
    return square.adjusted(gap, gap, -gap, -gap)


def _filled_square(painter: QPainter, square: QRectF, colour: QColor) -> None:
    painter.fillRect(_inset(square, 0.26), colour)


def _late_square(painter: QPainter, square: QRectF, colour: QColor) -> None:
    inner = _inset(square, 0.26)
    painter.drawRect(inner)
    painter.fillRect(QRectF(inner.left(), inner.center().y(), inner.width(), inner.height() / 2), colour)


def _back(painter: QPainter, square: QRectF, colour: QColor) -> None:
    inner = _inset(square, 0.26)
    painter.drawRect(inner)
    painter.drawLine(QLineF(inner.topRight(), inner.bottomLeft()))


def _diamond_path(square: QRectF) -> QPolygonF:
    inner, middle = _inset(square, 0.16), square.center()
    return QPolygonF(
        [
            QPointF(middle.x(), inner.top()),
            QPointF(inner.right(), middle.y()),
            QPointF(middle.x(), inner.bottom()),
            QPointF(inner.left(), middle.y()),
        ]
    )


def _diamond(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    painter.drawPolygon(_diamond_path(square))


def _struck(painter: QPainter, square: QRectF, colour: QColor) -> None:
    painter.drawPolygon(_diamond_path(square))
    inner = _inset(square, 0.16)
    painter.drawLine(QLineF(inner.left(), inner.center().y(), inner.right(), inner.center().y()))


def _circle(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    painter.drawEllipse(_inset(square, 0.22))


def _doubted(painter: QPainter, square: QRectF, colour: QColor) -> None:
    pen = QPen(colour, painter.pen().widthF(), Qt.PenStyle.DashLine)
    pen.setDashPattern([2.0, 1.6])
    painter.setPen(pen)
    painter.drawEllipse(_inset(square, 0.18))


def _dashed_circle(painter: QPainter, square: QRectF, colour: QColor) -> None:
    painter.setPen(QPen(colour, max(square.width() / 10, 1.2), Qt.PenStyle.DotLine))
    painter.drawEllipse(_inset(square, 0.22))


def _dot(painter: QPainter, square: QRectF, colour: QColor) -> None:
    painter.setBrush(colour)
    painter.drawEllipse(_inset(square, 0.34))


def _half(painter: QPainter, square: QRectF, colour: QColor) -> None:
    inner = _inset(square, 0.18)
    painter.drawEllipse(inner)
    painter.setBrush(colour)
    painter.drawPie(inner, 90 * 16, -180 * 16)


def _barred(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    inner = _inset(square, 0.18)
    painter.drawEllipse(inner)
    bar = _inset(square, 0.36)
    painter.drawLine(QLineF(bar.left(), bar.center().y(), bar.right(), bar.center().y()))


def _ticked(painter: QPainter, square: QRectF, colour: QColor) -> None:
    painter.setBrush(colour)
    painter.drawEllipse(_inset(square, 0.12))
    light = colour.lightness() > 128
    painter.setPen(QPen(QColor("#120D0A" if light else "#FFFFFF"), square.width() / 9))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    _tick(painter, _inset(square, 0.16), colour)


def _tick(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    at = _at(square)
    painter.drawPolyline(QPolygonF([at(0.2, 0.55), at(0.42, 0.75), at(0.82, 0.28)]))


def _cross(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    inner = _inset(square, 0.26)
    painter.drawLine(QLineF(inner.topLeft(), inner.bottomRight()))
    painter.drawLine(QLineF(inner.topRight(), inner.bottomLeft()))


def _triangle(painter: QPainter, square: QRectF, colour: QColor) -> None:
    at = _at(square)
    painter.setBrush(colour)
    painter.setPen(QPen(colour, 1, j=Qt.PenJoinStyle.RoundJoin))
    painter.drawPolygon(QPolygonF([at(0.5, 0.16), at(0.84, 0.8), at(0.16, 0.8)]))


def _egg(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    painter.drawEllipse(_inset(square, 0.14).adjusted(square.width() * 0.12, 0, -square.width() * 0.12, 0))


def _gravid(painter: QPainter, square: QRectF, colour: QColor) -> None:
    painter.setBrush(QBrush(colour))
    _egg(painter, square, colour)


def _dash(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    inner = _inset(square, 0.24)
    painter.drawLine(QLineF(inner.left(), inner.center().y(), inner.right(), inner.center().y()))


def _pause(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    inner = _inset(square, 0.28)
    for x in (inner.left() + 1, inner.right() - 1):
        painter.drawLine(QLineF(x, inner.top(), x, inner.bottom()))


def _shed(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    at = _at(square)
    path = QPainterPath(at(0.12, 0.62))
    path.cubicTo(at(0.32, 0.2), at(0.42, 0.9), at(0.62, 0.5))
    path.lineTo(at(0.88, 0.36))
    painter.drawPath(path)


def _move(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    at = _at(square)
    painter.drawLine(QLineF(at(0.15, 0.5), at(0.82, 0.5)))
    painter.drawPolyline(QPolygonF([at(0.58, 0.26), at(0.82, 0.5), at(0.58, 0.74)]))


def _flag(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    at = _at(square)
    corners = [at(0.28, 0.14), at(0.72, 0.14), at(0.72, 0.86), at(0.5, 0.66), at(0.28, 0.86)]
    painter.drawPolygon(QPolygonF(corners))


def _note(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    at = _at(square)
    for y, right in ((0.3, 0.82), (0.5, 0.82), (0.7, 0.56)):
        painter.drawLine(QLineF(at(0.18, y), at(right, y)))


def _frame(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    painter.drawRect(_inset(square, 0.18).adjusted(0, square.width() * 0.06, 0, -square.width() * 0.06))


def _at(square: QRectF) -> Callable[[float, float], QPointF]:
    return lambda x, y: QPointF(square.left() + x * square.width(), square.top() + y * square.height())


def _diamond_of(square: QRectF, share: float) -> QPolygonF:
    at, half = _at(square), 0.5 - share
    return QPolygonF([at(0.5, 0.5 - half), at(0.5 + half, 0.5), at(0.5, 0.5 + half), at(0.5 - half, 0.5)])


def _lock(painter: QPainter, square: QRectF, colour: QColor) -> None:
    painter.setBrush(colour)
    painter.drawPolygon(_diamond_of(square, 0.14))


def _likely(painter: QPainter, square: QRectF, colour: QColor) -> None:
    painter.drawPolygon(_diamond_of(square, 0.14))
    painter.setBrush(colour)
    painter.drawPolygon(_diamond_of(square, 0.32))


def _courting(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    painter.drawPolygon(_diamond_of(square, 0.14))


def _stay(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    painter.drawRoundedRect(square.adjusted(0, square.height() * 0.2, 0, -square.height() * 0.2), 2, 2)


def _ovulation(painter: QPainter, square: QRectF, colour: QColor) -> None:
    at = _at(square)
    painter.setBrush(colour)
    painter.drawPolygon(QPolygonF([at(0.5, 0.1), at(0.95, 0.9), at(0.05, 0.9)]))


def _inferred(painter: QPainter, square: QRectF, colour: QColor) -> None:
    at = _at(square)
    painter.setPen(QPen(colour, painter.pen().widthF(), Qt.PenStyle.DashLine))
    painter.drawPolygon(QPolygonF([at(0.5, 0.1), at(0.95, 0.9), at(0.05, 0.9)]))


def _pre_lay(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    painter.drawRect(square.adjusted(square.width() * 0.3, square.height() * 0.08, -square.width() * 0.3,
                                     -square.height() * 0.08))  # fmt: skip


def _plus(painter: QPainter, square: QRectF, _colour: QColor) -> None:
    at = _at(square)
    painter.drawLine(QLineF(at(0.5, 0.14), at(0.5, 0.86)))
    painter.drawLine(QLineF(at(0.14, 0.5), at(0.86, 0.5)))


SHAPES: dict[str, Draw] = {
    "course": _plus,
    "lock": _lock,
    "likely": _likely,
    "courting": _courting,
    "stay": _stay,
    "ovulation": _ovulation,
    "inferred": _inferred,
    "pre_lay": _pre_lay,
    "taken": _filled_square,
    "taken_late": _late_square,
    "refused": _diamond,
    "struck": _struck,
    "back": _back,
    "pending": _half,
    "not_offered": _barred,
    "blue": _half,
    "circle": _circle,
    "doubted": _doubted,
    "todo": _circle,
    "weight": _circle,
    "lost": _dashed_circle,
    "dot": _dot,
    "done": _ticked,
    "tick": _tick,
    "cross": _cross,
    "triangle": _triangle,
    "egg": _egg,
    "gravid": _gravid,
    "dash": _dash,
    "pause": _pause,
    "shed": _shed,
    "move": _move,
    "flag": _flag,
    "note": _note,
    "photo": _frame,
}


class ShapeMark(QWidget):
    """One shape as a widget, 16 px at 100 percent; the word beside it carries the meaning."""

    def __init__(self, theme: Theme, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._name = theme, name
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def set_shape(self, name: str) -> None:
        """Show another shape."""
        self._name = name
        self.update()

    def sizeHint(self) -> QSize:
        around = self.contentsMargins()
        side = self._theme.px(16)
        return QSize(side + around.left() + around.right(), side + around.top() + around.bottom())

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            paint_shape(painter, self._name, QRectF(self.contentsRect()), self._theme)
