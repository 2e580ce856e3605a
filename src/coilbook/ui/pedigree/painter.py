"""Paints a family picture: whole cards near, ids half way, blocks with a letter far, plain blocks farther.

Certainty is a style of line at every distance; each distance paints only what can be read at it, in few calls.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPixmap, QTransform

from coilbook.drawing.family import Certainty
from coilbook.reads.pedigree import CardFacts
from coilbook.reads.pedigree_genes import GeneWords
from coilbook.ui.pedigree.bars import fill_blocks
from coilbook.ui.pedigree.card_painter import CardPainter
from coilbook.ui.pedigree.scene import Scene, Window
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

#: least scale at which whole cards (at 100 percent text), and ids with bars, are painted
WHOLE, HALF = 0.8, 0.34
#: least height in pixels at 100 percent of a block that can hold the letter of its sex
LETTER = 12
#: dashes in pixels: on, off
DASHES = {Certainty.POSSIBLE: (7.0, 4.0), Certainty.UNKNOWN: (1.6, 3.2)}
LINE = 1.5


def whole_from(theme: Theme) -> float:
    """The least scale at which whole cards can be read: their letters are as large as the text scale makes them."""
    return max(WHOLE * 100 / theme.px(100), HALF)


@dataclass
class Shown:
    """What is said on the cards: facts, one gene's words, inbreeding, and what is marked."""

    facts: Mapping[int, CardFacts] = field(default_factory=dict)
    names: dict[int, str] = field(default_factory=dict)
    genes: Mapping[int, GeneWords] = field(default_factory=dict)
    #: bars show the paper value instead of the evidence
    on_paper: bool = False
    inbreeding: Mapping[int, float] = field(default_factory=dict)
    focus: int = 0
    found: frozenset[int] = frozenset()
    #: where an animal lives, which is nobody's business on a picture that is shared
    places: bool = True
    photo: Callable[[CardFacts], QPixmap | None] = lambda _card: None


@dataclass(frozen=True, slots=True)
class Sight:
    """How the picture is looked at: a picture pixel stands at `x * scale + left`."""

    scale: float
    left: float
    top: float
    width: float
    height: float

    @property
    def window(self) -> Window:
        """The part in sight, in the picture's pixels."""
        return Window(
            -self.left / self.scale,
            -self.top / self.scale,
            (self.width - self.left) / self.scale,
            (self.height - self.top) / self.scale,
        )

    @property
    def transform(self) -> QTransform:
        """From the picture to the widget."""
        return QTransform(self.scale, 0, 0, self.scale, self.left, self.top)

    def at(self, rect: QRectF) -> QRectF:
        """A box of the picture on the widget."""
        s = self.scale
        return QRectF(rect.x() * s + self.left, rect.y() * s + self.top, rect.width() * s, rect.height() * s)


