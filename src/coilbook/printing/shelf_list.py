"""The shelf list of the incubators as a PDF: a row for each place, with room to write beside it."""

from __future__ import annotations

from coilbook.labels.layout import Box
from coilbook.printing.paper import FACE, Paper, measure
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
    page = _Pages(shelves, style, paper)
    for incubator in shelves.incubators:
        page.incubator(incubator)
    page.foot()
    return page.pdf()


class _Pages(Paper):
    """Writes from the top down."""

    def __init__(self, shelves: ShelfList, style: Style, paper: str) -> None:
        super().__init__(translated("Shelf list"), paper, _MARGIN)
        self._printed, self._style = shelves.printed, style

    def incubator(self, incubator: IncubatorList) -> None:
        """Its name and what it is set to, then shelf by shelf."""
        self.room(30)
        self.text(_MARGIN, self.y + 6, incubator.name or translated("In no incubator"), _TITLE, bold=True)
        if incubator.set_at is not None:
            right = translated("set {c}").format(c=self._style.temperature(incubator.set_at.tenths))
            self.canvas.setFont(FACE, _HEAD)
            self.canvas.drawRightString(*self.pen.point(self.width - _MARGIN, self.y + 6), right)
        self.y += 13
        for shelf in incubator.shelves:
            self.room(2 * _ROW + _LINE)
            if shelf.name:
                self.text(_MARGIN, self.y, shelf.name, _HEAD, bold=True)
                self.y += 2
            heads = (translated("place"), translated("box"), translated("clutch"), translated("day"),
                     translated("eggs"), translated("pips"), translated("needs"), translated("seen"))  # fmt: skip
            self._row(heads, bold=False)
            for place in shelf.places:
                self._row(self._cells(place), bold=True)
            self.y += _LINE
        self.y += 2

    def foot(self) -> None:
        """When it was printed, and which page it is."""
        text = translated("Shelf list, printed {date}, page {n}").format(
            date=self._style.date(self._printed), n=self.number
        )
        self.text(_MARGIN, self.height - _MARGIN + 5, text, _SMALL)

    def _cells(self, place: ShelfPlace) -> tuple[str, ...]:
        def said(told: Message | None) -> str:
            return render(told, self._style) if told is not None else ""

        spot = str(place.spot) if place.spot is not None else ""
        if not place.box:
            return (spot, translated("free"))
        day = str(place.day) if place.day is not None else ""
        return (spot, place.box, place.clutches, day, said(place.eggs), said(place.pips), said(place.needs))

    def _row(self, cells: tuple[str, ...], *, bold: bool) -> None:
        self.room(_ROW)
        x, widths = _MARGIN, (*_WIDTHS, self.width - 2 * _MARGIN - sum(_WIDTHS))
        for number, width in enumerate(widths):
            self.pen.frame(Box(x, self.y, width, _ROW))
            if number < len(cells) and cells[number]:
                self._fitted(x + 1.2, cells[number], width - 2.4, bold=bold and number == 1)
            x += width
        self.y += _ROW

    def _fitted(self, x: float, text: str, room: float, *, bold: bool) -> None:
        """Smaller where the words are longer than their cell: nothing on paper is cut off."""
        wide = measure(text, _BODY, bold=bold)
        self.text(x, self.y + 5.2, text, _BODY * min(1.0, room / wide), bold=bold)
