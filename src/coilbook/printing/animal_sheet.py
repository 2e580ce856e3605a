"""The sheet of one animal as a PDF of one page, A4 or Letter."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from coilbook.labels.layout import PlacedSymbol
from coilbook.labels.symbol import payload_of, symbol
from coilbook.printing.chart import BOLD_FACE, FACE, draw_chart
from coilbook.printing.draw_label import PT_PER_MM, Pen, register_fonts
from coilbook.reads.animal_sheet import AnimalSheet, SheetRow
from coilbook.records.vocabulary import Sex
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

#: page sizes in mm
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
_MARGIN, _MODULE = 15.0, 0.6
_BODY, _SMALL, _HEAD, _ID = 9.0, 7.5, 11.0, 26.0
_LINE = 4.6


def sheet_pdf(sheet: AnimalSheet, style: Style, paper: str = "A4") -> bytes:
    """The sheet as a PDF on this paper; an unknown paper is A4."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    width, height = PAPERS.get(paper, PAPERS["A4"])
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(width * PT_PER_MM, height * PT_PER_MM), invariant=1, pageCompression=1)
    canvas.setCreator("Coilbook")
    canvas.setTitle(sheet.who.keeper_id)
    page = _Page(Pen(canvas, height), style, width, height)
    page.head(sheet)
    page.chart(sheet)
    page.lists(sheet)
    page.foot(sheet)
    canvas.save()
    return buffer.getvalue()


