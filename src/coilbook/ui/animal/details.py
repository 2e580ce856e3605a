"""The particulars of an animal under its genes, always in view; each is corrected where it stands."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from coilbook.reads.animal_rows import AnimalPage
from coilbook.records.vocabulary import Origin
from coilbook.ui.animal.edit_in_place import EditInPlace
from coilbook.ui.animal.words import came_typed, came_words, usual_prey
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

#: the names the page saves them by, in reading order; columns are read downwards
LINES = (
    ("name", "hatched", "came", "temperament"),
    ("prey", "interval", "feeding_note", "holdback"),
    ("dam", "sires", "tags", "microchip"),
)
#: a page narrower than this, in px at 100 percent, has two columns
NARROW = 480
#: the room a value is given before it may be cut, with its name, in px at 100 percent: a day in full, not a sentence
KEPT_WHOLE = 180
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
        self._theme = theme
        self.lines: dict[str, EditInPlace] = {}
        column = QVBoxLayout(self)
        # names begin where the words of the genes above do
        column.setContentsMargins(theme.px(8), 0, 0, 0)
        column.setSpacing(theme.px(2))
        claim = self._line(theme, "claim")
        claim.editing_changed.connect(self._show_claim)
        column.addWidget(claim)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(theme.px(16))
        self._grid.setVerticalSpacing(theme.px(2))
        for name in (name for names in LINES for name in names):
            line = self._line(theme, name)
            line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            line.editing_changed.connect(self._place)
        column.addLayout(self._grid)
        self._columns = 0
        self._set_columns(len(LINES))

    def _set_columns(self, columns: int) -> None:
        if columns == self._columns:
            return
        self._columns = columns
        self._place()

    def _fit(self) -> None:
        """As many columns as hold their values; equal ones, else by what each needs."""
        within = self.width() - self._theme.px(8)
        columns = 2 if self.width() < self._theme.px(NARROW) else len(LINES)
        if sum(self._needs(columns)) > self._share(within, columns) * columns:
            columns = 2
        self._set_columns(columns)
        needs, share = self._needs(columns), self._share(within, columns)
        equal = max(needs) <= share
        for number in range(len(LINES)):
            need = needs[number] if number < columns else 0
            self._grid.setColumnStretch(number, int(number < columns) if equal else need)

    def _share(self, within: int, columns: int) -> int:
        """Width of each of some equal columns."""
        return (within - self._grid.horizontalSpacing() * (columns - 1)) // columns

    def _needs(self, columns: int) -> list[int]:
        """The width each of some columns needs, by its widest value up to `KEPT_WHOLE`; an open line has its row."""
        names = [name for column in LINES for name in column]
        high, most = -(-len(names) // columns), self._theme.px(KEPT_WHOLE)
        closed = [0 if self.lines[name].editing else min(self.lines[name].whole_width(), most) for name in names]
        return [max(closed[first : first + high]) for first in range(0, len(names), high)]

    def _rows(self) -> list[list[str]]:
        """Names by row of the grid as it is now."""
        names = [name for column in LINES for name in column]
        high = -(-len(names) // self._columns)
        return [names[row::high] for row in range(high)]

    def _place(self) -> None:
        """Put every line in its cell; one that is open takes the whole of its row, as wide as what is typed needs."""
        for number, row in enumerate(self._rows()):
            open_one = next((name for name in row if self.lines[name].editing), None)
            for place, name in enumerate(row):
                line = self.lines[name]
                if open_one is None:
                    self._grid.addWidget(line, number, place)
                elif name == open_one:
                    self._grid.addWidget(line, number, 0, 1, self._columns)
                line.setVisible(open_one in (None, name))

    def _show_claim(self) -> None:
        """Without a claim there is no line of it: the genes above take one, and a command opens the line."""
        claim = self.lines["claim"]
        claim.setVisible(bool(claim.value) or claim.editing)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

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
        self._show_claim()
        hatched = style.date(who.hatched) if who.hatched else ""
        lines["hatched"].show_value(hatched, hint=translated("2021, May 2021, 14 June 2020"))
        came = came_words(page, style) if who.origin is not Origin.UNKNOWN else ""
        lines["came"].show_value(came, came_typed(page, style), hint=translated("not known"))
        for name in ("name", "temperament", "holdback", "microchip", "feeding_note"):
            lines[name].show_value(str(getattr(who, name)), hint="\u2013")
        lines["prey"].show_value(usual_prey(page), hint="\u2013")
        own = who.interval_days
        usual = translated("{n} d, as all").format(n=style.settings.default_interval_days)
        shown = translated("{n} d, own").format(n=own) if own else ""
        lines["interval"].show_value(shown, str(own or ""), hint=usual)
        lines["tags"].show_value(", ".join(page.tags), hint="\u2013")
        dam = page.family.dam
        lines["dam"].show_value(dam.keeper_id if dam else "", hint=translated("not known"))
        sires = page.family.sires
        sure = len(sires) == 1 and sires[0].percent == 100
        typed = sires[0].keeper_id if sure else ", ".join(f"{s.keeper_id} {s.percent}%" for s in sires)
        lines["sires"].show_value(typed, hint=translated("not known"))
        self._fit()


def _claims(page: AnimalPage) -> str:
    if not page.claims:
        return ""
    newest = page.claims[-1]
    said = f"\u201c{newest.text}\u201d" + (f", {newest.source}" if newest.source else "")
    if len(page.claims) > 1:
        said += " " + translated("and {n} more").format(n=len(page.claims) - 1)
    return said
