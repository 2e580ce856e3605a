"""Numbers, masses and dates in the keeper's units and order."""

from __future__ import annotations

import datetime as dt
import doctest
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.records.quantities import MassUnit, Money, parse_mass
from coilbook.records.settings import DateOrder, Settings
from coilbook.records.vocabulary import Precision, Sex
from coilbook.records.when import PartialDate
from coilbook.wording import style as module
from coilbook.wording.style import Style

DAY = dt.date(2026, 3, 19)


def test_examples_in_the_module_hold() -> None:
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize(
    ("unit", "decigrams", "written"),
    [
        (MassUnit.GRAM, 18420, "1,842 g"),
        (MassUnit.GRAM, 845, "84.5 g"),
        (MassUnit.KILOGRAM, 18420, "1.842 kg"),
        (MassUnit.OUNCE, 18420, "65.0 oz"),
        (MassUnit.POUND_OUNCE, 18420, "4 lb 1 oz"),
        (MassUnit.POUND_OUNCE, 845, "3.0 oz"),
        # 2 lb less a third of an ounce rounds to the whole pound, never to "1 lb 16 oz"
        (MassUnit.POUND_OUNCE, 9040, "2 lb 0 oz"),
    ],
)
def test_mass_in_each_unit(unit: MassUnit, decigrams: int, written: str) -> None:
    assert Style(Settings(mass_unit=unit)).mass(decigrams) == written


@given(st.integers(1, 249_990), st.sampled_from([MassUnit.GRAM, MassUnit.KILOGRAM]))
def test_a_written_mass_reads_back_as_itself(decigrams: int, unit: MassUnit) -> None:
    assert parse_mass(Style(Settings(mass_unit=unit)).mass(decigrams)).decigrams == decigrams


@pytest.mark.parametrize(
    ("order", "written", "short"),
    [
        (DateOrder.DAY_FIRST, "19 Mar 2026", "19 Mar"),
        (DateOrder.MONTH_FIRST, "Mar 19, 2026", "Mar 19"),
        (DateOrder.ISO, "2026-03-19", "03-19"),
    ],
)
def test_dates_in_each_order(order: DateOrder, written: str, short: str) -> None:
    style = Style(Settings(date_order=order))
    assert style.date(DAY) == written
    assert style.date(DAY, year=False) == short


def test_dates_say_no_more_than_is_known() -> None:
    style = Style()
    assert style.date(PartialDate(dt.date(2021, 1, 1), Precision.YEAR)) == "2021"
    assert style.date(PartialDate(dt.date(2021, 5, 1), Precision.MONTH)) == "May 2021"
    assert style.date(PartialDate(dt.date(2020, 12, 1), Precision.SEASON)) == "Dec-Feb 2021"


def test_days_ago_in_words() -> None:
    style = Style()
    assert [style.days_ago(DAY - dt.timedelta(n), DAY) for n in (0, 1, 2, -3)] == [
        "today", "yesterday", "2 days ago", "in 3 days",
    ]  # fmt: skip


def test_moments_and_clocks() -> None:
    assert Style().moment("2026-03-19T20:14") == "19 Mar 2026, 20:14"
    assert Style(Settings(clock_24h=False)).moment("2026-03-19T00:05", year=False) == "19 Mar, 12:05 am"


def test_change_temperature_and_money() -> None:
    style = Style()
    assert style.mass_change(18800, 18060) == "−3.9%"
    assert style.mass_change(0, 100) == "new"
    assert style.temperature(315) == "31.5 °C"
    assert Style(Settings(fahrenheit=True)).temperature(315) == "88.7 °F"
    assert style.money(Money(125000, "EUR")) == "1,250.00 EUR"
    assert style.money(Money(1250, "JPY")) == "1,250 JPY"
    assert style.number(Decimal("-0.04"), 1) in ("0.0", "−0.0")


def test_sex_always_has_a_sign_and_a_letter_and_says_its_doubt() -> None:
    style = Style()
    assert style.sex_sign(Sex.FEMALE, 100) == ("♀", "F")
    assert style.sex_sign(Sex.FEMALE, 80) == ("♀?", "F?")
    assert style.sex_sign(Sex.MALE, None) == ("♂", "M")
    assert style.sex_sign(Sex.UNSEXED, 50) == ("", "unsexed")
