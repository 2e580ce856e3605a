"""The strip: every tub of the rack at hand in walking order, the other racks folded to a box each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.reads.round import RackRound, RoundState, Tub
from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.round.walk import Walk
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated

_FOLDED, _FOLDED_GAP, _CELL, _AT_HAND, _GAP = 108, 8, 36, 64, 4
_SHAPES = {
    RoundState.PENDING: "pending",
    RoundState.TAKEN: "done",
    RoundState.TAKEN_LATE: "done",
    RoundState.REFUSED: "refused",
    RoundState.STRUCK: "struck",
    RoundState.NOT_OFFERED: "not_offered",
    RoundState.OPEN: "pending",
}
_TOKENS = {"done": "moss", "refused": "clay", "struck": "clay"}


@dataclass(frozen=True, slots=True)
class _Cell:
    box: QRectF
    paint: Callable[[QPainter, QRectF], None]
    go: Callable[[], None]


class Strip(QWidget):
    """Painted; a press goes to the tub or the rack under the finger."""

    walked = Signal()

    def __init__(self, theme: Theme, walk: Walk) -> None:
        super().__init__()
        self._theme, self._walk = theme, walk
        self._cells: list[_Cell] = []
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(translated("Tubs in walking order"))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(640), self._theme.px(48))

    def show_walk(self) -> None:
        """Lay the strip out for where the walk is."""
        tub = self._walk.tub
        self.setAccessibleDescription(tub.label if tub else "")
        self._lay_out()
        self.update()

    def resizeEvent(self, event: object) -> None:
        self._lay_out()

    def _lay_out(self) -> None:
        px, walk = self._theme.px, self._walk
        self._cells = []
        racks, here = walk.racks, walk.rack_index
        before, after = self._folded_racks(len(racks), here)
        x = 0.0
        for index in before:
            x = self._folded(x, index, racks[index])
        width = self.width() - x - len(after) * px(_FOLDED + _FOLDED_GAP)
        x = self._tubs(x, width)
        x = self.width() - len(after) * px(_FOLDED + _FOLDED_GAP) + (px(_FOLDED_GAP) if after else 0)
        for index in after:
            x = self._folded(x, index, racks[index])

    def _folded_racks(self, count: int, here: int) -> tuple[list[int], list[int]]:
        """Which other racks have room: the nearest ones, at most three; the tubs need the rest."""
        px = self._theme.px
        wanted = len(self._walk.tubs) * px(_CELL + _GAP) + px(_AT_HAND)
        room = max(int((self.width() - wanted) / px(_FOLDED + _FOLDED_GAP)), 2)
        near = (i for i in range(max(here - room, 0), min(here + room + 1, count)) if i != here)
        others = sorted(near, key=lambda i: (abs(i - here), -i))[:room]
        return sorted(i for i in others if i < here), sorted(i for i in others if i > here)

    def _folded(self, x: float, index: int, rack: RackRound) -> float:
        box = QRectF(x, 0, self._theme.px(_FOLDED), self.height())
        self._cells.append(_Cell(box, lambda p, b: self._paint_rack(p, b, rack), lambda: self._to_rack(index)))
        return box.right() + self._theme.px(_FOLDED_GAP)

    def _tubs(self, x: float, width: float) -> float:
        px, walk = self._theme.px, self._walk
        fits = max(int((width - px(_AT_HAND)) / px(_CELL + _GAP)) + 1, 1)
        first = min(max(walk.tub_index - fits // 2, 0), max(len(walk.tubs) - fits, 0))
        shown = range(first, min(first + fits, len(walk.tubs)))
        spare = width - px(_AT_HAND) - max(len(shown) - 1, 0) * px(_CELL + _GAP) - px(_GAP)
        wider = min(max(spare / max(len(shown), 1), 0), px(24))
        for index in shown:
            tub = walk.shown(walk.tubs[index])
            at_hand = index == walk.tub_index
            box = QRectF(x, 0, px(_AT_HAND if at_hand else _CELL) + wider, self.height())
            self._cells.append(_Cell(box, self._painter_of(tub, at_hand), self._goer(index)))
            x = box.right() + px(_GAP)
        return x

    def _painter_of(self, tub: Tub, at_hand: bool) -> Callable[[QPainter, QRectF], None]:
        return lambda painter, box: self._paint_tub(painter, box, tub, at_hand)

    def _goer(self, index: int) -> Callable[[], None]:
        return lambda: self._to_tub(index)

    def _to_rack(self, index: int) -> None:
        self._walk.to_rack_index(index)
        self.walked.emit()

    def _to_tub(self, index: int) -> None:
        self._walk.to_tub(index)
        self.walked.emit()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        for cell in self._cells:
            if cell.box.contains(event.position()):
                cell.go()
                return

    # --- painting -------------------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            for cell in self._cells:
                cell.paint(painter, cell.box)

    def _frame(self, painter: QPainter, box: QRectF, token: str, width: float, *, dashed: bool) -> None:
        pen = QPen(self._theme.colour(token), width)
        if dashed:
            pen.setDashPattern([3, 2])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        gap = width / 2
        painter.drawRoundedRect(box.adjusted(gap, gap, -gap, -gap), 4, 4)

    def _paint_rack(self, painter: QPainter, box: QRectF, rack: RackRound) -> None:
        theme, walk = self._theme, self._walk
        todo, total = walk.rack_todo(rack), walk.rack_total(rack)
        self._frame(painter, box, "rule", 1, dashed=todo > 0)
        inner = box.adjusted(theme.px(8), theme.px(6), -theme.px(8), -theme.px(6))
        painter.setFont(theme.font(SMALL, bold=True))
        painter.setPen(theme.colour("ink"))
        name = rack.label or translated("no slot")
        metrics = QFontMetrics(painter.font())
        name = metrics.elidedText(name, Qt.TextElideMode.ElideRight, int(inner.width()) - theme.px(44))
        painter.drawText(inner, int(Qt.AlignmentFlag.AlignTop), name)
        painter.setFont(theme.font(SMALL))
        painter.setPen(theme.colour("second"))
        counted = translated("{done} of {total}").format(done=total - todo, total=total)
        side = inner.adjusted(metrics.horizontalAdvance(name) + theme.px(6), 0, 0, 0)
        painter.drawText(side, int(Qt.AlignmentFlag.AlignTop), counted)
        left = translated("{n} to do").format(n=todo) if todo else translated("\u2713 round done")
        painter.setPen(theme.colour("second" if todo or not total else "moss"))
        if not total:
            left = translated("nobody")
        painter.drawText(inner, int(Qt.AlignmentFlag.AlignBottom), left)

    def _paint_tub(self, painter: QPainter, box: QRectF, tub: Tub, at_hand: bool) -> None:
        theme, walk = self._theme, self._walk
        todo = walk.tub_todo(tub)
        width = 3.0 if at_hand else 1.0
        self._frame(painter, box, "accent" if at_hand else "rule", width, dashed=todo and not at_hand)
        top = QRectF(box.left() + 2, box.top() + theme.px(6), box.width() - 4, theme.px(18))
        name = tub.name or tub.animals[0].keeper_id
        painter.setFont(theme.font(BODY if at_hand else SMALL, bold=at_hand))
        painter.setPen(theme.colour("ink" if at_hand else "second"))
        metrics = QFontMetrics(painter.font())
        shown = metrics.elidedText(name, Qt.TextElideMode.ElideRight, int(top.width()))
        painter.drawText(top, int(Qt.AlignmentFlag.AlignCenter), shown)
        below = QRectF(box.left(), box.top() + theme.px(23), box.width(), theme.px(17))
        if at_hand:
            painter.setFont(theme.font(SMALL, bold=True))
            painter.drawText(below, int(Qt.AlignmentFlag.AlignCenter), translated("at hand"))
            return
        for number, animal in enumerate(tub.animals[:2]):
            state = walk.state_of(animal)
            shape = "" if walk.is_todo(animal) else _SHAPES.get(state, "")
            if shape:
                spot = below.translated((number * 2 - len(tub.animals[:2]) + 1) * theme.px(8), 0)
                paint_shape(painter, shape, spot, theme, theme.colour(_TOKENS.get(shape, "ink")))
