"""Workbooks (.xlsx): looked over before anything is unpacked, then read row by row with openpyxl.

The look-over never unpacks more than it must: sizes come from the archive's own directory, and zipfile reads no
more of an entry than the directory declares.
"""

from __future__ import annotations

import datetime as dt
import warnings
import zipfile
import zlib
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coilbook.intake.delimited import check_limits
from coilbook.intake.sheet import Cancel, Cancelled, Pace, Progress, Row, Sheet
from coilbook.records.message import Message, Refusal, say

if TYPE_CHECKING:
    from coilbook.intake.cell_reader import CellReader

#: unpacked size one workbook may have (bytes)
LARGEST_UNPACKED = 600_000_000
#: packed sheets shrink 10 to 30 times; beyond this and over `_SMALL` it is a trap
_LARGEST_RATIO = 150
_SMALL = 20_000_000
_MOST_ENTRIES = 5_000
#: rows one cell merged downwards may cover
_LONGEST_MERGE = 10_000
_WHITE = frozenset({"FFFFFF", "000000"})


def read_spreadsheet(
    path: Path, *, progress: Progress | None = None, cancelled: Cancel | None = None
) -> tuple[Sheet, ...]:
    """All tabs of a workbook, hidden ones too; raises `Refusal` for anything that is not a sound one."""
    _look_over(path)
    from coilbook.intake.cell_reader import open_book  # openpyxl costs a tenth of a second: on first use

    pace = Pace(progress, cancelled)
    try:
        # what the library finds odd in a file (unknown extensions, dates out of range) is nothing a keeper can act on
        with warnings.catch_warnings(), zipfile.ZipFile(path) as archive:
            warnings.simplefilter("ignore")
            book = open_book(path)
            try:
                return tuple(_read_tab(path, tab, archive, pace) for tab in book.worksheets)
            finally:
                book.close()
    except (Refusal, Cancelled, OSError, MemoryError):
        raise
    except Exception as error:  # the library raises whatever a broken part makes it raise
        raise damaged(path) from error


def damaged(path: Path) -> Refusal:
    """What to say of a file that began well and cannot be read to its end."""
    return Refusal(say("{file} is damaged or cut short. Save it again, then import it.", file=path.name))


def _look_over(path: Path) -> None:
    try:
        with zipfile.ZipFile(path) as archive:
            entries = archive.infolist()
            names = {entry.filename for entry in entries}
            _check_entries(path, entries)
            if not {"[Content_Types].xml", "xl/workbook.xml"} <= names:
                raise Refusal(
                    say(
                        "{file} is an archive or another program's document, not a sheet that can be read. "
                        "Save it as .xlsx or .csv, then import it.",
                        file=path.name,
                    )
                )
            for entry in entries:
                if entry.flag_bits & 1:
                    raise Refusal(
                        say(
                            "{file} is locked with a password. Save it without the password, then import it.",
                            file=path.name,
                        )
                    )
                if entry.filename.endswith((".xml", ".rels")):
                    with archive.open(entry) as part:
                        head = part.read(2048)
                    if b"<!DOCTYPE" in head or b"<!ENTITY" in head:
                        raise damaged(path)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, ValueError, zlib.error) as error:
        raise damaged(path) from error


def _check_entries(path: Path, entries: list[zipfile.ZipInfo]) -> None:
    unpacked = sum(entry.file_size for entry in entries)
    packed = max(1, sum(entry.compress_size for entry in entries))
    trap = unpacked > _SMALL and unpacked / packed > _LARGEST_RATIO
    if unpacked > LARGEST_UNPACKED or trap or len(entries) > _MOST_ENTRIES:
        raise Refusal(
            say(
                "{file} would unpack to {size} MB, far more than a sheet of records needs; it was not opened. "
                "Copy the tabs with records into a new file and import that.",
                file=path.name,
                size=unpacked // 1_000_000,
            )
        )


