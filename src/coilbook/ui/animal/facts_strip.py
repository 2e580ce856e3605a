"""Facts side by side; a hatchling has one more, its way to its sale. The one in focus is explained in the margin."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.ui.animal.words import FactWords
from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated

HEIGHT = 84


class FactsStrip(QWidget):
    """Arrows walk along the columns; Enter enters what belongs to the one in focus."""

    walked = Signal()
    #: name of the column whose entry is wanted
    opened = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._facts: dict[str, FactWords] = {}
        self._at = 0
        self.setAccessibleName(translated("Facts"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def show_facts(self, facts: Mapping[str, FactWords]) -> None:
        """Show the columns by name."""
        self._facts = dict(facts)
        self._at = min(self._at, max(len(self._facts) - 1, 0))
        self._tell()
        self.update()

    @property
    def name(self) -> str:
        """The column in focus."""
        return list(self._facts)[self._at] if self._facts else ""

    def go(self, name: str) -> None:
        """Put the focus on a column."""
        self._at = list(self._facts).index(name)
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self._walked()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(600), self._theme.px(HEIGHT))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right) and self._facts:
            self._at = (self._at + (-1 if key == Qt.Key.Key_Left else 1)) % len(self._facts)
            self._walked()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._facts:
            self.opened.emit(self.name)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        for number, box in enumerate(self._boxes()):
            if box.contains(event.position().toPoint()):
                self._at = number
                self._walked()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._walked()

    def _walked(self) -> None:
        self._tell()
        self.update()
        self.walked.emit()

    def _tell(self) -> None:
        fact = self._facts.get(self.name)
        self.setAccessibleDescription(f"{fact.head}: {fact.value}. {'. '.join(fact.lines)}" if fact else "")

    def _boxes(self) -> list[QRect]:
        """Columns as wide as their words want; where room is short the values keep theirs and the notes are cut."""
        if not self._facts:
            return []
        wanted = [self._wanted(fact) for fact in self._facts.values()]
        least = [min(self._value_width(fact), wide) for fact, wide in zip(self._facts.values(), wanted, strict=True)]
        spare = self.width() - sum(wanted)
        if spare >= 0:
            rooms = [wide + spare / len(wanted) for wide in wanted]
        elif self.width() >= sum(least):
            share = (self.width() - sum(least)) / max(sum(wanted) - sum(least), 1)
            rooms = [low + (wide - low) * share for low, wide in zip(least, wanted, strict=True)]
        else:
            rooms = [low * self.width() / sum(least) for low in least]
        edges = [round(sum(rooms[:n])) for n in range(len(rooms) + 1)]
        return [QRect(left, 0, right - left, self.height()) for left, right in pairwise(edges)]

    def _value_width(self, fact: FactWords) -> int:
        theme = self._theme
        value = QFontMetrics(theme.font(BODY, bold=True)).horizontalAdvance(fact.value)
        head = QFontMetrics(theme.font(SMALL, bold=True)).horizontalAdvance(fact.head.upper())
        return max(value + (theme.px(20) if fact.shape else 0), head) + theme.px(20)

    def _wanted(self, fact: FactWords) -> int:
        small = QFontMetrics(self._theme.font(SMALL))
        notes = max(small.horizontalAdvance(line) for line in fact.lines)
        return max(self._value_width(fact), notes + self._theme.px(26))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            painter.setPen(QPen(theme.colour("rule"), 1))
            painter.drawLine(0, 0, self.width(), 0)
            painter.drawLine(0, self.height() - 1, self.width(), self.height() - 1)
            for number, (box, fact) in enumerate(zip(self._boxes(), self._facts.values(), strict=True)):
                focus = number == self._at and self.hasFocus()
                if focus:
                    painter.fillRect(box.adjusted(0, 1, 0, -1), theme.colour("tint"))
                    painter.fillRect(QRect(box.left(), 1, theme.px(4), box.height() - 2), theme.colour("accent"))
                elif number:
                    painter.setPen(QPen(theme.colour("rule"), 1))
                    painter.drawLine(box.left(), 0, box.left(), box.height())
                self._paint(painter, box.adjusted(theme.px(12) if number or focus else 0, 0, -theme.px(6), 0), fact)

    def _paint(self, painter: QPainter, box: QRect, fact: FactWords) -> None:
        theme = self._theme
        self._line(painter, box, 8, fact.head.upper(), ("second", SMALL, True))
        value = box
        if fact.shape:
            side = theme.px(16)
            paint_shape(painter, fact.shape, QRectF(box.left(), theme.px(26), side, theme.px(18)), theme)
            value = box.adjusted(side + theme.px(4), 0, 0, 0)
        self._line(painter, value, 26, fact.value, ("ink", BODY, True))
        for number, line in enumerate(fact.lines):
            self._line(painter, box, 45 + number * 17, line, ("second", SMALL, False))

    def _line(self, painter: QPainter, box: QRect, top: int, words: str, look: tuple[str, int, bool]) -> None:
        theme, (token, size, bold) = self._theme, look
        font = theme.font(size, bold=bold)
        painter.setFont(font)
        painter.setPen(theme.colour(token))
        shown = QFontMetrics(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        line = QRect(box.left(), theme.px(top), box.width(), theme.px(18))
        painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, shown)
