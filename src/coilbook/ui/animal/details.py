"""What is known of an animal beside its head, line by line; each is corrected where it stands."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from coilbook.reads.animal_rows import AnimalPage
from coilbook.records.vocabulary import Origin
from coilbook.ui.animal.edit_in_place import EditInPlace
from coilbook.ui.animal.words import came_typed, came_words, usual_prey
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

#: name on the page, and the name the page saves it by; two columns read downwards
LEFT = ("name", "hatched", "came", "temperament", "holdback", "microchip")
RIGHT = ("prey", "interval", "feeding_note", "tags", "dam", "sires")
_NAMES = {
    "claim": "Claimed",
    "name": "Name",
    "hatched": "Hatched",
    "came": "Came",
    "temperament": "Temper",
    "holdback": "Kept for",
    "microchip": "Microchip",
    "prey": "Prey",
    "interval": "Interval",
    "feeding_note": "Feeding",
    "tags": "Tags",
    "dam": "Dam",
    "sires": "Sire",
}


class Details(QWidget):
    """`saved` carries the name of a line and what was typed in it."""

    saved = Signal(str, str)
    focused = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.lines: dict[str, EditInPlace] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.px(2))
        column.addWidget(self._line(theme, "claim"))
        grid = QGridLayout()
        grid.setHorizontalSpacing(theme.px(16))
        grid.setVerticalSpacing(theme.px(2))
        for side, names in enumerate((LEFT, RIGHT)):
            for row, name in enumerate(names):
                line = self._line(theme, name)
                line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
                grid.addWidget(line, row, side)
            grid.setColumnStretch(side, 1)
        column.addLayout(grid)
        column.addStretch(1)

    def _line(self, theme: Theme, name: str) -> EditInPlace:
        line = EditInPlace(theme, translated(_NAMES[name]))
        line.saved.connect(lambda text: self.saved.emit(name, text))
        line.focused.connect(lambda: self.focused.emit(name))
        self.lines[name] = line
        return line

    def show_page(self, page: AnimalPage, style: Style) -> None:
        """Show an animal."""
        who, lines = page.who, self.lines
        lines["claim"].show_value(_claims(page), "", hint=translated("nothing; type what a seller said; then who"))
        hatched = style.date(who.hatched) if who.hatched else ""
        lines["hatched"].show_value(hatched, hint=translated("2021, May 2021, 14 June 2020"))
        came = came_words(page, style) if who.origin is not Origin.UNKNOWN else ""
        lines["came"].show_value(came, came_typed(page, style), hint=translated("not known"))
        for name in ("name", "temperament", "holdback", "microchip", "feeding_note"):
            lines[name].show_value(str(getattr(who, name)), hint="\u2013")
        lines["prey"].show_value(usual_prey(page), hint=translated("medium rat"))
        own = who.interval_days
        usual = translated("every {n} d, as all").format(n=style.settings.default_interval_days)
        shown = translated("every {n} d, own").format(n=own) if own else ""
        lines["interval"].show_value(shown, str(own or ""), hint=usual)
        lines["tags"].show_value(", ".join(page.tags), hint="\u2013")
        dam = page.family.dam
        lines["dam"].show_value(dam.keeper_id if dam else "", hint=translated("not known"))
        sires = page.family.sires
        sure = len(sires) == 1 and sires[0].percent == 100
        typed = sires[0].keeper_id if sure else ", ".join(f"{s.keeper_id} {s.percent}%" for s in sires)
        lines["sires"].show_value(typed, hint=translated("not known"))


def _claims(page: AnimalPage) -> str:
    if not page.claims:
        return ""
    newest = page.claims[-1]
    said = f"\u201c{newest.text}\u201d" + (f", {newest.source}" if newest.source else "")
    if len(page.claims) > 1:
        said += " " + translated("and {n} more").format(n=len(page.claims) - 1)
    return said
