"""What lines and marks mean, in one row below the tree."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.reads.pedigree_genes import GeneWords
from coilbook.reads.pedigree_words import CERTAINTY_WORDS
from coilbook.ui.pedigree.bars import paint_bars
from coilbook.ui.pedigree.painter import paint_line_key
from coilbook.ui.theme import SMALL, Theme
from coilbook.wording.language import translated

HEIGHT, PIECE = 28, 28
#: px between two pieces: as much as there is room for
GAP, LEAST_GAP = 18, 6


class LineKey(QWidget):
    """Solid known, dashed possible, dotted not known, a disc for a loop; with a gene its bar too."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._gene, self._gap = "", float(theme.px(GAP))
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)
        self._tell()

    def show_gene(self, name: str) -> None:
        """The gene whose bars are shown; none when empty."""
        self._gene = name
        self._tell()
        self.update()

    def _tell(self) -> None:
        said = ", ".join([*(translated(words) for words in CERTAINTY_WORDS.values()), *self._others()])
        self.setAccessibleName(translated("Lines and marks: {words}").format(words=said))

    def _others(self) -> list[str]:
        loop = translated("loop, drawn once")
        if not self._gene:
            return [loop]
        doubt = translated("{gene}, in doubt").format(gene=self._gene)
        return [loop, doubt, translated("{gene}, sure").format(gene=self._gene), translated("tick: on paper")]

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(HEIGHT))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        middle = self.height() / 2
        with QPainter(self) as painter:
            metrics = QFontMetricsF(theme.font(SMALL))
            self._gap = self._gap_in(self.width(), metrics)
            x = 0.0
            for sure, words in CERTAINTY_WORDS.items():
                box = QRectF(x, middle - 4, theme.px(PIECE), 8)
                paint_line_key(painter, theme, box, sure)
                x = self._say(painter, box.right(), translated(words), metrics)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            for number, words in enumerate(self._others()):
                x = self._say(painter, self._mark(painter, x, middle, number), words, metrics)

    def _gap_in(self, width: float, metrics: QFontMetricsF) -> float:
        """The room between the pieces with which all of them stand in a width, as far as that goes."""
        px, others = self._theme.px, self._others()
        texts = [*(translated(words) for words in CERTAINTY_WORDS.values()), *others]
        marks = len(CERTAINTY_WORDS) * px(PIECE) + sum((px(16), px(PIECE), px(PIECE), -px(6))[: len(others)])
        taken = marks + sum(metrics.horizontalAdvance(text) + px(6) for text in texts)
        return min(max((width - taken) / (len(texts) - 1), px(LEAST_GAP)), px(GAP))

    def _mark(self, painter: QPainter, x: float, middle: float, number: int) -> float:
        """A disc, a bar in doubt, a bar that is sure; its right end."""
        theme = self._theme
        if number == 0:
            side = theme.px(16)
            disc = QRectF(x, middle - side / 2, side, side)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.colour("accent"))
            painter.drawEllipse(disc)
            painter.setPen(theme.colour("on_accent"))
            painter.setFont(theme.font(SMALL, bold=True))
            painter.drawText(disc, Qt.AlignmentFlag.AlignCenter, "1")
            return disc.right()
        if number == 3:
            return x - theme.px(6)
        box = QRectF(x, middle - theme.px(4), theme.px(PIECE), theme.px(8))
        share = (0.0, 0.6, 1.0)[number]
        paint_bars(painter, theme, [(box, GeneWords(share, share if number == 1 else None, ""))])
        return box.right()

    def _say(self, painter: QPainter, x: float, words: str, metrics: QFontMetricsF) -> float:
        theme = self._theme
        painter.setFont(theme.font(SMALL))
        painter.setPen(theme.colour("second"))
        x += theme.px(6)
        painter.drawText(QPointF(x, (self.height() + metrics.ascent() - metrics.descent()) / 2), words)
        return x + metrics.horizontalAdvance(words) + self._gap