def _read_tab(path: Path, tab: Any, archive: zipfile.ZipFile, pace: Pace) -> Sheet:
    from coilbook.intake.cell_reader import CellReader  # brings in openpyxl: on first use

    fills: dict[int, str] = {}
    rows: list[Row] = []
    total = 0
    with archive.open(tab._worksheet_path) as source:
        reader = CellReader(tab, source)
        for number, cells in reader.rows():
            pace.step()
            texts = _texts(reader, cells)
            if not texts:
                continue
            total = check_limits(path, len(rows) + 1, texts, total)
            rows.append(Row(number, texts, _fill(reader, cells, fills)))
        return Sheet(tab.title, _with_merges(rows, reader.merges), _sayings(tab.title, reader.uncounted))


def _texts(reader: CellReader, cells: list[dict[str, Any]]) -> tuple[str, ...]:
    """A row's cells as texts, gaps filled, without the empty end."""
    found: dict[int, str] = {}
    for cell in cells:
        value = cell["value"]
        if value is not None:
            text = value.strip() if isinstance(value, str) else _text(reader, cell, value)
            if text:
                found[cell["column"]] = text
    return tuple(found.get(column, "") for column in range(1, max(found) + 1)) if found else ()


def _with_merges(rows: list[Row], merges: list[tuple[int, int, int, int]]) -> tuple[Row, ...]:
    """Rows with titles merged across marked, and cells merged downwards repeated in every row they cover."""
    at = {row.number: index for index, row in enumerate(rows)}
    for left, top, right, bottom in merges:
        first = at.get(top)
        if first is None:
            continue
        if right > left:
            row = rows[first]
            begin = next(column for column, cell in enumerate(row.cells, 1) if cell)
            rows[first] = replace(row, spread=row.spread or begin == left)
        elif bottom - top <= _LONGEST_MERGE:
            text = rows[first].cells[left - 1] if left <= len(rows[first].cells) else ""
            for number in range(top + 1, bottom + 1):
                if text and number in at:
                    rows[at[number]] = _with_cell(rows[at[number]], left - 1, text)
    return tuple(rows)


def _with_cell(row: Row, index: int, text: str) -> Row:
    cells = [*row.cells, *[""] * (index + 1 - len(row.cells))]
    cells[index] = cells[index] or text
    return replace(row, cells=tuple(cells))


def _sayings(name: str, uncounted: list[str]) -> tuple[Message, ...]:
    if not uncounted:
        return ()
    return (
        say(
            "Tab '{tab}': the formula in {cells} has no stored result and was read as empty. "
            "Open the file in your spreadsheet program and save it once to have it.",
            "Tab '{tab}': {n} formulas ({cells}) have no stored result and were read as empty. "
            "Open the file in your spreadsheet program and save it once to have them.",
            tab=name,
            n=len(uncounted),
            cells=", ".join(uncounted[:5]),
        ),
    )


def _text(reader: CellReader, cell: dict[str, Any], value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number_text(reader, cell, value)
    if isinstance(value, dt.datetime):
        return value.date().isoformat() if value.time() == dt.time() else value.isoformat(" ", "minutes")
    if isinstance(value, dt.date):
        return value.isoformat()
    return str(value).strip()


def _number_text(reader: CellReader, cell: dict[str, Any], value: float) -> str:
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    # a sex typed as 1.0 is the number 1 shown with one decimal
    if isinstance(value, int) and abs(value) < 10 and cell["style_id"] and reader.styled(cell).number_format == "0.0":
        return f"{value}.0"
    return repr(value)


def _fill(reader: CellReader, cells: list[dict[str, Any]], known: dict[int, str]) -> str:
    """The background of the first filled cell."""
    first = next(cell for cell in cells if cell["value"] not in (None, ""))
    style = first["style_id"]
    if not style:
        return ""
    if style not in known:
        known[style] = _colour(reader.styled(first))
    return known[style]


def _colour(cell: Any) -> str:
    """Six hex digits of a solid fill; theme colours by their number; empty for none."""
    fill = cell.fill
    if fill is None or fill.fill_type != "solid":
        return ""
    colour = fill.fgColor
    if colour.type == "theme":
        return f"theme {colour.theme}" if colour.theme else ""
    if colour.type != "rgb" or not isinstance(colour.rgb, str):
        return ""
    digits = colour.rgb[-6:].upper()
    return "" if digits in _WHITE else digits
