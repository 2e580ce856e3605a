"""Every stable code has a word, every act a name, and sentences choose their plural and write their values."""

from __future__ import annotations

import datetime as dt
import inspect
from enum import StrEnum

import pytest

from coilbook.records import egg_vocabulary, health_vocabulary, season_vocabulary, settings, vocabulary
from coilbook.records.message import say
from coilbook.records.quantities import Mass, MassUnit
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Act, FeedingResult, Status
from coilbook.wording.acts import ACT_NAMES
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

LISTS = [
    kind
    for module in (vocabulary, season_vocabulary, egg_vocabulary, health_vocabulary, settings)
    for _, kind in inspect.getmembers(module, inspect.isclass)
    if issubclass(kind, StrEnum) and kind not in (StrEnum, MassUnit) and kind.__module__ == module.__name__
]


@pytest.mark.parametrize("kind", LISTS)
def test_every_code_has_a_word(kind: type[StrEnum]) -> None:
    said = [words(member) for member in kind]
    assert all(said)
    assert len(set(said)) == len(said), "two codes of one list read the same"


def test_codes_shared_by_two_lists_keep_their_own_word() -> None:
    assert words(Status.LOAN) == "on loan"
    assert words(Act.LOAN) == "loan"


def test_every_act_has_a_name_of_its_own() -> None:
    assert set(ACT_NAMES) == set(Act)
    assert len(set(ACT_NAMES.values())) == len(Act)


def test_sentences_choose_their_plural() -> None:
    message = "{n} animal", "{n} animals"
    assert render(say(*message, n=1)) == "1 animal"
    assert render(say(*message, n=1200)) == "1,200 animals"


def test_values_are_written_in_the_keepers_style() -> None:
    style = Style(Settings(mass_unit=MassUnit.OUNCE))
    text = render(
        say("{a}: {m} on {d}, {r}", a="F-014", m=Mass(18420), d=dt.date(2026, 3, 19), r=FeedingResult.PENDING), style
    )
    assert text == "F-014: 65.0 oz on 19 Mar 2026, left in"


def test_a_sentence_may_hold_a_sentence() -> None:
    assert render(say("undone: {what}", what=say("{n} offer", "{n} offers", n=2))) == "undone: 2 offers"


def test_an_id_that_looks_like_a_number_is_left_alone() -> None:
    assert render(say("{animal} added", animal="0014")) == "0014 added"