class _Page:
    """Writes from the top down; `y` is where the next thing begins, in mm."""

    def __init__(self, pen: Pen, style: Style, width: float, height: float) -> None:
        self._pen, self._style, self._width, self._height = pen, style, width, height
        self._y = _MARGIN
        self._inner = width - 2 * _MARGIN

    def head(self, sheet: AnimalSheet) -> None:
        """Id, sex, look, named lines; the code at the top right."""
        room = self._inner
        if sheet.code is not None:
            placed = symbol(payload_of(sheet.code, self._style.settings.code_prefix))
            side = placed.modules_with_quiet * _MODULE
            quiet = (placed.modules_with_quiet - placed.modules) / 2 * _MODULE
            right = self._width - _MARGIN
            self._pen.symbol(PlacedSymbol(placed, right - side + quiet, _MARGIN - 2 + quiet, _MODULE))
            self._text(right - side / 2, _MARGIN + side, sheet.code.shown, _SMALL, centred=True)
            room -= side + 6
        who = sheet.who
        sign = self._style.sex_sign(who.sex, who.sex_percent if who.sex is not Sex.UNSEXED else None)
        points = self._fit(who.keeper_id, BOLD_FACE, _ID, room * 0.75)
        self._text(_MARGIN, self._y + 9, who.keeper_id, points, bold=True)
        id_width = self._measure(who.keeper_id, BOLD_FACE, points)
        self._text(_MARGIN + id_width + 4, self._y + 9, " ".join(s for s in sign if s), 16)
        self._y += 15
        for line in self._wrapped(who.genetics or translated("genetics not entered"), BOLD_FACE, _HEAD, room)[:3]:
            self._text(_MARGIN, self._y, line, _HEAD, bold=True)
            self._y += 5.2
        for claim in sheet.claims[:2]:
            claimed = translated("claimed: {text}").format(text=claim)
            self._text(_MARGIN, self._y, self._cut(claimed, FACE, _BODY, room), _BODY)
            self._y += _LINE
        self._facts(sheet, room)
        self._y = max(self._y, _MARGIN + 30)

    def _facts(self, sheet: AnimalSheet, room: float) -> None:
        column = room / 2
        for number, (name, value) in enumerate(sheet.facts):
            x = _MARGIN + (number % 2) * column
            y = self._y + (number // 2) * _LINE
            self._text(x, y, render(name, self._style), _BODY)
            said = self._cut(render(value, self._style), FACE, _BODY, column - 26)
            self._text(x + 24, y, said, _BODY)
        self._y += (len(sheet.facts) + 1) // 2 * _LINE + 2

    def chart(self, sheet: AnimalSheet) -> None:
        """The curve, over the whole width."""
        self._heading(_MARGIN, translated("Weight and meals"), self._inner)
        if sheet.series.empty:
            self._text(_MARGIN, self._y + 2, translated("Nothing is recorded yet."), _BODY)
            self._y += 10
            return
        draw_chart(self._pen, sheet.series, self._style, (_MARGIN, self._y - 2, self._inner, 68))
        self._y += 70

    def lists(self, sheet: AnimalSheet) -> None:
        """Two columns: meals and notes, weights and sheds."""
        top, half = self._y, (self._inner - 8) / 2
        self._list(_MARGIN, half, translated("Last meals"), sheet.meals)
        self._list(_MARGIN, half, translated("Notes and signs"), sheet.notes)
        left_end, self._y = self._y, top
        right = _MARGIN + half + 8
        self._list(right, half, translated("Weights"), sheet.weights)
        self._list(right, half, translated("Sheds"), sheet.sheds)
        self._y = max(left_end, self._y)

    def _list(self, x: float, width: float, title: str, rows: Sequence[SheetRow]) -> None:
        self._heading(x, title, width)
        if not rows:
            self._text(x, self._y, translated("none"), _BODY)
            self._y += _LINE
        for row in rows:
            if self._y > self._height - _MARGIN - 8:
                break
            self._text(x, self._y, self._style.date(row.day), _BODY)
            said = ", ".join(render(part, self._style) for part in row.said)
            self._text(x + 24, self._y, self._cut(said, FACE, _BODY, width - 24), _BODY)
            self._y += _LINE
        self._y += 3

    def foot(self, sheet: AnimalSheet) -> None:
        """When it was printed, and what the shapes mean."""
        day = self._style.date(sheet.printed)
        key = translated(
            "filled square taken, half-filled taken late, diamond refused, half disc left in, dashed ring in doubt, "
            "wave shed"
        )
        self._text(
            _MARGIN, self._height - _MARGIN + 4, translated("printed {date}; {key}").format(date=day, key=key), _SMALL
        )

    # --- words ---------------------------------------------------------------------------------------------
    def _heading(self, x: float, title: str, width: float) -> None:
        self._text(x, self._y + 2, title, _HEAD, bold=True)
        self._pen.line(x, self._y + 3.6, x + width, self._y + 3.6)
        self._y += 8.2

    def _text(self, x: float, y: float, text: str, points: float, *, bold: bool = False, centred: bool = False) -> None:
        canvas = self._pen.canvas
        canvas.setFillGray(0)
        canvas.setFont(BOLD_FACE if bold else FACE, points)
        if centred:
            canvas.drawCentredString(*self._pen.point(x, y), text)
        else:
            canvas.drawString(*self._pen.point(x, y), text)

    @staticmethod
    def _measure(text: str, face: str, points: float) -> float:
        from reportlab.pdfbase.pdfmetrics import stringWidth

        return float(stringWidth(text, face, points)) / PT_PER_MM

    def _fit(self, text: str, face: str, points: float, room: float) -> float:
        """Points at which a text fits, not under 12."""
        while points > 12 and self._measure(text, face, points) > room:
            points -= 1
        return points

    def _cut(self, text: str, face: str, points: float, room: float) -> str:
        if self._measure(text, face, points) <= room:
            return text
        while text and self._measure(text + "\u2026", face, points) > room:
            text = text[:-1]
        return text.rstrip() + "\u2026"

    def _wrapped(self, text: str, face: str, points: float, room: float) -> list[str]:
        lines = [""]
        for word in text.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and self._measure(longer, face, points) > room:
                lines.append(word)
            else:
                lines[-1] = longer
        return [self._cut(line, face, points, room) for line in lines]
