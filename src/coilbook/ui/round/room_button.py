"""The large buttons of the round: a word, its key, a small line; at least 48 px high, pressed by a wet thumb."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from coilbook.ui.parts.buttons import shown_key
from coilbook.ui.theme import BODY, TARGET, TITLE, Theme


class RoomButton(QAbstractButton):
    """One button. `look` is "result" (word at the top, note below), "sign" (one line) or "pad" (a digit)."""

    def __init__(self, theme: Theme, words: str, key: str = "", *, look: str = "sign", note: str = "") -> None:
        super().__init__()
        self._theme, self._key, self._look = theme, shown_key(key), look
        self.note = note
        #: the one filled button of the page
        self.filled = False
        #: this was seen and written while the animal is at hand
        self.done = False
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus if look == "pad" else Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.say(words, note)
        theme.changed.connect(self.updateGeometry)

    def say(self, words: str, note: str = "", key: str | None = None) -> None:
        """Other words on the same button."""
        self.note = note
        if key is not None:
            self._key = shown_key(key)
        self.setText(words)
        self.setAccessibleName(f"{words}, {note}" if note else words)
        self.update()

    def set_done(self, done: bool) -> None:
        """Show that it is written."""
        self.done = done
        self.setAccessibleDescription(self._theme_word(done))
        self.update()

    @staticmethod
    def _theme_word(done: bool) -> str:
        from coilbook.wording.language import translated

        return translated("written") if done else ""

    def sizeHint(self) -> QSize:
        height = {"result": 96, "pad": 60}.get(self._look, TARGET)
        return QSize(self._theme.px(56), self._theme.px(height))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(TARGET), self._theme.px(TARGET))

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._paint_frame(painter)
            if self._look == "result":
                self._paint_result(painter)
            elif self._look == "pad":
                self._paint_pad(painter)
            else:
                self._paint_sign(painter)

    def _token(self) -> str:
        if not self.isEnabled():
            return "second"
        if self.filled:
            return "on_accent"
        return "moss" if self.done else "ink"

    def _paint_frame(self, painter: QPainter) -> None:
        theme = self._theme
        strong = self._look == "result" or self.done or self.hasFocus()
        width = 2.0 if strong else 1.0
        edge = "rule"
        if self.isEnabled():
            edge = "accent" if self.filled or self.hasFocus() else ("moss" if self.done else "edge")
            if self._look == "sign" and not self.done and not self.hasFocus():
                edge = "rule"
        fill = "accent" if self.filled and self.isEnabled() else ("tint" if self.isDown() else "surface")
        painter.setBrush(theme.colour(fill))
        painter.setPen(QPen(theme.colour(edge), width))
        gap = width / 2
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(gap, gap, -gap, -gap), 4, 4)

    def _cap(self, box: QRectF, side: int) -> QRectF:
        """Where the key cap stands: at the top right of a result, at the right of a sign."""
        metrics = QFontMetrics(self._theme.font(BODY))
        width = max(side, metrics.horizontalAdvance(self._key) + self._theme.px(12))
        cap = QRectF(box.right() - width, box.top(), width, side)
        if self._look != "result":
            cap.moveTop(box.center().y() - side / 2)
        return cap

    def _paint_key(self, painter: QPainter, cap: QRectF) -> None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        token = self._token()
        painter.setPen(QPen(self._theme.colour("second" if token == "ink" else token), 1))
        painter.drawRoundedRect(cap.adjusted(0.5, 0.5, -0.5, -0.5), 4, 4)
        painter.setFont(self._theme.font(BODY))
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, "\u2713" if self.done else self._key)

    def _paint_result(self, painter: QPainter) -> None:
        theme = self._theme
        box = QRectF(self.rect()).adjusted(theme.px(13), theme.px(11), -theme.px(11), -theme.px(12))
        cap = self._cap(box, theme.px(28))
        painter.setPen(theme.colour(self._token()))
        painter.setFont(theme.font(TITLE, bold=True))
        words = box.adjusted(0, 0, -cap.width() - theme.px(4), -theme.px(18))
        flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap
        painter.drawText(words, int(flags), self.text())
        painter.setFont(theme.font(BODY))
        painter.setPen(theme.colour(self._token() if self.filled else "second"))
        note = QFontMetrics(painter.font()).elidedText(self.note, Qt.TextElideMode.ElideRight, int(box.width()))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom), note)
        if self._key:
            self._paint_key(painter, cap)

    def _paint_sign(self, painter: QPainter) -> None:
        theme = self._theme
        box = QRectF(self.rect()).adjusted(theme.px(11), 0, -theme.px(8), 0)
        cap = self._cap(box, theme.px(22))
        if self._key:
            self._paint_key(painter, cap)
            box = box.adjusted(0, 0, -cap.width() - theme.px(1), 0)
        painter.setPen(theme.colour(self._token()))
        painter.setFont(theme.font(BODY, bold=self.done or self.filled))
        metrics = QFontMetrics(painter.font())
        words = metrics.elidedText(self.text(), Qt.TextElideMode.ElideRight, int(box.width()))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter), words)

    def _paint_pad(self, painter: QPainter) -> None:
        theme = self._theme
        painter.setPen(theme.colour(self._token()))
        large = len(self.text()) == 1 or bool(self._key)
        painter.setFont(theme.font(TITLE if large else BODY, bold=True))
        if not self._key:
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), self.text())
            return
        words = QFontMetrics(painter.font()).horizontalAdvance(self.text())
        key = max(theme.px(28), QFontMetrics(theme.font(BODY)).horizontalAdvance(self._key) + theme.px(12))
        left = (self.width() - words - theme.px(10) - key) / 2
        box = QRectF(left, 0, words + 2, self.height())
        painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), self.text())
        cap = QRectF(box.right() + theme.px(8), self.height() / 2 - theme.px(14), key, theme.px(28))
        self._paint_key(painter, cap)


def row_of(parent: QWidget, buttons: list[RoomButton], gap: int) -> None:
    """Lay buttons of equal width in one row of `parent`."""
    from PySide6.QtWidgets import QHBoxLayout

    row = QHBoxLayout(parent)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(gap)
    for button in buttons:
        row.addWidget(button, 1)
