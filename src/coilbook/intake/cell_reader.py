"""Cells of one worksheet, read row by row; imports openpyxl, so it is itself imported on first use.

openpyxl's own reader hides two things a keeper must be told, merged ranges and formulas nobody has worked out, and
takes twice the time over texts written into the cells. Both are seen to here, on top of its parser.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import Element

from openpyxl.cell.read_only import ReadOnlyCell
from openpyxl.worksheet._reader import WorkSheetParser

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_VALUE, _FORMULA, _INLINE = f"{_MAIN}v", f"{_MAIN}f", f"{_MAIN}is"
_TEXT, _RUN = f"{_MAIN}t", f"{_MAIN}r"


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