class PedigreePainter:
    """Paints a scene; keeps what it worked out of texts until the scene, the facts or the theme change."""

    def __init__(self, theme: Theme, style: Style) -> None:
        self._theme, self._style = theme, style
        self.cards = CardPainter(theme, style)

    def forget(self) -> None:
        """Texts or colours are others now."""
        self.cards.forget()

    def paint(self, painter: QPainter, scene: Scene, shown: Shown, sight: Sight) -> None:
        """Paint what is in sight."""
        window = sight.window
        near = sight.scale >= HALF
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        self._paint_lines(painter, scene, sight, window)
        numbers = scene.within(window).tolist()
        if sight.scale >= whole_from(self._theme):
            painter.save()
            painter.setTransform(sight.transform, True)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            self.cards.wholes(painter, scene, numbers, shown)
            self._paint_words(painter, scene)
            self._paint_marks(painter, scene)
            painter.restore()
        elif near:
            self.cards.halves(painter, scene, numbers, shown, sight)
        else:
            self._paint_blocks(painter, scene, shown, sight, numbers)

    # --- lines ---------------------------------------------------------------------------------------------
    def _paint_lines(self, painter: QPainter, scene: Scene, sight: Sight, window: Window) -> None:
        painter.save()
        painter.setTransform(sight.transform, True)
        near = sight.scale >= whole_from(self._theme)
        # between whole pixels a line is otherwise now one wide, now two; at reading size it lies on whole ones
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, near and sight.scale != 1.0)
        width = LINE if near else 1.0
        for sure, lines in scene.lines.items():
            painter.setPen(line_pen(sure, self._theme.colour("edge"), width))
            seen = lines.within(window)
            if seen:
                painter.drawLines(seen)
        painter.restore()

    def _paint_words(self, painter: QPainter, scene: Scene) -> None:
        """The odds beside possible parents."""
        theme = self._theme
        font = theme.font(SMALL)
        metrics = QFontMetricsF(font)
        painter.setFont(font)
        painter.setPen(theme.colour("ink"))
        for word in scene.words:
            said = translated("possible {n}%").format(n=word.percent)
            painter.drawText(QPointF(word.x - metrics.horizontalAdvance(said), word.y), said)

    def _paint_marks(self, painter: QPainter, scene: Scene) -> None:
        """A numbered disc where a loop ends."""
        theme = self._theme
        painter.setFont(theme.font(SMALL, bold=True))
        for mark in scene.loops:
            side = theme.px(20)
            disc = QRectF(mark.x - side / 2, mark.y - side / 2, side, side)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.colour("accent"))
            painter.drawEllipse(disc)
            painter.setPen(theme.colour("on_accent"))
            painter.drawText(disc, Qt.AlignmentFlag.AlignCenter, str(mark.number))

    # --- far away ------------------------------------------------------------------------------------------
    def _paint_blocks(
        self, painter: QPainter, scene: Scene, shown: Shown, sight: Sight, numbers: Iterable[int]
    ) -> None:
        theme = self._theme
        chosen = list(numbers)
        painter.save()
        painter.setTransform(sight.transform, True)
        pen = QPen(theme.colour("edge"), 1)
        pen.setCosmetic(True)
        painter.setPen(pen)
        painter.setBrush(theme.colour("surface"))
        painter.drawRects([scene.rects[number] for number in chosen])
        fill_blocks(painter, theme, [(scene.keys[n], scene.rects[n]) for n in chosen], shown.genes, shown.on_paper)
        painter.restore()
        if scene.size.height * sight.scale >= theme.px(LETTER):
            self._paint_letters(painter, scene, shown, sight, chosen)
        self._frame_blocks(painter, scene, shown, sight)

    def _paint_letters(self, painter: QPainter, scene: Scene, shown: Shown, sight: Sight, numbers: list[int]) -> None:
        theme = self._theme
        painter.setFont(theme.font(SMALL))
        painter.setPen(theme.colour("ink"))
        metrics = QFontMetricsF(painter.font())
        down = (metrics.ascent() - metrics.descent()) / 2
        s = sight.scale
        for number in numbers:
            card = shown.facts.get(scene.keys[number])
            if card is not None and (letter := self.cards.letter(card)):
                rect = scene.rects[number]
                x = (rect.x() + rect.width() / 2) * s + sight.left - metrics.horizontalAdvance(letter) / 2
                painter.drawText(QPointF(x, (rect.y() + rect.height() / 2) * s + sight.top + down), letter)

    def _frame_blocks(self, painter: QPainter, scene: Scene, shown: Shown, sight: Sight) -> None:
        """The animal in focus and those found, however small they are."""
        for key in (*shown.found, shown.focus):
            rect = scene.rect(key)
            if rect is None:
                continue
            box = sight.at(rect)
            box = box.adjusted(-2, -2, 2, 2)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self._theme.colour("ink" if key != shown.focus else "accent"), 2))
            painter.drawRect(box)


def line_pen(sure: Certainty, colour: QColor, width: float) -> QPen:
    """The pen of a certainty: solid, dashed, dotted; as wide on the widget at any scale."""
    pen = QPen(colour, width)
    pen.setCosmetic(True)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if sure in DASHES:
        on, off = DASHES[sure]
        pen.setDashPattern([on / width, off / width])
    return pen


def paint_line_key(painter: QPainter, theme: Theme, box: QRectF, sure: Certainty) -> None:
    """A short piece of a line, for the key below the tree."""
    painter.setPen(line_pen(sure, theme.colour("edge"), LINE))
    y = round(box.center().y())
    painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
    painter.setFont(theme.font(BODY))
