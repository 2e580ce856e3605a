"""What the shapes of the lines mean, in two lines below them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.drawing.season_lines import Band, Block, PlacedBand, PlacedBlock
from coilbook.husbandry.figures import Event
from coilbook.ui.season.painter import LinePainter
from coilbook.ui.theme import SMALL, Theme
from coilbook.wording.language import translated

Draw = Callable[[QPainter], None]
_BLOCKS = (("lock", "lock"), ("likely", "likely"), ("courting", "courting only"), ("", "stay"))
_MARKS = (
    ("ovulation", "ovulation"), ("inferred", "inferred"), ("pre_lay", "pre-lay shed"), ("laid", "laid"),
    ("laid_before", "laid a season ago"), ("hatched", "first pip"),
)  # fmt: skip
_BANDS = ((Event.OVULATION, "ovulation ahead"), (Event.SHED, "shed"), (Event.LAYING, "laying"), (Event.PIP, "pip"))


class SeasonLegend(QWidget):
    """Painted with the same brushes as the lines."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme, self._painter = theme, LinePainter(theme)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(translated("What the shapes mean"))
        theme.changed.connect(self.updateGeometry)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(600), self._theme.px(40))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, px = self._theme, self._theme.px
        font = theme.font(SMALL)
        metrics = QFontMetrics(font)
        x, y = float(px(12)), px(11)
        with QPainter(self) as painter:
            painter.setFont(font)
            for part in self._parts():
                width, name, draw = part
                wide = width + px(5) + metrics.horizontalAdvance(name)
                if x + wide > self.width() and y < px(20):
                    x, y = float(px(12)), px(31)
                painter.save()
                painter.translate(x, y)
                painter.setRenderHint(QPainter.RenderHint.Antialiasing)
                draw(painter)
                painter.restore()
                painter.setPen(theme.colour("second"))
                painter.drawText(QPointF(x + width + px(5), y + (metrics.ascent() - metrics.descent()) / 2), name)
                x += wide + px(16)

    def _parts(self) -> list[tuple[float, str, Draw]]:
        """(width, name, what paints it with its left edge at 0)."""
        px, paint = self._theme.px, self._painter
        side, wide = float(px(12)), float(px(26))
        parts: list[tuple[float, str, Draw]] = []
        for seen, name in _BLOCKS:
            block = PlacedBlock(0, side, Block(0, 0, seen))
            parts.append((side, translated(name), partial(_block, paint, block)))
        planned = PlacedBlock(0, side, Block(0, 0, planned=True))
        parts.append((side, translated("planned"), partial(_block, paint, planned)))
        for shape, name in _MARKS:
            parts.append((side, translated(name), partial(_mark, paint, side / 2, shape)))
        for event, name in _BANDS:
            band = PlacedBand(0, wide, wide * 0.35, wide * 0.3, Band(event.value, 0, 0, 0, 0))
            parts.append((wide, translated(name), partial(_band, paint, band)))
        parts.append((0.0, translated("windows are 80%, dark: the likely days; a number: follicle, mm"), _nothing))
        return parts


def _block(paint: LinePainter, block: PlacedBlock, painter: QPainter) -> None:
    paint.block(painter, block)


def _mark(paint: LinePainter, x: float, shape: str, painter: QPainter) -> None:
    paint.mark(painter, x, shape)


def _band(paint: LinePainter, band: PlacedBand, painter: QPainter) -> None:
    paint.band(painter, band)


def _nothing(_painter: QPainter) -> None:
    pass
