"""What the line found: animals and places, screens, things to do. Stands open under the line, the focus stays above."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from coilbook.ui.parts.buttons import key_width, paint_key, shown_key
from coilbook.ui.theme import BODY, SMALL, TARGET, Theme
from coilbook.wording.language import translated

ROW = 32
#: rows seen at once, and the widest the list gets in px
ROWS_SHOWN, WIDEST = 12, 720


@dataclass(frozen=True, slots=True)
class Answer:
    """One line of the list. `kind` is the word at its right ("animal", "screen", "do")."""

    words: str
    run: Callable[[], None]
    about: str = ""
    kind: str = ""
    key: str = ""


class AnswerList(QWidget):
    """A plain list; the first row is chosen at once so that Enter runs it."""

    ran = Signal()

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self._answers: tuple[Answer, ...] = ()
        self._note = ""
        self._row = self._top = 0
        self.setAccessibleName(translated("What the line found"))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMouseTracking(True)
        self.hide()

    @property
    def answers(self) -> tuple[Answer, ...]:
        """What is offered."""
        return self._answers

    @property
    def chosen(self) -> Answer | None:
        """The row Enter would run."""
        return self._answers[self._row] if self._answers else None

    def offer(self, answers: Sequence[Answer], note: str = "") -> None:
        """Offer these; `note` is said when there are none."""
        self._answers, self._note, self._row, self._top = tuple(answers), note, 0, 0
        self.setVisible(bool(self._answers or note))
        self.resize(self.width(), self.sizeHint().height())
        self.raise_()
        self.update()

    def step(self, by: int) -> None:
        """Walk up or down."""
        if self._answers:
            self._row = (self._row + by) % len(self._answers)
            self._top = min(max(self._top, self._row - ROWS_SHOWN + 1), self._row)
            self.setAccessibleDescription(self._answers[self._row].words)
            self.update()

    def run_chosen(self) -> bool:
        """Do what the chosen row says; False when nothing is offered."""
        chosen = self.chosen
        if chosen is None or not self.isVisible():
            return False
        self.hide()
        self.ran.emit()
        chosen.run()
        return True

    def sizeHint(self) -> QSize:
        rows = max(min(len(self._answers), ROWS_SHOWN), 1)
        return QSize(self.width(), rows * self._row_height() + self._theme.px(8) + 2)

    def _row_height(self) -> int:
        return self._theme.px(TARGET if self._theme.room else ROW)

    def _row_at(self, y: float) -> int:
        return int(y - self._theme.px(4)) // self._row_height() + self._top

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        row = self._row_at(event.position().y())
        if 0 <= row < len(self._answers) and row != self._row:
            self._row = row
            self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        row = self._row_at(event.position().y())
        if 0 <= row < len(self._answers):
            self._row = row
            self.run_chosen()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), theme.colour("surface"))
            painter.setPen(theme.colour("edge"))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
            height = self._row_height()
            for place, answer in enumerate(self._answers[self._top : self._top + ROWS_SHOWN]):
                box = QRect(1, theme.px(4) + place * height, self.width() - 2, height)
                self._paint_row(painter, box, answer, place + self._top == self._row)
            self._paint_more(painter)
            if not self._answers and self._note:
                painter.setPen(theme.colour("second"))
                painter.setFont(theme.font(BODY))
                box = QRect(theme.px(12), theme.px(4), self.width() - theme.px(24), height)
                painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, self._note)

    def _paint_more(self, painter: QPainter) -> None:
        """A bar at the right when there are more rows than are shown."""
        count = len(self._answers)
        if count > ROWS_SHOWN:
            track = self.height() - self._theme.px(8)
            top = self._theme.px(4) + track * self._top // count
            painter.fillRect(self.width() - 6, top, 3, track * ROWS_SHOWN // count, self._theme.colour("second"))

    def _paint_row(self, painter: QPainter, box: QRect, answer: Answer, chosen: bool) -> None:
        theme = self._theme
        if chosen:
            painter.fillRect(box, theme.colour("tint"))
            painter.fillRect(QRect(box.left(), box.top(), theme.px(4), box.height()), theme.colour("accent"))
        inner = box.adjusted(theme.px(12), 0, -theme.px(12), 0)
        bold = QFontMetrics(theme.font(BODY, bold=True))
        painter.setPen(theme.colour("ink"))
        painter.setFont(theme.font(BODY, bold=True))
        painter.drawText(inner, Qt.AlignmentFlag.AlignVCenter, answer.words)
        painter.setPen(theme.colour("second"))
        right = inner.right()
        if answer.key:
            width = key_width(theme, shown_key(answer.key))
            cap = QRectF(right - width, box.top(), width, box.height())
            paint_key(painter, theme, cap, shown_key(answer.key))
            right -= width + theme.px(8)
        painter.setFont(theme.font(SMALL))
        kind = QRect(inner.left(), box.top(), right - inner.left(), box.height())
        painter.drawText(kind, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, answer.kind)
        painter.setFont(theme.font(BODY))
        left = inner.left() + bold.horizontalAdvance(answer.words) + theme.px(12)
        room = right - left - theme.px(72)
        about = QFontMetrics(theme.font(BODY)).elidedText(answer.about, Qt.TextElideMode.ElideRight, max(room, 0))
        painter.drawText(QRect(left, box.top(), max(room, 0), box.height()), Qt.AlignmentFlag.AlignVCenter, about)
