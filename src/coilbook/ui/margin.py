"""The margin: explains whatever is in focus, always in one order; folds to a strip that says what it would explain."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.parts.shapes import ShapeMark
from coilbook.ui.parts.text import IdLabel, label
from coilbook.ui.theme import BODY, ID, MARGIN_STRIP, MARGIN_WIDTH, Theme
from coilbook.wording.language import translated

#: of the window's width, what the open margin takes at most when the text is scaled up
LARGEST_SHARE = 0.27
#: characters from which a line of evidence may break
LONG_WORDS = 22


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
        old = self._scroll.takeWidget()
        if old is not None:
            old.deleteLater()
        self._scroll.setWidget(_Body(self._theme, content))

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


class _Link(QAbstractButton):
    """Words that can be pressed, in accent."""

    def __init__(self, theme: Theme, link: MarginLink) -> None:
        super().__init__()
        self._theme = theme
        self.setText(link.words)
        self.setAccessibleName(link.words)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.clicked.connect(link.run)

    def sizeHint(self) -> QSize:
        metrics = QFontMetrics(self._theme.font(BODY, bold=True))
        return QSize(metrics.horizontalAdvance(self.text()) + 2, self._theme.px(22))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setFont(self._theme.font(BODY, bold=True))
            painter.setPen(self._theme.colour("accent"))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignVCenter, self.text())
            if self.hasFocus() or self.underMouse():
                painter.drawLine(0, self.height() - 3, self.width() - 2, self.height() - 3)


class _Body(QWidget):
    """The column of one explanation, rebuilt for each."""

    def __init__(self, theme: Theme, content: MarginContent) -> None:
        super().__init__()
        self.setObjectName("margin_body")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._theme = theme
        self._column = QVBoxLayout(self)
        side = theme.px(20)
        self._column.setContentsMargins(side - 1, theme.px(16), side, theme.px(16))
        self._column.setSpacing(0)
        self._head(content)
        self._rows(content.evidence, 0)
        self._chart(content)
        self._rows(content.facts, theme.px(12))
        for section in content.sections:
            self._section(section)
        self._end(content)
        self._column.addStretch(1)

    def _add(self, widget: QWidget, above: int = 0) -> None:
        if above:
            self._column.addSpacing(self._theme.px(above))
        self._column.addWidget(widget)

    def _head(self, content: MarginContent) -> None:
        if content.heading:
            self._add(label(content.heading.upper(), "head"))
        if content.whose:
            whose = IdLabel(self._theme, ID)
            whose.show_animal(content.whose, content.sex)
            self._add(whose, 4)
        if content.about:
            self._add(label(content.about, "second", wrap=True), 2)
        if content.verdict:
            self._verdict(content)
        if content.why:
            self._add(label(content.why, wrap=True), 6)

    def _verdict(self, content: MarginContent) -> None:
        verdict = label(content.verdict, "verdict", wrap=True)
        if not content.needs_you:
            self._add(verdict, 18)
            return
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(self._theme.px(8))
        mark = ShapeMark(self._theme, "triangle")
        mark.setContentsMargins(0, self._theme.px(5), 0, 0)
        row.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        verdict.setStyleSheet(f"color: {self._theme.tokens.clay};")
        row.addWidget(verdict, 1)
        self._add(holder, 18)

    def _rows(self, rows: tuple[Evidence | Fact, ...] | tuple[Evidence, ...] | tuple[Fact, ...], above: int) -> None:
        if not rows:
            return
        grid_holder = QWidget()
        grid = QGridLayout(grid_holder)
        grid.setContentsMargins(0, self._theme.px(12), 0, 0)
        grid.setHorizontalSpacing(self._theme.px(8))
        grid.setVerticalSpacing(self._theme.px(8))
        for number, row in enumerate(rows):
            if isinstance(row, Evidence):
                self._evidence(grid, number, row)
            else:
                self._fact(grid, number, row)
        grid.setColumnStretch(2, 1)
        self._column.addWidget(grid_holder)

    def _evidence(self, grid: QGridLayout, number: int, row: Evidence) -> None:
        if row.date:
            grid.addWidget(label(row.date, "second"), number, 0)
        if row.shape:
            grid.addWidget(ShapeMark(self._theme, row.shape), number, 1)
        grid.addWidget(label(row.word, wrap=len(row.word) > LONG_WORDS), number, 2)
        right = label(row.right, "second", wrap=len(row.right) > LONG_WORDS)
        right.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(right, number, 3)

    def _fact(self, grid: QGridLayout, number: int, row: Fact) -> None:
        name = label(row.name, "second", wrap=len(row.name) > LONG_WORDS)
        grid.addWidget(name, number, 0, 1, 2, Qt.AlignmentFlag.AlignTop)
        value = label(row.value, "strong" if row.strong else "", wrap=True)
        value.setAlignment(Qt.AlignmentFlag.AlignRight)
        grid.addWidget(value, number, 2, 1, 2)

    def _chart(self, content: MarginContent) -> None:
        if content.chart is None:
            return
        self._add(content.chart(), 16)
        if content.chart_note:
            self._add(label(content.chart_note, "small", wrap=True), 4)

    def _section(self, section: MarginSection) -> None:
        self._add(label(section.heading.upper(), "head"), 18)
        self._rows(section.rows, 0)
        if section.text:
            self._add(label(section.text, wrap=True), 6)

    def _end(self, content: MarginContent) -> None:
        if not content.rests_on and not content.links:
            return
        line = QFrame()
        line.setFixedHeight(1)
        line.setStyleSheet(f"background: {self._theme.tokens.rule};")
        self._add(line, 16)
        if content.rests_on:
            self._add(label(content.rests_on, "small", wrap=True), 12)
        for link in content.links:
            self._add(_Link(self._theme, link), 6)
