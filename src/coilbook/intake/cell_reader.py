"""Cells of one worksheet, read row by row; imports openpyxl, so it is itself imported on first use.

openpyxl's own reader hides two things a keeper must be told, merged ranges and formulas nobody has worked out, and
takes twice the time over texts written into the cells; and it reads a tab without a stated size once more, to its end,
only to learn that. All are seen to here, on top of its parser.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from openpyxl.cell.read_only import ReadOnlyCell
from openpyxl.reader.excel import ExcelReader
from openpyxl.worksheet._read_only import ReadOnlyWorksheet
from openpyxl.worksheet._reader import WorkSheetParser

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_VALUE, _FORMULA, _INLINE = f"{_MAIN}v", f"{_MAIN}f", f"{_MAIN}is"
_TEXT, _RUN = f"{_MAIN}t", f"{_MAIN}r"


class _Unmeasured(ReadOnlyWorksheet):
    """A tab whose size is not looked for: its rows tell."""

    def _get_size(self) -> None:
        pass


class _TabsUnread(ExcelReader):
    """Opens a workbook read-only without looking into its tabs."""

    def read_worksheets(self) -> None:
        book: Any = self.wb
        sheet: Any
        for sheet, relation in self.parser.find_sheets():
            if relation.target not in self.valid_files:
                continue
            if "chartsheet" in relation.Type:
                self.read_chartsheet(sheet, relation)
                continue
            tab = _Unmeasured(book, sheet.name, relation.target, self.shared_strings)
            tab.sheet_state = sheet.state
            book._sheets.append(tab)


def open_book(path: Path) -> Any:
    """The workbook with values instead of formulas, its tabs still to be read; raises whatever a broken part raises."""
    reader = _TabsUnread(path, read_only=True, data_only=True, keep_links=False)
    reader.read()
    return reader.wb


class CellReader(WorkSheetParser):
    """Parses one tab of a workbook opened read-only; `merges` and `uncounted` are whole once `rows` has ended."""

    def __init__(self, tab: Any, source: Any) -> None:
        book = tab.parent
        super().__init__(
            source,
            tab._shared_strings,
            data_only=True,
            epoch=book.epoch,
            date_formats=book._date_formats,
            timedelta_formats=book._timedelta_formats,
        )
        self._tab = tab
        #: names of formula cells without a stored result
        self.uncounted: list[str] = []

    def rows(self) -> Iterator[tuple[int, list[dict[str, Any]]]]:
        """Row number and its cells (row, column, value, data_type, style_id), as far as the file has them."""
        yield from self.parse()

    @property
    def merges(self) -> list[tuple[int, int, int, int]]:
        """Merged ranges as (left, top, right, bottom), counted from 1."""
        if self.merged_cells is None:
            return []
        return [tuple(merge.bounds) for merge in self.merged_cells.mergeCell]

    def parse_cell(self, element: Element) -> dict[str, Any]:
        """One cell; texts written into it are taken as they are."""
        if element.get("t") == "inlineStr":
            text = _inline_text(element)
            element.set("t", "str")
            for child in list(element):
                element.remove(child)
            cell: dict[str, Any] = super().parse_cell(element)
            cell["value"] = text
            return cell
        if element.find(_FORMULA) is not None and not element.findtext(_VALUE):
            self.uncounted.append(element.get("r") or "?")
        parsed: dict[str, Any] = super().parse_cell(element)
        return parsed

    def styled(self, cell: dict[str, Any]) -> ReadOnlyCell:
        """The cell with its fill and number format at hand."""
        return ReadOnlyCell(self._tab, **cell)


def _inline_text(element: Element) -> str:
    inline = element.find(_INLINE)
    if inline is None:
        return ""
    whole = inline.findtext(_TEXT)
    if whole is not None:
        return whole
    return "".join(run.findtext(_TEXT) or "" for run in inline.findall(_RUN))
