"""Paints the cards of the tree: photo, id and sex, look, place, and bar; or half of that from farther away."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen, QPixmap

from coilbook.reads.pedigree import CardFacts
from coilbook.reads.pedigree_genes import GeneWords
from coilbook.reads.pedigree_words import inbred_text, look_text, sex_text, unknown_text, where_text
from coilbook.records.vocabulary import Sex
from coilbook.ui.parts.photo_shade import shade_photo
from coilbook.ui.pedigree.bars import fill_blocks, paint_bars
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

if TYPE_CHECKING:
    from coilbook.ui.pedigree.painter import Shown, Sight
    from coilbook.ui.pedigree.scene import Scene

#: pixels at 100 percent
PAD, PHOTO, RADIUS = 8, 40, 4
BAR_WIDTH, BAR_HEIGHT = 64, 8
#: the bar of a lower card, whose odds are in small letters beside it
SHORT_BAR = 22
#: cards at least this high (at 100 percent) have a photo and three lines
TALL = 80
#: lower ones (the cells of a clutch) have an id and a bar only
LOW = 40
#: least height of a box an id can stand in
LEAST = 13
END = Qt.TextElideMode.ElideRight


@dataclass(frozen=True, slots=True)
class _Texts:
    """What a card says, cut to its room."""

    name: str
    sex: str
    sex_at: float
    look: str
    where: str
    #: beside the bar, or in its place
    odds: str
    paper_odds: str
    inbred: str


class _Type:
    """Fonts and lengths of one theme and text scale, worked out once."""

    def __init__(self, theme: Theme) -> None:
        self.bold, self.body = theme.font(BODY, bold=True), theme.font(BODY)
        self.small, self.small_bold = theme.font(SMALL), theme.font(SMALL, bold=True)
        self.px = {length: theme.px(length) for length in range(101)}

    @cached_property
    def metrics(self) -> dict[str, QFontMetricsF]:
        """Metrics of each font by its name here."""
        fonts: dict[str, QFont] = {
            "bold": self.bold,
            "body": self.body,
            "small": self.small,
            "small_bold": self.small_bold,
        }
        return {name: QFontMetricsF(font) for name, font in fonts.items()}


class CardPainter:
    """Paints cards at reading size (in the picture's pixels) and half way (in the widget's)."""

    def __init__(self, theme: Theme, style: Style) -> None:
        self._theme, self._style = theme, style
        self._type = _Type(theme)
        self._texts: dict[tuple[int, bool], _Texts] = {}
        self._halves: dict[tuple[int, int], tuple[str, str, bool, float]] = {}

    def forget(self) -> None:
        """Texts or the theme are others now."""
        self._type = _Type(self._theme)
        self._texts.clear()
        self._halves.clear()

    @staticmethod
    def letter(card: CardFacts) -> str:
        """The letter of a sex; nothing for an animal that is not sexed."""
        return {Sex.FEMALE: "F", Sex.MALE: "M"}.get(card.sex, "")

    # --- whole cards ---------------------------------------------------------------------------------------
    def wholes(self, painter: QPainter, scene: Scene, numbers: Iterable[int], shown: Shown) -> None:
        """Whole cards at reading size."""
        bars: list[tuple[QRectF, GeneWords]] = []
        cells: list[tuple[int, QRectF]] = []
        tall = scene.size.height >= self._type.px[TALL]
        for number in numbers:
            key, rect = scene.keys[number], scene.rects[number]
            if key < 0:
                self._unknown(painter, scene, key, rect, shown)
                continue
            if rect.height() < self._type.px[LOW]:
                cells.append((key, rect))
                continue
            self._frame(painter, rect, key, shown)
            card = shown.facts.get(key)
            if card is not None:
                (self._tall if tall else self._low)(painter, rect, card, shown, bars)
        paint_bars(painter, self._theme, bars, on_paper=shown.on_paper)
        self._boxes(painter, cells, shown)
        self._half_texts(painter, cells, shown)

    def _frame(self, painter: QPainter, rect: QRectF, key: int, shown: Shown) -> None:
        theme = self._theme
        in_focus = key == shown.focus
        painter.setBrush(theme.colour("tint" if in_focus else "surface"))
        token, width = ("accent", 2) if in_focus else ("ink", 2) if key in shown.found else ("rule", 1)
        painter.setPen(QPen(theme.colour(token), width))
        painter.drawRoundedRect(rect.adjusted(0.5, 0.5, -0.5, -0.5), RADIUS, RADIUS)

    def _tall(
        self, painter: QPainter, rect: QRectF, card: CardFacts, shown: Shown, bars: list[tuple[QRectF, GeneWords]]
    ) -> None:
        px, y = self._type.px, rect.y()
        picture = shown.photo(card)
        left = beside = rect.x() + px[PAD]
        if picture is not None:
            self._photo(painter, QRectF(left, y + px[PAD], px[PHOTO], px[PHOTO]), picture)
            beside += px[PHOTO + PAD]
        texts = self._said(card, rect, shown, picture is not None)
        self._name(painter, beside, y + px[22], texts)
        painter.drawText(QPointF(beside, y + px[41]), texts.look)
        painter.setFont(self._type.small)
        painter.setPen(self._theme.colour("second" if card.id != shown.focus else "ink"))
        painter.drawText(QPointF(left, y + px[63]), texts.where)
        self._odds(painter, QPointF(left, y + px[77]), card.id, shown, texts, bars)

    def _low(
        self, painter: QPainter, rect: QRectF, card: CardFacts, shown: Shown, bars: list[tuple[QRectF, GeneWords]]
    ) -> None:
        px = self._type.px
        texts = self._said(card, rect, shown, False)
        left, y = rect.x() + px[PAD], rect.y()
        self._name(painter, left, y + px[18], texts)
        if card.id in shown.genes:
            self._odds(painter, QPointF(left, y + px[32]), card.id, shown, texts, bars, tall=False)
            return
        painter.setFont(self._type.small)
        painter.setPen(self._theme.colour("second" if card.id != shown.focus else "ink"))
        painter.drawText(QPointF(left, y + px[35]), texts.look)

    def _name(self, painter: QPainter, x: float, y: float, texts: _Texts) -> None:
        painter.setPen(self._theme.colour("ink"))
        painter.setFont(self._type.bold)
        painter.drawText(QPointF(x, y), texts.name)
        painter.setFont(self._type.body)
        painter.drawText(QPointF(x + texts.sex_at, y), texts.sex)

    def _odds(
        self,
        painter: QPainter,
        place: QPointF,
        animal: int,
        shown: Shown,
        texts: _Texts,
        bars: list[tuple[QRectF, GeneWords]],
        *,
        tall: bool = True,
    ) -> None:
        """The bar of the gene with its word beside it; without a gene, the inbreeding."""
        px, words = self._type.px, shown.genes.get(animal)
        painter.setPen(self._theme.colour("ink"))
        if words is None:
            if texts.inbred:
                painter.setFont(self._type.small_bold)
                painter.drawText(QPointF(place.x(), place.y() + px[5]), texts.inbred)
            return
        box = QRectF(place.x(), place.y() - px[BAR_HEIGHT] / 2, px[BAR_WIDTH if tall else SHORT_BAR], px[BAR_HEIGHT])
        bars.append((box, words))
        painter.setFont(self._type.bold if tall else self._type.small_bold)
        said = texts.paper_odds if shown.on_paper else texts.odds
        painter.drawText(QPointF(box.right() + px[PAD if tall else 6], place.y() + px[5 if tall else 4]), said)

    def _unknown(self, painter: QPainter, scene: Scene, key: int, rect: QRectF, shown: Shown) -> None:
        px, in_focus = self._type.px, key == shown.focus
        self._dashed(painter, in_focus)
        painter.drawRoundedRect(rect.adjusted(0.5, 0.5, -0.5, -0.5), RADIUS, RADIUS)
        painter.setPen(self._theme.colour("second"))
        painter.setFont(self._type.body)
        said = unknown_text(scene.unknown[key], shown.names)
        inner = rect.adjusted(px[12], 0, -px[8], 0)
        room = self._type.metrics["body"].elidedText(said, END, inner.width())
        painter.drawText(inner, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, room)

    def _dashed(self, painter: QPainter, in_focus: bool) -> None:
        pen = QPen(self._theme.colour("accent" if in_focus else "edge"), 2 if in_focus else 1)
        pen.setDashPattern([4, 3])
        painter.setPen(pen)
        painter.setBrush(self._theme.colour("tint") if in_focus else Qt.BrushStyle.NoBrush)

    def _photo(self, painter: QPainter, frame: QRectF, picture: QPixmap) -> None:
        painter.drawPixmap(frame, picture, QRectF(picture.rect()))
        shade_photo(painter, self._theme, frame)

    # --- half way ------------------------------------------------------------------------------------------
    def halves(self, painter: QPainter, scene: Scene, numbers: Iterable[int], shown: Shown, sight: Sight) -> None:
        """Id, sex and bar of each, in letters that can be read, on the widget."""
        theme = self._theme
        boxes: list[tuple[int, QRectF]] = []
        small: list[tuple[int, QRectF]] = []
        least = self._type.px[LEAST]
        unknown: list[QRectF] = []
        for number in numbers:
            key, box = scene.keys[number], sight.at(scene.rects[number])
            if key < 0:
                unknown.append(box)
            else:
                (boxes if box.height() >= least else small).append((key, box))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        self._dashed(painter, False)
        painter.drawRects(unknown)
        painter.setPen(theme.colour("second"))
        painter.setFont(self._type.small)
        for box in unknown:
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, translated("not known"))
        self._boxes(painter, boxes + small, shown)
        fill_blocks(painter, theme, small, shown.genes, shown.on_paper)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for key, box in small:
            if key == shown.focus or key in shown.found:
                painter.setPen(QPen(theme.colour("accent" if key == shown.focus else "ink"), 2))
                painter.drawRect(box.adjusted(-1.5, -1.5, 1.5, 1.5))
        self._half_texts(painter, boxes, shown)

    def _boxes(self, painter: QPainter, boxes: list[tuple[int, QRectF]], shown: Shown) -> None:
        """Plain frames in one call, then those in focus or found."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setBrush(self._theme.colour("surface"))
        painter.setPen(QPen(self._theme.colour("rule"), 1))
        painter.drawRects([box for _, box in boxes])
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        marked = {shown.focus, *shown.found}
        for key, box in boxes:
            if key in marked:
                self._frame(painter, box, key, shown)

    def _half_texts(self, painter: QPainter, boxes: list[tuple[int, QRectF]], shown: Shown) -> None:
        kind, px = self._type, self._type.px
        metrics = kind.metrics["small"]
        middle = (metrics.ascent() - metrics.descent()) / 2
        bars: list[tuple[QRectF, GeneWords]] = []
        letters: list[tuple[QPointF, str]] = []
        painter.setPen(self._theme.colour("ink"))
        for key, box in boxes:
            words = shown.genes.get(key)
            low = box.height() < px[LOW]
            if words is not None:
                bar = px[3] if low else px[5]
                bars.append((QRectF(box.x() + px[4], box.bottom() - bar - px[3], box.width() - px[8], bar), words))
            high = box.height() - (px[5 if low else 8] if words is not None else 0)
            if high < px[LEAST]:
                continue
            name, letter, bold, wide = self._half_text(key, shown, box.width() - px[8])
            place = QPointF(box.x() + px[4], box.y() + high / 2 + middle)
            painter.setFont(kind.small_bold if bold else kind.small)
            painter.drawText(place, name)
            if letter:
                letters.append((QPointF(place.x() + wide + px[4], place.y()), letter))
        painter.setFont(kind.small)
        for place, letter in letters:
            painter.drawText(place, letter)
        paint_bars(painter, self._theme, bars, on_paper=shown.on_paper)

    def _half_text(self, key: int, shown: Shown, room: float) -> tuple[str, str, bool, float]:
        """Id, letter of the sex, whether in bold, and how wide the id is: the id is the last to be cut."""
        name = (key, round(room))
        if name not in self._halves:
            card, said = shown.facts.get(key), shown.names.get(key, "")
            letter = self.letter(card) if card is not None else ""
            bold, plain = self._type.metrics["small_bold"], self._type.metrics["small"]
            left = room - (plain.horizontalAdvance(letter) + self._type.px[4] if letter else 0)
            if bold.horizontalAdvance(said) <= left:
                self._halves[name] = said, letter, True, bold.horizontalAdvance(said)
            elif plain.horizontalAdvance(said) <= left:
                self._halves[name] = said, letter, False, plain.horizontalAdvance(said)
            else:
                self._halves[name] = plain.elidedText(said, END, room), "", False, room
        return self._halves[name]

    # --- texts ---------------------------------------------------------------------------------------------
    def _said(self, card: CardFacts, rect: QRectF, shown: Shown, photo: bool) -> _Texts:
        name = (card.id, photo)
        if name not in self._texts:
            self._texts[name] = self._cut(card, rect, shown, photo)
        return self._texts[name]

    def _cut(self, card: CardFacts, rect: QRectF, shown: Shown, photo: bool) -> _Texts:
        px, metrics = self._type.px, self._type.metrics
        bold, body, small = metrics["bold"], metrics["body"], metrics["small"]
        room = rect.width() - 2 * px[PAD]
        beside = room - (px[PHOTO + PAD] if photo else 0)
        tall = rect.height() >= px[TALL]
        chance, odds = (bold, room - px[BAR_WIDTH + PAD]) if tall else (metrics["small_bold"], room - px[SHORT_BAR + 6])
        sex = sex_text(card, self._style)
        keeper_id = bold.elidedText(card.keeper_id, END, beside - body.horizontalAdvance(sex) - px[6])
        words = shown.genes.get(card.id)
        return _Texts(
            name=keeper_id,
            sex=sex,
            sex_at=bold.horizontalAdvance(keeper_id) + px[6],
            look=(body if tall else small).elidedText(look_text(card), END, beside),
            where=small.elidedText(where_text(card, place=shown.places), END, room),
            odds=chance.elidedText(words.text, END, odds) if words is not None else "",
            paper_odds=chance.elidedText(words.paper_text, END, odds) if words is not None else "",
            inbred=inbred_text(shown.inbreeding.get(card.id, 0.0), self._style),
        )
