"""Dates with a stated precision, and the moment texts the collection stores.

A moment is local wall time as ``YYYY-MM-DDTHH:MM`` (what the keeper's clock said); a partial date is its first day
with how much of it is known. Both sort as text.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Precision

#: note of an entry whose day its sheet does not say; it stands at the moment of the import, the latest it can be
UNDATED = "the sheet does not say when"


@dataclass(frozen=True, slots=True, order=True)
class PartialDate:
    """A date known to a `precision`; `first` is the first day it can mean."""

    first: dt.date
    precision: Precision = Precision.DAY

    @property
    def last(self) -> dt.date:
        """Last day it can mean (a season is three months from its first day)."""
        months = {Precision.DAY: 0, Precision.MONTH: 1, Precision.SEASON: 3, Precision.YEAR: 12}[self.precision]
        if months == 0:
            return self.first
        index = self.first.month - 1 + months
        return dt.date(self.first.year + index // 12, index % 12 + 1, 1) - dt.timedelta(days=1)

    @property
    def about(self) -> PartialDate:
        """What is kept of a day that was said to be about: the month it lies in."""
        if self.precision is not Precision.DAY:
            return self
        return PartialDate(self.first.replace(day=1), Precision.MONTH)

    @property
    def stored(self) -> str:
        """Text kept in the collection, first day as ISO 8601."""
        return self.first.isoformat()


@dataclass(frozen=True, slots=True, order=True)
class ShortDate:
    """A day of this season, told without its year."""

    day: dt.date

    def __str__(self) -> str:
        return self.day.isoformat()


def day(year: int, month: int, number: int) -> PartialDate:
    """A date known to the day."""
    return PartialDate(dt.date(year, month, number))


def whole_day(date: PartialDate | None) -> str | None:
    """Stored form of a date that has to be a day; a vaguer one is refused rather than taken for its first day."""
    if date is not None and date.precision is not Precision.DAY:
        raise Refusal(say("{date} is not known to the day; this needs a day.", date=date))
    return date.stored if date is not None else None


def moment_text(moment: dt.datetime) -> str:
    """Stored form of when something happened: local wall time to the minute."""
    # not strftime: it writes the years before 1000 shorter, which would no longer sort or read back
    return moment.replace(tzinfo=None).isoformat(timespec="minutes")


def moment_from(text: str) -> dt.datetime:
    """Wall time of a stored moment, without a zone; a bare date means its noon."""
    try:
        if len(text) == 10:
            return dt.datetime.combine(dt.date.fromisoformat(text), dt.time(12))
        return dt.datetime.fromisoformat(text)
    except ValueError as error:
        raise Refusal(say("'{text}' is not a moment.", text=text)) from error


def must_have_happened(moment: dt.datetime, now: dt.datetime) -> None:
    """Refuse a moment that lies more than a day ahead of the keeper's clock."""
    if moment.replace(tzinfo=None) > now.replace(tzinfo=None) + dt.timedelta(days=1):
        raise Refusal(say("{moment} lies ahead of today; an entry is of what has happened.", moment=moment))


def day_number(moment: dt.datetime) -> float:
    """A moment in days: the ordinal of its date, and the share of that day gone by to the minute."""
    return moment.toordinal() + (moment.hour * 60 + moment.minute) / 1440
