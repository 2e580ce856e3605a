"""The rows of a plan as a table, all of them or those of one tier."""

from __future__ import annotations

from PySide6.QtCore import QAbstractItemModel
from PySide6.QtGui import QResizeEvent

from coilbook.intake.layout import STRUCTURE
from coilbook.intake.plan import ImportPlan
from coilbook.intake.planned import PlanRow
from coilbook.intake.tiers import Tier
from coilbook.ui.importing.words import TIER_LOOK, becomes, tier_word
from coilbook.ui.parts.table import CellLook, LooksModel, TableView
from coilbook.wording.language import translated
from coilbook.wording.style import Style

COLUMNS = ("Row", "How it stands", "Animal", "Becomes", "In the sheet")
#: px at 100 percent of the columns before what a row becomes; what stands in the sheet takes the rest
_FIRST_WIDE = (56, 128, 112)


class RowsView(TableView):
    """The rows in the width there is: what a row becomes has two thirds of what the first columns leave."""

    def setModel(self, model: QAbstractItemModel | None) -> None:
        super().setModel(model)
        self._share()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._share()

    def _share(self) -> None:
        left = self.viewport().width()
        for column, width in enumerate(_FIRST_WIDE):
            self.setColumnWidth(column, self.theme.px(width))
            left -= self.theme.px(width)
        self.setColumnWidth(len(_FIRST_WIDE), max(left * 2 // 3, self.theme.px(120)))


class PlanTable(LooksModel):
    """Rows in the order of the sheet; titles and headers are left out."""

    def __init__(self, style: Style) -> None:
        super().__init__([translated(head) for head in COLUMNS])
        self._style = style
        self._plan: ImportPlan | None = None
        self._rows: list[PlanRow] = []
        self._several = False

    def show(self, plan: ImportPlan | None, tier: Tier | None, style: Style) -> None:
        """Show the rows of a plan, those of one tier when given."""
        self.beginResetModel()
        self._plan, self._style = plan, style
        rows = plan.rows if plan is not None else ()
        self._rows = [r for r in rows if r.kind not in STRUCTURE and (tier is None or r.tier is tier)]
        self._several = plan is not None and len(plan.sheets) > 1
        self.endResetModel()

    def row_at(self, number: int) -> PlanRow | None:
        """The row of the sheet in a row of the table."""
        return self._rows[number] if 0 <= number < len(self._rows) else None

    def row_total(self) -> int:
        return len(self._rows)

    def look(self, row: int, column: int) -> CellLook:
        """How a cell is painted."""
        shown = self._rows[row]
        text = self._text(shown, column)
        if column == 1:
            shape, token = TIER_LOOK[shown.tier][:2]
            return CellLook(text, token=token, shape=shape)
        return CellLook(text, bold=column == 2, token="second" if column in (0, 4) else "ink")

    def _text(self, row: PlanRow, column: int) -> str:
        if column == 0:
            return f"{row.sheet} {row.number}" if self._several else str(row.number)
        if column == 1:
            return tier_word(row.tier, self._style)
        if column == 2:
            return row.keeper_id
        if column == 3:
            return becomes(row, self._plan.animals, self._style) if self._plan is not None else ""
        return row.text
