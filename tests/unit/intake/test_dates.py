"""Dates as sheets write them."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.intake.dates import decide_order, decide_orders, header_order, read_date, read_header_date
from coilbook.records.settings import DateOrder
from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate

YEAR = 2026


@pytest.mark.parametrize(
    ("text", "first", "precision", "exact"),
    [
        ("2021-03-04", (2021, 3, 4), Precision.DAY, True),
        ("2021-03-04 00:00:00", (2021, 3, 4), Precision.DAY, True),
        ("04-Mar-21", (2021, 3, 4), Precision.DAY, True),
        ("4 March 2021", (2021, 3, 4), Precision.DAY, True),
        ("March 4th, 2021", (2021, 3, 4), Precision.DAY, True),
        ("4. März 2021", (2021, 3, 4), Precision.DAY, True),
        ("25/12/20", (2020, 12, 25), Precision.DAY, True),
        ("12/25/20", (2020, 12, 25), Precision.DAY, True),
        ("5/5/21", (2021, 5, 5), Precision.DAY, True),
        ("44292", (2021, 4, 6), Precision.DAY, True),
        ("Mar 21", (2021, 3, 1), Precision.MONTH, True),
        ("Sept. 2020", (2020, 9, 1), Precision.MONTH, True),
        ("2021-03", (2021, 3, 1), Precision.MONTH, True),
        ("03/2021", (2021, 3, 1), Precision.MONTH, True),
        ("spring 2021", (2021, 3, 1), Precision.SEASON, True),
        ("Fall '19", (2019, 9, 1), Precision.SEASON, True),
        ("2021", (2021, 1, 1), Precision.YEAR, True),
        ("2021?", (2021, 1, 1), Precision.YEAR, False),
        ("~2021", (2021, 1, 1), Precision.YEAR, False),
        ("late May 2021", (2021, 5, 1), Precision.MONTH, False),
        ("98", None, None, None),
        ("late May", None, None, None),
        ("31/02/21", None, None, None),
        ("2099", None, None, None),
        ("big girl", None, None, None),
        ("1842", None, None, None),
        ("", None, None, None),
    ],
)
def test_one_reading(
    text: str, first: tuple[int, int, int] | None, precision: Precision | None, exact: bool | None
) -> None:
    reading = read_date(text, None, YEAR)
    if first is None:
        assert reading is None
        return
    assert reading is not None and precision is not None
    assert reading.value == PartialDate(dt.date(*first), precision)
    assert reading.exact is exact


@pytest.mark.parametrize("text", ["3/4/21", "03.04.2021", "3-4-21", "3/4/21?"])
def test_two_readings_stand_until_the_order_is_known(text: str) -> None:
    reading = read_date(text, None, YEAR)
    assert reading is not None and reading.ambiguous
    assert (reading.day_first, reading.month_first) == (dt.date(2021, 4, 3), dt.date(2021, 3, 4))
    for order, expected in ((DateOrder.DAY_FIRST, dt.date(2021, 4, 3)), (DateOrder.MONTH_FIRST, dt.date(2021, 3, 4))):
        settled = read_date(text, order, YEAR)
        assert settled is not None and settled.value == PartialDate(expected)


def test_the_order_comes_from_rows_with_one_reading() -> None:
    assert decide_order(["3/4/21", "25/12/20", "2021"]) is DateOrder.DAY_FIRST
    assert decide_order(["3/4/21", "12/25/20"]) is DateOrder.MONTH_FIRST
    assert decide_order(["3/4/21", "1/2/20"]) is None
    assert decide_order(["25/12/20", "12/25/20"]) is None


@given(st.dates(min_value=dt.date(1971, 1, 1), max_value=dt.date(2026, 12, 31)))
def test_every_way_of_writing_a_day_reads_back(day: dt.date) -> None:
    month = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"][day.month - 1]
    texts = [
        (day.isoformat(), None),
        (f"{day.day:02d}-{month}-{day.year}", None),
        (f"{month} {day.day}, {day.year}", None),
    ]
    texts.append((f"{day.day}/{day.month}/{day.year}", DateOrder.DAY_FIRST))
    texts.append((f"{day.month}/{day.day}/{day.year}", DateOrder.MONTH_FIRST))
    for text, order in texts:
        reading = read_date(text, order, YEAR)
        assert reading is not None and reading.value == PartialDate(day), text


@pytest.mark.parametrize(
    ("headers", "order"),
    [
        (["1/3", "1/10", "1/17"], DateOrder.MONTH_FIRST),
        (["3/1", "10/1", "17/1"], DateOrder.DAY_FIRST),
        (["1/3", "1/10", "2/7", "2/12", "3/1"], DateOrder.MONTH_FIRST),
        (["3.1.", "10.1.", "7.2.", "12.2."], DateOrder.DAY_FIRST),
        (["1/2", "2/3"], None),
    ],
)
def test_a_run_of_date_columns_tells_its_order(headers: list[str], order: DateOrder | None) -> None:
    read = [read_header_date(text, YEAR) for text in headers]
    assert header_order([header for header in read if header is not None]) is order
    assert None not in read


@pytest.mark.parametrize("text", ["Weight", "R2", "15/40", "1842", "F-014", "3 x 4"])
def test_headers_that_are_no_days(text: str) -> None:
    assert read_header_date(text, YEAR) is None


def test_a_column_may_hold_one_order_with_points_and_another_with_strokes() -> None:
    orders = decide_orders(["25.12.20", "3.4.21", "12/25/20", "3/4/21", "2021-03-04", "1-2-21"])
    assert orders.of("3.4.21") is DateOrder.DAY_FIRST
    assert orders.of("about 3/4/21") is DateOrder.MONTH_FIRST
    assert orders.of("1-2-21") is None
    # where one sign tells and nothing speaks against it, it tells for all
    orders = decide_orders(["25.12.20", "3/4/21"])
    assert orders.of("3/4/21") is DateOrder.DAY_FIRST
    assert decide_orders(["3/4/21"]).of("3/4/21") is None
