"""An animal's weights, meals and sheds as the series that a chart is laid out from."""

from __future__ import annotations

import datetime as dt

from coilbook.drawing.weight_chart import MealMark, MealPoint, Series, WeightPoint
from coilbook.reads.animal_facts import GONE
from coilbook.reads.animal_rows import AnimalPage, Meal, Weighing
from coilbook.records.vocabulary import SHED_RESULTS
from coilbook.records.when import moment_from


def day_number(at: str) -> float:
    """A stored moment in days: the ordinal of its date, and the share of that day gone by."""
    moment = moment_from(at)
    return moment.toordinal() + (moment.hour * 60 + moment.minute) / 1440


def charted(page: AnimalPage) -> tuple[Weighing, ...]:
    """The weights that have a place on the axis of days, in the order of the chart's points."""
    return tuple(w for w in page.weights if not w.undated)


def series_of(page: AnimalPage, today: dt.date) -> Series:
    """What there is to draw of an animal."""
    return Series(
        tuple(WeightPoint(day_number(w.at), w.mass_dg, w.doubted) for w in charted(page)),
        tuple(MealPoint(day_number(m.at), _mark(m)) for m in page.meals),
        tuple(day_number(s.at) for s in page.sheds if s.kind in SHED_RESULTS),
        None if page.who.status in GONE else float(today.toordinal()) + 0.5,
    )


def _mark(meal: Meal) -> MealMark:
    return MealMark(meal.result.value) if meal.kept else MealMark.BACK
