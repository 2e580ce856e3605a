"""The laws of a season's line: inside the axis, no texts on each other, the shortest stay still to be seen."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from coilbook.drawing.season_lines import (
    LEAST,
    Band,
    Block,
    Point,
    Scale,
    Span,
    Story,
    Word,
    fitted,
    lay_out,
    months,
)

START = dt.date(2025, 8, 1)
DAY = START.toordinal()
SCALE = fitted(START, dt.date(2026, 7, 31), 900)


def measure(text: str) -> float:
    return 6.0 * len(text)


def test_a_day_is_where_it_belongs() -> None:
    line = lay_out(Story(blocks=(Block(DAY + 100, DAY + 101, "lock", "M-03"),), points=(Point(DAY, "ovulation"),)),
                   SCALE, measure)  # fmt: skip
    (block,), ((x, shape),) = line.blocks, line.points
    # 900 px for 365 days; two days are narrower than the least block and stay in their middle
    assert abs(block.x + block.width / 2 - 101 * 900 / 365) < 1e-6 and block.width == LEAST
    assert (round(x, 3), shape) == (round(0.5 * 900 / 365, 3), "ovulation")


def test_a_window_keeps_its_likely_days_inside_and_is_cut_at_the_edge() -> None:
    band = Band("laying", DAY + 350, DAY + 380, DAY + 360, DAY + 370)
    (placed,) = lay_out(Story(bands=(band,)), SCALE, measure).bands
    assert placed.x + placed.width <= 900 + 1e-9
    assert placed.x <= placed.likely_x <= placed.likely_x + placed.likely_width <= placed.x + placed.width + 1e-9
    assert lay_out(Story(bands=(Band("pip", DAY + 400, DAY + 410, DAY + 401, DAY + 402),)), SCALE, measure).bands == ()


def test_a_male_is_named_once_a_run() -> None:
    runs = [(10, "M-03"), (40, "M-03"), (80, "M-11"), (120, "M-03")]
    story = Story(blocks=tuple(Block(DAY + d, DAY + d + 1, "", name) for d, name in runs))
    assert [t.text for t in lay_out(story, SCALE, measure).texts] == ["M-03", "M-11", "M-03"]


days = st.integers(-100, 500)


@given(
    st.lists(st.tuples(days, st.integers(0, 9), st.sampled_from(["M-03", "M-11", "M-20"])), max_size=12),
    st.lists(st.tuples(days, st.sampled_from(["19", "31", "resorbed 14 Feb"])), max_size=8),
    st.lists(days, max_size=5),
    st.floats(0.4, 24),
)
def test_texts_never_overlap_and_all_lies_on_the_axis(
    stays: list[tuple[int, int, str]], words: list[tuple[int, str]], points: list[int], a_day: float
) -> None:
    story = Story(
        tuple(Block(DAY + d, DAY + d + n, "", name) for d, n, name in sorted(stays)),
        tuple(Point(DAY + d, "laid") for d in points),
        tuple(Span(DAY + d, DAY + d + 30, "gravid") for d in points),
        (),
        tuple(Word(DAY + d, text) for d, text in sorted(words)),
    )
    scale = Scale(DAY, a_day, 900)
    line = lay_out(story, scale, measure)
    for above in (True, False):
        texts = sorted((t for t in line.texts if t.above is above), key=lambda t: t.x)
        assert all(a.x + a.width <= b.x for a, b in pairwise(texts))
        assert all(t.x >= 0 and (t.x + t.width <= 900 or above) for t in texts)
    for text in (t for t in line.texts if not t.above):
        assert all(text.x + text.width <= b.x or text.x >= b.x + b.width for b in line.blocks)
    assert all(b.x >= 0 and b.x + b.width <= 900 + 1e-9 for b in line.blocks)
    assert all(0 <= a < b <= 900 for a, b, _ in line.spans)
    assert all(0 <= x <= 900 for x, _ in line.points)


@given(st.floats(0.4, 24), st.floats(0.1, 10), st.floats(0, 900))
def test_zooming_keeps_the_moment_under_the_hand(a_day: float, factor: float, x: float) -> None:
    scale = Scale(DAY, a_day, 900)
    moment = scale.day(x)
    assert abs(scale.zoomed(factor, moment).x(moment) - x) < 1e-6 * max(1, abs(x)) + 1e-5


def test_months_stand_at_their_first_day() -> None:
    ticks = months(SCALE)
    assert [t.day.month for t in ticks] == [8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6, 7]
    assert [t.day for t in ticks if t.year] == [dt.date(2025, 8, 1), dt.date(2026, 1, 1)]
    assert not any(t.named for t in months(Scale(DAY, 0.4, 900))[1::2])
