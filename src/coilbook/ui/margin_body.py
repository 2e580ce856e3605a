"""The column of the margin: one explanation from top to bottom.

Making and styling a dozen labels takes several milliseconds, and every step along a list explains something new. So
what was built for one explanation is kept, and the next one of the same outline only exchanges its words.
"""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFontMetrics, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.parts.shapes import ShapeMark
from coilbook.ui.parts.text import IdLabel, label
from coilbook.ui.theme import BODY, ID, Theme

#: characters from which a line of evidence may break
LONG_WORDS = 22
#: bodies kept for explanations to come
BODIES_KEPT = 12

Rows = tuple[Evidence | Fact, ...] | tuple[Evidence, ...] | tuple[Fact, ...]


Outline = tuple[object, ...]


class MarginColumn(QWidget):
    """Shows one of the bodies built so far, or a new one."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.setObjectName("margin_body")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._theme = theme
        #: those shown lately come last
        self._kept: dict[Outline, MarginBody] = {}
        self._shown: MarginBody | None = None
        self._outdated = False
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        theme.changed.connect(self._outdate)

    def show_content(self, content: MarginContent) -> None:
        """Show another explanation."""
        if self._outdated:
            self._outdated = False
            self._keep_at_most(0)
        drawn = outline(content)
        body = self._kept.pop(drawn, None)
        if body is None:
            body = MarginBody(self._theme, content)
            self._box.addWidget(body)
        else:
            body.show_content(content)
        before, self._shown = self._shown, body
        if before is not None and before is not body:
            before.hide()
        body.show()
        if before is not None and before.has_chart:
            self._let_go(before)
        if not body.has_chart:
            self._kept[drawn] = body
            self._keep_at_most(BODIES_KEPT)

    def _keep_at_most(self, count: int) -> None:
        while len(self._kept) > count:
            self._let_go(self._kept.pop(next(iter(self._kept))))

    def _let_go(self, body: MarginBody) -> None:
        self._shown = None if body is self._shown else self._shown
        body.hide()
        self._box.removeWidget(body)
        body.deleteLater()

    def _outdate(self) -> None:
        """Other sizes and colours: everything is built anew when it is next shown."""
        self._outdated = True


class MarginBody(QWidget):
    """Shows one explanation, and after it any other of the same outline."""

    def __init__(self, theme: Theme, content: MarginContent) -> None:
        super().__init__()
        self._theme = theme
        self.outline = outline(content)
        #: a chart is drawn for one content alone: such a body is not kept
        self.has_chart = content.chart is not None
        #: in the order of `texts`
        self._labels: list[QLabel] = []
        self._whose: IdLabel | None = None
        self._links: list[_Link] = []
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

    def show_content(self, content: MarginContent) -> None:
        """Exchange the words, for a content of the same outline."""
        for made, text in zip(self._labels, texts(content), strict=True):
            made.setText(text)
        if self._whose is not None:
            self._whose.show_animal(content.whose, content.sex)
        for shown, link in zip(self._links, content.links, strict=True):
            shown.show_link(link)

    # --- building ------------------------------------------------------------------------------------------
    def _add(self, widget: QWidget, above: int = 0) -> None:
        if above:
            self._column.addSpacing(self._theme.px(above))
        self._column.addWidget(widget)

    def _label(self, text: str, role: str = "", *, wrap: bool = False) -> QLabel:
        made = label(text, role, wrap=wrap)
        self._labels.append(made)
        return made

    def _head(self, content: MarginContent) -> None:
        if content.heading:
            self._add(self._label(content.heading.upper(), "head", wrap=True))
        if content.whose:
            self._whose = IdLabel(self._theme, ID)
            self._whose.show_animal(content.whose, content.sex)
            self._add(self._whose, 4)
        if content.about:
            self._add(self._label(content.about, "second", wrap=True), 2)
        if content.verdict:
            self._verdict(content)
        if content.why:
            self._add(self._label(content.why, wrap=True), 6)

    def _verdict(self, content: MarginContent) -> None:
        verdict = self._label(content.verdict, "verdict", wrap=True)
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

    def _rows(self, rows: Rows, above: int) -> None:
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
            grid.addWidget(self._label(row.date, "second"), number, 0)
        if row.shape:
            grid.addWidget(ShapeMark(self._theme, row.shape), number, 1)
        grid.addWidget(self._label(row.word, wrap=len(row.word) > LONG_WORDS), number, 2)
        right = self._label(row.right, "second", wrap=len(row.right) > LONG_WORDS)
        right.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(right, number, 3)

    def _fact(self, grid: QGridLayout, number: int, row: Fact) -> None:
        name = self._label(row.name, "second", wrap=len(row.name) > LONG_WORDS)
        grid.addWidget(name, number, 0, 1, 2, Qt.AlignmentFlag.AlignTop)
        value = self._label(row.value, "strong" if row.strong else "", wrap=True)
        value.setAlignment(Qt.AlignmentFlag.AlignRight)
        grid.addWidget(value, number, 2, 1, 2)

    def _chart(self, content: MarginContent) -> None:
        if content.chart is None:
            return
        self._add(content.chart(), 16)
        if content.chart_note:
            self._add(self._label(content.chart_note, "small", wrap=True), 4)

    def _section(self, section: MarginSection) -> None:
        if section.heading:
            self._add(self._label(section.heading.upper(), "head", wrap=True), 18)
        self._rows(section.rows, 0)
        if section.text:
            self._add(self._label(section.text, wrap=True), 6 if section.heading or not section.rows else 2)

    def _end(self, content: MarginContent) -> None:
        if not content.rests_on and not content.links:
            return
        line = QFrame()
        line.setFixedHeight(1)
        line.setStyleSheet(f"background: {self._theme.tokens.rule};")
        self._add(line, 16)
        if content.rests_on:
            self._add(self._label(content.rests_on, "small", wrap=True), 12)
        for link in content.links:
            self._links.append(_Link(self._theme, link))
            self._add(self._links[-1], 6)


def outline(content: MarginContent) -> Outline:
    """Everything but the words that decides which parts stand in the column, and how each is set."""
    head = (content.heading, content.whose, content.about, content.verdict, content.why, content.rests_on)
    return (
        tuple(map(bool, head)),
        content.needs_you,
        content.chart is not None,
        _rows_outline(content.evidence),
        _rows_outline(content.facts),
        tuple((bool(s.heading), _rows_outline(s.rows), bool(s.text)) for s in content.sections),
        len(content.links),
    )


def _rows_outline(rows: Rows) -> Outline:
    return tuple(
        (bool(row.date), row.shape, len(row.word) > LONG_WORDS, len(row.right) > LONG_WORDS)
        if isinstance(row, Evidence)
        else (len(row.name) > LONG_WORDS, row.strong)
        for row in rows
    )


def texts(content: MarginContent) -> Iterator[str]:
    """The words of an explanation without a chart, as its labels stand from top to bottom."""
    if content.heading:
        yield content.heading.upper()
    yield from filter(None, (content.about, content.verdict, content.why))
    yield from _row_texts(content.evidence)
    yield from _row_texts(content.facts)
    for section in content.sections:
        yield from filter(None, (section.heading.upper(),))
        yield from _row_texts(section.rows)
        yield from filter(None, (section.text,))
    yield from filter(None, (content.rests_on,))


def _row_texts(rows: Rows) -> Iterator[str]:
    for row in rows:
        if isinstance(row, Evidence):
            yield from (*filter(None, (row.date,)), row.word, row.right)
        else:
            yield from (row.name, row.value)


class _Link(QAbstractButton):
    """Words that can be pressed, in accent."""

    def __init__(self, theme: Theme, link: MarginLink) -> None:
        super().__init__()
        self._theme = theme
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.show_link(link)
        self.clicked.connect(self._follow)

    def show_link(self, link: MarginLink) -> None:
        """Lead elsewhere from now on."""
        self._link = link
        if self.text() != link.words:
            self.setText(link.words)
            self.setAccessibleName(link.words)
            self.updateGeometry()

    def _follow(self) -> None:
        self._link.run()

    def sizeHint(self) -> QSize:
        metrics = QFontMetrics(self._theme.font(BODY, bold=True))
        return QSize(metrics.horizontalAdvance(self.text()) + 2, self._theme.px(22))

    def minimumSizeHint(self) -> QSize:
        """Words too long for the margin end in dots rather than widen it."""
        return QSize(self._theme.px(40), self.sizeHint().height())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        font = self._theme.font(BODY, bold=True)
        shown = QFontMetrics(font).elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())
        self.setToolTip(self.text() if shown != self.text() else "")
        with QPainter(self) as painter:
            painter.setFont(font)
            painter.setPen(self._theme.colour("accent"))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignVCenter, shown)
            if self.hasFocus() or self.underMouse():
                painter.drawLine(0, self.height() - 3, self.width() - 2, self.height() - 3)
