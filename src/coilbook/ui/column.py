"""The slim column at the left: the words of the screens that exist, the open one lit, counts at the right."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QSizePolicy, QVBoxLayout, QWidget

from coilbook.ui.room_size import DESK, places
from coilbook.ui.screen import ScreenKind
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated


class ScreenColumn(QWidget):
    """One word a screen, in the order registered; arrows walk, Enter opens."""

    chosen = Signal(str)

    def __init__(self, theme: Theme, screens: Sequence[ScreenKind]) -> None:
        super().__init__()
        self.setObjectName("column")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName(translated("Screens"))
        self._theme = theme
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        self.words: dict[str, _Word] = {}
        stack = QVBoxLayout(self)
        stack.setContentsMargins(0, theme.px(12), 1, 0)
        stack.setSpacing(0)
        for screen in screens:
            if screen.title:
                word = _Word(theme, translated(screen.title))
                word.clicked.connect(lambda _checked=False, key=screen.key: self.chosen.emit(key))
                self.words[screen.key] = word
                self._group.addButton(word)
                stack.addWidget(word)
        stack.addStretch(1)
        theme.changed.connect(self._resize)
        self._resize()

    def light(self, key: str) -> None:
        """Show which screen is open; none is lit for a page that belongs to no word."""
        word = self.words.get(key)
        if word is not None:
            word.setChecked(True)
            return
        lit = self._group.checkedButton()
        if lit is not None:
            self._group.setExclusive(False)
            lit.setChecked(False)
            self._group.setExclusive(True)

    def count(self, key: str, count: int | None) -> None:
        """The number beside a word; none for nothing to do."""
        word = self.words.get(key)
        if word is not None:
            word.set_count(count)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
        words = list(self.words.values())
        here = self.focusWidget()
        if step is None or here not in words:
            super().keyPressEvent(event)
            return
        words[(words.index(here) + step) % len(words)].setFocus(Qt.FocusReason.OtherFocusReason)

    def _resize(self) -> None:
        self.setFixedWidth(self._theme.px(places(self._theme).column))


class _Word(QAbstractButton):
    """One word of the column, painted: tint, bar at the left and weight say that it is open."""

    def __init__(self, theme: Theme, words: str) -> None:
        super().__init__()
        self._theme = theme
        self._count: int | None = None
        self.setText(words)
        self.setAccessibleName(words)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Maximum)
        theme.changed.connect(self.updateGeometry)

    def set_count(self, count: int | None) -> None:
        """The number at the right."""
        self._count = count
        self.setAccessibleName(f"{self.text()}, {count}" if count else self.text())
        self.update()

    def sizeHint(self) -> QSize:
        now = places(self._theme)
        return QSize(self._theme.px(now.column), self._theme.px(now.column_row))

    def minimumSizeHint(self) -> QSize:
        """In large type the words of the room close up: the window must not outgrow a laptop's screen."""
        return QSize(self._theme.px(places(self._theme).column), self._theme.px(DESK.column_row))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            event.ignore()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, box = self._theme, self.rect()
        with QPainter(self) as painter:
            if self.isChecked():
                painter.fillRect(box, theme.colour("tint"))
                painter.fillRect(QRect(0, 0, theme.px(4), box.height()), theme.colour("accent"))
            if self.hasFocus():
                painter.setPen(theme.colour("accent"))
                painter.drawRect(box.adjusted(0, 0, -1, -1))
            words = box.adjusted(theme.px(16), 0, -theme.px(8), 0)
            painter.setPen(theme.colour("ink"))
            painter.setFont(theme.font(BODY, bold=self.isChecked()))
            painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, self.text())
            if self._count:
                painter.setPen(theme.colour("second"))
                painter.setFont(theme.font(SMALL))
                right = words.adjusted(0, 0, -theme.px(8), 0)
                painter.drawText(right, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, str(self._count))
