"""Courses for the charts: the weight of a box with its aim, the temperature of an incubator with its limits."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from coilbook.drawing.egg_chart import Course, Limit
from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.incubator import Readings, minute_of, moment_of, summary
from coilbook.husbandry.profile import Profile
from coilbook.reads.box_water import weight_steps
from coilbook.reads.egg_rows import BoxNowRow
from coilbook.reads.eggs_now import EggsNow
from coilbook.records.when import day_number
from coilbook.ui.desk import Desk
from coilbook.wording.language import translated

#: days of temperature shown
TEMPERATURE_DAYS = 7
#: no more points than the chart has pixels for
_POINTS = 400
_NOTHING = Course((), (0.0, 1.0), 1.0)


def weight_course(desk: Desk, box: BoxNowRow | None, now: EggsNow) -> tuple[Course, str]:
    """The totals of a box in days since laying, tenths of a gram; and the same in words."""
    if box is None or not box.clutches:
        return _NOTHING, translated("not weighed")
    laid = min(clutch.laid.first for clutch in box.clutches)
    steps = weight_steps(box, laid)
    if not steps:
        return _NOTHING, translated("not weighed")
    points = tuple((step.day, float(step.total_dg)) for step in steps)
    aims = tuple((step.day, float(step.aim_dg)) for step in steps if step.aim_dg is not None)
    moved = [aim for index, aim in enumerate(aims) if index == 0 or aims[index - 1][1] != aim[1]]
    today = float((now.today - laid).days)
    course = Course(
        runs=(points,),
        span=(min(0.0, points[0][0]), max(60.0, today)),
        least_span=300.0,
        aim=tuple(moved),
        notes=tuple(_taken_notes(desk, box, moved)),
    )
    last = desk.style.mass(steps[-1].total_dg)
    return course, translated("{n} weighings, the last {mass}").format(n=len(steps), mass=last)


def _taken_notes(
    desk: Desk, box: BoxNowRow, aims: list[tuple[float, float]]
) -> Iterator[tuple[tuple[float, float], str]]:
    """What was taken out, beside the step of the aim."""
    for before, after in pairwise(aims):
        mass = desk.style.mass(round(before[1] - after[1]), unit=False)
        numbers = [deed.number for deed in box.deeds if deed.away_dg == round(before[1] - after[1]) and deed.number]
        name = translated("egg {n}").format(n=numbers[0]) if numbers else translated("taken out")
        yield (after[0], (before[1] + after[1]) / 2), f"{name}, \u2212{mass}"


def temperature_course(
    desk: Desk,
    profile: Profile,
    readings: Readings,
    today: dt.date,
    noted: tuple[int | None, int | None] = (None, None),
) -> tuple[Course, str]:
    """A week of an incubator in days (ordinals), tenths of a degree Celsius; and the same in words.

    `noted` are the least and the most a thermometer kept between looks, at a time that is not known.
    """
    low, high = profile.value(FigureKey.INCUBATOR_LOW_C), profile.value(FigureKey.INCUBATOR_HIGH_C)
    target = profile[FigureKey.INCUBATOR_TARGET_C]
    end = float(today.toordinal() + 1)
    span = (end - TEMPERATURE_DAYS, end)
    limits = (
        Limit(high * 10, translated("high, {c}").format(c=desk.style.temperature(round(high * 10)))),
        Limit(low * 10, translated("low, {c}").format(c=desk.style.temperature(round(low * 10)))),
    )
    band = None if target.low is None or target.high is None else (target.low * 10, target.high * 10)
    told = summary(readings, low, high)
    if told is None:
        return Course((), span, 20.0, dots=False, band=band, limits=limits), translated("no reading")
    gaps = tuple((_day(minute_of(gap.start)), _day(minute_of(gap.end))) for gap in told.gaps)
    course = Course(_runs(readings, told_gaps=[minute_of(gap.start) for gap in told.gaps]), span, 20.0,
                    dots=len(readings) <= 40, band=band, limits=limits, gaps=gaps)  # fmt: skip
    words = translated("{low} - {high}").format(
        low=desk.style.temperature(round(told.lowest[0] * 10)), high=desk.style.temperature(round(told.highest[0] * 10))
    )
    outside = told.hours_above + told.hours_below
    if outside >= 0.1:
        words += translated("; {hours:.1f} h outside the limits").format(hours=outside)
    kept = [desk.style.temperature(tenths) for tenths in noted if tenths is not None]
    if kept:
        words += translated("; noted between looks: {kept}").format(kept=" - ".join(kept))
    return course, words


def _day(minute: int) -> float:
    return day_number(moment_of(minute))


def _runs(readings: Readings, told_gaps: list[int]) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Readings as joined points, broken at gaps, thinned to what the chart can show."""
    step = max(1, len(readings) // _POINTS)
    breaks = set(told_gaps)
    runs: list[list[tuple[float, float]]] = [[]]
    for index in range(len(readings)):
        minute = int(readings.minutes[index])
        if index % step == 0 or minute in breaks:
            runs[-1].append((_day(minute), float(np.round(readings.celsius[index] * 10, 1))))
        if minute in breaks:
            runs.append([])
    return tuple(tuple(run) for run in runs if run)
