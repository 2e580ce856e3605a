"""The words along the axes of a chart, in the keeper's units and order."""

from __future__ import annotations

import datetime as dt

from coilbook.records.quantities import MassUnit
from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate
from coilbook.wording.style import Style


def mass_label(decigrams: float, style: Style) -> str:
    """A round mass on the axis, without its unit where that is the axis's own."""
    return style.mass(round(decigrams), unit=style.settings.mass_unit is MassUnit.POUND_OUNCE)


def time_label(day: dt.date, unit: str, style: Style) -> str:
    """A day on the axis: the year where one begins, else the month, or day and month when near."""
    if unit == "year":
        return str(day.year)
    if unit == "month":
        return style.date(PartialDate(day, Precision.MONTH)).split(" ")[0]
    return style.date(day, year=False)
