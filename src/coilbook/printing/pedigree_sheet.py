"""The pedigree of one animal on one page, A4 or Letter, as vectors: the tree's own geometry in tenths of a millimetre.

What a buyer reads is marked for what it is: the line's style and word say how sure a parent is, "claimed" stays a
claim, an inbreeding figure stands with how much of the pedigree is known.
"""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

from coilbook.drawing.family import Certainty
from coilbook.drawing.pedigree_layout import Card, CardSize, PedigreeLayout, lay_out
from coilbook.printing.draw_label import PT_PER_MM
from coilbook.printing.paper import BOLD_FACE, FACE, PAPERS, Paper, measure
from coilbook.reads.pedigree_sheet import PedigreeSheet
from coilbook.reads.pedigree_words import (
    CERTAINTY_WORDS,
    known_words,
    look_text,
    sex_text,
    unknown_text,
    verdict_words,
    where_text,
)
from coilbook.wording.language import translated
from coilbook.wording.style import Style

_MARGIN = 12.0
#: height of the head with the photo, and of the foot, in mm
_HEAD, _FOOT, _PHOTO = 46.0, 24.0, 40.0
#: height of cards by generations back, in tenths of a millimetre
_HEIGHTS = (190, 190, 190, 190, 104, 56)
#: room between cards by how many columns there are
_GAPS = {4: 30, 5: 14, 6: 8}
#: dashes on paper in points
_DASHES = {Certainty.POSSIBLE: (3.4, 2.0), Certainty.UNKNOWN: (0.8, 1.6)}
_MOST_LINES = 5
#: a card less wide than this, in mm, cuts ordinary ids
_NARROW = 22.0
_BODY, _SMALL, _LEAST = 8.0, 6.5, 5.5


def pedigree_pdf(sheet: PedigreeSheet, style: Style, paper: str = "A4") -> bytes:
    """The sheet as a PDF of one page; an unknown paper is A4."""
    page = _Page(sheet, style, paper)
    page.head()
    page.tree()
    page.foot()
    return page.pdf()


