"""The sheet of one animal as a PDF of one page, A4 or Letter."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.printing.chart import draw_chart
from coilbook.printing.paper import Paper, measure
from coilbook.reads.animal_sheet import AnimalSheet, SheetRow
from coilbook.records.vocabulary import Sex
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

_MARGIN = 15.0
_BODY, _SMALL, _HEAD, _ID = 9.0, 7.5, 11.0, 26.0
_LINE = 4.6
#: height of the curve in mm, alone and above treatments, and lines these may take
_CHART, _CHART_BESIDE_HEALTH, _HEALTH_LINES = 68.0, 46.0, 9


def sheet_pdf(sheet: AnimalSheet, style: Style, paper: str = "A4") -> bytes:
    """The sheet as a PDF on this paper; an unknown paper is A4."""
    page = _Page(sheet, style, paper)
    page.head(sheet)
    page.chart(sheet)
    page.health(sheet)
    page.lists(sheet)
    page.foot()
    return page.pdf()


class _Page(Paper):
    """Writes from the top down."""

    def __init__(self, sheet: AnimalSheet, style: Style, paper: str) -> None:
        super().__init__(sheet.who.keeper_id, paper, _MARGIN)
        self._printed, self._style = sheet.printed, style

    def head(self, sheet: AnimalSheet) -> None:
        """Id, sex, look, named lines; the code at the top right."""
        room = self.inner
        if sheet.code is not None:
            room -= self.code_in_corner(sheet.code, self._style.settings.code_prefix) + 6
        who = sheet.who
        sign = self._style.sex_sign(who.sex, who.sex_percent if who.sex is not Sex.UNSEXED else None)
        points = self.fit(who.keeper_id, _ID, room * 0.75, bold=True)
        self.text(_MARGIN, self.y + 9, who.keeper_id, points, bold=True)
        id_width = measure(who.keeper_id, points, bold=True)
        self.text(_MARGIN + id_width + 4, self.y + 9, " ".join(s for s in sign if s), 16)
        self.y += 15
        for line in self.wrapped(_genes(sheet), _HEAD, room, bold=True)[:3]:
            self.text(_MARGIN, self.y, line, _HEAD, bold=True)
            self.y += 5.2
        for rests in sheet.genes.basis[:3] if sheet.genes is not None else ():
            self.text(_MARGIN, self.y, self.cut(render(rests, self._style), _SMALL, room), _SMALL)
            self.y += _LINE
        for claim in sheet.claims[:2]:
            claimed = translated("claimed: {text}").format(text=claim)
            self.text(_MARGIN, self.y, self.cut(claimed, _BODY, room), _BODY)
            self.y += _LINE
        self._facts(sheet, room)
        self.y = max(self.y, _MARGIN + 30)

    def _facts(self, sheet: AnimalSheet, room: float) -> None:
        column = room / 2
        for number, (name, value) in enumerate(sheet.facts):
            x = _MARGIN + (number % 2) * column
            y = self.y + (number // 2) * _LINE
            self.text(x, y, render(name, self._style), _BODY)
            said = self.cut(render(value, self._style), _BODY, column - 26)
            self.text(x + 24, y, said, _BODY)
        self.y += (len(sheet.facts) + 1) // 2 * _LINE + 2

    def chart(self, sheet: AnimalSheet) -> None:
        """The curve, over the whole width."""
        self._heading(_MARGIN, translated("Weight and meals"), self.inner)
        if sheet.series.empty:
            self.text(_MARGIN, self.y + 2, translated("Nothing is recorded yet."), _BODY)
            self.y += 10
            return
        # what was done for its health takes its room from the curve, so that everything stays on one page
        height = _CHART_BESIDE_HEALTH if sheet.health else _CHART
        draw_chart(self.pen, sheet.series, self._style, (_MARGIN, self.y - 2, self.inner, height))
        self.y += height + 2

    def health(self, sheet: AnimalSheet) -> None:
        """Treatments and quarantines over the whole width, their words in as many lines as there is room for."""
        if not sheet.health:
            return
        self._heading(_MARGIN, translated("Treatments and quarantine"), self.inner)
        left = _HEALTH_LINES
        for row in sheet.health:
            said = "; ".join(render(part, self._style) for part in row.said)
            lines = self.wrapped(said, _BODY, self.inner - 24)
            shown = lines[:left]
            if shown:
                self.text(_MARGIN, self.y, self._style.date(row.day), _BODY)
            for line in shown:
                self.text(_MARGIN + 24, self.y, line, _BODY)
                self.y += _LINE
            left -= len(lines)
            if len(shown) < len(lines):
                self.text(_MARGIN + 24, self.y, translated("\u2026 the rest stands in the book"), _BODY)
                self.y += _LINE
                break
        self.y += 3

    def lists(self, sheet: AnimalSheet) -> None:
        """Two columns: meals and notes, weights and sheds."""
        top, half = self.y, (self.inner - 8) / 2
        self._list(_MARGIN, half, translated("Last meals"), sheet.meals)
        self._list(_MARGIN, half, translated("Notes and signs"), sheet.notes)
        left_end, self.y = self.y, top
        right = _MARGIN + half + 8
        self._list(right, half, translated("Weights"), sheet.weights)
        self._list(right, half, translated("Sheds"), sheet.sheds)
        self.y = max(left_end, self.y)

    def _list(self, x: float, width: float, title: str, rows: Sequence[SheetRow]) -> None:
        self._heading(x, title, width)
        if not rows:
            self.text(x, self.y, translated("none"), _BODY)
            self.y += _LINE
        for row in rows:
            if self.y > self.height - _MARGIN - 8:
                break
            self.text(x, self.y, self._style.date(row.day), _BODY)
            said = ", ".join(render(part, self._style) for part in row.said)
            self.text(x + 24, self.y, self.cut(said, _BODY, width - 24), _BODY)
            self.y += _LINE
        self.y += 3

    def foot(self) -> None:
        """When it was printed, and what the shapes mean."""
        day = self._style.date(self._printed)
        key = translated(
            "filled square taken, half-filled taken late, diamond refused, half disc left in, dashed ring in doubt, "
            "wave shed"
        )
        self.text(
            _MARGIN, self.height - _MARGIN + 4, translated("printed {date}; {key}").format(date=day, key=key), _SMALL
        )

    # --- words ---------------------------------------------------------------------------------------------
    def _heading(self, x: float, title: str, width: float) -> None:
        self.text(x, self.y + 2, title, _HEAD, bold=True)
        self.pen.line(x, self.y + 3.6, x + width, self.y + 3.6)
        self.y += 8.2


def _genes(sheet: AnimalSheet) -> str:
    """What the card says of its genes, both numbers where they differ; else the label as it is written."""
    told = ", ".join(part for part in (sheet.genes.certain, sheet.genes.doubt) if part) if sheet.genes else ""
    return told or sheet.who.genetics or translated("genetics not entered")
