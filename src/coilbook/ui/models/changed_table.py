"""Animals whose odds an act changed, as rows of a table."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.genetics.paper import rounded_down
from coilbook.reads.consequences import Moved
from coilbook.records.vocabulary import Status
from coilbook.ui.animal.genes_words import percent_of
from coilbook.ui.parts.table import CellLook, LooksModel
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import words

COLUMNS = ("Animal", "Gene", "was", "is now", "on paper", "Where", "Genetics")
#: the same for an act of any day, compared with today's book without it
WITHOUT = ("Animal", "Gene", "without", "with it", "on paper", "Where", "Genetics")
NUMBERS = (2, 3, 4)


class ChangedTable(LooksModel):
    """The largest change first."""

    def __init__(self) -> None:
        super().__init__([translated(head) for head in COLUMNS], NUMBERS)
        self.rows: Sequence[Moved] = ()
        self._style = Style()

    def show(self, rows: Sequence[Moved], style: Style, *, without: bool = False) -> None:
        """Show these; `without`: what was is what would be without the act."""
        self.beginResetModel()
        self.rows, self._style = rows, style
        self._heads = tuple(translated(head) for head in (WITHOUT if without else COLUMNS))
        self.endResetModel()

    def row_at(self, number: int) -> Moved | None:
        """The animal in a row."""
        return self.rows[number] if 0 <= number < len(self.rows) else None

    def row_total(self) -> int:
        return len(self.rows)

    def look(self, row: int, column: int) -> CellLook:
        one = self.rows[row]
        if column == 0:
            sign = " ".join(part for part in self._style.sex_sign(one.sex, one.sex_percent) if part)
            return CellLook(one.keeper_id, bold=True, after=sign)
        if column == 1:
            return CellLook(one.name)
        if column in NUMBERS:
            return CellLook(
                self._number(one, column), bold=column == 3, token="ink" if column == 3 else "second", right=True
            )
        if column == 5:
            return self._where(one)
        return CellLook(one.label, token="second")

    @staticmethod
    def _number(one: Moved, column: int) -> str:
        if column == 4:
            texts = [rounded_down(p) if p is not None else "?" for p in (one.paper_before, one.paper_after)]
            return texts[0] if texts[0] == texts[1] else f"{texts[0]} → {texts[1]}"
        chance = one.before if column == 2 else one.after
        return translated("contradiction") if chance is None else percent_of(chance)

    def _where(self, one: Moved) -> CellLook:
        if one.status is Status.SOLD:
            who = translated("sold to {who}").format(who=one.buyer) if one.buyer else words(one.status)
            return CellLook(who, shape="triangle", token="clay")
        return CellLook(words(one.status), token="second")
