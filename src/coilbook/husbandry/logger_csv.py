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
from math import isfinite

import numpy as np

from coilbook.husbandry.incubator import (
    CELSIUS_FROM,
    CELSIUS_TO,
    COLDEST_C,
    FAHRENHEIT_FROM,
    FAHRENHEIT_TO,
    WARMEST_C,
    Floats,
    Minutes,
    Readings,
)
from coilbook.records.message import Message, Refusal, say

#: rows looked at to find the columns
_LOOKED_AT = 60
_TEMPERATURE = re.compile(r"temp|°\s*[cf]\b|celsius|fahrenheit", re.IGNORECASE)
_HUMIDITY = re.compile(r"hum|%|\brh\b|dew", re.IGNORECASE)
_IN_FAHRENHEIT = re.compile(r"(?<![a-z])f(?![a-z])|fahrenheit|degf", re.IGNORECASE)
_IN_CELSIUS = re.compile(r"(?<![a-z])c(?![a-z])|celsius|degc", re.IGNORECASE)
#: a column of what the temperature should be, not of what it was
_NOT_MEASURED = re.compile(r"set|target|limit|alarm|diff", re.IGNORECASE)
#: an offset from universal time behind a time of day, or said in a heading
_ZONED = re.compile(r":\d\d(?:[.,]\d+)?\s*(?:z|utc|gmt|[+-]\d\d:?\d\d)\s*$|^[^\d]*\b(?:utc|gmt)\b", re.IGNORECASE)
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
    told: tuple[Message, ...] = ()


def read_logger(text: str, day_first: bool | None = None) -> LoggerFile:
    """Readings from the text of a file; `day_first` answers what cannot be told from the dates.

    Raises `Refusal` when there are no columns of time and temperature, or the dates read both ways.
    """
    lines = text.removeprefix("\ufeff").splitlines()
    rows = _rows(lines)
    columns = _columns(rows)
    dates, minutes, values, skipped = _cells(rows, columns)
    day_numbers, told = _day_numbers(dates, day_first)
    dated = [i for i, date in enumerate(dates) if date in day_numbers]
    skipped += len(dates) - len(dated)
    if not dated:
        raise Refusal(say("No reading was found in the file."))
    at = np.array([day_numbers[dates[i]] * 1440 + minutes[i] for i in dated], np.int64)
    celsius, unit_told = _celsius(np.array([values[i] for i in dated], np.float64), columns.heading)
    told = [*columns.told, *told, *unit_told]
    sane = (celsius >= COLDEST_C) & (celsius <= WARMEST_C)
    wild = int((~sane).sum())
    if wild == len(dated):
        raise Refusal(say("No reading of the file is one an incubator can have."))
    if wild:
        told.append(say("{n} reading no incubator can have was left out.",
                        "{n} readings no incubator can have were left out.", n=wild))  # fmt: skip
    readings, same = _in_order(at[sane], celsius[sane])
    if same:
        told.append(say("{n} reading shares its minute with a later one, which was kept: the clock may have been put "
                        "back.", "{n} readings share their minute with a later one, which was kept: several a minute, "
                        "or the clock was put back.", n=same))  # fmt: skip
    return LoggerFile(readings, skipped + wild, tuple(told))


def _in_order(at: Minutes, celsius: Floats) -> tuple[Readings, int]:
    """Readings in order of time, one a minute, the last of each as the file has them; and how many that left out."""
    order = np.argsort(at, kind="stable")
    at, celsius = at[order], celsius[order]
    last = np.append(at[1:] != at[:-1], True)
    return Readings(at[last], celsius[last], logged=True), int((~last).sum())


def _rows(lines: Sequence[str]) -> list[list[str]]:
    mark = _delimiter(lines)
    if any(line.count('"') % 2 for line in lines):
        # a quotation mark left open would swallow the lines after it
        return [next(csv.reader([line], delimiter=mark), []) for line in lines]
    return list(csv.reader(lines, delimiter=mark))


def _delimiter(lines: Sequence[str]) -> str:
    """The delimiter that splits most of the first lines into the same number of cells."""
    sample = [line for line in islice(lines, _LOOKED_AT) if line.strip()]

    def agreement(mark: str) -> tuple[int, int]:
        counts = Counter(line.count(mark) for line in sample if mark in line)
        return counts.most_common(1)[0][::-1] if counts else (0, 0)

    # a decimal comma may outnumber the semicolons between cells, so of equals the rarer signs come first
    return max(("\t", ";", ","), key=lambda mark: agreement(mark)[0])


def _columns(rows: Sequence[Sequence[str]]) -> _Columns:
    dated = [i for i, row in enumerate(rows[:_LOOKED_AT]) if any(_DATE.match(cell) for cell in row)]
    if not dated:
        raise Refusal(say("No date was found in the first {n} rows of the file.", n=_LOOKED_AT))
    timed = [i for i in dated if _date_and_clock(rows[i]) is not None]
    if not timed:
        raise Refusal(say("No time of day was found beside the dates."))
    # a date above the table, of when the file was made, has no temperature beside it
    first = next((i for i in timed if _beside(rows[i])), timed[0])
    date, clock = _date_and_clock(rows[first]) or (0, 0)
    heading = next((r for r in reversed(rows[:first]) if any(_TEMPERATURE.search(c) for c in r)), [])
    zoned = any(_ZONED.search(row[i]) for row in (heading, rows[first]) for i in (date, clock) if i < len(row))
    told: tuple[Message, ...] = ()
    if zoned:
        told = (say("The times of the file are given with their zone; they were taken as they stand."),)
    named = [
        i for i, c in enumerate(heading)
        if _TEMPERATURE.search(c) and not _HUMIDITY.search(c) and i not in (date, clock)
    ]  # fmt: skip
    if named:
        taken = next((i for i in named if not _NOT_MEASURED.search(heading[i])), named[0])
        if len(named) > 1:
            told += (say("Of several temperatures '{heading}' was taken.", heading=heading[taken].strip()),)
        return _Columns(first, date, clock, taken, heading[taken], told)
    numbers = [i for i in _beside(rows[first]) if not _counts(rows, first, i)]
    if not numbers:
        raise Refusal(say("No column of temperatures was found."))
    if len(numbers) > 1 and not heading:
        raise Refusal(say("Several columns of numbers and no headings: write 'Temperature' above the right one."))
    return _Columns(first, date, clock, numbers[0], "", told)


