"""The list of animals as an item model: an array of ids, rows fetched by page and kept until they change."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from PySide6.QtCore import QByteArray, QMimeData, Qt

from coilbook.reads.cell_safety import guarded
from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import IntArray
from coilbook.reads.herd_rows import HerdRow, herd_rows
from coilbook.reads.standing import states
from coilbook.ui.animals.columns import COLUMNS, Cell, Column, Writing, head_of
from coilbook.ui.parts.table import HeadedModel, Index
from coilbook.wording.style import Style

PAGE = 64
#: rows kept at most; a list is walked, not read whole
KEPT = 4_096
CSV_TYPE = "text/csv"
#: marks in the head of the column that sorts
UP, DOWN = "\u25b2", "\u25bc"


class AnimalTable(HeadedModel):
    """Ids in order; every column there is (the view hides those not chosen)."""

    def __init__(self, collection: Any, style: Style, today: dt.date) -> None:
        super().__init__([column.key for column in COLUMNS], [n for n, column in enumerate(COLUMNS) if column.right])
        self._collection = collection
        self.writing = Writing(style, today)
        self._sorting = ("", "")
        self.herd: Herd | None = None
        self.ids: IntArray = np.empty(0, dtype=np.int32)
        self._states: IntArray = np.empty(0, dtype=np.int32)
        self._rows: dict[int, HerdRow] = {}
        self._cells: dict[tuple[int, int], Cell] = {}

    # --- what is shown --------------------------------------------------------------------------------------
    def use_herd(self, herd: Herd) -> None:
        """The herd was read anew, or has changed: states and rows are worked out again when asked for."""
        self.herd = herd
        self._states = states(herd, self.writing.today)
        herd.give_rank("state", self._states)
        self.forget()

    def forget(self, animals: Iterable[int] | None = None) -> None:
        """Drop kept rows of these animals, of all for None."""
        if animals is None:
            self._rows.clear()
            self._cells.clear()
            return
        for animal in animals:
            self._rows.pop(int(animal), None)
            for column in range(len(COLUMNS)):
                self._cells.pop((int(animal), column), None)

    def write_as(self, style: Style, today: dt.date) -> None:
        """Units, dates or the day have changed."""
        self.writing = Writing(style, today)
        self._cells.clear()

    def say_sorting(self, key: str, *, descending: bool) -> None:
        """Mark the head of the column the list is sorted by."""
        self._sorting = (key, DOWN if descending else UP)
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(COLUMNS) - 1)

    def show(self, ids: IntArray) -> None:
        """Show these animals in this order."""
        self.beginResetModel()
        self.ids = ids
        self.endResetModel()

    def animal_at(self, row: int) -> int:
        """Id of the animal in a row, 0 for no row."""
        return int(self.ids[row]) if 0 <= row < len(self.ids) else 0

    def rows_of(self, animals: Sequence[int]) -> list[int]:
        """Rows in which these animals stand, ascending; those not shown are left out."""
        wanted = np.array(list(animals), dtype=np.int32)
        among = self.ids == wanted[0] if len(wanted) == 1 else np.isin(self.ids, wanted)
        found: list[int] = np.flatnonzero(among).tolist()
        return found

    def row(self, number: int) -> HerdRow | None:
        """The animal in a row, fetched with its page."""
        animal = self.animal_at(number)
        if animal and animal not in self._rows:
            first = number - number % PAGE
            self._fetch(self.ids[first : first + PAGE].tolist())
        return self._rows.get(animal)

    def _fetch(self, animals: Sequence[int]) -> None:
        if self.herd is None:
            return
        if len(self._rows) > KEPT:
            self.forget()
        missing = [animal for animal in animals if animal not in self._rows]
        for row in herd_rows(self._collection, self.herd, missing, self._states):
            self._rows[row.id] = row

    def cell(self, number: int, column: int) -> Cell:
        """A cell as written."""
        key = (self.animal_at(number), column)
        found = self._cells.get(key)
        if found is None:
            row = self.row(number)
            found = COLUMNS[column].write(row, self.writing) if row is not None else Cell("")
            self._cells[key] = found
        return found

    # --- what Qt asks ---------------------------------------------------------------------------------------
    def row_total(self) -> int:
        return len(self.ids)

    def head(self, column: int) -> str:
        head, (key, mark) = head_of(COLUMNS[column], self.writing.style), self._sorting
        return f"{head} {mark}" if COLUMNS[column].key == key else head

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.cell(index.row(), index.column()).plain
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsDragEnabled

    # --- copy and drag --------------------------------------------------------------------------------------
    def mimeTypes(self) -> list[str]:
        return ["text/plain", CSV_TYPE]

    def mimeData(self, indexes: Sequence[Index]) -> QMimeData:
        rows = sorted({index.row() for index in indexes})
        columns = [COLUMNS[k] for k in sorted({index.column() for index in indexes})]
        return self.carried(rows, columns)

    def carried(self, rows: Sequence[int], columns: Sequence[Column]) -> QMimeData:
        """Rows as text with tabs and as CSV, with a head, for the clipboard and for dragging out."""
        lines = [[head_of(column, self.writing.style) for column in columns]]
        for start in range(0, len(rows), PAGE):
            part = rows[start : start + PAGE]
            self._fetch([self.animal_at(row) for row in part])
            lines += [self._line(row, columns) for row in part]
        text = io.StringIO()
        csv.writer(text).writerows([[guarded(word) for word in line] for line in lines])
        data = QMimeData()
        data.setText("\n".join("\t".join(" ".join(word.split()) for word in line) for line in lines))
        data.setData(CSV_TYPE, QByteArray(text.getvalue().encode()))
        return data

    def _line(self, row: int, columns: Sequence[Column]) -> list[str]:
        found = self.row(row)
        if found is None:
            return ["" for _ in columns]
        return [column.write(found, self.writing).plain for column in columns]
