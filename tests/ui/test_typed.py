"""What a keeper types in a field, against the moments, dates, calls and amounts it means."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.records.message import Refusal
from coilbook.records.quantities import Money
from coilbook.records.settings import DateOrder, Settings
from coilbook.records.vocabulary import Precision, Sex, SexBasis
from coilbook.records.when import PartialDate, moment_text
from coilbook.ui.typed import money_text, typed_date, typed_day_ahead, typed_moment, typed_money, typed_sex
from coilbook.wording.style import Style

#: a Sunday morning
NOW = dt.datetime(2026, 3, 29, 8, 34)
PLAIN = Settings()


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("yesterday 20:00", "2026-03-28T20:00"),
        ("Yesterday evening", "2026-03-28T20:00"),
        ("yesterday 20", "2026-03-28T20:00"),
        ("8:00", "2026-03-29T08:00"),
        ("today", "2026-03-29T08:34"),
        ("yesterday", "2026-03-28T12:00"),
        ("3 days ago", "2026-03-26T12:00"),
        ("fri 9:15", "2026-03-27T09:15"),
        ("sunday 9:15", "2026-03-22T09:15"),
        ("24.3. 19:30", "2026-03-24T19:30"),
        ("24 Mar", "2026-03-24T12:00"),
        ("24 Mar 2026 8pm", "2026-03-24T20:00"),
        ("12 am", "2026-03-29T00:00"),
        ("2026-03-24 07:15", "2026-03-24T07:15"),
    ],
)
def test_a_moment(typed: str, meant: str) -> None:
    moment = typed_moment(typed, NOW, PLAIN)
    assert moment is not None and moment_text(moment) == meant


def test_a_time_that_lies_ahead_was_yesterdays_and_a_day_that_lies_ahead_last_years() -> None:
    assert typed_moment("20:00", NOW, PLAIN) == dt.datetime(2026, 3, 28, 20)
    assert typed_moment("30 Dec", NOW, PLAIN) == dt.datetime(2025, 12, 30, 12)


@pytest.mark.parametrize("typed", ["", "  ", "now"])
def test_nothing_typed_means_now(typed: str) -> None:
    assert typed_moment(typed, NOW, PLAIN) is None


@pytest.mark.parametrize("typed", ["soon", "25:00", "8", "32.3.", "13 pm", "yesterday 99:99"])
def test_what_is_no_moment_is_refused(typed: str) -> None:
    with pytest.raises(Refusal, match="not a time"):
        typed_moment(typed, NOW, PLAIN)


@given(
    st.datetimes(dt.datetime(2015, 1, 1), dt.datetime(2026, 3, 29, 8, 34)), st.sampled_from(DateOrder), st.booleans()
)
def test_a_moment_as_it_is_written_is_read_back(when: dt.datetime, order: DateOrder, clock_24h: bool) -> None:
    settings = Settings(date_order=order, clock_24h=clock_24h)
    written = Style(settings).moment(moment_text(when))
    assert typed_moment(written, NOW, settings) == when.replace(second=0, microsecond=0)


@pytest.mark.parametrize(
    ("typed", "first", "precision"),
    [
        ("2021", dt.date(2021, 1, 1), Precision.YEAR),
        ("May 2021", dt.date(2021, 5, 1), Precision.MONTH),
        ("spring 2021", dt.date(2021, 3, 1), Precision.SEASON),
        ("14.6.2020", dt.date(2020, 6, 14), Precision.DAY),
        ("14 June 2020", dt.date(2020, 6, 14), Precision.DAY),
        ("about 14 June 2020", dt.date(2020, 6, 1), Precision.MONTH),
        ("~2020", dt.date(2020, 1, 1), Precision.YEAR),
        ("yesterday", dt.date(2026, 3, 28), Precision.DAY),
    ],
)
def test_a_date_with_its_precision(typed: str, first: dt.date, precision: Precision) -> None:
    assert typed_date(typed, NOW, PLAIN) == PartialDate(first, precision)


def test_the_keepers_order_decides() -> None:
    day_first, month_first = (Settings(date_order=o) for o in (DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST))
    assert typed_date("3/4/2021", NOW, day_first) == PartialDate(dt.date(2021, 4, 3))
    assert typed_date("3/4/2021", NOW, month_first) == PartialDate(dt.date(2021, 3, 4))


@pytest.mark.parametrize("typed", ["2027", "31.12.2026", "whenever"])
def test_a_date_ahead_or_none_is_refused(typed: str) -> None:
    with pytest.raises(Refusal):
        typed_date(typed, NOW, PLAIN)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("tomorrow", dt.date(2026, 3, 30)),
        ("in 3 days", dt.date(2026, 4, 1)),
        ("24 Apr", dt.date(2026, 4, 24)),
        ("2 Jan", dt.date(2027, 1, 2)),
    ],
)
def test_a_day_to_come(typed: str, day: dt.date) -> None:
    assert typed_day_ahead(typed, NOW, PLAIN) == PartialDate(day)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("F probed", (Sex.FEMALE, 100, SexBasis.PROBED)),
        ("f", (Sex.FEMALE, 100, None)),
        ("M? 70%", (Sex.MALE, 70, None)),
        ("male?", (Sex.MALE, 80, None)),
        ("F? 80% popped", (Sex.FEMALE, 80, SexBasis.POPPED)),
        ("\u2642 has bred", (Sex.MALE, 100, SexBasis.BRED)),
        ("unsexed", (Sex.UNSEXED, 100, None)),
    ],
)
def test_a_sex_call(typed: str, meant: tuple[Sex, int, SexBasis | None]) -> None:
    assert typed_sex(typed) == meant


@pytest.mark.parametrize("typed", ["x", "F guessed", "99%"])
def test_what_is_no_sex_call_is_refused(typed: str) -> None:
    with pytest.raises(Refusal):
        typed_sex(typed)


def test_an_amount_in_the_keepers_currency_or_its_own() -> None:
    assert typed_money("250", "EUR") == Money(25_000, "EUR")
    assert typed_money("249,5 usd", "EUR") == Money(24_950, "USD")
    assert typed_money("12000 jpy", "EUR") == Money(12_000, "JPY")
    assert typed_money("", "EUR") is None
    with pytest.raises(Refusal):
        typed_money("a lot", "EUR")


@given(st.integers(0, 99_999_999), st.sampled_from(["EUR", "USD", "JPY", "KWD"]))
def test_an_amount_in_a_field_reads_back_as_itself(minor: int, currency: str) -> None:
    assert typed_money(money_text(Money(minor, currency)), "EUR") == Money(minor, currency)


@given(st.dates(dt.date(2000, 1, 1), dt.date(2035, 12, 31)), st.sampled_from(list(DateOrder)))
def test_a_day_ahead_written_with_its_year_reads_back_even_when_it_is_past(day: dt.date, order: DateOrder) -> None:
    settings = Settings(date_order=order)
    shown = Style(settings).date(day)
    assert typed_day_ahead(shown, NOW, settings) == PartialDate(day)


@pytest.mark.parametrize(
    ("typed", "minor"),
    [
        ("1,200", 120_000),
        ("1.200", 120_000),
        ("1.200,50", 120_050),
        ("1,250.5 usd", 125_050),
        ("12 500", 1_250_000),
        ("249.50", 24_950),
        ("1.200 KWD", 1_200),
        ("1,200 JPY", 1_200),
    ],
)
def test_three_digits_behind_a_sign_are_thousands(typed: str, minor: int) -> None:
    """ "1,200" was kept as 1.20, and a number too long for the file was an error."""
    money = typed_money(typed, "EUR")
    assert money is not None and money.minor == minor


@pytest.mark.parametrize("typed", ["9" * 25, "1.2345", "12.5 JPY", "1,2,3", "1.200.5.5", "1.200,123"])
def test_an_amount_that_is_none_is_refused(typed: str) -> None:
    with pytest.raises(Refusal):
        typed_money(typed, "EUR")
