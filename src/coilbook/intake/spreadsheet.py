"""Workbooks (.xlsx): looked over before anything is unpacked, then read row by row with openpyxl.

The look-over never unpacks more than it must: sizes come from the archive's own directory, and zipfile reads no
more of an entry than the directory declares.
"""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from coilbook.intake.delimited import check_limits
from coilbook.intake.sheet import Cancel, Cancelled, Pace, Progress, Row, Sheet
from coilbook.records.message import Message, Refusal, say

#: unpacked size one workbook may have (bytes)
LARGEST_UNPACKED = 600_000_000
#: packed sheets shrink 10 to 30 times; beyond this and over `_SMALL` it is a trap
_LARGEST_RATIO = 150
_SMALL = 20_000_000
_MOST_ENTRIES = 5_000
_MOST_POSITIONS = 1_100_000
_CHUNK = 1 << 18
_OVERLAP = 1 << 12
_MERGE = re.compile(rb'<mergeCell\s+ref="([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})"')
#: a formula cell without a stored result: no <v>, or an empty one
_UNCOUNTED = re.compile(rb'<c r="([A-Z]{1,3}\d{1,7})"[^>]*><f(?:\s[^>]*)?(?:/>|>[^<]*</f>)(?:<v\s*/>|<v></v>)?</c>')
_WHITE = frozenset({"FFFFFF", "000000"})


@dataclass(slots=True)
class _Finds:
    """What the look-over of one tab found: merged ranges and formulas nobody has worked out."""

    merges: set[tuple[int, int, int, int]] = field(default_factory=set)
    uncounted: set[str] = field(default_factory=set)


def read_spreadsheet(
    path: Path, *, progress: Progress | None = None, cancelled: Cancel | None = None
) -> tuple[Sheet, ...]:
    """All tabs of a workbook, hidden ones too; raises `Refusal` for anything that is not a sound one."""
    _look_over(path)
    from openpyxl import load_workbook  # costs a tenth of a second: on first use

    pace = Pace(progress, cancelled)
    try:
        book = load_workbook(path, read_only=True, data_only=True, keep_links=False)
        try:
            sheets = tuple(_read_tab(path, tab, pace) for tab in book.worksheets)
        finally:
            book.close()
    except (Refusal, Cancelled, OSError, MemoryError):
        raise
    except Exception as error:  # the library raises whatever a broken part makes it raise
        raise _damaged(path) from error
    return sheets


def _damaged(path: Path) -> Refusal:
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
                        raise _damaged(path)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, ValueError, zipfile.zlib.error) as error:  # type: ignore[attr-defined]
        raise _damaged(path) from error


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


def _read_tab(path: Path, tab: Any, pace: Pace) -> Sheet:
    finds = _scan(tab, pace)
    tab.reset_dimensions()  # a wrong or huge stated size would pad every row
    spread = {(row, left) for left, row, right, _ in finds.merges if right > left}
    down = _fill_down(finds)
    fills: dict[int, str] = {}
    rows: list[Row] = []
    for number, cells in enumerate(_positions(path, tab), 1):
        pace.step()
        texts = [_text(cell) for cell in cells]
        for column, source in down.get(number, {}).items():
            texts.extend([""] * (column - len(texts)))
            if not texts[column - 1] and source in down.texts:
                texts[column - 1] = down.texts[source]
        for column in down.tops.get(number, ()):
            down.texts[(column, number)] = texts[column - 1] if column <= len(texts) else ""
        while texts and not texts[-1]:
            texts.pop()
        if not texts:
            continue
        check_limits(path, len(rows) + 1, sum(1 for text in texts if text))
        first = next(index for index, text in enumerate(texts) if text)
        fill = _fill(cells[first], fills) if first < len(cells) else ""
        rows.append(Row(number, tuple(texts), fill, (number, first + 1) in spread))
    return Sheet(tab.title, tuple(rows), _sayings(tab.title, finds))


class _Down(dict[int, dict[int, tuple[int, int]]]):
    """Row -> column -> the top cell whose text that row inherits, where a cell is merged downwards."""

    def __init__(self) -> None:
        super().__init__()
        self.tops: dict[int, list[int]] = {}
        self.texts: dict[tuple[int, int], str] = {}


def _fill_down(finds: _Finds) -> _Down:
    down = _Down()
    for left, top, right, bottom in finds.merges:
        if left != right or bottom - top > 10_000:
            continue
        down.tops.setdefault(top, []).append(left)
        for row in range(top + 1, bottom + 1):
            down.setdefault(row, {})[left] = (left, top)
    return down


def _positions(path: Path, tab: Any) -> Iterator[tuple[Any, ...]]:
    for position, cells in enumerate(tab.iter_rows(), 1):
        if position > _MOST_POSITIONS:
            raise _damaged(path)
        yield cells


def _scan(tab: Any, pace: Pace) -> _Finds:
    """Merged ranges and unworked formulas: openpyxl does not tell them when it reads row by row."""
    finds = _Finds()
    with tab._get_source() as part:
        tail = b""
        while chunk := part.read(_CHUNK):
            text = tail + chunk
            for left, top, right, bottom in _MERGE.findall(text):
                finds.merges.add((_number(left), int(top), _number(right), int(bottom)))
            finds.uncounted.update(name.decode("ascii") for name in _UNCOUNTED.findall(text))
            tail = text[-_OVERLAP:]
            pace.look(0)
    return finds


def _number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _sayings(name: str, finds: _Finds) -> tuple[Message, ...]:
    if not finds.uncounted:
        return ()
    return (
        say(
            "Tab '{tab}': the formula in {cells} has no stored result and was read as empty. "
            "Open the file in your spreadsheet program and save it once to have it.",
            "Tab '{tab}': {n} formulas ({cells}) have no stored result and were read as empty. "
            "Open the file in your spreadsheet program and save it once to have them.",
            tab=name,
            n=len(finds.uncounted),
            cells=", ".join(sorted(finds.uncounted)[:5]),
        ),
    )


def _text(cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number_text(value, cell)
    if isinstance(value, dt.datetime):
        return value.date().isoformat() if value.time() == dt.time() else value.isoformat(" ", "minutes")
    if isinstance(value, dt.date):
        return value.isoformat()
    return str(value).strip()


def _number_text(value: float, cell: Any) -> str:
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    # a sex typed as 1.0 is the number 1 shown with one decimal
    if isinstance(value, int) and abs(value) < 10 and cell.number_format == "0.0":
        return f"{value}.0"
    return repr(value)


def _fill(cell: Any, known: dict[int, str]) -> str:
    style = getattr(cell, "_style_id", 0)
    if not style:
        return ""
    if style not in known:
        known[style] = _colour(cell)
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
