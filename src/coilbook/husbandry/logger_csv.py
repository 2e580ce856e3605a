"""The file of a temperature logger: any delimiter, any order of columns, Celsius or Fahrenheit, any usual date.

What is guessed is told; what cannot be told apart (3/4 and nothing else) is asked.
"""

from __future__ import annotations

import csv
import datetime as dt
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice, pairwise

import numpy as np

from coilbook.husbandry.incubator import COLDEST_C, FAHRENHEIT_FROM, FAHRENHEIT_TO, WARMEST_C, Readings
from coilbook.records.message import Message, Refusal, say

#: rows looked at to find the columns
_LOOKED_AT = 60
_TEMPERATURE = re.compile(r"temp|°\s*[cf]\b|celsius|fahrenheit", re.IGNORECASE)
_HUMIDITY = re.compile(r"hum|%|\brh\b|dew", re.IGNORECASE)
_IN_FAHRENHEIT = re.compile(r"°\s*f\b|\bf\b|fahrenheit|degf", re.IGNORECASE)
_IN_CELSIUS = re.compile(r"°\s*c\b|\bc\b|celsius|degc", re.IGNORECASE)
_DATE = re.compile(r"^\s*(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::\d{2})?(?:[.,]\d+)?\s*([ap])?", re.IGNORECASE)
_ORDINAL_1970 = dt.date(1970, 1, 1).toordinal()


@dataclass(frozen=True, slots=True)
class LoggerFile:
    """Readings of a file, how many rows held none, and what was guessed."""

    readings: Readings
    skipped: int
    told: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where the columns are; `clock` is the date's own column when both stand in one."""

    first_row: int
    date: int
    clock: int
    celsius: int
    heading: str


def read_logger(text: str, day_first: bool | None = None) -> LoggerFile:
    """Readings from the text of a file; `day_first` answers what cannot be told from the dates.

    Raises `Refusal` when there are no columns of time and temperature, or the dates read both ways.
    """
    lines = text.removeprefix("\ufeff").splitlines()
    rows = list(csv.reader(lines, delimiter=_delimiter(lines)))
    columns = _columns(rows)
    dates, minutes, values, skipped = _cells(rows, columns)
    if not values:
        raise Refusal(say("No reading was found in the file."))
    day_numbers, told = _day_numbers(dates, minutes, day_first)
    at = np.array([day_numbers[d] for d in dates], np.int64) * 1440 + np.array(minutes, np.int64)
    celsius, unit_told = _celsius(np.array(values, np.float64), columns.heading)
    told += unit_told
    sane = (celsius >= COLDEST_C) & (celsius <= WARMEST_C)
    wild = int((~sane).sum())
    if wild:
        told.append(say("{n} reading no incubator can have was left out.",
                        "{n} readings no incubator can have were left out.", n=wild))  # fmt: skip
    order = np.argsort(at[sane], kind="stable")
    readings = Readings(at[sane][order], celsius[sane][order], logged=True)
    return LoggerFile(readings, skipped + wild, tuple(told))


def _delimiter(lines: Sequence[str]) -> str:
    """The delimiter that splits most of the first lines into the same number of cells."""
    sample = [line for line in islice(lines, _LOOKED_AT) if line.strip()]

    def agreement(mark: str) -> tuple[int, int]:
        counts = Counter(line.count(mark) for line in sample if mark in line)
        return counts.most_common(1)[0][::-1] if counts else (0, 0)

    # a decimal comma may outnumber the semicolons between cells, so of equals the rarer signs come first
    return max(("\t", ";", ","), key=lambda mark: agreement(mark)[0])


def _columns(rows: Sequence[Sequence[str]]) -> _Columns:
    first = next((i for i, row in enumerate(rows[:_LOOKED_AT]) if any(_DATE.match(cell) for cell in row)), None)
    if first is None:
        raise Refusal(say("No date was found in the first {n} rows of the file.", n=_LOOKED_AT))
    row = rows[first]
    heading = next((r for r in reversed(rows[:first]) if any(_TEMPERATURE.search(c) for c in r)), [])
    date = next(i for i, cell in enumerate(row) if _DATE.match(cell))
    clock = date if _CLOCK.search(row[date]) else next((i for i, c in enumerate(row) if _CLOCK.search(c)), None)
    if clock is None:
        raise Refusal(say("No time of day was found beside the dates."))
    taken = {date, clock}
    named = [i for i, c in enumerate(heading) if _TEMPERATURE.search(c) and not _HUMIDITY.search(c) and i not in taken]
    if named:
        return _Columns(first, date, clock, named[0], heading[named[0]])
    numbers = [
        i for i, c in enumerate(row) if i not in taken and _number(c) is not None and not _counts(rows, first, i)
    ]
    if not numbers:
        raise Refusal(say("No column of temperatures was found."))
    if len(numbers) > 1 and not heading:
        raise Refusal(say("Several columns of numbers and no headings: write 'Temperature' above the right one."))
    return _Columns(first, date, clock, numbers[0], "")


