"""Typed weights, stored settings that make no sense, and moments as text."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.records.message import Refusal
from coilbook.records.quantities import MassUnit, parse_mass
from coilbook.records.settings import Settings
from coilbook.records.when import moment_from, moment_text


@pytest.mark.parametrize(
    ("typed", "decigrams"),
    [
        ("0,021 kg", 210),
        ("1,842 kg", 18_420),
        ("12,5 kg", 125_000),
        ("0,842", 8),
        ("1,842", 18_420),
        ("1,842 g", 18_420),
        ("1 842", 18_420),
        ("1\u00a0842", 18_420),
        ("12\u202f500 g", 125_000),
        ("1,842.5", 18_425),
        ("1,500 oz", 425),
        ("2,125 lb", 9_639),
        ("2 lb 3,5 oz", 10_064),
    ],
)
def test_a_comma_is_read_as_the_unit_allows(typed: str, decigrams: int) -> None:
    assert parse_mass(typed).decigrams == decigrams


def test_a_bare_number_with_a_comma_is_read_in_the_keepers_unit() -> None:
    assert parse_mass("1,842", MassUnit.KILOGRAM).decigrams == 18_420


def test_too_much_is_refused() -> None:
    with pytest.raises(Refusal, match="over 25 kg"):
        parse_mass("25,5 kg")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("default_interval_days", "9" * 30),
        ("default_interval_days", "0"),
        ("default_interval_days", "-4"),
        ("text_scale_percent", "0"),
        ("weight_ask_percent", "-1"),
        ("weight_ask_percent", "much"),
        ("theme", "pink"),
    ],
)
def test_a_stored_setting_that_makes_no_sense_keeps_its_default(name: str, text: str) -> None:
    assert Settings.from_stored({name: text, "keeper_name": "Wren"}) == Settings(keeper_name="Wren")


@given(st.datetimes())
def test_every_moment_is_read_back_to_the_minute(moment: dt.datetime) -> None:
    assert moment_from(moment_text(moment)) == moment.replace(second=0, microsecond=0)


@pytest.mark.parametrize("typed", ["1.842", "1.842 g", "12.500"])
def test_a_dot_before_three_digits_of_grams_is_asked_about(typed: str) -> None:
    """ "1.842" went in as 1.8 g, where a German sheet means 1842 g and a scale 1.842 kg."""
    with pytest.raises(Refusal, match="kg\\? Type it that way"):
        parse_mass(typed)
    assert parse_mass("1.842 kg").decigrams == 18_420 and parse_mass("0.842 kg").decigrams == 8_420
