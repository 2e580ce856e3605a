"""Paints the rows of the list: id with its sex, the small weight curve, the meal with its days, the state."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetrics, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from coilbook.reads.herd_rows import HerdRow
from coilbook.ui.animals.columns import COLUMNS, Cell
from coilbook.ui.models.animal_table import AnimalTable
from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.parts.table import Index, RowPainter
from coilbook.ui.theme import BODY, Theme

#: the curve shows this many days, whatever was stored
CURVE_DAYS = 366
_MIDDLE = Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | _MIDDLE
_RIGHT = Qt.AlignmentFlag.AlignRight | _MIDDLE


class AnimalPainter(RowPainter):
    """Cells by the key of their column."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(theme, parent)
        #: more than one row is selected: each is ticked
        self.several = False
        self._metrics: dict[bool, QFontMetrics] = {}
        theme.changed.connect(self._metrics.clear)

    def paint_content(self, painter: QPainter, box: QRect, index: Index, in_focus: bool) -> None:
        model = index.model()
        if not isinstance(model, AnimalTable):
            return
        column = COLUMNS[index.column()]
        if column.key == "curve":
            row = model.row(index.row())
            if row is not None:
                self._curve(painter, box, row, model.writing.today.toordinal())
            return
        cell = model.cell(index.row(), index.column())
        if column.key == "animal":
            row = model.row(index.row())
            if in_focus and self.several:
                # the tint alone would tell it by colour only
                side = self.theme.px(10)
                mark = QRectF(box.left() - side, box.top(), side, box.height())
                paint_shape(painter, "tick", mark, self.theme, self.theme.colour("accent"))
            self._animal(painter, box, cell, gone=row is not None and not row.here)
        elif column.key == "meal":
            self._meal(painter, box, cell)
        else:
            self._plain(painter, box, cell, right=column.right, in_focus=in_focus)

    def _of(self, bold: bool) -> QFontMetrics:
        if bold not in self._metrics:
            self._metrics[bold] = QFontMetrics(self.theme.font(BODY, bold=bold))
        return self._metrics[bold]

    def _animal(self, painter: QPainter, box: QRect, cell: Cell, *, gone: bool) -> None:
        theme = self.theme
        font = QFont(theme.font(BODY, bold=True))
        font.setStrikeOut(gone)
        after = min(self._of(False).horizontalAdvance(cell.after), theme.px(26))
        room = box.width() - after - theme.px(6)
        shown = self._of(True).elidedText(cell.text, Qt.TextElideMode.ElideRight, room)
        painter.setFont(font)
        painter.setPen(theme.colour("ink"))
        painter.drawText(box, _LEFT, shown)
        painter.setFont(theme.font(BODY))
        rest = box.adjusted(self._of(True).horizontalAdvance(shown) + theme.px(6), 0, theme.px(6), 0)
        words = self._of(False).elidedText(cell.after, Qt.TextElideMode.ElideRight, rest.width())
        painter.drawText(rest, _LEFT, words)

    def _meal(self, painter: QPainter, box: QRect, cell: Cell) -> None:
        theme = self.theme
        days = theme.px(46)
        painter.setFont(theme.font(BODY))
        painter.setPen(theme.colour("second"))
        painter.drawText(box.adjusted(0, 0, -days - theme.px(4), 0), _RIGHT, cell.text)
        painter.setFont(theme.font(BODY, bold=cell.bold_after))
        painter.setPen(theme.colour("ink"))
        painter.drawText(box.adjusted(box.width() - days, 0, 0, 0), _RIGHT, cell.after)

    def _plain(self, painter: QPainter, box: QRect, cell: Cell, *, right: bool, in_focus: bool) -> None:
        theme = self.theme
        if cell.shape:
            side = theme.px(16)
            token = "clay" if cell.token == "clay" else "second"
            square = QRectF(box.left(), box.top(), side, box.height())
            paint_shape(painter, cell.shape, square, theme, theme.colour(token))
            box = box.adjusted(side + theme.px(4), 0, 0, 0)
        if not cell.text:
            return
        bold = cell.token == "clay"
        token = "ink" if bold and in_focus else cell.token
        painter.setFont(theme.font(BODY, bold=bold))
        painter.setPen(theme.colour(token))
        shown = self._of(bold).elidedText(cell.text, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, _RIGHT if right else _LEFT, shown)

    def _curve(self, painter: QPainter, box: QRect, row: HerdRow, today: int) -> None:
        """The weights of twelve months on their own scale, the last one dotted; one weight is a dot, none is blank."""
        points = [(day, mass) for day, mass in row.curve if today - CURVE_DAYS <= day <= today]
        if not points:
            return
        theme = self.theme
        room = QRectF(box).adjusted(theme.px(2), theme.px(6), -theme.px(6), -theme.px(5))
        masses = [mass for _, mass in points]
        low, span = min(masses), max(masses) - min(masses)
        first, last = points[0][0], points[-1][0]

        def at(day: int, mass: int) -> QPointF:
            along = (day - first) / (last - first) if last > first else 1.0
            up = (mass - low) / span if span else 0.5
            return QPointF(room.left() + along * room.width(), room.bottom() - up * room.height())

        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(theme.colour("second"), 1.3))
        placed = [at(day, mass) for day, mass in points]
        painter.drawPolyline(QPolygonF(placed))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.colour("ink"))
        dot = theme.px(5) / 2
        painter.drawEllipse(placed[-1], dot, dot)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
