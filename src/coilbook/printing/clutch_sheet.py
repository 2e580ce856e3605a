"""The sheet of one clutch as a PDF: a grid to write in beside the box, then its story and its pictures."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from coilbook.labels.layout import Box
from coilbook.printing.draw_label import PT_PER_MM
from coilbook.printing.paper import Paper, measure
from coilbook.reads.clutch_sheet import ClutchSheet, SheetPicture
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

if TYPE_CHECKING:
    from reportlab.lib.utils import ImageReader

_MARGIN = 15.0
_BODY, _SMALL, _HEAD, _TITLE = 9.0, 7.5, 11.0, 26.0
_LINE, _ROW = 4.8, 7.0
#: between pictures, lines of their captions, and the tallest a picture is printed, in mm
_GAP, _SMALL_LINE, _TALLEST = 6.0, 3.6, 90.0
#: blank columns of the grid of eggs, and rows for weighings of the box
BLANKS, WEIGHINGS = 8, 6


def clutch_sheet_pdf(sheet: ClutchSheet, style: Style, paper: str = "A4") -> bytes:
    """The sheet as a PDF on this paper; an unknown paper is A4."""
    page = _Pages(sheet, style, paper)
    page.head()
    page.grid()
    page.weighings()
    page.story()
    page.pictures()
    page.foot()
    return page.pdf()


class _Pages(Paper):
    """Writes from the top down."""

    def __init__(self, sheet: ClutchSheet, style: Style, paper: str) -> None:
        super().__init__(sheet.label, paper, _MARGIN)
        self._sheet, self._style = sheet, style

    def head(self) -> None:
        """Clutch and box large, the code of the box, named lines, the result so far."""
        sheet, room = self._sheet, self.inner
        if sheet.code is not None:
            room -= self.code_in_corner(sheet.code, self._style.settings.code_prefix) + 6
        self.text(_MARGIN, self.y + 9, sheet.label, _TITLE, bold=True)
        if sheet.box:
            self.text(_MARGIN + measure(sheet.label, _TITLE, bold=True) + 6, self.y + 9, sheet.box, 16)
        self.y += 16
        for name, value in sheet.facts:
            self.text(_MARGIN, self.y, render(name, self._style), _BODY)
            for line in self.wrapped(render(value, self._style), _BODY, room - 34, bold=True):
                self.text(_MARGIN + 34, self.y, line, _BODY, bold=True)
                self.y += _LINE
        self.y = max(self.y, _MARGIN + 26)
        for line in self.wrapped(" ".join(render(m, self._style) for m in sheet.result), _BODY, self.inner):
            self.text(_MARGIN, self.y, line, _BODY)
            self.y += _LINE
        self.y += 3

    def grid(self) -> None:
        """A row for each egg, and columns to write what a look shows."""
        self._heading(translated("Eggs: write the day above, then what is seen; a dot is not looked at"))
        fixed = (12.0, 20.0, 26.0)
        each = (self.inner - sum(fixed)) / BLANKS
        heads = (translated("Egg"), self._style.mass_unit(), translated("today"), *([translated("d")] * BLANKS))
        widths = (*fixed, *([each] * BLANKS))
        self._row(widths, heads, bold=False)
        for egg in self._sheet.eggs:
            mass = self._style.mass(egg.mass_dg, unit=False) if egg.mass_dg is not None else ""
            self._row(widths, (str(egg.number), mass, words(egg.state)), bold=True)
        self.y += 4

    def weighings(self) -> None:
        """Blank rows for the weight of the box."""
        self._heading(translated("Box: weigh it as it was weighed at the start"))
        unit = self._style.mass_unit()
        heads = (translated("day"), translated("total {unit}").format(unit=unit), translated("taken out"),
                 translated("poured"), translated("temperature"), translated("drops, smell, note"))  # fmt: skip
        widths = (18.0, 26.0, 24.0, 22.0, 26.0, self.inner - 116.0)
        self._row(widths, heads, bold=False)
        for _ in range(WEIGHINGS):
            self._row(widths, (), bold=False)
        self.y += 4

    def story(self) -> None:
        """Every line of the story, on further pages where it is long."""
        self._heading(translated("Story"))
        self.y += 2
        for line in self._sheet.story:
            said = self.wrapped(render(line.told, self._style), _BODY, self.inner - 40)
            self.room(_LINE * len(said))
            self.text(_MARGIN, self.y, translated("day {n}").format(n=line.day), _BODY)
            day = self._style.date(self._sheet.printed.fromisoformat(line.at[:10]), year=False)
            self.text(_MARGIN + 16, self.y, day, _BODY)
            for part in said:
                self.text(_MARGIN + 40, self.y, part, _BODY)
                self.y += _LINE

    def pictures(self) -> None:
        """Pictures in pairs, the caption under each; one whose file is gone is said so."""
        if not self._sheet.pictures:
            return
        self.y += 3
        self._heading(translated("Pictures"))
        width = (self.inner - _GAP) / 2
        for first in range(0, len(self._sheet.pictures), 2):
            pair = [self._prepared(one, width) for one in self._sheet.pictures[first : first + 2]]
            high = max(height + _SMALL_LINE * len(lines) for _, height, lines in pair) + _GAP
            self.room(high)
            for column, (image, height, lines) in enumerate(pair):
                x = _MARGIN + column * (width + _GAP)
                if image is not None:
                    wide = height * image.getSize()[0] / image.getSize()[1]
                    left, bottom = self.pen.point(x, self.y + height)
                    self.canvas.drawImage(image, left, bottom, wide * PT_PER_MM, height * PT_PER_MM)
                for number, line in enumerate(lines, 1):
                    self.text(x, self.y + height + _SMALL_LINE * number, line, _SMALL)
            self.y += high

    def _prepared(self, picture: SheetPicture, width: float) -> tuple[ImageReader | None, float, list[str]]:
        """The image, its height in mm, and its caption in lines."""
        from reportlab.lib.utils import ImageReader

        caption = render(picture.caption, self._style)
        if picture.image is None:
            caption = translated("{caption} (the picture is missing)").format(caption=caption)
            return None, 0.0, self.wrapped(caption, _SMALL, width)
        image = ImageReader(BytesIO(picture.image))
        across, down = image.getSize()
        return image, min(width * down / across, _TALLEST), self.wrapped(caption, _SMALL, width)

    def foot(self) -> None:
        """When it was printed, and which page it is."""
        day = self._style.date(self._sheet.printed)
        text = translated("{clutch}, printed {date}, page {n}").format(
            clutch=self._sheet.label, date=day, n=self.number
        )
        self.text(_MARGIN, self.height - _MARGIN + 5, text, _SMALL)

    # --- drawing -------------------------------------------------------------------------------------------

    def _heading(self, title: str) -> None:
        self.room(20)
        self.text(_MARGIN, self.y + 2, title, _HEAD, bold=True)
        self.pen.line(_MARGIN, self.y + 3.6, _MARGIN + self.inner, self.y + 3.6)
        self.y += 7

    def _row(self, widths: tuple[float, ...], cells: tuple[str, ...], *, bold: bool) -> None:
        self.room(_ROW)
        x = _MARGIN
        for number, width in enumerate(widths):
            self.pen.frame(Box(x, self.y, width, _ROW))
            if number < len(cells) and cells[number]:
                self.text(x + 1.4, self.y + 4.8, cells[number], _BODY, bold=bold and number == 0)
            x += width
        self.y += _ROW
