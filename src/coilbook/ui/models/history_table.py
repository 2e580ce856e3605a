"""The journal as rows of a table: fetched in pages, worded when shown."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from PySide6.QtCore import QModelIndex, QPersistentModelIndex

from coilbook.reads.history import HistoryRow
from coilbook.records.ids import ActId
from coilbook.ui.parts.table import CellLook, LooksModel
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

Index = QModelIndex | QPersistentModelIndex
PAGE = 200
ROWS, NOW = 3, 4
COLUMNS = ("When", "By", "What was done", "Entries", "Now")

#: gives the next page of acts older than the one named
Fetch = Callable[[ActId | None, int], list[HistoryRow]]


def local_moment(stored_utc: str, zone: dt.tzinfo | None) -> dt.datetime:
    """Wall time of a stored UTC moment in the keeper's zone."""
    return dt.datetime.fromisoformat(stored_utc.replace("Z", "+00:00")).astimezone(zone)


class HistoryTable(LooksModel):
    """Rows newest first; more are fetched as the keeper walks down."""

    def __init__(self, style: Style, zone: dt.tzinfo | None) -> None:
        super().__init__([translated(head) for head in COLUMNS], (ROWS,))
        self._style, self._zone = style, zone
        self._rows: list[HistoryRow] = []
        self._words: list[tuple[str, str, str, str, str]] = []
        self._fetch: Fetch | None = None
        self._whole = True

    def show(self, fetch: Fetch, style: Style) -> None:
        """Start again with another filter."""
        self.beginResetModel()
        self._fetch, self._style = fetch, style
        first = fetch(None, PAGE)
        self._rows = first
        self._words = [self._worded(row) for row in first]
        self._whole = len(first) < PAGE
        self.endResetModel()

    def row_at(self, number: int) -> HistoryRow | None:
        """The act in a row."""
        return self._rows[number] if 0 <= number < len(self._rows) else None

    def number_of(self, act: ActId) -> int:
        """The row an act stands in, -1 when it is not shown."""
        return next((n for n, row in enumerate(self._rows) if row.id == act), -1)

    @property
    def whole(self) -> bool:
        """True when the oldest fitting act is among the rows."""
        return self._whole

    def row_total(self) -> int:
        return len(self._rows)

    def canFetchMore(self, parent: Index) -> bool:
        return not self._whole and not parent.isValid()

    def fetchMore(self, parent: Index) -> None:
        if self._fetch is None or not self._rows:
            return
        more = self._fetch(self._rows[-1].id, PAGE)
        self._whole = len(more) < PAGE
        if more:
            self.beginInsertRows(QModelIndex(), len(self._rows), len(self._rows) + len(more) - 1)
            self._rows += more
            self._words += [self._worded(row) for row in more]
            self.endInsertRows()

    def look(self, row: int, column: int) -> CellLook:
        in_force = self._rows[row].in_force
        token = "second" if column in (0, 1, ROWS) or not in_force else "ink"
        shape = "not_offered" if column == NOW and not in_force else ""
        return CellLook(self._words[row][column], token=token, shape=shape, right=column == ROWS)

    def _worded(self, row: HistoryRow) -> tuple[str, str, str, str, str]:
        when = local_moment(row.at, self._zone)
        moment = f"{self._style.date(when.date(), weekday=True)}, {self._style.time(when)}"
        state = "" if row.in_force else translated("undone")
        return moment, row.person, render(row.told, self._style), self._style.number(row.size), state
