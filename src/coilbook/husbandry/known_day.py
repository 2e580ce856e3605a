"""A day as well as it is known: to the day, between two looks, or give or take some days."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.records.when import PartialDate

#: "give or take n days" is taken to hold nine times in ten: the standard deviation of a bell is n / 1.645
_NINE_IN_TEN = 1.645


@dataclass(frozen=True, slots=True)
class KnownDay:
    """Some day from `earliest` to `latest`, all alike, blurred by a bell of standard deviation `doubt` in days."""

    earliest: dt.date
    latest: dt.date
    doubt: float = 0.0

    def __post_init__(self) -> None:
        if self.latest < self.earliest or self.doubt < 0:
            raise ValueError(f"{self.earliest} to {self.latest}, doubt {self.doubt}")

    @classmethod
    def on(cls, day: dt.date, give_or_take: float = 0.0) -> KnownDay:
        """A day with a keeper's "give or take" days."""
        return cls(day, day, give_or_take / _NINE_IN_TEN)

    @classmethod
    def between(cls, not_yet: dt.date, seen: dt.date) -> KnownDay:
        """Not seen at one look, seen at a later one; on the day of the first look it may still have happened."""
        return cls(min(not_yet, seen), seen)

    @classmethod
    def of(cls, partial: PartialDate) -> KnownDay:
        """A date of any precision."""
        return cls(partial.first, partial.last)

    @classmethod
    def of_laying(cls, partial: PartialDate, give_or_take: float, seen: dt.date | None = None) -> KnownDay:
        """A laying as it was entered; eggs that were `seen` on a day had been laid by then."""
        last = partial.last if seen is None else max(partial.first, min(partial.last, seen))
        return cls(partial.first, last, give_or_take / _NINE_IN_TEN)

    @property
    def middle(self) -> float:
        """Its mean as an ordinal day."""
        return (self.earliest.toordinal() + self.latest.toordinal()) / 2

    @property
    def variance(self) -> float:
        """In days squared; a day known to the day has none, since intervals are counted in whole days as well."""
        return self.width**2 / 12 + self.doubt**2

    @property
    def width(self) -> int:
        """Days from the earliest to the latest."""
        return (self.latest - self.earliest).days

    @property
    def span(self) -> float:
        """Days from the first to the last it can well have been."""
        return self.width + 2 * _NINE_IN_TEN * self.doubt

    @property
    def outer(self) -> tuple[dt.date, dt.date]:
        """The first and the last day it can well have been."""
        doubt = dt.timedelta(round(_NINE_IN_TEN * self.doubt))
        return self.earliest - doubt, self.latest + doubt

    @property
    def give_or_take(self) -> int:
        """Days to either side of its middle, as a keeper says it."""
        return round(self.span / 2)

    @property
    def is_exact(self) -> bool:
        return self.variance == 0


def days_between(start: KnownDay, end: KnownDay) -> tuple[float, float]:
    """Days from one to the other, and the standard deviation that comes of not knowing them exactly."""
    return end.middle - start.middle, (start.variance + end.variance) ** 0.5
