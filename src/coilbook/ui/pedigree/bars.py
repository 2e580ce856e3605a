"""Bars of chance: outline 0 to 100%, filled with the evidence (hatched while in doubt), a tick at the paper value.

Many are painted in a few calls. Hatching is drawn as lines, so that it stays lines on paper.
"""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from coilbook.reads.pedigree_genes import GeneWords
from coilbook.ui.theme import Theme

#: pixels at which hatching repeats
HATCH = 4
#: of a bar's height, how far the tick reaches beyond it above and below
REACH = 0.5


def paint_bars(
    painter: QPainter, theme: Theme, bars: Iterable[tuple[QRectF, GeneWords]], *, on_paper: bool = False
) -> None:
    """Paint bars in their boxes; with `on_paper` the tick alone."""
    boxes: list[QRectF] = []
    sure: list[QRectF] = []
    strokes: list[QLineF] = []
    edges: list[QLineF] = []
    ticks: list[QLineF] = []
    for box, words in bars:
        boxes.append(box)
        share = words.evidence
        if not on_paper and share:
            if words.sure:
                sure.append(box)
            else:
                _hatch(box, share, strokes, edges)
        if words.paper is not None:
            x, reach = box.x() + box.width() * words.paper, box.height() * REACH
            ticks.append(QLineF(x, box.y() - reach, x, box.bottom() + reach))
    if not boxes:
        return
    accent = theme.colour("accent")
    painter.setBrush(theme.colour("surface"))
    painter.setPen(QPen(theme.colour("edge"), 1))
    painter.drawRects(boxes)
    painter.setBrush(accent)
    painter.drawRects(sure)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for lines, pen in (
        (strokes, QPen(accent, 1.2)),
        (edges, QPen(accent, 1.6)),
        (ticks, QPen(theme.colour("ink"), 2)),
    ):
        painter.setPen(pen)
        painter.drawLines(lines)


def _hatch(box: QRectF, share: float, strokes: list[QLineF], edges: list[QLineF]) -> None:
    """Slanting strokes over the filled part, and a firm edge at the value."""
    left, top, high, bottom = box.x(), box.y(), box.height(), box.bottom()
    right = left + box.width() * min(share, 1.0)
    edges.append(QLineF(right, top, right, bottom))
    x = left - high
    while x < right:
        low, end = max(x, left), min(x + high, right)
        if end > low:
            strokes.append(QLineF(low, bottom - (low - x), end, bottom - (end - x)))
        x += HATCH
