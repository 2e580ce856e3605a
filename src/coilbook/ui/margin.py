"""The margin: explains whatever is in focus, always in one order; folds to a strip that says what it would explain."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QScrollArea, QSizePolicy, QWidget

from coilbook.ui.margin_body import MarginColumn
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.theme import BODY, MARGIN_STRIP, MARGIN_WIDTH, Theme
from coilbook.wording.language import translated

#: of the window's width, what the open margin takes at most when the text is scaled up
LARGEST_SHARE = 0.27


class MarginPanel(QWidget):
    """Shows a `MarginContent`; `fold` turns it into the strip and back."""

    folded_changed = Signal(bool)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("margin")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName(translated("Why, for what is in focus"))
        self._theme = theme
        self._content = MarginContent()
        #: by the keeper's choice, or for the room
        self.folded = False
        self._crowded = False
        self._strip = _Strip(theme)
        self._strip.clicked.connect(self.toggle)
        self._scroll = QScrollArea()
        self._scroll.setObjectName("margin_scroll")
        self._scroll.setWidgetResizable(True)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._column = MarginColumn(theme)
        self._scroll.setWidget(self._column)
        row = QHBoxLayout(self)
        row.setContentsMargins(1, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self._scroll)
        row.addWidget(self._strip)
        theme.changed.connect(self._resize)
        self._resize()

    @property
    def content(self) -> MarginContent:
        """What is shown."""
        return self._content

    def show_content(self, content: MarginContent) -> None:
        """Show another explanation."""
        self._content = content
        self._strip.say(content.strip or " ".join(part for part in (content.whose, content.verdict) if part))
        self._column.show_content(content)
        self._scroll.verticalScrollBar().setValue(0)

    def fold(self, folded: bool) -> None:
        """Fold to the strip, or open."""
        if folded != self.folded:
            self.folded = folded
            self._resize()
            self.folded_changed.emit(folded)

    def toggle(self) -> None:
        """Fold if open, open if folded."""
        if self._crowded:
            # the keeper wants it open all the same, for now
            self._crowded = False
            self._resize()
        else:
            self.fold(not self.folded)

    def fit(self, room: int) -> None:
        """The window leaves `room` px for the margin: less than its width folds it until there is room again."""
        self._crowded = room < self._open_width()
        self._resize()

    def _open_width(self) -> int:
        wanted = self._theme.px(MARGIN_WIDTH)
        return min(wanted, max(MARGIN_WIDTH, round(self.window().width() * LARGEST_SHARE)))

    def _resize(self) -> None:
        shut = self.folded or self._crowded
        self.setFixedWidth(self._theme.px(MARGIN_STRIP) if shut else self._open_width())
        self._scroll.setVisible(not shut)
        self._strip.setVisible(shut)


class _Strip(QAbstractButton):
    """The folded margin: one line of words, turned."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.say("")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def say(self, text: str) -> None:
        """What the margin would explain."""
        words = translated("Why")
        self.setText(f"{words} · {text}" if text else words)
        self.setAccessibleName(translated("Open the margin: {what}").format(what=self.text()))
        self.setToolTip(translated("Open the margin (F9)"))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(MARGIN_STRIP), 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setFont(self._theme.font(BODY))
            painter.setPen(self._theme.colour("accent" if self.hasFocus() else "second"))
            painter.translate(self.width(), 0)
            painter.rotate(90)
            room = self.height() - self._theme.px(32)
            shown = QFontMetrics(painter.font()).elidedText(self.text(), Qt.TextElideMode.ElideRight, room)
            painter.drawText(QRect(self._theme.px(16), 0, room, self.width()), Qt.AlignmentFlag.AlignVCenter, shown)
