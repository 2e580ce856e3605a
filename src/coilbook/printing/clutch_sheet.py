"""The sheet of one clutch as a PDF: a grid to write in beside the box, then its story on as many pages as it takes."""

from __future__ import annotations

from io import BytesIO

from coilbook.labels.layout import Box, PlacedSymbol
from coilbook.labels.symbol import payload_of, symbol
from coilbook.printing.animal_sheet import PAPERS
from coilbook.printing.chart import BOLD_FACE, FACE
from coilbook.printing.draw_label import PT_PER_MM, Pen, register_fonts
from coilbook.reads.clutch_sheet import ClutchSheet
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

_MARGIN, _MODULE = 15.0, 0.6
_BODY, _SMALL, _HEAD, _TITLE = 9.0, 7.5, 11.0, 26.0
_LINE, _ROW = 4.8, 7.0
#: blank columns of the grid of eggs, and rows for weighings of the box
BLANKS, WEIGHINGS = 8, 6


def clutch_sheet_pdf(sheet: ClutchSheet, style: Style, paper: str = "A4") -> bytes:
    """The sheet as a PDF on this paper; an unknown paper is A4."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    width, height = PAPERS.get(paper, PAPERS["A4"])
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(width * PT_PER_MM, height * PT_PER_MM), invariant=1, pageCompression=1)
    canvas.setCreator("Coilbook")
    canvas.setTitle(sheet.label)
    page = _Pages(Pen(canvas, height), style, width, height, sheet)
    page.head()
    page.grid()
    page.weighings()
    page.story()
    page.foot()
    canvas.save()
    return buffer.getvalue()


class _Pages:
    """Writes from the top down; `y` is where the next thing begins, in mm."""

    def __init__(self, pen: Pen, style: Style, width: float, height: float, sheet: ClutchSheet) -> None:
        self._pen, self._style, self._sheet = pen, style, sheet
        self._width, self._height = width, height
        self._inner = width - 2 * _MARGIN
        self._y, self._page = _MARGIN, 1

    def head(self) -> None:
        """Clutch and box large, the code of the box, named lines, the result so far."""
        sheet, room = self._sheet, self._inner
        if sheet.code is not None:
            placed = symbol(payload_of(sheet.code, self._style.settings.code_prefix))
            side = placed.modules_with_quiet * _MODULE
            quiet = (placed.modules_with_quiet - placed.modules) / 2 * _MODULE
            right = self._width - _MARGIN
            self._pen.symbol(PlacedSymbol(placed, right - side + quiet, _MARGIN - 2 + quiet, _MODULE))
            self._text(right - side + quiet, _MARGIN + side + 1, sheet.code.shown, _SMALL)
            room -= side + 6
        self._text(_MARGIN, self._y + 9, sheet.label, _TITLE, bold=True)
        if sheet.box:
            self._text(_MARGIN + self._measure(sheet.label, _TITLE, bold=True) + 6, self._y + 9, sheet.box, 16)
        self._y += 16
        for name, value in sheet.facts:
            self._text(_MARGIN, self._y, render(name, self._style), _BODY)
            for line in self._wrapped(render(value, self._style), _BODY, room - 34):
                self._text(_MARGIN + 34, self._y, line, _BODY, bold=True)
                self._y += _LINE
        self._y = max(self._y, _MARGIN + 26)
        for line in self._wrapped(" ".join(render(m, self._style) for m in sheet.result), _BODY, self._inner):
            self._text(_MARGIN, self._y, line, _BODY)
            self._y += _LINE
        self._y += 3

    def grid(self) -> None:
        """A row for each egg, and columns to write what a look shows."""
        self._heading(translated("Eggs: write the day above, then what is seen; a dot is not looked at"))
        fixed = (12.0, 20.0, 26.0)
        each = (self._inner - sum(fixed)) / BLANKS
        heads = (translated("Egg"), self._style.mass_unit(), translated("today"), *([translated("d")] * BLANKS))
        widths = (*fixed, *([each] * BLANKS))
        self._row(widths, heads, bold=False)
        for egg in self._sheet.eggs:
            mass = self._style.mass(egg.mass_dg, unit=False) if egg.mass_dg is not None else ""
            self._row(widths, (str(egg.number), mass, words(egg.state)), bold=True)
        self._y += 4

    def weighings(self) -> None:
        """Blank rows for the weight of the box."""
        self._heading(translated("Box: weigh it as it was weighed at the start"))
        unit = self._style.mass_unit()
        heads = (translated("day"), translated("total {unit}").format(unit=unit), translated("taken out"),
                 translated("poured"), translated("temperature"), translated("drops, smell, note"))  # fmt: skip
        widths = (18.0, 26.0, 24.0, 22.0, 26.0, self._inner - 116.0)
        self._row(widths, heads, bold=False)
        for _ in range(WEIGHINGS):
            self._row(widths, (), bold=False)
        self._y += 4

    def story(self) -> None:
        """Every line of the story, on further pages where it is long."""
        self._heading(translated("Story"))
        self._y += 2
        for line in self._sheet.story:
            said = self._wrapped(render(line.told, self._style), _BODY, self._inner - 40)
            self._room(_LINE * len(said))
            self._text(_MARGIN, self._y, translated("day {n}").format(n=line.day), _BODY)
            day = self._style.date(self._sheet.printed.fromisoformat(line.at[:10]), year=False)
            self._text(_MARGIN + 16, self._y, day, _BODY)
            for part in said:
                self._text(_MARGIN + 40, self._y, part, _BODY)
                self._y += _LINE

    def foot(self) -> None:
        """When it was printed, and which page it is."""
        day = self._style.date(self._sheet.printed)
        text = translated("{clutch}, printed {date}, page {n}").format(clutch=self._sheet.label, date=day, n=self._page)
        self._text(_MARGIN, self._height - _MARGIN + 5, text, _SMALL)

    # --- drawing -------------------------------------------------------------------------------------------
    def _room(self, height: float) -> None:
        """Begin another page where the next thing has no room."""
        if self._y + height > self._height - _MARGIN:
            self.foot()
            self._pen.canvas.showPage()
            self._page += 1
            self._y = _MARGIN + 4

    def _heading(self, title: str) -> None:
        self._room(20)
        self._text(_MARGIN, self._y + 2, title, _HEAD, bold=True)
        self._pen.line(_MARGIN, self._y + 3.6, _MARGIN + self._inner, self._y + 3.6)
        self._y += 7

    def _row(self, widths: tuple[float, ...], cells: tuple[str, ...], *, bold: bool) -> None:
        self._room(_ROW)
        x = _MARGIN
        for number, width in enumerate(widths):
            self._pen.frame(Box(x, self._y, width, _ROW))
            if number < len(cells) and cells[number]:
                self._text(x + 1.4, self._y + 4.8, cells[number], _BODY, bold=bold and number == 0)
            x += width
        self._y += _ROW

    def _text(self, x: float, y: float, text: str, points: float, *, bold: bool = False) -> None:
        canvas = self._pen.canvas
        canvas.setFillGray(0)
        canvas.setFont(BOLD_FACE if bold else FACE, points)
        canvas.drawString(*self._pen.point(x, y), text)

    @staticmethod
    def _measure(text: str, points: float, *, bold: bool = False) -> float:
        from reportlab.pdfbase.pdfmetrics import stringWidth

        return float(stringWidth(text, BOLD_FACE if bold else FACE, points)) / PT_PER_MM

    def _wrapped(self, text: str, points: float, room: float) -> list[str]:
        lines = [""]
        for word in text.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and self._measure(longer, points, bold=True) > room:
                lines.append(word)
            else:
                lines[-1] = longer
        return lines
