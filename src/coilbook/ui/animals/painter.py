"""Paints the list a column at a time: id with its sex, the small weight curve, the meal with its days, the state.

Every keystroke in the line repaints the whole list, so what is worked out for a text (its width, where it is cut) is
kept, and pens and fonts change once a column instead of once a cell.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPen, QPixmap, QPolygonF

from coilbook.reads.herd_rows import HerdRow
from coilbook.ui.animals.columns import COLUMNS, Cell
from coilbook.ui.models.animal_table import AnimalTable
from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.theme import BODY, Theme

#: the curve shows this many days, whatever was stored
CURVE_DAYS = 366
#: texts whose width is kept
KEPT_TEXTS = 20_000


@dataclass(frozen=True, slots=True)
class Strip:
    """One visible row: its number, top and height in the viewport, and how it stands."""

    row: int
    top: int
    height: int
    selected: bool
    in_focus: bool


class ListPainter:
    """Paints strips of an `AnimalTable`; columns are (number, left, width) from left to right."""

    def __init__(self, theme: Theme) -> None:
        self._theme = theme
        #: more than one row is selected: each is ticked
        self.several = False
        theme.changed.connect(self._forget)
        self._forget()

    def _forget(self) -> None:
        theme = self._theme
        self._fonts = {bold: theme.font(BODY, bold=bold) for bold in (False, True)}
        self._struck = QFont(self._fonts[True])
        self._struck.setStrikeOut(True)
        self._metrics = {bold: QFontMetrics(font) for bold, font in self._fonts.items()}
        self._widths: dict[tuple[str, bool], int] = {}
        self._cut: dict[tuple[str, bool, int], str] = {}
        self._colours: dict[str, QColor] = {}
        self._shapes: dict[tuple[str, str, int, float], QPixmap] = {}
        plain = self._metrics[False]
        self._base = (plain.ascent() - plain.descent()) / 2
        self._pad, self._gap = theme.px(8), theme.px(6)

    def _colour(self, token: str) -> QColor:
        if token not in self._colours:
            self._colours[token] = self._theme.colour(token)
        return self._colours[token]

    def _width(self, text: str, bold: bool) -> int:
        key = (text, bold)
        if key not in self._widths:
            if len(self._widths) > KEPT_TEXTS:
                self._widths.clear()
            self._widths[key] = self._metrics[bold].horizontalAdvance(text)
        return self._widths[key]

    def _fitting(self, text: str, bold: bool, room: int) -> str:
        if self._width(text, bold) <= room:
            return text
        key = (text, bold, room)
        if key not in self._cut:
            if len(self._cut) > KEPT_TEXTS:
                self._cut.clear()
            self._cut[key] = self._metrics[bold].elidedText(text, Qt.TextElideMode.ElideRight, room)
        return self._cut[key]

    # --- the list -------------------------------------------------------------------------------------------
    def paint(
        self,
        painter: QPainter,
        area: QRect,
        model: AnimalTable,
        strips: list[Strip],
        columns: list[tuple[int, int, int]],
    ) -> None:
        """Paint the strips."""
        painter.fillRect(area, self._colour("ground"))
        right = columns[-1][1] + columns[-1][2] if columns else 0
        for strip in strips:
            if strip.selected:
                painter.fillRect(0, strip.top, right, strip.height, self._colour("tint"))
        painter.setPen(QPen(self._colour("rule"), 1))
        for strip in strips:
            painter.drawLine(0, strip.top + strip.height - 1, right - 1, strip.top + strip.height - 1)
        for number, left, width in columns:
            key = COLUMNS[number].key
            painter.setFont(self._fonts[False])
            if key == "curve":
                self._paint_curves(painter, model, strips, left, width)
            elif key == "animal":
                self._paint_animals(painter, model, strips, number, (left, width))
            elif key == "meal":
                self._paint_meals(painter, model, strips, number, (left, width))
            else:
                self._paint_plain(painter, model, strips, number, (left, width))
        self._paint_marks(painter, strips, columns)

    def _paint_marks(self, painter: QPainter, strips: list[Strip], columns: list[tuple[int, int, int]]) -> None:
        """The bar of the row in focus; ticks when several are selected, since a tint alone is only a colour."""
        theme = self._theme
        first = columns[0][1] if columns else 0
        for strip in strips:
            if strip.in_focus:
                painter.fillRect(first, strip.top, theme.px(4), strip.height - 1, self._colour("accent"))
            elif strip.selected and self.several:
                side = theme.px(9)
                box = QRectF(first - 1, strip.top, side, strip.height)
                paint_shape(painter, "tick", box, theme, self._colour("accent"))

    def _line(self, strip: Strip) -> float:
        return strip.top + strip.height / 2 + self._base - 0.5

    def _paint_animals(
        self, painter: QPainter, model: AnimalTable, strips: list[Strip], number: int, span: tuple[int, int]
    ) -> None:
        left, room = span[0] + self._pad, span[1] - 2 * self._pad
        painter.setPen(self._colour("ink"))
        rests: list[tuple[float, float, str]] = []
        painter.setFont(self._fonts[True])
        for strip in strips:
            cell, row = model.cell(strip.row, number), model.row(strip.row)
            after = min(self._width(cell.after, False), self._theme.px(26))
            shown = self._fitting(cell.text, True, room - after - self._gap)
            gone = row is not None and row.gone
            if gone:
                painter.setFont(self._struck)
            painter.drawText(QPointF(left, self._line(strip)), shown)
            if gone:
                painter.setFont(self._fonts[True])
            used = self._width(shown, True) + self._gap
            rest = self._fitting(cell.after, False, room - used + self._gap)
            rests.append((left + used, self._line(strip), rest))
        painter.setFont(self._fonts[False])
        for x, y, text in rests:
            painter.drawText(QPointF(x, y), text)

    def _paint_meals(
        self, painter: QPainter, model: AnimalTable, strips: list[Strip], number: int, span: tuple[int, int]
    ) -> None:
        edge = span[0] + span[1] - self._pad
        days = edge - self._theme.px(54)
        cells = [(strip, model.cell(strip.row, number)) for strip in strips]
        painter.setPen(self._colour("second"))
        for strip, cell in cells:
            self._ending(painter, cell.text, False, days, strip)
        painter.setPen(self._colour("ink"))
        for bold in (False, True):
            painter.setFont(self._fonts[bold])
            for strip, cell in cells:
                if cell.bold_after is bold:
                    self._ending(painter, cell.after, bold, edge, strip)

    def _ending(self, painter: QPainter, text: str, bold: bool, right: int, strip: Strip) -> None:
        if text:
            painter.drawText(QPointF(right - self._width(text, bold), self._line(strip)), text)

    def _paint_plain(
        self, painter: QPainter, model: AnimalTable, strips: list[Strip], number: int, span: tuple[int, int]
    ) -> None:
        left, room, right = span[0] + self._pad, span[1] - 2 * self._pad, COLUMNS[number].right
        token = ""
        for strip in strips:
            cell = model.cell(strip.row, number)
            if not cell.text:
                continue
            needs_you = cell.token == "clay"
            ink = "ink" if needs_you and strip.selected else cell.token
            if ink != token:
                token = ink
                painter.setPen(self._colour(ink))
            indent = self._shape(painter, cell, left, strip) if cell.shape else 0
            shown = self._fitting(cell.text, needs_you, room - indent)
            if needs_you:
                painter.setFont(self._fonts[True])
            if right:
                self._ending(painter, shown, needs_you, span[0] + span[1] - self._pad, strip)
            else:
                painter.drawText(QPointF(left + indent, self._line(strip)), shown)
            if needs_you:
                painter.setFont(self._fonts[False])

    def _shape(self, painter: QPainter, cell: Cell, left: int, strip: Strip) -> int:
        side = self._theme.px(16)
        token = "clay" if cell.token == "clay" else "second"
        ratio = painter.device().devicePixelRatioF()
        key = (cell.shape, token, strip.height, ratio)
        if key not in self._shapes:
            self._shapes[key] = self._drawn(cell.shape, token, QSize(side, strip.height), ratio)
        painter.drawPixmap(left, strip.top, self._shapes[key])
        return side + self._theme.px(4)

    def _drawn(self, shape: str, token: str, size: QSize, ratio: float) -> QPixmap:
        """A shape drawn once: a list full of animals repeats the same few in every row."""
        picture = QPixmap(size * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        with QPainter(picture) as painter:
            box = QRectF(0, 0, size.width(), size.height())
            paint_shape(painter, shape, box, self._theme, self._colour(token))
        return picture

    # --- curves ---------------------------------------------------------------------------------------------
    def _paint_curves(self, painter: QPainter, model: AnimalTable, strips: list[Strip], left: int, width: int) -> None:
        """Twelve months on their own scale, the last weight dotted; one weight is a dot, none is blank."""
        theme, today = self._theme, model.writing.today.toordinal()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self._colour("second"), 1.3))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        ends: list[QPointF] = []
        for strip in strips:
            row = model.row(strip.row)
            room = QRectF(left + self._pad, strip.top + self._gap, width - 3 * self._pad, strip.height - 2 * self._gap)
            placed = placed_curve(row, today, room) if row is not None else []
            if placed:
                painter.drawPolyline(QPolygonF(placed))
                ends.append(placed[-1])
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._colour("ink"))
        dot = theme.px(5) / 2
        for end in ends:
            painter.drawEllipse(end, dot, dot)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)


def placed_curve(row: HerdRow, today: int, room: QRectF) -> list[QPointF]:
    """The points of a curve of the last twelve months inside a box, oldest first."""
    points = [point for point in row.curve if today - CURVE_DAYS <= point[0] <= today]
    if not points:
        return []
    masses = [mass for _, mass in points]
    low, span = min(masses), max(masses) - min(masses)
    first, length = points[0][0], points[-1][0] - points[0][0]
    across, up = room.width() / (length or 1), room.height() / (span or 1)
    start = room.left() if length else room.right()
    floor = room.bottom() if span else room.center().y()
    return [QPointF(start + (day - first) * across, floor - (mass - low) * up) for day, mass in points]
