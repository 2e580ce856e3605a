"""A row of words of which one is chosen: arrows walk, the letter of a word takes it, everything fits a wet finger."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QEvent, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.ui.parts.buttons import key_width, paint_key
from coilbook.ui.theme import BODY, TARGET, Theme

HEIGHT = 30


@dataclass(frozen=True, slots=True)
class Option:
    """One word, what it stands for, and the letter that takes it."""

    words: str
    value: Any
    key: str = ""


class ChoiceStrip(QWidget):
    """Shows options side by side, in several lines when the room is short."""

    chosen = Signal(object)
    #: chosen by its letter or a press, not on the way along with the arrows
    taken = Signal(object)

    def __init__(self, theme: Theme, options: Sequence[Option], value: object = None) -> None:
        super().__init__()
        self._theme, self._options = theme, tuple(options)
        self._at = next((n for n, o in enumerate(options) if o.value == value), -1)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy = self.sizePolicy()
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        theme.changed.connect(self.updateGeometry)
        self._tell()

    @property
    def value(self) -> Any:
        """What is chosen; None when nothing is."""
        return self._options[self._at].value if self._at >= 0 else None

    def choose(self, value: object) -> None:
        """Choose by value, without telling anyone."""
        self._at = next((n for n, o in enumerate(self._options) if o.value == value), -1)
        self._tell()
        self.update()

    def take_key(self, letter: str) -> bool:
        """Choose by letter; False when none has it."""
        for number, option in enumerate(self._options):
            if option.key and option.key == letter.upper():
                self._take(number)
                self.taken.emit(option.value)
                return True
        return False

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        boxes = self._boxes(width)
        return boxes[-1].bottom() + 1 if boxes else self._theme.px(HEIGHT)

    def sizeHint(self) -> QSize:
        width = sum(self._widths()) + self._theme.px(4) * len(self._options)
        return QSize(width, self.heightForWidth(max(self.width(), 1) if self.isVisible() else width))

    def minimumSizeHint(self) -> QSize:
        return QSize(max(self._widths(), default=0), self._theme.px(HEIGHT))

    def event(self, event: QEvent) -> bool:
        # a letter of an option belongs to the strip in focus before any command of the page
        if event.type() is QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            letter = event.text().strip().upper()
            if letter and not event.modifiers() and any(option.key == letter for option in self._options):
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            step = -1 if event.key() == Qt.Key.Key_Left else 1
            self._take((self._at + step) % len(self._options) if self._at >= 0 else 0)
        elif not (event.text().strip() and not event.modifiers() and self.take_key(event.text())):
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        for number, box in enumerate(self._boxes(self.width())):
            if box.contains(event.position().toPoint()):
                self._take(number)
                self.taken.emit(self.value)

    def _take(self, number: int) -> None:
        self._at = number
        self._tell()
        self.update()
        self.chosen.emit(self._options[number].value)

    def _tell(self) -> None:
        self.setAccessibleDescription(self._options[self._at].words if self._at >= 0 else "")

    def _widths(self) -> list[int]:
        # bold is the wider of the two faces: nothing moves when the choice does
        metrics, theme = QFontMetrics(self._theme.font(BODY, bold=True)), self._theme
        return [
            metrics.horizontalAdvance(o.words) + theme.px(18) + (key_width(theme, o.key) + theme.px(6) if o.key else 0)
            for o in self._options
        ]

    def _boxes(self, width: int) -> list[QRect]:
        theme, boxes, x, y = self._theme, [], 0, 0
        height = theme.px(TARGET if theme.room else HEIGHT)
        for wide in self._widths():
            if x and x + wide > width:
                x, y = 0, y + height + theme.px(4)
            boxes.append(QRect(x, y, wide, height))
            x += wide + theme.px(4)
        return boxes

    def resizeEvent(self, event: object) -> None:
        self.setFixedHeight(self.heightForWidth(self.width()))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            for number, box in enumerate(self._boxes(self.width())):
                self._paint(painter, box, self._options[number], number == self._at)
            if self.hasFocus() and self._at < 0 and self._options:
                painter.setPen(QPen(theme.colour("accent"), 1.5, Qt.PenStyle.DashLine))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRoundedRect(QRectF(self._boxes(self.width())[0]).adjusted(1, 1, -1, -1), 4, 4)

    def _paint(self, painter: QPainter, box: QRect, option: Option, chosen: bool) -> None:
        theme = self._theme
        focus = chosen and self.hasFocus()
        width = 2.0 if chosen else 1.0
        painter.setPen(QPen(theme.colour("accent" if chosen else "rule"), width))
        painter.setBrush(theme.colour("tint" if chosen else "surface"))
        painter.drawRoundedRect(QRectF(box).adjusted(width / 2, width / 2, -width / 2, -width / 2), 4, 4)
        if focus:
            painter.setPen(QPen(theme.colour("accent"), 1))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(box).adjusted(3.5, 3.5, -3.5, -3.5), 2, 2)
        inner = box.adjusted(theme.px(9), 0, -theme.px(9), 0)
        painter.setFont(theme.font(BODY, bold=chosen))
        painter.setPen(theme.colour("ink"))
        painter.drawText(inner, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, option.words)
        if option.key:
            key = key_width(theme, option.key)
            cap = QRectF(inner.right() + 1 - key, box.top(), key, box.height())
            paint_key(painter, theme, cap, option.key, "ink" if chosen else "second")