def _date_and_clock(row: Sequence[str]) -> tuple[int, int] | None:
    """Columns of the date and of the time of day, which may be one."""
    date = next((i for i, cell in enumerate(row) if _DATE.match(cell)), None)
    if date is None or _CLOCK.search(row[date]):
        return None if date is None else (date, date)
    clock = next((i for i, cell in enumerate(row) if _CLOCK.search(cell)), None)
    return None if clock is None else (date, clock)


def _beside(row: Sequence[str]) -> list[int]:
    """Columns of numbers beside the date and the time of day."""
    taken = _date_and_clock(row) or ()
    return [i for i, cell in enumerate(row) if i not in taken and _number(cell) is not None]


def _counts(rows: Sequence[Sequence[str]], first: int, column: int) -> bool:
    """Whether a column only counts the rows."""
    cells = [row[column] for row in rows[first : first + 5] if column < len(row)]
    return len(cells) > 1 and all(c.strip().isdigit() for c in cells) and all(
        int(b) - int(a) == 1 for a, b in pairwise(cells)
    )  # fmt: skip


def _number(text: str) -> float | None:
    cleaned = text.strip().rstrip("°CFcf ").replace(",", ".")
    try:
        value = float(cleaned)
    except ValueError:
        return None
    return value if isfinite(value) else None


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
        if value is None or date is None or clock is None or int(clock[1]) > 24 or int(clock[2]) > 59:
            skipped += bool("".join(row).strip())
            continue
        hour, minute, half = int(clock[1]), int(clock[2]), (clock[3] or "").lower()
        if half:
            hour = hour % 12 + (12 if half == "p" else 0)
        dates.append(date[0].strip())
        minutes.append(hour * 60 + minute)
        values.append(value)
    return dates, minutes, values, skipped


def _day_numbers(dates: Sequence[str], day_first: bool | None) -> tuple[dict[str, int], list[Message]]:
    """Days since 1970 of each date text; one that is no date is not among them."""
    parts = {text: _three(text) for text in dict.fromkeys(dates)}
    if any(first > 31 for first, _, _ in parts.values()):
        return _days({text: (y, m, d) for text, (y, m, d) in parts.items() if y > 31}), []
    readings = {
        order: _days({text: (y, b if order else a, a if order else b) for text, (a, b, y) in parts.items()})
        for order in (True, False)
    }
    most = max(len(days) for days in readings.values())
    # an order in which dates would not exist is not the file's
    readings = {order: days for order, days in readings.items() if len(days) == most}
    if not most:
        return {}, []
    if day_first is not None and day_first in readings:
        return readings[day_first], []
    if len(readings) == 1:
        return next(iter(readings.values())), []
    spans = {order: max(days.values()) - min(days.values()) for order, days in readings.items()}
    example = next(iter(readings[True]))
    if spans[True] == spans[False]:
        raise Refusal(say("'{text}' can be day or month first: say which.", text=example))
    chosen = min(spans, key=lambda order: spans[order])
    told = say("Dates such as '{text}' are read day first: the readings then follow each other.", text=example)
    if not chosen:
        told = say("Dates such as '{text}' are read month first: the readings then follow each other.", text=example)
    return readings[chosen], [told]


def _three(text: str) -> tuple[int, int, int]:
    found = _DATE.match(text)
    assert found is not None  # only texts that match get here
    return int(found[1]), int(found[2]), int(found[3])


def _days(parts: dict[str, tuple[int, int, int]]) -> dict[str, int]:
    found = {}
    for text, (year, month, day) in parts.items():
        try:
            found[text] = dt.date(year + 2000 if year < 100 else year, month, day).toordinal() - _ORDINAL_1970
        except ValueError:
            continue
    return found


def _celsius(values: Floats, heading: str) -> tuple[Floats, list[Message]]:
    """Values in degrees Celsius, by the heading, or by what they can only be."""
    middle = float(np.median(values))
    if _IN_FAHRENHEIT.search(heading) and not _IN_CELSIUS.search(heading):
        if CELSIUS_FROM <= middle <= CELSIUS_TO:
            told = say("Values around {middle:.0f} can only be Celsius, whatever the heading says.", middle=middle)
            return values, [told]
        return (values - 32) / 1.8, [say("The file is in Fahrenheit; kept in Celsius.")]
    if FAHRENHEIT_FROM <= middle <= FAHRENHEIT_TO:
        told = say("Values around {middle:.0f} can only be Fahrenheit, whatever the heading says; kept in Celsius.",
                   middle=middle)  # fmt: skip
        return (values - 32) / 1.8, [told]
    return values, []
