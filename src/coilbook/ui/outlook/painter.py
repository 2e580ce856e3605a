"""Paints the pieces of the columns: doubt is hatched, an answer is an area, the focus a bar and a frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QBrush, QFontMetrics, QPainter, QPen

from coilbook.genetics.outlook_chance import Cell
from coilbook.reads.outlook import LookRow, PairingOdds
from coilbook.ui.outlook.layout import NAMES_WIDTH, NUMBER_WIDTH, Piece, Shown, about_words, folded
from coilbook.ui.outlook.sorts import PieceKind
from coilbook.ui.outlook.words import FactRow
from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.theme import BODY, SMALL, TITLE, Theme
from coilbook.wording.chances import percent
from coilbook.wording.language import translated
from coilbook.wording.style import Style

LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
WRAP = Qt.AlignmentFlag.AlignLeft.value | Qt.TextFlag.TextWordWrap.value
#: widths of the number columns of the looks, right to left: one or more, of n, each
NUMBER_COLUMNS = (62, 38, 52)
BAR = 52


@dataclass(frozen=True)
class PiecePainter:
    """Paints one piece at a time; `wide` as the columns are laid out."""

    theme: Theme
    style: Style
    wide: bool

    def paint(self, painter: QPainter, piece: Piece, focused: bool) -> None:
        """Paint a piece."""
        if focused and piece.kind is not PieceKind.NUMBER:
            self._tint(painter, piece.box)
        match piece.kind:
            case PieceKind.TITLE:
                self._title(painter, piece.box, cast(PairingOdds, piece.content))
            case PieceKind.NUMBER:
                self._number(painter, piece.box, cast(Shown, piece.content), focused)
            case PieceKind.REFUSED:
                self._refused(painter, piece.box, cast(Shown, piece.content), focused)
            case PieceKind.PICTURE:
                self._picture(painter, piece.box, cast(Shown, piece.content))
            case PieceKind.LOOKS_HEAD:
                self._looks_head(painter, piece.box, cast(Shown, piece.content))
            case PieceKind.LOOK | PieceKind.INSIDE:
                self._look(painter, piece, cast(LookRow, piece.content), focused)
            case PieceKind.MORE:
                self._more(painter, piece.box, cast(Shown, piece.content))
            case PieceKind.FACT:
                self._fact(painter, piece.box, cast(FactRow, piece.content), focused)

    def _tint(self, painter: QPainter, box: QRect) -> None:
        px = self.theme.px
        painter.fillRect(box.adjusted(-px(8), 0, 0, -1), self.theme.colour("tint"))
        painter.fillRect(QRect(box.left() - px(12), box.top(), px(4), box.height() - 1), self.theme.colour("accent"))

    def _words(
        self, painter: QPainter, box: QRect, text: str, look: tuple[str, int, bool], flags: object = LEFT
    ) -> None:
        token, size, bold = look
        font = self.theme.font(size, bold=bold)
        painter.setFont(font)
        painter.setPen(self.theme.colour(token))
        shown = QFontMetrics(font).elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, flags, shown)  # type: ignore[call-overload]

    def _wrapped(self, painter: QPainter, box: QRect, text: str, token: str, *, bold: bool = False) -> None:
        painter.setFont(self.theme.font(BODY, bold=bold))
        painter.setPen(self.theme.colour(token))
        painter.drawText(box, WRAP, text)

    # --- head -------------------------------------------------------------------------------------------------
    def _title(self, painter: QPainter, box: QRect, odds: PairingOdds) -> None:
        theme = self.theme
        between = " + " if odds.pairing.each_own else f" {translated('or')} "
        sires = between.join(self._sire(odds, number) for number in range(len(odds.sires)))
        dam = self._named(odds.dam.keeper_id, odds.dam.sex, odds.dam.sex_percent)
        title = f"{dam} \u00d7 {sires}"
        height = QFontMetrics(theme.font(TITLE, bold=True)).height()
        line = QRect(box.left(), box.top(), box.width(), height)
        sizes = (TITLE, BODY, SMALL)
        size = next((s for s in sizes if self._wide_as(title, s) <= box.width()), SMALL)
        if self._wide_as(title, size) <= box.width():
            self._words(painter, line, title, ("ink", size, True))
        else:
            half = QRect(line.left(), line.top(), line.width(), height // 2)
            self._words(painter, half, dam, ("ink", SMALL, True))
            self._words(painter, half.translated(0, height // 2), f"\u00d7 {sires}", ("ink", SMALL, True))
        below = box.adjusted(0, height + theme.px(4), 0, -theme.px(6))
        painter.setClipRect(below)
        self._wrapped(painter, below, about_words(odds), "second")

    def _wide_as(self, text: str, size: int) -> int:
        return QFontMetrics(self.theme.font(size, bold=True)).horizontalAdvance(text)

    def _sire(self, odds: PairingOdds, number: int) -> str:
        sire, weight = odds.sires[number]
        name = self._named(sire.keeper_id, sire.sex, sire.sex_percent)
        return name if len(odds.sires) == 1 else f"{name} {percent(weight, 0)}"

    def _named(self, keeper_id: str, sex: object, sure: int) -> str:
        return " ".join(part for part in (keeper_id, *self.style.sex_sign(sex, sure)) if part)  # type: ignore[arg-type]

    def _number(self, painter: QPainter, box: QRect, shown: Shown, focused: bool) -> None:
        theme, px = self.theme, self.theme.px
        font = theme.font(TITLE, bold=True)
        width = QFontMetrics(font).horizontalAdvance(shown.number)
        height = px(34)
        self._words(painter, QRect(box.left(), box.top(), width + px(2), height), shown.number, ("ink", TITLE, True))
        if focused:
            painter.save()
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(theme.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(box.left() - px(6), box.top(), width + px(12), height), 4, 4)
            painter.restore()
        text = box.adjusted(px(NUMBER_WIDTH), 0, 0, 0) if self.wide else box.adjusted(0, px(36), 0, 0)
        self._wrapped(painter, text, shown.sentence, "ink")

    def _refused(self, painter: QPainter, box: QRect, shown: Shown, focused: bool) -> None:
        assert shown.odds.refused is not None
        side = self.theme.px(16)
        top = box.top() + self.theme.px(6)
        paint_shape(painter, "triangle", QRectF(box.left(), top, side, side), self.theme)
        words = box.adjusted(side + self.theme.px(6), self.theme.px(6), 0, 0)
        self._wrapped(painter, words, shown.sentence, "ink" if focused else "clay", bold=focused)

    # --- the picture whose area is the answer -----------------------------------------------------------------
    def _picture(self, painter: QPainter, box: QRect, shown: Shown) -> None:
        wish = shown.odds.wish
        assert wish is not None
        theme = self.theme
        left = float(box.left())
        for number, cell in enumerate(wish.cells):
            width = box.width() * cell.weight
            whole = QRectF(left, box.top(), width, box.height())
            self._cell(painter, whole, cell, shown)
            left += width
            if number:
                painter.setPen(QPen(theme.colour("ink"), 2))
                painter.drawLine(whole.topLeft(), whole.bottomLeft())
        painter.setPen(QPen(theme.colour("edge"), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box.adjusted(0, 0, -1, -1))

    def _cell(self, painter: QPainter, whole: QRectF, cell: Cell, shown: Shown) -> None:
        theme, px = self.theme, self.theme.px
        filled = QRectF(
            whole.left(), whole.bottom() - whole.height() * cell.given, whole.width(), whole.height() * cell.given
        )
        if cell.given > 0:
            painter.fillRect(filled, theme.colour("accent"))
        else:
            painter.fillRect(whole, QBrush(theme.colour("rule"), Qt.BrushStyle.BDiagPattern))
        font = theme.font(BODY, bold=True)
        room = QRect(round(whole.left()) + px(10), 0, round(whole.width()) - px(16), px(18))
        lines = self._fitting(self._cell_words(cell, shown), cell, room.width())
        inside = filled.height() >= px(44)
        top = whole.bottom() - px(42) if inside or cell.given == 0 else whole.top() + px(4)
        for number, line in enumerate(lines):
            at = QRect(room.left(), round(top) + number * px(18), room.width(), px(18))
            if cell.given == 0:
                width = min(QFontMetrics(font).horizontalAdvance(line), room.width())
                painter.fillRect(at.adjusted(-px(3), 0, width - room.width() + px(3), 0), theme.colour("ground"))
            ink = "on_accent" if inside else "ink"
            if not inside and cell.given > 0 and at.bottom() > filled.top():
                return
            self._words(painter, at, line, (ink, BODY, number == 0))

    def _fitting(self, lines: tuple[str, str], cell: Cell, width: int) -> list[str]:
        """The lines as far as they fit: shorter ones before cut ones, none before a torn one."""
        shorter = (percent(cell.weight), translated("never") if cell.given == 0 else percent(cell.given))
        kept = []
        for number, ways in enumerate(zip(lines, shorter)):
            metrics = QFontMetrics(self.theme.font(BODY, bold=number == 0))
            fits = next((words for words in ways if metrics.horizontalAdvance(words) <= width), None)
            if fits is not None:
                kept.append(fits)
        return kept

    def _cell_words(self, cell: Cell, shown: Shown) -> tuple[str, str]:
        wish = shown.odds.wish
        assert wish is not None
        doubt = (0 < wish.before.dam < 1, 0 < wish.before.sire < 1)
        who = {
            (True, True, True, True): translated("both carry it"),
            (True, True, True, False): translated("only she does"),
            (True, True, False, True): translated("only he does"),
            (True, True, False, False): translated("neither does"),
        }.get((*doubt, cell.dam, cell.sire))
        if who is None:
            carries = cell.dam if doubt[0] else cell.sire
            she = doubt[0] or not doubt[1]
            yes = translated("she carries it") if she else translated("he carries it")
            who = yes if carries else translated("not")
        first = f"{who}, {percent(cell.weight)}"
        if doubt == (False, False):
            first = translated("nothing in doubt") if cell.given > 0 else translated("it cannot fall here")
        if cell.given == 0:
            return first, translated("never, from any egg")
        return first, translated("{look} in {chance} of clutches of {n}").format(
            look=shown.looked_for, chance=percent(cell.given), n=shown.odds.asked.hatchlings
        )

    # --- looks ------------------------------------------------------------------------------------------------
    def _columns(self, box: QRect) -> tuple[QRect, QRect, QRect, QRect, QRect]:
        """Boxes of title, bar, each, of n, one or more; bar and of n are empty in a narrow column."""
        px, right = self.theme.px, box.right() + 1
        last = QRect(right - px(NUMBER_COLUMNS[0]), box.top(), px(NUMBER_COLUMNS[0]), box.height())
        count = px(NUMBER_COLUMNS[1]) if self.wide else 0
        of = QRect(last.left() - count, box.top(), count, box.height())
        each = QRect(of.left() - px(NUMBER_COLUMNS[2]), box.top(), px(NUMBER_COLUMNS[2]), box.height())
        bar = px(BAR + 10) if self.wide else 0
        drawn = QRect(each.left() - bar, box.top(), bar, box.height())
        return QRect(box.left(), box.top(), drawn.left() - box.left() - px(6), box.height()), drawn, each, of, last

    def _looks_head(self, painter: QPainter, box: QRect, shown: Shown) -> None:
        title, _, each, of, last = self._columns(box)
        small = ("second", SMALL, False)
        head = "Looked for, of what hatches" if folded(shown, wide=self.wide) else "Told apart at hatch"
        self._words(painter, title, translated(head), small)
        self._words(painter, each, translated("each"), small, RIGHT)
        if self.wide:
            self._words(painter, of, translated("of {n}").format(n=shown.odds.asked.hatchlings), small, RIGHT)
        self._words(painter, last, translated("1 or more"), small, RIGHT)
        painter.setPen(QPen(self.theme.colour("rule"), 1))
        painter.drawLine(box.bottomLeft(), box.bottomRight())

    def _look(self, painter: QPainter, piece: Piece, row: LookRow, focused: bool) -> None:
        if piece.kind is PieceKind.INSIDE:
            self._inside(painter, piece.box, row, focused)
            return
        theme, box = self.theme, piece.box
        two_lines = bool(row.carried) or not self.wide
        first = QRect(box.left(), box.top() + theme.px(3), box.width(), theme.px(20)) if two_lines else box
        second = QRect(box.left(), first.bottom(), box.width(), theme.px(17))
        numbers = first if self.wide else second
        title, bar, each, of, last = self._columns(numbers)
        room = QRect(title.left(), first.top(), title.width() if self.wide else box.width(), first.height())
        self._words(painter, room, row.title + (" \u203a" if row.several else ""), ("ink", BODY, row.wanted))
        carried = second if self.wide else title
        self._words(painter, carried, row.carried, ("second", SMALL, False))
        self._words(painter, each, percent(row.each), ("ink", BODY, False), RIGHT)
        if self.wide:
            self._words(painter, of, f"{row.expected:.1f}", ("ink", BODY, False), RIGHT)
            self._bar(painter, bar, row)
        self._words(painter, last, percent(row.at_least_one), ("ink", BODY, True), RIGHT)
        painter.setPen(QPen(theme.colour("rule"), 1))
        painter.drawLine(box.bottomLeft(), box.bottomRight())

    def _inside(self, painter: QPainter, box: QRect, row: LookRow, focused: bool) -> None:
        title, _, each, of, last = self._columns(box)
        look = ("ink" if focused else "second", SMALL, False)
        words = ", ".join(part for part in (row.title, row.carried) if part)
        self._words(painter, title.adjusted(self.theme.px(16), 0, 0, 0), words, look)
        self._words(painter, each, percent(row.each), look, RIGHT)
        if self.wide:
            self._words(painter, of, f"{row.expected:.1f}", look, RIGHT)
        self._words(painter, last, percent(row.at_least_one), look, RIGHT)

    def _bar(self, painter: QPainter, box: QRect, row: LookRow) -> None:
        theme, px = self.theme, self.theme.px
        whole = QRect(box.left(), box.center().y() - px(4), px(BAR), px(8))
        filled = QRect(whole.left(), whole.top(), max(round(whole.width() * row.each), px(2)), whole.height())
        accent = theme.colour("accent")
        if row.in_doubt:
            painter.fillRect(filled, QBrush(accent, Qt.BrushStyle.BDiagPattern))
            painter.fillRect(QRect(filled.right(), filled.top(), px(1) or 1, filled.height()), accent)
        else:
            painter.fillRect(filled, accent)
        painter.setPen(QPen(theme.colour("second"), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(whole.adjusted(0, 0, -1, -1))

    def _more(self, painter: QPainter, box: QRect, shown: Shown) -> None:
        text = translated("and {n} more, {share} together").format(n=f"{shown.more:,}", share=percent(shown.more_share))
        self._words(painter, box, text, ("accent", BODY, False))

    # --- facts ------------------------------------------------------------------------------------------------
    def _fact(self, painter: QPainter, box: QRect, fact: FactRow, focused: bool) -> None:
        theme, px = self.theme, self.theme.px
        painter.setPen(QPen(theme.colour("rule"), 1))
        painter.drawLine(box.topLeft(), box.topRight())
        if self.wide:
            self._words(
                painter,
                QRect(box.left(), box.top() + px(5), px(NAMES_WIDTH - 8), px(18)),
                fact.name,
                ("second", BODY, False),
            )
            value = box.adjusted(px(NAMES_WIDTH), px(5), -px(8), 0)
        else:
            height = QFontMetrics(theme.font(SMALL)).height()
            self._words(
                painter, QRect(box.left(), box.top() + px(4), box.width(), height), fact.name, ("second", SMALL, False)
            )
            value = box.adjusted(0, px(4) + height, -px(8), 0)
        if fact.needs_you:
            paint_shape(painter, "triangle", QRectF(value.left(), value.top(), px(16), px(17)), theme)
            value = value.adjusted(px(20), 0, 0, 0)
        # clay on the tint of the focus is only 4.3:1
        token = "clay" if fact.needs_you and not focused else "ink"
        self._wrapped(painter, value, fact.value, token, bold=fact.needs_you and focused)
