"""The genes of an animal, one line each: what she is, with evidence, on paper, and what it rests on.

Arrows walk along the lines, the margin explains the one in focus; any letter begins a finding in the last line.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from coilbook.ui.animal.edit_in_place import EditInPlace
from coilbook.ui.animal.genes_words import evidence_words, paper_words
from coilbook.ui.animal.label_asks import LabelAsks
from coilbook.ui.parts.chance_bar import paint_chance
from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.parts.text import label, set_role
from coilbook.ui.theme import BODY, SMALL, TARGET, Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

if TYPE_CHECKING:
    from coilbook.reads.genetics_rows import GeneRow, GeneticsPart

ROW, HEAD = 26, 22
#: where the words of every line begin
INSET = 12
#: lines shown before the rest is folded into one
MOST = 8
#: widths at 100 percent. Gene and what she is: at least and at most; the bar and the rest share what is left
GENE, WHAT, BAR, EVIDENCE, PAPER = (56, 132), (72, 152), (48, 112), 44, 60
#: the least width in which a line can be read, at 100 percent
LEAST = 400
#: part of the width that what a line rests on has at least
RESTS_SHARE = 0.3


_KEY = "Bar: with evidence, hatched while in doubt. Tick: on paper, from the parents alone."
_SOLD = "In brackets: the trade's word, the highest that is not above it."


def _label_note(part: GeneticsPart | None, style: Style) -> str:
    """What of the label is not counted, and why: it is never left out in silence."""
    if part is None:
        return ""
    if part.in_question:
        return translated("The label is not counted until this is answered.")
    if part.unread and not part.read_whole:
        words = translated("Not understood in the label: {words}. What it does not name is not taken as absent.")
        return words.format(words=part.unread)
    return ""


class GenesList(QWidget):
    """The painted lines."""

    walked = Signal()
    #: letters that begin a finding, empty for an empty field
    begun = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme, self._style = theme, Style()
        self.rows: tuple[GeneRow, ...] = ()
        self._at, self._open, self._word = 0, False, ""
        self.setAccessibleName(translated("Genes"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    # --- what is shown -------------------------------------------------------------------------------------
    def show_rows(self, rows: tuple[GeneRow, ...], style: Style, word: str, *, same: bool) -> None:
        """Show these; `word` stands in place of the lines while there are none or beside them while they are old."""
        before = self.row.gene if self.row is not None and same else ""
        self.rows, self._style, self._word = rows, style, word
        if not same:
            self._open, self._at = False, 0
        self._at = next((n for n, row in enumerate(self.shown) if row.gene == before), min(self._at, self._last))
        self._tell()
        self.updateGeometry()
        self.update()

    @property
    def shown(self) -> tuple[GeneRow, ...]:
        """The lines in view; the rest is behind one word."""
        return self.rows if self._open or len(self.rows) <= MOST else self.rows[: MOST - 1]

    @property
    def row(self) -> GeneRow | None:
        """The line in focus; None on the word that opens the rest."""
        return self.shown[self._at] if self._at < len(self.shown) else None

    def go(self, gene: str) -> bool:
        """Put the focus on a gene; False when there is no such line."""
        place = next((n for n, row in enumerate(self.rows) if row.gene == gene), None)
        if place is None:
            return False
        self._open = self._open or place >= len(self.shown)
        self._at = place
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.updateGeometry()
        self._walk(0)
        return True

    @property
    def _last(self) -> int:
        return max(0, len(self.shown) - (1 if len(self.shown) == len(self.rows) else 0))

    @property
    def _height(self) -> int:
        return self._theme.px(TARGET * 0.75 if self._theme.room else ROW)

    def sizeHint(self) -> QSize:
        lines = max(1, len(self.shown) + (len(self.shown) < len(self.rows)))
        return QSize(self._theme.px(560), self._theme.px(HEAD) + lines * self._height)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(LEAST), self.sizeHint().height())

    # --- keys ----------------------------------------------------------------------------------------------
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, text = event.key(), event.text()
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down) and self._may_walk(key == Qt.Key.Key_Down):
            self._walk(1 if key == Qt.Key.Key_Down else -1)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._enter()
        elif text.isalnum() and not event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
            self.begun.emit(text)
        else:
            super().keyPressEvent(event)

    def _may_walk(self, down: bool) -> bool:
        return self._at < self._last if down else self._at > 0

    def _enter(self) -> None:
        if self.row is None and self.rows:
            self._open = True
            self.updateGeometry()
            self._walk(0)
        else:
            self.begun.emit("")

    def mousePressEvent(self, event: QMouseEvent) -> None:
        place = (int(event.position().y()) - self._theme.px(HEAD)) // self._height
        if 0 <= place <= self._last and self.rows:
            self._at = place
            if self.row is None:
                self._enter()
            self._walk(0)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._walk(0)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def _walk(self, by: int) -> None:
        self._at = min(max(self._at + by, 0), self._last)
        self._tell()
        self.update()
        self.walked.emit()

    def _tell(self) -> None:
        row = self.row
        if row is None:
            self.setAccessibleDescription(self._more() if self.rows else self._word)
            return
        parts = [row.name, render(row.what, self._style)]
        if row.numbered:
            parts += [translated("with evidence {percent}").format(percent=evidence_words(row))]
            parts += (
                [translated("on paper {percent}").format(percent=paper_words(row))] if row.paper is not None else []
            )
        self.setAccessibleDescription(", ".join([*parts, render(row.rests_on, self._style)]))

    # --- painting ------------------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        # once for all lines: it measures every word
        edges = self._columns()
        with QPainter(self) as painter:
            self._heads(painter, edges)
            for number, row in enumerate(self.shown):
                box = QRect(0, theme.px(HEAD) + number * self._height, self.width(), self._height)
                self._line(painter, box, row, edges, focus=number == self._at and self.hasFocus())
            rest = QRect(0, theme.px(HEAD) + len(self.shown) * self._height, self.width(), self._height)
            if len(self.shown) < len(self.rows):
                self._ground(painter, rest, self._at == len(self.shown) and self.hasFocus())
                self._words(painter, rest.adjusted(theme.px(INSET), 0, 0, 0), self._more(), "second")
            elif not self.rows:
                self._words(painter, rest.adjusted(theme.px(INSET), 0, 0, 0), self._word, "second")

    def _more(self) -> str:
        return translated("and {n} more genes (Enter)").format(n=len(self.rows) - len(self.shown))

    def _columns(self) -> tuple[int, ...]:
        """Left edges of gene, what she is, bar, with evidence, on paper, rests on: as wide as what stands in them, and
        the bar gives way first, so that what a line rests on can always be read."""
        theme, first = self._theme, self._theme.px(INSET)
        bold, plain = (QFontMetrics(theme.font(BODY, bold=heavy)) for heavy in (True, False))
        style, gap = self._style, theme.px(16)
        gene = _held(GENE, theme, (bold.horizontalAdvance(row.name) for row in self.shown), gap)
        # a contradiction stands behind a triangle and in bold
        said = ((bold if r.contradiction else plain, r) for r in self.shown)
        words = (m.horizontalAdvance(render(r.what, style)) + (gap if r.contradiction else 0) for m, r in said)
        what = _held(WHAT, theme, words, gap)
        paper, evidence = theme.px(PAPER), theme.px(EVIDENCE)
        if any(row.numbered for row in self.shown):
            from coilbook.ui.animal.genes_words import evidence_words, paper_words

            paper = max([paper, *(plain.horizontalAdvance(paper_words(row)) + gap for row in self.shown)])
            evidence = max([evidence, *(bold.horizontalAdvance(evidence_words(row)) for row in self.shown)])
        left = round(self.width() * (1 - RESTS_SHARE)) - first - gene - what - evidence - paper - gap
        bar = min(max(left, theme.px(BAR[0])), theme.px(BAR[1]))
        edges = [first]
        for wide in (gene, what, bar, evidence, paper + gap):
            edges.append(edges[-1] + wide)
        return tuple(edges)

    def _heads(self, painter: QPainter, edges: tuple[int, ...]) -> None:
        gene, what, bar, _, paper, rests = edges
        painter.setFont(self._theme.font(SMALL))
        painter.setPen(self._theme.colour("second"))
        height, right = self._theme.px(HEAD), Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRect(gene, 0, what - gene, height), Qt.AlignmentFlag.AlignVCenter, translated("Gene"))
        painter.drawText(QRect(what, 0, bar - what, height), Qt.AlignmentFlag.AlignVCenter, translated("What it is"))
        painter.drawText(QRect(bar, 0, paper - bar, height), right, translated("with evidence"))
        painter.drawText(QRect(paper, 0, rests - paper - self._theme.px(16), height), right, translated("on paper"))
        words = self._word if self.rows and self._word else translated("Rests on")
        painter.drawText(QRect(rests, 0, self.width() - rests, height), Qt.AlignmentFlag.AlignVCenter, words)

    def _ground(self, painter: QPainter, box: QRect, focus: bool) -> None:
        theme = self._theme
        painter.setPen(QPen(theme.colour("rule"), 1))
        painter.drawLine(box.topLeft(), box.topRight())
        if focus:
            painter.fillRect(box.adjusted(0, 1, 0, 0), theme.colour("tint"))
            painter.setPen(QPen(theme.colour("accent"), 1))
            painter.drawRect(box.adjusted(0, 0, -1, -1))
            painter.fillRect(QRect(box.left(), box.top(), theme.px(4), box.height()), theme.colour("accent"))

    def _line(self, painter: QPainter, box: QRect, row: GeneRow, edges: tuple[int, ...], *, focus: bool) -> None:
        theme = self._theme
        self._ground(painter, box, focus)
        gene, what, bar, evidence, paper, rests = (edge + box.left() for edge in edges)
        gap = theme.px(8)
        cell = box.adjusted(0, 1, 0, -1)
        self._words(painter, QRect(gene, cell.top(), what - gene - gap, cell.height()), row.name, "ink", bold=True)
        said = QRect(what, cell.top(), bar - what - gap, cell.height())
        if row.contradiction is not None:
            side = theme.px(16)
            paint_shape(painter, "triangle", QRectF(said.left(), said.top(), side, said.height()), theme)
            said.adjust(side + theme.px(4), 0, 0, 0)
        wide = self._words(painter, said, render(row.what, self._style), "ink", bold=row.contradiction is not None)
        if row.doubt and row.numbered:
            # a doubt is underlined with dashes, never told by a paler ink
            pen = QPen(theme.colour("ink"), 1, Qt.PenStyle.DashLine)
            painter.setPen(pen)
            line = said.center().y() + theme.px(8)
            painter.drawLine(said.left(), line, said.left() + wide, line)
        if row.numbered:
            self._numbers(painter, cell, row, (bar, evidence, paper, rests))
        self._words(
            painter,
            QRect(rests, cell.top(), box.right() - rests, cell.height()),
            render(row.rests_on, self._style),
            "second",
        )

    def _numbers(self, painter: QPainter, cell: QRect, row: GeneRow, edges: tuple[int, int, int, int]) -> None:
        theme = self._theme
        bar, evidence, paper, rests = edges
        room = QRectF(bar, cell.top(), evidence - bar - theme.px(4), cell.height())
        tick = float(row.paper) if row.paper is not None else None
        paint_chance(painter, room, theme, row.evidence, tick, doubt=row.doubt)
        right = QRect(evidence, cell.top(), paper - evidence, cell.height())
        self._words(painter, right, evidence_words(row), "ink", bold=True, right=True)
        if row.paper is not None:
            last = QRect(paper, cell.top(), rests - paper - theme.px(16), cell.height())
            self._words(painter, last, paper_words(row), "second", right=True)

    def _words(
        self, painter: QPainter, box: QRect, text: str, token: str, *, bold: bool = False, right: bool = False
    ) -> int:
        font = self._theme.font(BODY, bold=bold)
        metrics = QFontMetrics(font)
        painter.setFont(font)
        painter.setPen(self._theme.colour(token))
        shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, shown)
        return metrics.horizontalAdvance(shown)


def _held(limits: tuple[int, int], theme: Theme, wide: Iterable[int], gap: int) -> int:
    least, most = (theme.px(limit) for limit in limits)
    return min(max([least, *(one + gap for one in wide)]), most)


class GenesPart(QWidget):
    """The lines, the field that takes findings, and what the bar means."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.part: GeneticsPart | None = None
        self.list = GenesList(theme)
        self.entry = EditInPlace(theme, translated("Finding"), bare=True)
        self.entry.field_width = 420
        self.entry.show_value("", hint=translated('Type a look, a claim, a test or "proven" to add a finding'))
        self.key = label(translated(_KEY), "small", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.px(2))
        column.addWidget(self.list)
        under = QVBoxLayout()
        under.setContentsMargins(theme.px(INSET), 0, 0, 0)
        under.setSpacing(theme.px(2))
        self.asks = LabelAsks(theme)
        under.addWidget(self.entry)
        under.addWidget(self.key)
        under.addWidget(self.asks)
        column.addLayout(under)
        self.list.begun.connect(self.begin)

    def show_part(self, part: GeneticsPart | None, style: Style, word: str = "", *, same: bool = True) -> None:
        """Show the genes of an animal; `word` while they are being worked out, or why there are none."""
        self.part = part
        rows = part.rows if part is not None else ()
        self.list.show_rows(rows, style, word if rows or word else translated("No gene is known of."), same=same)
        note = _label_note(part, style)
        key = translated(_KEY)
        if any("(" in paper_words(row) for row in rows if row.paper is not None):
            key = f"{key} {translated(_SOLD)}"
        self.key.setText(note or key)
        set_role(self.key, "" if note else "small")
        self.key.setVisible(bool(note) or any(row.numbered for row in rows))
        self.asks.show_asks(part.asks if part is not None else (), style)

    def begin(self, letters: str = "") -> None:
        """Open the field; letters typed on the list go into it."""
        stood = self.entry.field.text() if self.entry.field is not None else ""
        self.entry.edit()
        if self.entry.field is not None and letters:
            self.entry.field.setText(stood + letters)
