"""Dates as people write them in sheets, with how much of the date is known.

``03/04/21`` has two readings; which one holds is decided for a whole column by `decide_order`, from rows where
only one reading is possible, and asked when no row tells.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from coilbook.records.settings import DateOrder
from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate

#: no record of a living animal is older; keeps plain numbers from being taken for years
EARLIEST_YEAR = 1970
#: day numbers of spreadsheets, counted from 1899-12-30 (common practice of spreadsheet programs); 1982 to 2064
_SERIALS = range(30_000, 60_001)
_SERIAL_START = dt.date(1899, 12, 30)

# month names in English, German, French and Spanish, by their first letters (from memory)
_MONTHS: dict[str, int] = {}
for _number, _names in enumerate(
    (
        "jan january januar janvier ene enero jän",
        "feb february februar fév fev fevr février febrero",
        "mar march mär mrz märz mars marzo",
        "apr april avr avril abr abril",
        "may mai mayo",
        "jun june juni juin junio",
        "jul july juli juil juillet julio",
        "aug august août aout ago agosto",
        "sep sept september septembre septiembre",
        "oct okt october oktober octobre octubre",
        "nov november novembre noviembre",
        "dec dez december dezember déc décembre dic diciembre",
    ),
    1,
):
    for _name in _names.split():
        _MONTHS[_name] = _number
#: first month of a season in the northern year (common practice: whole months)
_SEASONS = {"spring": 3, "summer": 6, "autumn": 9, "fall": 9, "winter": 12}

_NUMERIC = re.compile(r"(\d{1,2})([./\- ])(\d{1,2})\2(\d{4}|\d{2})")
_SIGN = re.compile(r"\d{1,2}([./\- ])\d{1,2}\1\d")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?)?")
_YEAR_MONTH = re.compile(r"(\d{4})[-/.](\d{1,2})|(\d{1,2})[-/.](\d{4})")
_HEDGE = re.compile(
    r"^(?:~|c\.|ca\.?|circa|about|abt\.?|approx\.?|around|maybe|est\.?)\s*|\s*(?:\?+|\(\?\)|ish|approx\.?|or so)$", re.I
)
_PART_OF = re.compile(r"^(?:early|mid|late|beginning of|end of)[\s-]+", re.I)
_WORD = re.compile(r"[^\W\d_]+\.?|\d+|'")
_ORDINAL = re.compile(r"(\d)(?:st|nd|rd|th)\b", re.I)


@dataclass(frozen=True, slots=True)
class DateReading:
    """What a text says as a date.

    `value` is None while two readings stand (`day_first`, `month_first` hold them). `exact` is False when the text
    says more or less than the value keeps ("2021?", "late May 2021"), so the words must be kept beside it.
    """

    value: PartialDate | None
    exact: bool = True
    day_first: dt.date | None = None
    month_first: dt.date | None = None

    @property
    def ambiguous(self) -> bool:
        """True while two readings stand."""
        return self.value is None


def full_year(text: str, this_year: int) -> int:
    """The year two or four digits mean; two digits never lie more than one year ahead.

    >>> full_year("21", 2026), full_year("98", 2026), full_year("2019", 2026)
    (2021, 1998, 2019)
    """
    number = int(text)
    if len(text) > 2:
        return number
    century = this_year // 100 * 100
    return century + number if century + number <= this_year + 1 else century - 100 + number


def _day(year: int, month: int, number: int) -> dt.date | None:
    try:
        return dt.date(year, month, number)
    except ValueError:
        return None


@lru_cache(maxsize=50_000)
def read_date(text: str, order: DateOrder | None, this_year: int) -> DateReading | None:
    """Read a date text; None when it is none. `order` settles ``3/4/21``, None leaves both readings standing."""
    cleaned = " ".join(text.split())
    plain = _HEDGE.sub("", _HEDGE.sub("", cleaned))
    part = _PART_OF.sub("", plain)
    reading = _read_plain(part, order, this_year)
    if reading is None or part == cleaned or reading.ambiguous:
        return reading
    return DateReading(reading.value, exact=False)


def _read_plain(text: str, order: DateOrder | None, this_year: int) -> DateReading | None:
    if not text or len(text) > 40:
        return None
    if text.isascii() and text.isdigit():
        return _read_digits(text, this_year)
    iso = _ISO.fullmatch(text)
    if iso:
        return _whole(_day(int(iso[1]), int(iso[2]), int(iso[3])))
    numeric = _NUMERIC.fullmatch(text)
    if numeric:
        return _read_numeric(int(numeric[1]), int(numeric[3]), full_year(numeric[4], this_year), order)
    months = _YEAR_MONTH.fullmatch(text)
    if months:
        year, month = (months[1], months[2]) if months[1] else (months[4], months[3])
        return _month(int(year), int(month))
    return _read_words(text, this_year)


def _whole(value: dt.date | None) -> DateReading | None:
    if value is None or value.year < EARLIEST_YEAR:
        return None
    return DateReading(PartialDate(value))


def _month(year: int, month: int) -> DateReading | None:
    if not 1 <= month <= 12 or not EARLIEST_YEAR <= year <= 2100:
        return None
    return DateReading(PartialDate(dt.date(year, month, 1), Precision.MONTH))


def _read_digits(text: str, this_year: int) -> DateReading | None:
    number = int(text)
    if len(text) == 4 and EARLIEST_YEAR <= number <= this_year + 1:
        return DateReading(PartialDate(dt.date(number, 1, 1), Precision.YEAR))
    if len(text) == 5 and number in _SERIALS:
        return DateReading(PartialDate(_SERIAL_START + dt.timedelta(days=number)))
    if len(text) == 8 and EARLIEST_YEAR <= number // 10_000 <= this_year + 1:
        return _whole(_day(number // 10_000, number // 100 % 100, number % 100))
    return None


def _read_numeric(first: int, second: int, year: int, order: DateOrder | None) -> DateReading | None:
    day_first, month_first = _day(year, second, first), _day(year, first, second)
    if day_first is None or month_first is None or day_first == month_first:
        return _whole(day_first or month_first)
    if order is DateOrder.DAY_FIRST:
        return _whole(day_first)
    if order is DateOrder.MONTH_FIRST:
        return _whole(month_first)
    return DateReading(None, day_first=day_first, month_first=month_first)


def _read_words(text: str, this_year: int) -> DateReading | None:
    """``04-Mar-21``, ``March 4, 2021``, ``Mar 21``, ``spring 2021``: one word, and one or two numbers."""
    loose = _ORDINAL.sub(r"\1", text)
    if _WORD.sub("", loose).strip(" ,-/."):
        return None
    tokens = [token.rstrip(".").lower() for token in _WORD.findall(loose) if token not in ("'", "of", "de")]
    words = [token for token in tokens if not token.isdecimal()]
    numbers = [token for token in tokens if token.isdecimal()]
    if len(words) != 1 or not 1 <= len(numbers) <= 2 or any(len(number) > 4 for number in numbers):
        return None
    word = words[0]
    if len(numbers) == 1 and len(numbers[0]) in (2, 4):
        year = full_year(numbers[0], this_year)
        if word in _SEASONS and EARLIEST_YEAR <= year <= this_year + 1:
            return DateReading(PartialDate(dt.date(year, _SEASONS[word], 1), Precision.SEASON))
        return _month(year, _MONTHS[word]) if word in _MONTHS else None
    if len(numbers) == 2 and word in _MONTHS:
        # the year stands last, unless four digits stand first
        year_text, day_text = (numbers[0], numbers[1]) if len(numbers[0]) == 4 else (numbers[1], numbers[0])
        if len(year_text) in (2, 4) and len(day_text) <= 2:
            return _whole(_day(full_year(year_text, this_year), _MONTHS[word], int(day_text)))
    return None


def decide_order(texts: Iterable[str]) -> DateOrder | None:
    """Day or month first, from the dates of a column that allow only one reading; None when none does or both do.

    >>> decide_order(["3/4/21", "25/12/20"]).value
    'day_first'
    """
    day_first = month_first = False
    for text in texts:
        match = _NUMERIC.fullmatch(text)
        if match:
            day_first |= int(match[1]) > 12 >= int(match[3])
            month_first |= int(match[3]) > 12 >= int(match[1])
    if day_first == month_first:
        return None
    return DateOrder.DAY_FIRST if day_first else DateOrder.MONTH_FIRST


@dataclass(frozen=True, slots=True)
class Orders:
    """Day or month first in a column: by the sign between the numbers, else for all its dates; None where none tells.

    Whoever writes 25.12.20 and 12/25/20 in one column means different orders by them.
    """

    by_sign: Mapping[str, DateOrder]
    otherwise: DateOrder | None

    def of(self, text: str) -> DateOrder | None:
        """The order a text of the column is in."""
        sign = _SIGN.search(text)
        return self.by_sign.get(sign[1], self.otherwise) if sign else self.otherwise


def decide_orders(texts: Iterable[str]) -> Orders:
    """What the dates of a column tell of their order.

    >>> orders = decide_orders(["25.12.20", "12/25/20", "3-4-21"])
    >>> orders.of("3.4.21").value, orders.of("3/4/21").value, orders.of("3-4-21")
    ('day_first', 'month_first', None)
    """
    every = list(texts)
    signed: dict[str, list[str]] = {}
    for text in every:
        if match := _NUMERIC.fullmatch(text):
            signed.setdefault(match[2], []).append(text)
    told = {sign: decide_order(of_sign) for sign, of_sign in signed.items()}
    return Orders({sign: order for sign, order in told.items() if order is not None}, decide_order(every))


_DAY_AND_MONTH = re.compile(r"(\d{1,2})[./-](\d{1,2})(?:[./-](\d{4}|\d{2}))?\.?")
_DAY_AND_WORD = re.compile(r"(\d{1,2})[ .-]*([^\W\d_]{3,9})\.?|([^\W\d_]{3,9})\.?[ -]*(\d{1,2})")


@dataclass(frozen=True, slots=True)
class HeaderDate:
    """A column header that is a day, often without its year (``1/3``): `first` and `second` as they stand."""

    first: int
    second: int
    year: int | None
    sure: bool

    def on(self, order: DateOrder, year: int) -> dt.date | None:
        """The day it means; for a date in words the order is known already."""
        month_first = not self.sure and order is DateOrder.MONTH_FIRST
        number, month = (self.second, self.first) if month_first else (self.first, self.second)
        return _day(self.year or year, month, number)


@lru_cache(maxsize=5_000)
def read_header_date(text: str, this_year: int) -> HeaderDate | None:
    """The day a header names, or None; ``sure`` headers (ISO, month in words) have one reading only."""
    cleaned = text.strip().lower()
    short = _DAY_AND_MONTH.fullmatch(cleaned)
    if short:
        first, second = int(short[1]), int(short[2])
        if 1 <= first <= 31 and 1 <= second <= 31 and min(first, second) <= 12:
            return HeaderDate(first, second, full_year(short[3], this_year) if short[3] else None, False)
        return None
    worded = _DAY_AND_WORD.fullmatch(cleaned)
    if worded:
        month = _MONTHS.get(worded[2] or worded[3])
        number = int(worded[1] or worded[4])
        return HeaderDate(number, month, None, True) if month and 1 <= number <= 31 else None
    reading = read_date(cleaned, None, this_year)
    if reading is None or reading.value is None or reading.value.precision is not Precision.DAY:
        return None
    if cleaned.isdecimal():
        return None
    first_day = reading.value.first
    return HeaderDate(first_day.day, first_day.month, first_day.year, True)


def header_order(headers: Iterable[HeaderDate]) -> DateOrder | None:
    """Day or month first for a run of date columns: from days over 12, else from the smaller steps in time."""
    loose = [header for header in headers if not header.sure]
    day_first = any(header.first > 12 for header in loose)
    month_first = any(header.second > 12 for header in loose)
    if day_first != month_first:
        return DateOrder.DAY_FIRST if day_first else DateOrder.MONTH_FIRST
    if len(loose) < 3:
        return None
    spans = {order: _span(loose, order) for order in (DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST)}
    best, other = sorted(spans, key=lambda order: spans[order])
    return best if spans[best] * 2 <= spans[other] else None


def _span(headers: list[HeaderDate], order: DateOrder) -> int:
    """Days between neighbours, summed either way round: columns in walking order of time have the least."""
    days = [header.on(order, 2023) for header in headers]
    known = [value for value in days if value is not None]
    return sum(abs((later - earlier).days) for earlier, later in pairwise(known)) + 400 * (len(days) - len(known))
