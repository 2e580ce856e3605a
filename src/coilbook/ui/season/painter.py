"""Paints the lines of a season: blocks, diamonds, triangles, boxes, eggs; windows hatched, their likely days solid."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetrics, QPainter, QPen, QPixmap, QPolygonF

from coilbook.drawing.season_lines import Line, PlacedBand, PlacedBlock
from coilbook.husbandry.figures import Event
from coilbook.ui.theme import SMALL, Theme

#: colour token and hatching of each window
BANDS: dict[str, tuple[str, Qt.BrushStyle]] = {
    Event.OVULATION.value: ("ink", Qt.BrushStyle.HorPattern),
    Event.SHED.value: ("second", Qt.BrushStyle.VerPattern),
    Event.LAYING.value: ("accent", Qt.BrushStyle.BDiagPattern),
    Event.PIP.value: ("moss", Qt.BrushStyle.FDiagPattern),
}
_BAND_HEIGHT, _BLOCK_HEIGHT, _MARK = 14, 13, 11
#: wider blocks are painted each time, px
_WIDEST = 80


class LinePainter:
    """Paints laid-out lines.

    Blocks and marks are painted once each into small pictures and copied from there: a season of 150 females shows
    hundreds of them, and drawing each anew would take longer than a frame.
    """

    def __init__(self, theme: Theme) -> None:
        self.theme = theme
        self._pictures: dict[tuple[object, ...], QPixmap] = {}

    def paint(self, painter: QPainter, line: Line, left: float, middle: float, ground: str = "ground") -> None:
        """Paint one line with its axis beginning at `left`, on the ground of a token."""
        painter.save()
        painter.translate(left, middle)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        for start, end, kind in line.spans:
            self._span(painter, start, end, kind)
        for band in line.bands:
            self.band(painter, band, ground)
        for block in line.blocks:
            self._copied_block(painter, block)
        for x, shape in line.points:
            side = self.theme.px(_MARK) + 4
            self._copied(painter, (shape,), x - side / 2, side, partial(self.mark, x=side / 2, shape=shape))
        self._texts(painter, line, ground)
        painter.restore()

    def _copied_block(self, painter: QPainter, placed: PlacedBlock) -> None:
        width, block = round(placed.width), placed.block
        if width > _WIDEST:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self.block(painter, placed)
            return
        key = (width, block.seen, block.open, block.planned)
        self._copied(painter, key, placed.x, width + 1, partial(self.block, placed=PlacedBlock(0, width, block)))

    def _copied(
        self, painter: QPainter, what: tuple[object, ...], x: float, width: int, draw: Callable[[QPainter], None]
    ) -> None:
        """Copy a little picture to `x`, its middle on the line; painted by `draw` when it is not there yet."""
        ratio = painter.device().devicePixelRatio()
        key = (*what, width, self.theme.name, self.theme.scale, ratio)
        height = self.theme.px(_BLOCK_HEIGHT) + 6
        if key not in self._pictures:
            picture = QPixmap(round(width * ratio), round(height * ratio))
            picture.setDevicePixelRatio(ratio)
            picture.fill(Qt.GlobalColor.transparent)
            with QPainter(picture) as inside:
                inside.setRenderHint(QPainter.RenderHint.Antialiasing)
                inside.translate(0, height / 2)
                draw(inside)
            self._pictures[key] = picture
        painter.drawPixmap(QPointF(round(x), -height / 2), self._pictures[key])

    def _span(self, painter: QPainter, start: float, end: float, kind: str) -> None:
        theme = self.theme
        if kind == "building":
            painter.setPen(QPen(theme.colour("second"), 1.4, Qt.PenStyle.DotLine))
        elif kind == "gravid":
            painter.setPen(QPen(theme.colour("ink"), 2))
        else:
            painter.setPen(QPen(theme.colour("moss"), 2))
        painter.drawLine(QLineF(start, 0, end, 0))

    def band(self, painter: QPainter, placed: PlacedBand, ground: str = "ground") -> None:
        """A window with its likely days."""
        token, pattern = BANDS.get(placed.band.event, ("second", Qt.BrushStyle.DiagCrossPattern))
        colour, height = self.theme.colour(token), self.theme.px(_BAND_HEIGHT)
        box = QRectF(placed.x, -height / 2, placed.width, height)
        painter.fillRect(box, self.theme.colour(ground))
        painter.fillRect(box, QBrush(colour, pattern))
        painter.fillRect(QRectF(placed.likely_x, -height / 2, placed.likely_width, height), colour)
        painter.setPen(QPen(colour, 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        if placed.band.late:
            self.mark(painter, placed.x, "late")

    def block(self, painter: QPainter, placed: PlacedBlock) -> None:
        """A stay with what was seen in it; dashed when planned, open at the right while it lasts."""
        theme, block = self.theme, placed.block
        height = theme.px(_BLOCK_HEIGHT)
        box = QRectF(placed.x + 0.5, -height / 2, max(placed.width - 1, 2), height)
        ink = theme.colour("accent" if block.planned else "ink")
        style = Qt.PenStyle.DashLine if block.planned else Qt.PenStyle.SolidLine
        painter.setPen(QPen(ink, 1.4 if block.open else 1, style))
        painter.setBrush(Qt.BrushStyle.NoBrush if block.planned else theme.colour("ground" if block.open else "rule"))
        painter.drawRoundedRect(box, 2, 2)
        if block.seen:
            self._diamond(painter, box.center().x(), ink, block.seen)

    def _diamond(self, painter: QPainter, x: float, ink: QColor, seen: str) -> None:
        half = self.theme.px(4)
        painter.setPen(QPen(ink, 1.2))
        painter.setBrush(ink if seen == "lock" else self.theme.colour("surface"))
        painter.drawPolygon(_diamond(x, half))
        if seen == "likely":
            painter.setBrush(ink)
            painter.drawPolygon(_diamond(x, half / 2))

    def mark(self, painter: QPainter, x: float, shape: str) -> None:
        """One event on the line."""
        theme, half = self.theme, self.theme.px(_MARK) / 2
        ink, ground = theme.colour("ink"), theme.colour("ground")
        painter.setPen(QPen(ink, 1.4))
        painter.setBrush(ground)
        if shape in ("ovulation", "inferred", "late"):
            if shape == "inferred":
                painter.setPen(QPen(ink, 1.2, Qt.PenStyle.DashLine))
            elif shape == "late":
                painter.setPen(QPen(theme.colour("clay"), 1.4))
                painter.setBrush(theme.colour("clay"))
            else:
                painter.setBrush(ink)
            painter.drawPolygon(QPolygonF([QPointF(x, -half), QPointF(x + half, half), QPointF(x - half, half)]))
        elif shape in ("pre_lay", "pre_lay_unsure"):
            if shape == "pre_lay_unsure":
                painter.setPen(QPen(ink, 1.2, Qt.PenStyle.DashLine))
            painter.drawRect(QRectF(x - half * 0.5, -half, half, 2 * half))
        elif shape in ("laid", "laid_before", "hatched"):
            if shape == "laid_before":
                painter.setPen(QPen(theme.colour("second"), 1, Qt.PenStyle.DashLine))
                painter.setBrush(Qt.BrushStyle.NoBrush)
            elif shape == "hatched":
                painter.setPen(QPen(theme.colour("moss"), 1.4))
                painter.setBrush(theme.colour("moss"))
            painter.drawEllipse(QPointF(x, 0), half * 0.75, half)

    def _texts(self, painter: QPainter, line: Line, on_ground: str) -> None:
        font = self.theme.font(SMALL)
        painter.setFont(font)
        metrics = QFontMetrics(font)
        above = -self.theme.px(_BLOCK_HEIGHT) / 2 - self.theme.px(3) / 2
        on = (metrics.ascent() - metrics.descent()) / 2
        second, ink, ground = self.theme.colour("second"), self.theme.colour("ink"), self.theme.colour(on_ground)
        for text in line.texts:
            if not text.above:
                painter.fillRect(QRectF(text.x - 1, -metrics.ascent() / 2, text.width + 2, metrics.ascent()), ground)
            painter.setPen(second if text.above else ink)
            painter.drawText(QPointF(text.x, above if text.above else on), text.text)


def _diamond(x: float, half: float) -> QPolygonF:
    return QPolygonF([QPointF(x, -half), QPointF(x + half, 0), QPointF(x, half), QPointF(x - half, 0)])
