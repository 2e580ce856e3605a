"""The shelf list of the incubators as a PDF: a row for each place, with room to write beside it."""

from __future__ import annotations

from io import BytesIO

from coilbook.labels.layout import Box
from coilbook.printing.animal_sheet import PAPERS
from coilbook.printing.chart import BOLD_FACE, FACE
from coilbook.printing.draw_label import PT_PER_MM, Pen, register_fonts
from coilbook.reads.shelf_list import IncubatorList, ShelfList, ShelfPlace
from coilbook.records.message import Message
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

_MARGIN, _ROW, _LINE = 15.0, 8.0, 6.0
_TITLE, _HEAD, _BODY, _SMALL = 20.0, 11.0, 8.5, 7.5
#: place, box, clutch, day, eggs, window, what it needs; the rest is left to write in
_WIDTHS = (12.0, 18.0, 20.0, 10.0, 38.0, 27.0, 22.0)


def shelf_list_pdf(shelves: ShelfList, style: Style, paper: str = "A4") -> bytes:
    """The list as a PDF on this paper; an unknown paper is A4."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    width, height = PAPERS.get(paper, PAPERS["A4"])
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(width * PT_PER_MM, height * PT_PER_MM), invariant=1, pageCompression=1)
    canvas.setCreator("Coilbook")
    canvas.setTitle(translated("Shelf list"))
    page = _Pages(Pen(canvas, height), style, width, height, shelves)
    for incubator in shelves.incubators:
        page.incubator(incubator)
    page.foot()
    canvas.save()
    return buffer.getvalue()


class _Pages:
    """Writes from the top down; `y` is where the next thing begins, in mm."""

    def __init__(self, pen: Pen, style: Style, width: float, height: float, shelves: ShelfList) -> None:
        self._pen, self._style, self._printed = pen, style, shelves.printed
        self._width, self._height = width, height
        self._y, self._page = _MARGIN, 1

    def incubator(self, incubator: IncubatorList) -> None:
        """Its name and what it is set to, then shelf by shelf."""
        self._room(30)
        self._text(_MARGIN, self._y + 6, incubator.name or translated("In no incubator"), _TITLE, bold=True)
        if incubator.set_at is not None:
            right = translated("set {c}").format(c=self._style.temperature(incubator.set_at.tenths))
            self._pen.canvas.setFont(FACE, _HEAD)
            self._pen.canvas.drawRightString(*self._pen.point(self._width - _MARGIN, self._y + 6), right)
        self._y += 13
        for shelf in incubator.shelves:
            self._room(2 * _ROW + _LINE)
            if shelf.name:
                self._text(_MARGIN, self._y, shelf.name, _HEAD, bold=True)
                self._y += 2
            heads = (translated("place"), translated("box"), translated("clutch"), translated("day"),
                     translated("eggs"), translated("pips"), translated("needs"), translated("seen"))  # fmt: skip
            self._row(heads, bold=False)
            for place in shelf.places:
                self._row(self._cells(place), bold=True)
            self._y += _LINE
        self._y += 2

    def foot(self) -> None:
        """When it was printed, and which page it is."""
        text = translated("Shelf list, printed {date}, page {n}").format(
            date=self._style.date(self._printed), n=self._page
        )
        self._text(_MARGIN, self._height - _MARGIN + 5, text, _SMALL)

    def _cells(self, place: ShelfPlace) -> tuple[str, ...]:
        def said(told: Message | None) -> str:
            return render(told, self._style) if told is not None else ""

        spot = str(place.spot) if place.spot is not None else ""
        if not place.box:
            return (spot, translated("free"))
        day = str(place.day) if place.day is not None else ""
        return (spot, place.box, place.clutches, day, said(place.eggs), said(place.pips), said(place.needs))

    def _room(self, height: float) -> None:
        """Begin another page where the next thing has no room."""
        if self._y + height > self._height - _MARGIN:
            self.foot()
            self._pen.canvas.showPage()
            self._page += 1
            self._y = _MARGIN + 4

    def _row(self, cells: tuple[str, ...], *, bold: bool) -> None:
        self._room(_ROW)
        x, widths = _MARGIN, (*_WIDTHS, self._width - 2 * _MARGIN - sum(_WIDTHS))
        for number, width in enumerate(widths):
            self._pen.frame(Box(x, self._y, width, _ROW))
            if number < len(cells) and cells[number]:
                self._fitted(x + 1.2, cells[number], width - 2.4, bold=bold and number == 1)
            x += width
        self._y += _ROW

    def _fitted(self, x: float, text: str, room: float, *, bold: bool) -> None:
        """Smaller where the words are longer than their cell: nothing on paper is cut off."""
        from reportlab.pdfbase.pdfmetrics import stringWidth

        wide = float(stringWidth(text, BOLD_FACE if bold else FACE, _BODY)) / PT_PER_MM
        self._text(x, self._y + 5.2, text, _BODY * min(1.0, room / wide), bold=bold)

    def _text(self, x: float, y: float, text: str, points: float, *, bold: bool = False) -> None:
        canvas = self._pen.canvas
        canvas.setFillGray(0)
        canvas.setFont(BOLD_FACE if bold else FACE, points)
        canvas.drawString(*self._pen.point(x, y), text)
