"""The field of the line: underlines what was understood, shows how it could go on, Tab takes it, Esc clears."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLineEdit

from coilbook.ui.parts.buttons import paint_key
from coilbook.ui.screen import TermSpan
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated


class LineField(QLineEdit):
    """What is typed, scanned or pasted."""

    #: Up (-1) or Down (1) while answers stand open below
    stepped = Signal(int)
    escaped = Signal()
    entered = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._next = ""
        self._terms: tuple[TermSpan, ...] = ()
        self.setAccessibleName(translated("The line"))
        self.setFrame(False)
        self.setAttribute(Qt.WidgetAttribute.WA_MacShowFocusRect, False)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.DefaultContextMenu)

    def show_understood(self, terms: tuple[TermSpan, ...], completions: tuple[str, ...]) -> None:
        """Underline the terms, and hold the best way to go on."""
        self._terms = terms
        best = completions[0] if completions else ""
        self._next = best if best.lower().startswith(self.text().lower()) and best != self.text() else ""
        self.update()

    def event(self, event: QEvent) -> bool:
        # Tab would leave the field before keyPressEvent sees it
        pressed = event.type() == QEvent.Type.KeyPress and bool(self._next)
        if pressed and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Tab:
            self.setText(self._next)
            self.textEdited.emit(self._next)
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.stepped.emit(1 if key == Qt.Key.Key_Down else -1)
        elif key == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        with QPainter(self) as painter:
            metrics = QFontMetrics(self._theme.font(BODY))
            before = metrics.horizontalAdvance(self.text()[: self.cursorPosition()])
            start = self.cursorRect().center().x() - before
            self._underline(painter, metrics, start)
            self._go_on(painter, metrics, start)

    def _underline(self, painter: QPainter, metrics: QFontMetrics, start: int) -> None:
        base = (self.height() + metrics.ascent() - metrics.descent()) // 2 + 4
        for term in self._terms:
            left = start + metrics.horizontalAdvance(self.text()[: term.start])
            width = metrics.horizontalAdvance(self.text()[term.start : term.start + term.length])
            token, style = ("accent", Qt.PenStyle.SolidLine) if term.understood else ("clay", Qt.PenStyle.DotLine)
            painter.setPen(QPen(self._theme.colour(token), 2, style))
            painter.drawLine(left, base, left + width, base)

    def _go_on(self, painter: QPainter, metrics: QFontMetrics, start: int) -> None:
        theme, typed = self._theme, self.text()
        if not typed:
            return
        painter.setPen(theme.colour("second"))
        end = start + metrics.horizontalAdvance(typed)
        hint = translated("Esc clears")
        small = QFontMetrics(theme.font(SMALL)).horizontalAdvance(hint)
        right = self.width() - theme.px(12) - small
        if end < right:
            painter.setFont(theme.font(SMALL))
            painter.drawText(QRectF(right, 0, small + 1, self.height()), Qt.AlignmentFlag.AlignVCenter, hint)
        if not self._next or not self.hasFocus():
            return
        rest = self._next[len(typed) :]
        width = metrics.horizontalAdvance(rest)
        if end + width + theme.px(60) > right:
            return
        painter.setFont(theme.font(BODY))
        painter.drawText(QRectF(end + 1, 0, width + 2, self.height()), Qt.AlignmentFlag.AlignVCenter, rest)
        paint_key(painter, theme, QRectF(end + width + theme.px(8), 0, theme.px(34), self.height()), "Tab")
