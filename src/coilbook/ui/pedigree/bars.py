"""Bars of chance: outline 0 to 100%, filled with the evidence (hatched while in doubt), a tick at the paper value.

Many are painted in a few calls. Hatching is drawn as lines, so that it stays lines on paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen

from coilbook.reads.pedigree_genes import GeneWords
from coilbook.ui.theme import Theme

#: pixels at which hatching repeats
HATCH = 4
#: of a bar's height, how far the tick reaches beyond it above and below
REACH = 0.5
#: a bar lower than this has no room for hatching and is dotted instead
THIN = 5.0


def paint_bars(
    painter: QPainter, theme: Theme, bars: Iterable[tuple[QRectF, GeneWords]], *, on_paper: bool = False
) -> None:
    """Paint bars in their boxes; with `on_paper` the tick alone."""
    pieces = _Pieces()
    for box, words in bars:
        pieces.add(box, words, on_paper=on_paper)
    if not pieces.boxes:
        return
    accent = theme.colour("accent")
    painter.setBrush(theme.colour("surface"))
    painter.setPen(QPen(theme.colour("edge"), 1))
    painter.drawRects(pieces.boxes)
    painter.setBrush(accent)
    painter.drawRects(pieces.sure)
    painter.setBrush(QBrush(accent, Qt.BrushStyle.Dense5Pattern))
    painter.drawRects(pieces.dotted)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for lines, pen in (
        (pieces.strokes, QPen(accent, 1.2)),
        (pieces.edges, QPen(accent, 1.6)),
        (pieces.ticks, QPen(theme.colour("ink"), 2)),
    ):
        painter.setPen(pen)
        painter.drawLines(lines)


@dataclass
class _Pieces:
    """What many bars are made of, by how it is painted."""

    boxes: list[QRectF] = field(default_factory=list)
    sure: list[QRectF] = field(default_factory=list)
    dotted: list[QRectF] = field(default_factory=list)
    strokes: list[QLineF] = field(default_factory=list)
    edges: list[QLineF] = field(default_factory=list)
    ticks: list[QLineF] = field(default_factory=list)

    def add(self, box: QRectF, words: GeneWords, *, on_paper: bool) -> None:
        """One bar more."""
        self.boxes.append(box)
        share = words.evidence
        if not on_paper and share:
            if words.sure:
                self.sure.append(box)
            elif box.height() < THIN:
                self.dotted.append(QRectF(box.x(), box.y(), box.width() * share, box.height()))
            else:
                _hatch(box, share, self.strokes, self.edges)
        if words.paper is not None:
            x, reach = box.x() + box.width() * words.paper, box.height() * REACH
            self.ticks.append(QLineF(x, box.y() - reach, x, box.bottom() + reach))


def fill_blocks(
    painter: QPainter,
    theme: Theme,
    blocks: Iterable[tuple[int, QRectF]],
    genes: Mapping[int, GeneWords],
    on_paper: bool,
) -> None:
    """Far away: blocks are filled as far as their bar would be, solid when sure, dotted while in doubt."""
    if not genes:
        return
    sure: list[QRectF] = []
    doubt: list[QRectF] = []
    for key, rect in blocks:
        words = genes.get(key)
        share = None if words is None else words.paper if on_paper else words.evidence
        if share:
            if share >= 1:
                sure.append(rect)
            else:
                doubt.append(QRectF(rect.x(), rect.y(), rect.width() * share, rect.height()))
    accent = theme.colour("accent")
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(accent)
    painter.drawRects(sure)
    painter.setBrush(QBrush(accent, Qt.BrushStyle.Dense5Pattern))
    painter.drawRects(doubt)


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
