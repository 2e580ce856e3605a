"""Every record table as a sheet of its own: CSV files in a folder, or one workbook.

A sheet has the table's own columns and, beside numbers that only the file understands, what a reader wants: the
keeper's id of an animal, the label of a place, grams, an amount. Empty cells are values that are not known.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.reads.cell_safety import guarded
from coilbook.records.message import Refusal, say
from coilbook.storage import disk
from coilbook.storage.collection import Collection
from coilbook.storage.columns import Base
from coilbook.storage.tables import RECORD_TABLES, column_names, table_name
from coilbook.storage.trouble import plainly

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

Progress = Callable[[int, int], None]
Cancel = Callable[[], bool]

PAGE = 2_000
#: signs a cell of a workbook can have (limits of the spreadsheets that read it; from memory); openpyxl cuts silently
CELL_SIGNS = 32_767
_CUT = " [cut here: a cell holds no more; the CSV and JSON exports have all {n} signs]"
#: rows a sheet of a workbook can have (ECMA-376 as spreadsheets implement it; from memory), with room for the header
SHEET_ROWS = 1_048_000

_NAMES = {
    "person": "name",
    "place": "label",
    "animal": "keeper_id",
    "clutch": "label",
    "egg_box": "label",
    "incubator": "name",
}


@dataclass(frozen=True, slots=True)
class TableOut:
    """One table to write: its name, header, and the query that gives its rows after a given id."""

    name: str
    header: tuple[str, ...]
    sql: str


def record_tables() -> tuple[TableOut, ...]:
    """Every record table, parents first."""
    return tuple(_table(model) for model in RECORD_TABLES)


def _table(model: type[Base]) -> TableOut:
    name = table_name(model)
    header: list[str] = []
    picked: list[str] = []
    for column in column_names(model):
        header.append(column)
        picked.append(f't."{column}"')
        for extra, expression in _beside(model, column):
            header.append(extra)
            picked.append(expression)
    sql = f'SELECT {", ".join(picked)} FROM "{name}" t WHERE t.id > ? ORDER BY t.id LIMIT {PAGE}'
    return TableOut(name, tuple(header), sql)


def _beside(model: type[Base], column: str) -> Iterator[tuple[str, str]]:
    """Readable columns that go with one stored column."""
    for field in model._meta.refs:
        if field.column_name == column:
            parent = table_name(field.rel_model)
            if parent in _NAMES:
                name = column.removesuffix("_id")
                yield name, f'(SELECT p."{_NAMES[parent]}" FROM "{parent}" p WHERE p.id = t."{column}")'
    if column.endswith("_dg"):
        yield f"{column.removesuffix('_dg')}_grams", f't."{column}" / 10.0'
    if column.endswith("_minor"):
        yield column.removesuffix("_minor"), f't."{column}" / 100.0'


@contextmanager
def one_state(collection: Collection) -> Iterator[None]:
    """Reads inside see the collection as it was at the first of them, whatever is written meanwhile."""
    collection.read("BEGIN")
    try:
        yield
    finally:
        collection.read("ROLLBACK")


def pages(collection: Collection, table: TableOut) -> Iterator[list[tuple[object, ...]]]:
    """The rows of a table, some thousand at a time, in the order of their ids."""
    last = 0
    while rows := collection.read(table.sql, (last,)):
        yield rows
        last = int(rows[-1][0])


class Steps:
    """Tells how many rows are written and looks whether to stop."""

    def __init__(self, collection: Collection, progress: Progress | None, cancelled: Cancel | None) -> None:
        counts = (collection.read_one(f'SELECT count(*) FROM "{t.name}"') for t in record_tables())
        self.total = sum(int(row[0]) for row in counts if row is not None)
        self._progress = progress
        self._cancelled = cancelled
        self._done = 0

    def more(self, rows: int) -> None:
        """Some more rows are written."""
        self._done += rows
        if self._progress is not None:
            self._progress(self._done, self.total)
        if self._cancelled is not None and self._cancelled():
            raise Refusal(say("Stopped. The export is not complete."))


def write_csv(collection: Collection, folder: Path, steps: Steps) -> list[Path]:
    """One CSV file a table in `folder`: RFC 4180, in UTF-8 with a mark at the start."""
    written: list[Path] = []
    with plainly():
        folder.mkdir(parents=True, exist_ok=True)
        for table in record_tables():
            target = folder / f"{table.name}.csv"
            with disk.arriving(target) as path, path.open("w", newline="", encoding="utf-8-sig") as stream:
                writer = csv.writer(stream)
                writer.writerow(table.header)
                for rows in pages(collection, table):
                    writer.writerows([[guarded(cell) for cell in row] for row in rows])
                    steps.more(len(rows))
            written.append(target)
    return written


def write_xlsx(collection: Collection, file: Path, steps: Steps) -> list[Path]:
    """One workbook with a sheet for each table; texts are texts, whatever they begin with."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    try:
        for table in record_tables():
            _write_sheets(book, collection, table, steps)
        with plainly(), disk.arriving(file) as path:
            book.save(path)
    except BaseException:
        # a workbook given up half way leaves its sheets open, and says so loudly when they are swept up
        for sheet in book.worksheets:
            sheet.close()
        raise
    return [file]


def _write_sheets(book: Workbook, collection: Collection, table: TableOut, steps: Steps) -> None:
    """A table as one sheet, or as several when it has more rows than a sheet can hold."""
    sheet = book.create_sheet(table.name)
    sheet.append(table.header)
    free, number = SHEET_ROWS, 1
    for rows in pages(collection, table):
        if free < len(rows):
            number += 1
            sheet = book.create_sheet(f"{table.name} ({number})")
            sheet.append(table.header)
            free = SHEET_ROWS
        for row in rows:
            sheet.append([_cell(sheet, value) for value in row])
        free -= len(rows)
        steps.more(len(rows))


def _cell(sheet: WriteOnlyWorksheet, value: object) -> object:
    if not isinstance(value, str):
        return value
    if value.isprintable() and not value.startswith(("=", "#")) and len(value) <= CELL_SIGNS:
        return value
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.utils.escape import escape

    text = escape(value)
    if len(text) > CELL_SIGNS:
        told = _CUT.format(n=len(value))
        text = text[: CELL_SIGNS - len(told)] + told
    cell = WriteOnlyCell(sheet, value=text)
    # openpyxl takes a text that begins with "=" for a formula, and one like "#N/A" for an error
    cell.data_type = "s"
    return cell
