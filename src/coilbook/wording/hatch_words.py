"""A day of hatching in words, exact or between two looks."""

from __future__ import annotations

import datetime as dt

from coilbook.records.when import PartialDate
from coilbook.wording.style import Style


def hatch_day(style: Style, day: PartialDate, not_before: dt.date | None) -> str:
    """ "28 May 2026", or "27 May \u2013 28 May 2026" where it was seen out on the last day and not on the first."""
    last = style.date(day)
    if not_before is None:
        return last
    return f"{style.date(not_before, year=not_before.year != day.first.year)} \u2013 {last}"
