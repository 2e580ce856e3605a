"""What the test sheet says: two numbers for the offset, the printer's white edge, and whose they are."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit

from coilbook.labels.stock import Printer
from coilbook.records.message import CoilbookError
from coilbook.ui.desk import Desk
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.wording.language import translated


class OffsetForm(InlineForm):
    """Four fields over Keep and Leave; numbers in mm, to the right and down positive."""

    def __init__(self, desk: Desk, printer: Printer) -> None:
        super().__init__(desk.theme, translated("What the test sheet says"), translated("Keep"), 4)
        self._desk, self._before = desk, printer
        self._fields = {
            "right": QLineEdit(f"{printer.offset_right:g}"),
            "down": QLineEdit(f"{printer.offset_down:g}"),
            "margin": QLineEdit(f"{printer.margin:g}"),
            "name": QLineEdit(printer.name or translated("Desk printer")),
        }
        heads = ("Offset to the right, mm", "Offset down, mm", "White edge, mm", "Printer")
        for words, (name, editor) in zip(heads, self._fields.items()):
            self.add(name, translated(words), editor)

    def printer(self) -> Printer | None:
        """The printer as measured; None when a field cannot be read, which then says so."""
        self.accept()
        numbers: list[float] = []
        for field in ("right", "down", "margin"):
            text = self._fields[field].text().strip()
            try:
                numbers.append(float(text.replace(",", ".").replace("\u2212", "-")))
            except ValueError:
                self.refuse(translated("'{text}' is not a number of mm.").format(text=text), field)
                return None
        try:
            return Printer(self._fields["name"].text().strip(), self._before.dpi, *numbers)
        except CoilbookError as error:
            self.refuse(self._desk.render(error.message))
            return None