def fitted(sheet: PedigreeSheet, width: float, height: float) -> tuple[PedigreeLayout, float]:
    """The layout that fits a box in mm, and the mm of one of its units: a tenth, or less where it must shrink."""
    columns = max(len(sheet.picture.columns), 4)
    gap, last = _GAPS.get(columns, _GAPS[6]), min(columns, len(_HEIGHTS)) - 1
    inner = round(width * 10)
    size = CardSize(
        width=inner // columns - 60, height=_HEIGHTS[last], unknown_height=min(_HEIGHTS[last], 60), pair_gap=gap // 2,
        gap=gap, column_gap=60, word_width=130, word_height=24, track=16, loop_gap=40, heights=_HEIGHTS,
    )  # fmt: skip
    layout = lay_out(sheet.picture, size)
    if layout.width > inner:
        # odds beside lines widen the gaps: the cards give the room
        narrower = size.width - -(-(layout.width - inner) // len(layout.column_x))
        layout = lay_out(sheet.picture, replace(size, width=max(narrower, 180)))
    return layout, min(0.1, width / layout.width, height / layout.height)


def lies(sheet: PedigreeSheet, paper: str) -> bool:
    """Whether the paper lies: where an upright one leaves cards too narrow for an id and a lying one is high enough."""
    short, long = PAPERS.get(paper, PAPERS["A4"])
    upright, lying = (
        fitted(sheet, width - 2 * _MARGIN, height - 2 * _MARGIN - _HEAD - _FOOT)
        for width, height in ((short, long), (long, short))
    )
    narrow, wide = (layout.cards[0].width * unit for layout, unit in (upright, lying))
    return narrow < _NARROW and wide > narrow and lying[1] > upright[1] * 0.95


class _Page(Paper):
    """Draws the three parts."""

    def __init__(self, sheet: PedigreeSheet, style: Style, paper: str) -> None:
        title = translated("Pedigree of {animal}").format(animal=sheet.who.keeper_id)
        super().__init__(title, paper, _MARGIN, across=lies(sheet, paper))
        self._sheet, self._style = sheet, style

    # --- head ----------------------------------------------------------------------------------------------
    def head(self) -> None:
        """Photo, id, sex, look, where from, and the verdict on inbreeding."""
        sheet, left, room = self._sheet, _MARGIN, self.inner
        if sheet.photo is not None:
            self._photo(sheet.photo)
            room -= _PHOTO + 6
        self.text(left, _MARGIN + 4, translated("Pedigree"), _BODY)
        points = self.fit(sheet.who.keeper_id, 24, room * 0.8, least=11, bold=True)
        self.text(left, _MARGIN + 13, sheet.who.keeper_id, points, bold=True)
        after = left + measure(sheet.who.keeper_id, points, bold=True) + 3
        self.text(after, _MARGIN + 13, sex_text(sheet.who, self._style), 13)
        y = _MARGIN + 20
        lines = [
            look_text(sheet.who),
            self._origin(sheet),
            verdict_words(sheet.who.keeper_id, sheet.inbreeding, self._style),
        ]
        own = sheet.gene_words.get(sheet.who.id)
        if own is not None:
            lines.append(translated("{gene} on paper: {odds}").format(gene=sheet.gene, odds=own.paper_text))
        for number, line in enumerate(lines):
            if line:
                self.text(left, y, self.cut(line, 9.5, room, bold=number != 1), 9.5, bold=number != 1)
                y += 5.4
        self.text(left, y, self.cut(known_words(sheet.inbreeding), _BODY, room), _BODY)

    def _origin(self, sheet: PedigreeSheet) -> str:
        who = sheet.who
        parts = [sheet.who.name] if who.name else []
        if who.hatched is not None:
            parts.append(translated("hatched {date}").format(date=self._style.date(who.hatched)))
        parts.append(self._source(sheet.who.id))
        return ", ".join(part for part in parts if part)

    def _source(self, animal: int) -> str:
        """Who bred or sold it, as recorded."""
        card = self._sheet.facts[animal]
        return translated("from {source}").format(source=card.source) if card.source else ""

    def _photo(self, photo: bytes) -> None:
        from reportlab.lib.utils import ImageReader

        image = ImageReader(BytesIO(photo))
        wide, high = image.getSize()
        scale = _PHOTO / max(wide, high)
        x, y = self.pen.point(self.width - _MARGIN - wide * scale, _MARGIN + high * scale)
        self.canvas.drawImage(image, x, y, wide * scale * PT_PER_MM, high * scale * PT_PER_MM)

    # --- tree ----------------------------------------------------------------------------------------------
    def tree(self) -> None:
        """Lines under cards, words and discs over them."""
        top = _MARGIN + _HEAD
        room = self.height - top - _MARGIN - _FOOT
        layout, unit = fitted(self._sheet, self.inner, room)
        # a small tree stands near its head, not lost in the middle of the page
        down = top + (room - layout.height * unit) * 0.2
        canvas = self.canvas
        canvas.saveState()
        canvas.setStrokeGray(0)
        for wire in layout.wires:
            self._dash(wire.certainty)
            canvas.setLineWidth(0.28 * PT_PER_MM)
            (x0, y0), (x1, y1) = wire.points
            canvas.line(
                *self.pen.point(_MARGIN + x0 * unit, down + y0 * unit),
                *self.pen.point(_MARGIN + x1 * unit, down + y1 * unit),
            )
        canvas.setDash()
        for word in layout.words:
            said = translated("possible {n}%").format(n=word.percent)
            x, y = self.pen.point(_MARGIN + word.x * unit - 0.3, down + word.y * unit - 0.2)
            canvas.setFont(FACE, _LEAST)
            canvas.drawRightString(x, y, said)
        for card in layout.cards:
            self._card(card, unit, down)
        for mark in layout.loops:
            x, y = self.pen.point(_MARGIN + mark.x * unit, down + mark.y * unit)
            canvas.setFillGray(0)
            canvas.circle(x, y, 1.7 * PT_PER_MM, stroke=0, fill=1)
            canvas.setFillGray(1)
            canvas.setFont(BOLD_FACE, _SMALL)
            canvas.drawCentredString(x, y - 2.3, str(mark.number))
        canvas.restoreState()

    def _dash(self, sure: Certainty) -> None:
        if sure in _DASHES:
            self.canvas.setDash(*_DASHES[sure])
        else:
            self.canvas.setDash()

    def _card(self, card: Card, unit: float, down: float) -> None:
        left, top = _MARGIN + card.x * unit, down + card.y * unit
        wide, high = card.width * unit, card.height * unit
        canvas = self.canvas
        x, y = self.pen.point(left, top + high)
        canvas.setStrokeGray(0.35)
        canvas.setFillGray(1)
        canvas.setLineWidth(0.18 * PT_PER_MM)
        if card.key < 0:
            canvas.setDash(1.5, 1.2)
        canvas.roundRect(x, y, wide * PT_PER_MM, high * PT_PER_MM, 0.8 * PT_PER_MM, stroke=1, fill=1)
        canvas.setDash()
        room = wide - 3
        lines = self._lines(card, room)[:_MOST_LINES]
        step = min(high / (len(lines) + 0.35), 4.4)
        y_line = top + (high - step * len(lines)) / 2 + step * 0.74
        for number, (words, bold) in enumerate(lines):
            points = min(_BODY, step * PT_PER_MM * 0.78)
            if number == 0 and card.key >= 0:
                # letters get smaller before an id is cut
                points = self.fit(self._name(card, room), points, room, least=_LEAST, bold=bold)
            self.text(left + 1.5, y_line, self.cut(words, points, room, bold=bold), points, bold=bold)
            y_line += step

    def _name(self, card: Card, room: float) -> str:
        """Id and sex, cut to what has room in the least letters; the sex is never what is cut off."""
        facts = self._sheet.facts[card.key]
        sex, bold = f" {sex_text(facts, self._style)}", card.height >= 80
        room_of_id = room - measure(sex, _LEAST, bold=bold)
        return self.cut(facts.keeper_id, _LEAST, room_of_id, bold=bold) + sex

    def _lines(self, card: Card, room: float) -> list[tuple[str, bool]]:
        """What a card says in as many lines as it has room for."""
        sheet = self._sheet
        if card.key < 0:
            return [(unknown_text(sheet.picture.unknown[card.key], dict(sheet.names)), False)]
        facts, name = sheet.facts[card.key], self._name(card, room)
        if card.height < 80:
            return [(f"{name}  {facts.genetics}", False)]
        if card.height < 150:
            return [(name, True), (look_text(facts), False)]
        lines = [(name, True), *((line, False) for line in self._two_lines(look_text(facts), room))]
        source = ", ".join(part for part in (where_text(facts, place=False), self._source(card.key)) if part)
        lines += [(source, False)] if source else []
        words = sheet.gene_words.get(card.key)
        if words is not None:
            lines.append((f"{sheet.gene}: {words.paper_text or words.text}", False))
        return lines

    # --- foot ----------------------------------------------------------------------------------------------
    def foot(self) -> None:
        """What the lines mean, what the sheet rests on, and when it was printed."""
        y = self.height - _MARGIN - _FOOT + 5
        x = _MARGIN
        canvas = self.canvas
        canvas.setStrokeGray(0)
        canvas.setLineWidth(0.28 * PT_PER_MM)
        for sure, words in CERTAINTY_WORDS.items():
            self._dash(sure)
            canvas.line(*self.pen.point(x, y - 1), *self.pen.point(x + 9, y - 1))
            canvas.setDash()
            self.text(x + 10.5, y, translated(words), _SMALL)
            x += 15 + measure(translated(words), _SMALL)
        self.text(x, y, translated("number in a disc: one animal reached twice, drawn once"), _SMALL)
        basis = translated(
            "Parents, looks and sources as the keeper recorded them; \u201cclaimed\u201d is what a seller said, not "
            "verified. Inbreeding is counted along the recorded parents (Wright 1922): an ancestor that is not known "
            "counts as unrelated, so the figure is the least it can be."
        )
        if self._sheet.gene:
            odds = translated("Odds of {gene} are on paper: what follows from the parents alone.")
            basis += " " + odds.format(gene=self._sheet.gene)
        for line in self.wrapped(basis, _SMALL, self.inner):
            y += 3.4
            self.text(_MARGIN, y, line, _SMALL)
        printed = translated("printed {date}").format(date=self._style.date(self._sheet.printed))
        self.text(_MARGIN, y + 4.2, printed, _SMALL)

    def _two_lines(self, text: str, room: float) -> list[str]:
        """A text in two lines at most; what has no room ends in "…", so that nothing looks whole that is not."""
        lines = self.wrapped(text, _BODY, room)
        return lines[:1] + ([self.cut(" ".join(lines[1:]), _BODY, room)] if lines[1:] else [])
