"""Buttons that show their key: one filled in accent a screen, the others quiet."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy

from coilbook.ui.commands import Command
from coilbook.ui.theme import BODY, BUTTON_HEIGHT, SMALL, TARGET, Theme

#: px of its words that a button shows at most, at 100%
MOST_WORDS = 220


def shown_key(portable: str) -> str:
    """A shortcut as it stands on a button: "Ctrl+N" becomes "Ctrl N"."""
    plain = portable.replace("Return", "Enter").replace("Left", "←").replace("Right", "→")
    stem, plus = (plain[:-1], "+") if plain.endswith("+") else (plain, "")
    return stem.replace("+", " ") + plus


def key_width(theme: Theme, key: str) -> int:
    """Width of a painted key cap, 0 for no key."""
    if not key:
        return 0
    return max(QFontMetrics(theme.font(SMALL)).horizontalAdvance(key) + theme.px(12), theme.px(18))


def paint_key(painter: QPainter, theme: Theme, box: QRectF, key: str, token: str = "second") -> None:
    """A key cap in the middle of `box`."""
    width, height = key_width(theme, key), theme.px(19)
    cap = QRectF(0, 0, width, height)
    cap.moveCenter(box.center())
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(theme.colour(token), 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(cap.toRect().adjusted(0, 0, -1, -1).toRectF().translated(0.5, 0.5), 4, 4)
    painter.setFont(theme.font(SMALL))
    painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, key)
    painter.restore()


class KeyButton(QAbstractButton):
    """A button with its words and its key; Enter and Space press it, focus is a 2 px frame."""

    filled = False

    def __init__(self, theme: Theme, words: str, key: str = "", *, inset: int = 0) -> None:
        """`inset` px above and below are pressed but not painted: a slim button that is still easy to hit."""
        super().__init__()
        self._theme, self._key, self._inset = theme, shown_key(key), inset
        self.setText(words)
        self.setAccessibleName(words)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    @classmethod
    def of(cls, theme: Theme, command: Command) -> KeyButton:
        """The button of a command: its words, its key, what it does."""
        button = cls(theme, command.words, command.shortcut)
        button.clicked.connect(command.run)
        button.setEnabled(command.enabled())
        return button

    def set_words(self, words: str) -> None:
        """Other words on the same button."""
        self.setText(words)
        self.setAccessibleName(words)
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        theme = self._theme
        whole = QFontMetrics(theme.font(BODY, bold=type(self).filled)).horizontalAdvance(self.text())
        words = min(whole, theme.px(MOST_WORDS))
        key = key_width(theme, self._key)
        height = theme.px(TARGET if theme.room else BUTTON_HEIGHT)
        return QSize(words + (key + theme.px(10) if key else 0) + theme.px(26), height)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._paint_box(painter)
            self._paint_words(painter)

    def _ink(self) -> str:
        if not self.isEnabled():
            return "second"
        return "on_accent" if self.filled else "ink"

    def _paint_box(self, painter: QPainter) -> None:
        theme = self._theme
        width = 2.0 if self.hasFocus() else 1.0
        edge = "accent" if (self.filled and self.isEnabled()) or self.hasFocus() else "edge"
        gap = theme.px(self._inset * (1.5 if theme.room else 1))
        box = QRectF(self.rect()).adjusted(width / 2, width / 2 + gap, -width / 2, -width / 2 - gap)
        fill = "accent" if self.filled and self.isEnabled() else ("tint" if self.isDown() else "surface")
        painter.setBrush(theme.colour(fill))
        painter.setPen(QPen(theme.colour(edge if self.isEnabled() else "rule"), width))
        painter.drawRoundedRect(box, 4, 4)
        if self.filled and self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(theme.colour("on_accent"), 1.5))
            painter.drawRoundedRect(box.adjusted(2.5, 2.5, -2.5, -2.5), 3, 3)

    def _paint_words(self, painter: QPainter) -> None:
        theme = self._theme
        painter.setPen(theme.colour(self._ink()))
        painter.setFont(theme.font(BODY, bold=self.filled))
        key = key_width(theme, self._key)
        room = self.rect().adjusted(theme.px(13), 0, -theme.px(13), 0)
        words = QRect(room).adjusted(0, 0, -(key + theme.px(10)) if key else 0, 0)
        side = Qt.AlignmentFlag.AlignLeft if key else Qt.AlignmentFlag.AlignHCenter
        shown = self.text()
        if painter.fontMetrics().horizontalAdvance(shown) > theme.px(MOST_WORDS):
            shown = painter.fontMetrics().elidedText(shown, Qt.TextElideMode.ElideRight, words.width())
            self.setToolTip(self.text())
        painter.drawText(words, side | Qt.AlignmentFlag.AlignVCenter, shown)
        if key:
            middle = QPointF(room.right() + 1 - key / 2, QRectF(room).center().y())
            cap = QRectF(0, 0, key, theme.px(20))
            cap.moveCenter(middle)
            paint_key(painter, theme, cap, self._key, self._ink())


class PrimaryButton(KeyButton):
    """The one main action of a screen; it stands back, unfilled, while a form on the page has its own."""

    filled = True

    def stand_back(self, back: bool) -> None:
        """Be painted as a quiet button, or as the main one again; it can be pressed all the while."""
        self.filled = not back
        self.update()


class QuietButton(KeyButton):
    """Any other action."""
