"""The columns on the page: scrolls both ways; arrows walk, Enter opens, Tab leaves."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPoint, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen

from coilbook.reads.outlook import LookRow
from coilbook.ui.outlook.layout import GAP, Columns, Piece, Shown
from coilbook.ui.outlook.painter import PiecePainter
from coilbook.ui.outlook.sorts import PieceKind
from coilbook.ui.outlook.words import FactRow
from coilbook.ui.parts.painted_page import PaintedPage
from coilbook.ui.theme import Theme
from coilbook.wording.chances import percent
from coilbook.wording.language import translated
from coilbook.wording.style import Style

#: room at the left for the bar of the focus, px at 100 percent
SIDE = 12


class PairingColumns(PaintedPage):
    """Shows up to eight pairings; the piece in focus is told by `walked`, one to open by `opened`."""

    walked = Signal()
    opened = Signal(object)

    def __init__(self, theme: Theme, style: Style) -> None:
        super().__init__(theme, translated("Pairings side by side"))
        self._style = style
        self.shown: tuple[Shown, ...] = ()
        self._columns = Columns(theme, (), 400)
        self._at: tuple[PieceKind, int, int] = (PieceKind.NUMBER, 0, 0)

    def show_pairings(self, shown: Sequence[Shown]) -> None:
        """Show these pairings; the focus stays on its row."""
        self.shown = tuple(shown)
        self.lay_out()

    def lay_out(self) -> None:
        """Place everything for the present width and scale."""
        room = self.viewport().width() - self.theme.px(SIDE) - self.theme.px(6)
        self._columns = Columns(self.theme, self.shown, room)
        over = max(0, self._columns.height - self.viewport().height())
        self.verticalScrollBar().setRange(0, over)
        self.verticalScrollBar().setPageStep(self.viewport().height())
        self.verticalScrollBar().setSingleStep(self.theme.px(28))
        self.horizontalScrollBar().setRange(0, max(0, self._columns.width - room))
        self.horizontalScrollBar().setPageStep(room)
        self.horizontalScrollBar().setSingleStep(self.theme.px(40))
        self._keep_focus()
        self.viewport().update()
        self._tell()

    # --- focus ------------------------------------------------------------------------------------------------
    @property
    def piece(self) -> Piece | None:
        """The piece in focus."""
        return next((piece for piece in self._columns.pieces if piece.name == self._at and piece.focusable), None)

    @property
    def column(self) -> int:
        """The column in focus."""
        return min(self._at[1], max(len(self.shown) - 1, 0))

    def focus_on(self, kind: PieceKind, column: int, row: int = 0) -> None:
        """Put the focus on a piece."""
        self._at = (kind, column, row)
        self._keep_focus()
        self._scroll_to()
        self.viewport().update()
        self._tell()

    def _keep_focus(self) -> None:
        """Where its piece is gone the focus goes to the nearest above in its column."""
        if self.piece is not None or not self.shown:
            return
        column = self.column
        choices = self._columns.column_of(column)
        same = [piece for piece in choices if piece.kind is self._at[0]]
        numbers = [p for p in choices if p.kind in (PieceKind.NUMBER, PieceKind.REFUSED)]
        chosen = (same or numbers or choices)[-1 if same else 0]
        self._at = chosen.name

    def _step(self, by: int) -> None:
        pieces = self._columns.column_of(self.column)
        at = next((n for n, piece in enumerate(pieces) if piece.name == self._at), 0)
        if pieces:
            self.focus_on(*pieces[max(0, min(at + by, len(pieces) - 1))].name)

    def _aside(self, by: int) -> None:
        here, column = self.piece, self.column + by
        if here is None or not 0 <= column < len(self.shown):
            return
        middle = here.box.center().y()
        nearest = min(self._columns.column_of(column), key=lambda p: abs(p.box.center().y() - middle), default=None)
        if nearest is not None:
            self.focus_on(*nearest.name)

    def _scroll_to(self) -> None:
        piece = self.piece
        if piece is None:
            return
        down, across = self.verticalScrollBar(), self.horizontalScrollBar()
        if piece.box.top() < down.value() or piece.kind in (PieceKind.TITLE, PieceKind.NUMBER):
            down.setValue(max(0, piece.box.top() - self.theme.px(8)) if piece.kind is not PieceKind.NUMBER else 0)
        elif piece.box.bottom() > down.value() + self.viewport().height():
            down.setValue(piece.box.bottom() - self.viewport().height() + self.theme.px(8))
        if piece.box.left() < across.value():
            across.setValue(piece.box.left())
        elif piece.box.right() > across.value() + across.pageStep():
            across.setValue(piece.box.right() - across.pageStep())

    def _tell(self) -> None:
        """What a screen reader says of the piece in focus."""
        self.setAccessibleDescription(spoken(self.piece))
        self.walked.emit()

    # --- events -----------------------------------------------------------------------------------------------
    def keyPressEvent(self, event: QKeyEvent) -> None:
        keys = {
            Qt.Key.Key_Down: lambda: self._step(1),
            Qt.Key.Key_Up: lambda: self._step(-1),
            Qt.Key.Key_Right: lambda: self._aside(1),
            Qt.Key.Key_Left: lambda: self._aside(-1),
            Qt.Key.Key_Home: lambda: self._step(-1000),
            Qt.Key.Key_End: lambda: self._step(1000),
            Qt.Key.Key_PageDown: lambda: self._step(8),
            Qt.Key.Key_PageUp: lambda: self._step(-8),
        }
        run = keys.get(Qt.Key(event.key()))
        if run is not None and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            run()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space) and self.piece is not None:
            self.opened.emit(self.piece)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        point = event.position().toPoint() - self._offset()
        for piece in self._columns.pieces:
            if piece.focusable and piece.box.contains(point):
                again = piece.name == self._at
                self.focus_on(*piece.name)
                if piece.kind is PieceKind.MORE or (again and piece.kind is PieceKind.LOOK):
                    self.opened.emit(piece)
                return

    def _offset(self) -> QPoint:
        return QPoint(self.theme.px(SIDE) - self.horizontalScrollBar().value(), -self.verticalScrollBar().value())

    def paintEvent(self, event: QPaintEvent) -> None:
        offset = self._offset()
        with QPainter(self.viewport()) as painter:
            painter.translate(offset)
            seen = self.viewport().rect().translated(-offset)
            pieces = PiecePainter(self.theme, self._style, self._columns.wide)
            self._lines(painter, seen)
            for piece in self._columns.pieces:
                if piece.box.intersects(seen):
                    painter.save()
                    pieces.paint(painter, piece, piece.name == self._at)
                    painter.restore()

    def _lines(self, painter: QPainter, seen: QRect) -> None:
        """One hairline between columns."""
        painter.setPen(QPen(self.theme.colour("rule"), 1))
        gap = self.theme.px(GAP)
        for number in range(1, len(self.shown)):
            x = number * (self._columns.each + gap) - gap // 2 - self.theme.px(4)
            painter.drawLine(x, seen.top(), x, seen.bottom())


def spoken(piece: Piece | None) -> str:
    """A piece in words."""
    if piece is None:
        return ""
    content = piece.content
    if isinstance(content, LookRow):
        return translated("{look}: {each} each, {more} for one or more").format(
            look=content.title, each=percent(content.each), more=percent(content.at_least_one)
        )
    if isinstance(content, FactRow):
        return f"{content.name}: {content.value}"
    if isinstance(content, Shown):
        return f"{content.number} {content.sentence}".strip()
    return ""
