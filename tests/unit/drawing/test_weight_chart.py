"""The chart's geometry: everything recorded stands in its frame, ticks are round and apart, zoom keeps its place."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.drawing.weight_chart import (
    SHORTEST_DAYS,
    Frame,
    MealMark,
    MealPoint,
    Series,
    View,
    WeightPoint,
    lay_out,
    mass_range,
    mass_ticks,
    recent_view,
    whole_view,
)

FRAME = Frame(left=50, top=10, width=800, height=120, meals_height=22, label_width=58)
DAY = float(dt.date(2024, 1, 1).toordinal())

weights = st.lists(
    st.builds(
        WeightPoint,
        st.floats(DAY, DAY + 1500, allow_nan=False),
        st.integers(200, 60_000),
        st.booleans(),
    ),
    max_size=40,
).map(lambda points: tuple(sorted(points, key=lambda p: p.at)))
meals = st.lists(
    st.builds(MealPoint, st.floats(DAY, DAY + 1500, allow_nan=False), st.sampled_from(MealMark)), max_size=40
).map(lambda points: tuple(sorted(points, key=lambda p: p.at)))


def series_of(points: tuple[WeightPoint, ...], offers: tuple[MealPoint, ...] = (), today: float = DAY + 1500) -> Series:
    return Series(points, offers, (), today)


@given(weights, meals)
def test_everything_recorded_stands_inside_the_frame(
    points: tuple[WeightPoint, ...], offers: tuple[MealPoint, ...]
) -> None:
    series = series_of(points, offers)
    layout = lay_out(series, whole_view(series), FRAME)
    assert len(layout.dots) == len(points)
    assert len(layout.meals) == len(offers)
    for dot in layout.dots:
        assert FRAME.left <= dot.x <= FRAME.right
        assert FRAME.top - 1e-6 <= dot.y <= FRAME.bottom + 1e-6
    for x, y in layout.line:
        assert FRAME.left - 1e-6 <= x <= FRAME.right + 1e-6
        assert FRAME.top - 1e-6 <= y <= FRAME.bottom + 1e-6
    assert layout.today_x is not None


@given(weights)
def test_heavier_is_higher_and_the_line_leaves_doubted_readings_out(points: tuple[WeightPoint, ...]) -> None:
    series = series_of(points)
    layout = lay_out(series, whole_view(series), FRAME)
    counting = [w for w in points if not w.doubted]
    assert len(layout.line) == len(counting)
    by_mass = sorted((d for d in layout.dots if not d.doubted), key=lambda d: points[d.index].mass_dg)
    heights = [d.y for d in by_mass]
    assert all(later <= earlier + 1e-6 for earlier, later in pairwise(heights))
    assert [points[d.index] for d in layout.dots if d.last] == counting[-1:]


def test_a_doubted_reading_does_not_stretch_the_axis() -> None:
    good = tuple(WeightPoint(DAY + n * 10, 8_700 + n * 50) for n in range(5))
    slip = WeightPoint(DAY + 45, 870, doubted=True)
    view = View(DAY, DAY + 60)
    assert mass_range((*good, slip), view) == mass_range(good, view)
    dot = lay_out(series_of((*good, slip), today=DAY + 60), view, FRAME).dots[-1]
    assert dot.doubted and dot.y == pytest.approx(FRAME.bottom)


@given(st.floats(0, 50_000), st.floats(100, 60_000), st.sampled_from([10.0, 283.49523125, 10_000.0]), st.integers(2, 9))
def test_mass_ticks_are_round_inside_and_not_too_many(low: float, span: float, unit: float, most: int) -> None:
    ticks = mass_ticks(low, low + span, unit, most)
    assert len(ticks) <= most
    assert all(low - 1e-6 <= t <= low + span + 1e-6 for t in ticks)
    if len(ticks) > 1:
        steps = {round((b - a) / unit, 6) for a, b in pairwise(ticks)}
        assert len(steps) == 1
        lead = f"{steps.pop():e}"[0]
        assert lead in "125"


@given(st.floats(SHORTEST_DAYS, 9_000), st.floats(0, 30_000))
def test_time_ticks_stand_apart_inside_the_view(days: float, start: float) -> None:
    view = View(DAY - start, DAY - start + days)
    ticks = lay_out(Series((), (), (), None), view, FRAME).time_ticks
    xs = [t.x for t in ticks]
    assert all(FRAME.left - 1e-6 <= x <= FRAME.right + 1e-6 for x in xs)
    # months and years are not all as long: the shortest is a tenth under the mean
    assert all(b - a >= FRAME.label_width * 0.88 for a, b in pairwise(xs))


def test_a_year_is_written_where_it_begins() -> None:
    ticks = lay_out(Series((), (), (), None), View(DAY - 200, DAY + 200), FRAME).time_ticks
    first = next(t for t in ticks if t.day == dt.date(2024, 1, 1))
    assert first.unit == "year"
    assert {t.unit for t in ticks if t.day.month != 1} == {"month"}


@given(st.floats(0.2, 5), st.floats(0, 1))
def test_zoom_keeps_the_time_under_the_hand(factor: float, share: float) -> None:
    view = View(DAY, DAY + 400)
    around = DAY + share * 400
    zoomed = view.zoomed(factor, around)
    assert (around - zoomed.first) / zoomed.days == pytest.approx(share, abs=1e-6)
    assert zoomed.days == pytest.approx(400 * factor)


@given(st.floats(-900, 900), st.floats(0.05, 3))
def test_a_view_never_leaves_what_there_is(move: float, factor: float) -> None:
    whole = View(DAY, DAY + 600)
    seen = View(DAY + 100, DAY + 300).zoomed(factor, DAY + 200).dragged(move).within(whole)
    assert whole.first - 1e-6 <= seen.first <= seen.last <= whole.last + 1e-6


def test_the_line_reaches_the_edge_when_zoomed_between_two_weights() -> None:
    points = (WeightPoint(DAY, 10_000), WeightPoint(DAY + 100, 12_000))
    layout = lay_out(series_of(points, today=DAY + 100), View(DAY + 40, DAY + 60), FRAME)
    assert layout.dots == ()
    assert [round(x) for x, _ in layout.line] == [50, 850]


def test_a_long_life_begins_with_its_newest_part() -> None:
    long, short = View(DAY, DAY + 3_000), View(DAY, DAY + 100)
    assert recent_view(long).last == long.last and recent_view(long).days < 800
    assert recent_view(short) == short


def test_nothing_recorded_and_one_weight_make_a_picture_without_a_line() -> None:
    empty = Series((), (), (), DAY)
    assert empty.empty and lay_out(empty, whole_view(empty), FRAME).line == ()
    one = series_of((WeightPoint(DAY, 5_000),), today=DAY + 3)
    layout = lay_out(one, whole_view(one), FRAME)
    assert len(layout.line) == 1 and len(layout.dots) == 1 and layout.nearest(0, 0) == layout.dots[0]
