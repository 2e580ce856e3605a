"""How an egg is drawn, large in its box and small on a shelf: its state by shape and word, the hue only helps."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPainterPath, QPen, QPolygonF

from coilbook.records.egg_vocabulary import EggState
from coilbook.ui.theme import SMALL, TITLE, Theme

_DASHED = (EggState.DOUBTFUL, EggState.UNSAID)
_DOTTED = (EggState.REMOVED, EggState.HATCHED)
_HATCH = {
    EggState.DOUBTFUL: Qt.BrushStyle.BDiagPattern,
    EggState.SLUG: Qt.BrushStyle.DiagCrossPattern,
    EggState.DEAD: Qt.BrushStyle.Dense6Pattern,
    EggState.DEAD_IN_SHELL: Qt.BrushStyle.Dense6Pattern,
}


def paint_egg(
    painter: QPainter, theme: Theme, box: QRectF, state: EggState, *, veins: bool = False, line: float = 1.6
) -> None:
    """The shape of an egg in `box`: solid, dashed and hatched, crossed, dotted and struck, or with a nick."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    ink = theme.colour("second" if state in _DOTTED else "ink")
    pen = QPen(ink, line)
    if state in _DASHED:
        pen.setDashPattern([2.4, 1.8])
    elif state in _DOTTED:
        pen.setDashPattern([1.0, 1.8])
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.colour("ground" if state in _DOTTED else "surface"))
    painter.drawEllipse(box)
    if state in _HATCH:
        painter.setBrush(QBrush(theme.colour("second"), _HATCH[state]))
        painter.drawEllipse(box)
    if veins and state in (EggState.GOOD, EggState.PIPPED):
        _veins(painter, theme, box)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen)
    painter.drawEllipse(box)
    if state is EggState.REMOVED:
        painter.drawLine(QLineF(_on(box, 0.16, 0.18), _on(box, 0.84, 0.82)))
    elif state in (EggState.DEAD, EggState.DEAD_IN_SHELL):
        painter.drawLine(QLineF(_on(box, 0.3, 0.3), _on(box, 0.7, 0.7)))
        painter.drawLine(QLineF(_on(box, 0.7, 0.3), _on(box, 0.3, 0.7)))
    elif state is EggState.PIPPED:
        painter.setPen(QPen(theme.colour("clay"), line * 1.1))
        painter.drawPolyline(QPolygonF([_on(box, x, y) for x, y in _NICK]))
    painter.restore()


_NICK = ((0.26, 0.26), (0.36, 0.36), (0.44, 0.14), (0.56, 0.36), (0.64, 0.14), (0.74, 0.26))


def _on(box: QRectF, x: float, y: float) -> QPointF:
    return QPointF(box.left() + x * box.width(), box.top() + y * box.height())


def _veins(painter: QPainter, theme: Theme, box: QRectF) -> None:
    painter.setPen(QPen(theme.colour("clay"), 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for side in (1, -1):
        path = QPainterPath(_on(box, 0.5 - 0.34 * side, 0.5))
        path.lineTo(_on(box, 0.5 - 0.24 * side, 0.54))
        path.moveTo(_on(box, 0.5 - 0.29 * side, 0.52))
        path.lineTo(_on(box, 0.5 - 0.25 * side, 0.40))
        path.moveTo(_on(box, 0.5 - 0.29 * side, 0.52))
        path.lineTo(_on(box, 0.5 - 0.27 * side, 0.66))
        painter.drawPath(path)


def paint_numbered(
    painter: QPainter, theme: Theme, box: QRectF, state: EggState, number: str, word: str, *, veins: bool
) -> None:
    """A large egg with its number and the word of its state, and the tick that marks which side is up."""
    paint_egg(painter, theme, box, state, veins=veins)
    painter.setPen(QPen(theme.colour("ink"), 1.4))
    painter.drawLine(QLineF(box.center().x(), box.top(), box.center().x(), box.top() + theme.px(5)))
    painter.setFont(theme.font(TITLE, bold=True))
    inner = QRectF(box.left() - theme.px(12), box.top(), box.width() + theme.px(24), box.height())
    _words(painter, theme, inner.adjusted(0, 0, 0, -theme.px(12)), number)
    painter.setFont(theme.font(SMALL))
    under = QRectF(inner.left(), inner.center().y() + theme.px(4), inner.width(), theme.px(16))
    _words(painter, theme, under, word)


def _words(painter: QPainter, theme: Theme, box: QRectF, text: str) -> None:
    """Words over a hatched egg stand on a plain patch, so that they can be read."""
    metrics = painter.fontMetrics()
    patch = QRectF(0, 0, metrics.horizontalAdvance(text) + 4, metrics.ascent() + 2)
    patch.moveCenter(box.center())
    painter.fillRect(patch, theme.colour("surface"))
    painter.setPen(theme.colour("ink"))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
