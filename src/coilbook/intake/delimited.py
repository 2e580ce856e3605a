"""Text sheets: finds out the encoding and what stands between the cells, then reads row by row."""

from __future__ import annotations

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from coilbook.intake.sheet import MOST_CELLS, MOST_COLUMNS, MOST_ROWS, Cancel, Pace, Progress, Row, Sheet
from coilbook.records.message import Message, Refusal, say

DELIMITERS = ",;\t|"
_CHUNK = 1 << 18
_SAMPLE = 1 << 16
_LONGEST_CELL = 100_000
#: control characters a text has no use for; one in a thousand and it is no text
_CONTROL = frozenset(chr(code) for code in range(32)) - frozenset("\t\n\r\f\v")
_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def read_delimited(path: Path, *, progress: Progress | None = None, cancelled: Cancel | None = None) -> Sheet:
    """The one sheet of a text file; raises `Refusal` when it is no text or no table."""
    size = path.stat().st_size
    pace = Pace(progress, cancelled, size)
    encoding = _encoding(path, pace)
    sayings: list[Message] = []
    if encoding == "cp1252":
        sayings.append(
            say(
                "{file} does not say how its letters are written; it was read as Western European. "
                "Look at names with accents before accepting.",
                file=path.name,
            )
        )
    try:
        with path.open("r", encoding=encoding, newline="") as file:
            delimiter, skip = _delimiter(file.read(_SAMPLE))
            file.seek(0)
            if skip:
                file.readline()
            rows = tuple(_rows(path, file, delimiter, pace, first=skip + 1))
    except UnicodeError as error:
        raise _no_text(path) from error
    return Sheet(path.stem, rows, tuple(sayings))


def _no_text(path: Path) -> Refusal:
    return Refusal(
        say(
            "{file} is not a sheet, or its letters are written in a way that cannot be read. "
            "Save it as .xlsx or as CSV in UTF-8, then import it.",
            file=path.name,
        )
    )


def _encoding(path: Path, pace: Pace) -> str:
    """How the letters are written: by its mark, else UTF-16 by its zero bytes, else UTF-8, else Windows-1252."""
    with path.open("rb") as file:
        head = file.read(4096)
    for mark, name in _BOMS:
        if head.startswith(mark):
            return name
    if b"\0" in head:
        odd, even = head[1::2].count(0), head[0::2].count(0)
        if max(odd, even) < len(head) // 5:
            raise _no_text(path)
        return "utf-16-le" if odd > even else "utf-16-be"
    for name in ("utf-8", "cp1252"):
        if _decodes(path, name, pace):
            return name
    raise _no_text(path)


def _decodes(path: Path, name: str, pace: Pace) -> bool:
    decoder = codecs.getincrementaldecoder(name)()
    done = controls = 0
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            try:
                text = decoder.decode(chunk)
            except UnicodeDecodeError:
                return False
            done += len(chunk)
            controls += sum(text.count(sign) for sign in _CONTROL)
            if controls * 1000 > done:
                return False
            pace.look(0)
        try:
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return False
    return True


def _delimiter(sample: str) -> tuple[str, int]:
    """What stands between the cells, and how many leading lines only say so (``sep=;``)."""
    first = sample.split("\n", 1)[0].strip().lower()
    if first.startswith("sep=") and len(first) == 5 and first[4] in DELIMITERS:
        return first[4], 1
    best, best_score = ",", 0.0
    for delimiter in DELIMITERS:
        try:
            widths = [len(row) for row in csv.reader(io.StringIO(sample, newline=""), delimiter=delimiter) if row]
        except csv.Error:
            continue
        # the last record of a sample may be cut
        widths = widths[:-1] or widths
        wide = [width for width in widths if width > 1]
        if not wide:
            continue
        _, common = Counter(wide).most_common(1)[0]
        score = common / len(widths) + len(wide) / len(widths)
        if score > best_score:
            best, best_score = delimiter, score
    return best, 0


def _rows(path: Path, file: io.TextIOWrapper, delimiter: str, pace: Pace, *, first: int) -> Iterator[Row]:
    reader = csv.reader(_lines(file, pace), delimiter=delimiter)
    kept = total = 0
    number = first - 1
    while True:
        number += 1
        try:
            values = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise _open_quote(path, number) from error
        cells = tuple(value.strip().replace("\0", "") for value in values)
        while cells and not cells[-1]:
            cells = cells[:-1]
        if not cells:
            continue
        kept += 1
        total = check_limits(path, kept, cells, total)
        if any(len(cell) > _LONGEST_CELL for cell in cells):
            raise _open_quote(path, number)
        yield Row(number, cells)


def _open_quote(path: Path, number: int) -> Refusal:
    return Refusal(
        say(
            "Row {row} of {file} never ends: a quotation mark was opened and not closed there. "
            "Close or remove it, then import again.",
            row=number,
            file=path.name,
        )
    )


def _lines(file: io.TextIOWrapper, pace: Pace) -> Iterator[str]:
    done = 0
    for line in file:
        done += len(line)
        pace.step(done)
        yield line


def check_limits(path: Path, rows: int, cells: tuple[str, ...], before: int) -> int:
    """Refuse a sheet that is longer or wider than anyone's records; returns the cells read so far, gaps included."""
    read = before + len(cells)
    filled = len(cells) - cells.count("")
    if read > MOST_CELLS:
        raise Refusal(
            say(
                "{file} has more than {limit} million cells, most of them empty. "
                "Copy the part with records into a new file and import that.",
                file=path.name,
                limit=MOST_CELLS // 1_000_000,
            )
        )
    if rows > MOST_ROWS:
        raise Refusal(
            say(
                "{file} has more than {limit} rows. Split it into smaller files and import them one by one.",
                file=path.name,
                limit=MOST_ROWS,
            )
        )
    if filled > MOST_COLUMNS:
        raise Refusal(
            say(
                "{file} has a row with {n} filled columns; up to {limit} can be read. "
                "Choose a sheet with one row for each animal.",
                file=path.name,
                n=filled,
                limit=MOST_COLUMNS,
            )
        )
    return read
