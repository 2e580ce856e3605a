"""The number in focus as a large bar, and under it the stair of findings that brought it there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.ui.parts.chance_bar import paint_chance
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated

STEP, TOP = 24, 48
#: width of the bars of the stair and of their numbers
BAR, NUMBER = 88, 56


@dataclass(frozen=True, slots=True)
class Stair:
    """`value` and `paper` from 0 to 1 with their words; `steps` as (words, number after, number as text)."""

    value: float | None
    value_words: str
    paper: float | None
    paper_words: str
    doubt: bool
    steps: Sequence[tuple[str, float, str]] = ()


class StairView(QWidget):
    """Painted once; the margin makes a new one for another number."""

    def __init__(self, theme: Theme, stair: Stair) -> None:
        super().__init__()
        self._theme, self._stair = theme, stair
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        told = [f"{words}: {number}" for words, _, number in stair.steps]
        self.setAccessibleName(translated("How the number came about"))
        self.setAccessibleDescription("; ".join([stair.value_words, stair.paper_words, *told]))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(280), self._theme.px(TOP) + len(self._stair.steps) * self._theme.px(STEP))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, stair = self._theme, self._stair
        with QPainter(self) as painter:
            box = QRectF(0, 0, self.width() - 1, theme.px(20))
            paint_chance(painter, box, theme, stair.value, stair.paper, doubt=stair.doubt)
            painter.setFont(theme.font(SMALL))
            painter.setPen(theme.colour("second"))
            words = QRect(0, theme.px(22), self.width(), theme.px(18))
            painter.drawText(words, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, stair.value_words)
            painter.drawText(words, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, stair.paper_words)
            for number, step in enumerate(stair.steps):
                self._step(painter, theme.px(TOP) + number * theme.px(STEP), step, number)

    def _step(self, painter: QPainter, top: int, step: tuple[str, float, str], place: int) -> None:
        theme = self._theme
        words, chance, number = step
        height = theme.px(STEP)
        ends = place in (0, len(self._stair.steps) - 1)
        left = self.width() - theme.px(BAR + NUMBER)
        painter.setPen(theme.colour("ink"))
        font = theme.font(BODY, bold=place == 0)
        painter.setFont(font)
        shown = QFontMetrics(font).elidedText(words, Qt.TextElideMode.ElideRight, left - theme.px(8))
        painter.drawText(QRect(0, top, left, height), Qt.AlignmentFlag.AlignVCenter, shown)
        bar = QRectF(left, top, theme.px(BAR), height)
        paint_chance(painter, bar, theme, chance, doubt=0 < chance < 1)
        painter.setFont(theme.font(BODY, bold=ends))
        painter.setPen(theme.colour("ink"))
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRect(self.width() - theme.px(NUMBER), top, theme.px(NUMBER), height), right, number)
