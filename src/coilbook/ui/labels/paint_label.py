"""Painting a laid-out label with Qt: the same boxes in millimetres that the PDF is drawn from."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen

from coilbook.labels.layout import BAR_CORNER_MM, FRAME_MM, LabelLayout, PlacedSymbol, TextLine
from coilbook.labels.type_fit import POINT_MM, Weight, width_mm
from coilbook.ui.theme import FAMILY

#: letters are drawn at this size and scaled, so that no hinting moves them
_DRAWN_PX = 200


@dataclass(frozen=True, slots=True)
class Inks:
    """Dark and light of the paper: black and white in print, toned down on a dark screen."""

    dark: QColor
    light: QColor


PRINT = Inks(QColor("#000000"), QColor("#FFFFFF"))


def paint_label(painter: QPainter, layout: LabelLayout, inks: Inks = PRINT) -> None:
    """Paint a label with its top left corner at the origin; one unit of the painter is one mm."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    for bar in layout.bars:
        painter.setBrush(inks.dark)
        box = QRectF(bar.x, bar.y, bar.width, bar.height)
        painter.drawRoundedRect(box, BAR_CORNER_MM, BAR_CORNER_MM)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(inks.dark, FRAME_MM))
    for frame in layout.frames:
        painter.drawRect(QRectF(frame.x, frame.y, frame.width, frame.height))
    painter.setPen(Qt.PenStyle.NoPen)
    for placed in layout.symbols:
        _paint_symbol(painter, placed, inks)
    for line in layout.lines:
        _paint_line(painter, line, inks)
    painter.restore()


def _paint_symbol(painter: QPainter, placed: PlacedSymbol, inks: Inks) -> None:
    painter.save()
    # whole modules without soft edges: seams between them would be read as light
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.translate(placed.x, placed.y)
    painter.scale(placed.module, placed.module)
    path = QPainterPath()
    for run in placed.symbol.dark:
        path.addRect(run.x, run.y, run.width, run.height)
    painter.fillPath(path, inks.dark)
    painter.restore()


def _paint_line(painter: QPainter, line: TextLine, inks: Inks) -> None:
    painter.save()
    painter.setPen(inks.light if line.white else inks.dark)
    font = QFont(FAMILY)
    font.setPixelSize(_DRAWN_PX)
    font.setWeight(QFont.Weight.DemiBold if line.weight is Weight.SEMIBOLD else QFont.Weight.Normal)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    font.setKerning(False)
    painter.translate(line.x, line.baseline)
    scale = line.points * POINT_MM / _DRAWN_PX
    painter.scale(scale * _stretch(line, font, scale), scale)
    painter.setFont(font)
    painter.drawText(0, 0, line.text)
    painter.restore()


def _stretch(line: TextLine, font: QFont, scale: float) -> float:
    """Makes the screen's text exactly as wide as the paper's, whatever the two rasterisers think of advances."""
    drawn = QFontMetricsF(font).horizontalAdvance(line.text) * scale
    wanted = width_mm(line.text, line.points, line.weight)
    return wanted / drawn if drawn > 0 else 1.0