def _counts(rows: Sequence[Sequence[str]], first: int, column: int) -> bool:
    """Whether a column only counts the rows."""
    cells = [row[column] for row in rows[first : first + 5] if column < len(row)]
    return len(cells) > 1 and all(c.strip().isdigit() for c in cells) and all(
        int(b) - int(a) == 1 for a, b in pairwise(cells)
    )  # fmt: skip


def _number(text: str) -> float | None:
    cleaned = text.strip().rstrip("°CFcf ").replace(",", ".")
    try:
        return float(cleaned)
    except ValueError:
        return None


def _cells(rows: Sequence[Sequence[str]], columns: _Columns) -> tuple[list[str], list[int], list[float], int]:
    """Date texts, minutes of the day and values, row by row; rows without one of them are counted."""
    dates: list[str] = []
    minutes: list[int] = []
    values: list[float] = []
    skipped = 0
    widest = max(columns.date, columns.clock, columns.celsius)
    for row in rows[columns.first_row :]:
        value = _number(row[columns.celsius]) if len(row) > widest else None
        date = _DATE.match(row[columns.date]) if value is not None else None
        clock = _CLOCK.search(row[columns.clock]) if date is not None else None
        if value is None or date is None or clock is None:
            skipped += bool("".join(row).strip())
            continue
        hour, minute, half = int(clock[1]), int(clock[2]), (clock[3] or "").lower()
        if half:
            hour = hour % 12 + (12 if half == "p" else 0)
        dates.append(date[0].strip())
        minutes.append(hour * 60 + minute)
        values.append(value)
    return dates, minutes, values, skipped


def _day_numbers(
    dates: Sequence[str], minutes: Sequence[int], day_first: bool | None
) -> tuple[dict[str, int], list[Message]]:
    """Days since 1970 of each date text."""
    parts = {text: tuple(int(n) for n in _DATE.match(text).groups()) for text in dict.fromkeys(dates)}  # type: ignore[union-attr]
    if all(first > 31 for first, _, _ in parts.values()):
        return {text: _day(y, m, d) for text, (y, m, d) in parts.items()}, []
    readings = {}
    for order in (True, False):
        try:
            readings[order] = {text: _day(y, b if order else a, a if order else b) for text, (a, b, y) in parts.items()}
        except ValueError:
            continue
    if not readings:
        raise Refusal(say("'{text}' is not a date.", text=next(iter(parts))))
    if day_first is not None and day_first in readings:
        return readings[day_first], []
    if len(readings) == 1:
        return next(iter(readings.values())), []
    spans = {order: max(days.values()) - min(days.values()) for order, days in readings.items()}
    if spans[True] == spans[False]:
        raise Refusal(say("'{text}' can be day or month first: say which.", text=next(iter(parts))))
    chosen = min(spans, key=lambda order: spans[order])
    told = say("Dates such as '{text}' are read day first: the readings then follow each other.", text=dates[0])
    if not chosen:
        told = say("Dates such as '{text}' are read month first: the readings then follow each other.", text=dates[0])
    return readings[chosen], [told]


def _day(year: int, month: int, day: int) -> int:
    return dt.date(year + 2000 if year < 100 else year, month, day).toordinal() - _ORDINAL_1970


def _celsius(values: np.ndarray[tuple[int], np.dtype[np.float64]], heading: str) -> tuple[
    np.ndarray[tuple[int], np.dtype[np.float64]], list[Message]
]:  # fmt: skip
    """Values in degrees Celsius, by the heading, or by what they can only be."""
    middle = float(np.median(values))
    if _IN_FAHRENHEIT.search(heading) and not _IN_CELSIUS.search(heading):
        return (values - 32) / 1.8, [say("The file is in Fahrenheit; kept in Celsius.")]
    if FAHRENHEIT_FROM <= middle <= FAHRENHEIT_TO:
        told = say("Values around {middle:.0f} can only be Fahrenheit, whatever the heading says; kept in Celsius.",
                   middle=middle)  # fmt: skip
        return (values - 32) / 1.8, [told]
    return values, []
