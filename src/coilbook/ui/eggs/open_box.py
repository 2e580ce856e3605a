"""The box in focus, open: its eggs where they lie, each with number, word and shape."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.reads.egg_rows import BoxNowRow, EggNow
from coilbook.records.egg_vocabulary import EggState, Medium, Veins
from coilbook.records.ids import EggId
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.egg_painter import paint_numbered
from coilbook.ui.theme import SMALL, TARGET
from coilbook.wording.language import translated
from coilbook.wording.texts import words

HEIGHT = 236
#: an egg at its largest, and how much smaller a slug lies there
_EGG = (84, 60)
_SMALL = (EggState.SLUG,)


class OpenBox(QWidget):
    """Paints the open box; a press chooses an egg."""

    chosen = Signal(object)
    #: an egg was laid elsewhere in the box: its id, x and y in thousandths
    laid = Signal(object, int, int)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._theme = desk, desk.theme
        self._box: BoxNowRow | None = None
        self.egg: EggId | None = None
        self._grip: tuple[EggId, QPointF] | None = None
        self._dragged: tuple[int, int] | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(translated("The open box"))
        self._theme.changed.connect(self._again)
        self._again()

    def _again(self) -> None:
        self.setFixedHeight(self._theme.px(HEIGHT))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(412), self._theme.px(HEIGHT))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(320), self._theme.px(HEIGHT))

    def show_box(self, box: BoxNowRow | None, egg: EggId | None) -> None:
        """Show a box with an egg in focus."""
        self._box, self.egg, self._dragged = box, egg, None
        told = [f"{e.name} {words(e.state)}" for e in box.eggs] if box is not None else []
        self.setAccessibleDescription(", ".join(told))
        self.update()

    def _area(self, egg: EggNow) -> QRectF:
        px = self._theme.px
        count = len(self._box.eggs) if self._box is not None else 1
        shrink = 1.0 if count <= 9 else max(0.6, 9 / count)
        shrink *= 0.8 if egg.state in _SMALL else 1.0
        width, height = px(_EGG[0] * shrink), px(_EGG[1] * shrink)
        inner = self._inner()
        x, y = (egg.x if egg.x is not None else 500), (egg.y if egg.y is not None else 500)
        if self._dragged is not None and self._grip is not None and self._grip[0] == egg.id:
            x, y = self._dragged
        area = QRectF(0, 0, width, height)
        middle = QPointF(inner.left() + inner.width() * x / 1000, inner.top() + inner.height() * y / 1000)
        area.moveCenter(middle)
        return area

    def _inner(self) -> QRectF:
        px = self._theme.px
        return QRectF(self.rect()).adjusted(px(12), px(8), -px(64), -px(8))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        egg = self.egg_at(event.position())
        if egg is not None:
            self.chosen.emit(egg.id)
            self._grip = (egg.id, event.position())

    def egg_at(self, point: QPointF) -> EggNow | None:
        """The nearest egg under a finger: in the room none is smaller to press than a thumb, however small it lies."""
        least = self._theme.px(TARGET) if self._theme.room else 0
        found: list[tuple[float, EggNow]] = []
        for egg in self._box.eggs if self._box is not None else ():
            area = self._area(egg)
            wider, higher = (max(least - side, 0) / 2 for side in (area.width(), area.height()))
            if area.adjusted(-wider, -higher, wider, higher).contains(point):
                found.append(((area.center() - point).manhattanLength(), egg))
        return min(found, key=lambda one: one[0])[1] if found else None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._grip is None:
            return
        moved = event.position() - self._grip[1]
        if self._dragged is None and moved.manhattanLength() < self._theme.px(8):
            return
        inner = self._inner()
        x = (event.position().x() - inner.left()) / max(inner.width(), 1)
        y = (event.position().y() - inner.top()) / max(inner.height(), 1)
        self._dragged = (round(1000 * min(max(x, 0), 1)), round(1000 * min(max(y, 0), 1)))
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        grip, to = self._grip, self._dragged
        self._grip = self._dragged = None
        if grip is not None and to is not None:
            self.laid.emit(grip[0], *to)

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, box = self._theme, self._box
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            frame = QRectF(self.rect()).adjusted(1, 1, -1, -1)
            painter.setPen(QPen(theme.colour("edge"), 1.4))
            painter.setBrush(theme.colour("ground"))
            painter.drawRoundedRect(frame, 6, 6)
            if box is None:
                return
            self._paint_medium(painter, box)
            for egg in box.eggs:
                self._paint_egg(painter, box, egg)

    def _paint_medium(self, painter: QPainter, box: BoxNowRow) -> None:
        theme = self._theme
        painter.setPen(QPen(theme.colour("rule"), 1.6))
        if box.medium is Medium.GRID:
            step = theme.px(16)
            for x in range(step, self.width(), step):
                painter.drawLine(x, 3, x, self.height() - 3)
        else:
            # grains at fixed places: nothing in the picture moves when it is painted again
            for n in range(self.width() * self.height() // max(theme.px(900), 1)):
                # the golden ratio and its square leave no lines to be seen
                across, down = (n * 0.6180339887) % 1, (n * 0.7548776662) % 1
                painter.drawPoint(QPointF(4 + across * (self.width() - 8), 4 + down * (self.height() - 8)))
        painter.setFont(theme.font(SMALL))
        painter.setPen(theme.colour("second"))
        word = QRectF(self.rect()).adjusted(0, theme.px(8), -theme.px(12), -theme.px(8))
        painter.drawText(word, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, words(box.medium))

    def _paint_egg(self, painter: QPainter, box: BoxNowRow, egg: EggNow) -> None:
        theme, area = self._theme, self._area(egg)
        if egg.id == self.egg:
            painter.setPen(QPen(theme.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(area.adjusted(-4, -4, 4, 4))
        several = len(box.clutches) > 1
        letter = "AB CDEFGH".replace(" ", "")[[c.id for c in box.clutches].index(egg.clutch) % 8] if several else ""
        seen = egg.veins in (Veins.CLEAR, Veins.FAINT)
        paint_numbered(painter, theme, area, egg.state, f"{letter}{egg.number}", words(egg.state), veins=seen)
