"""Sexes, weights, prices, states, places, signs and spellings as sheets write them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.intake.marks import mark_answer, mark_of, mark_question, parse_mark_answer
from coilbook.intake.places import split_pairing, split_place
from coilbook.intake.values import bare_number, identity_key, read_mass, read_prey, read_price, read_sex, read_status
from coilbook.records.quantities import MassUnit, Money
from coilbook.records.vocabulary import FeedingResult, PreyState, Sex, Status


@pytest.mark.parametrize(
    ("text", "sex", "sure"),
    [
        ("1.0", Sex.MALE, True),
        ("0.1", Sex.FEMALE, True),
        ("0.0.1", Sex.UNSEXED, True),
        ("M", Sex.MALE, True),
        ("f.", Sex.FEMALE, True),
        ("♀", Sex.FEMALE, True),
        ("♂", Sex.MALE, True),
        ("male?", Sex.MALE, False),
        ("prob female", Sex.FEMALE, False),
        ("f (?)", Sex.FEMALE, False),
        ("?", Sex.UNSEXED, True),
    ],
)
def test_sexes(text: str, sex: Sex, sure: bool) -> None:
    reading = read_sex(text)
    assert reading is not None
    assert (reading.sex, reading.sure, reading.counts) == (sex, sure, None)


@pytest.mark.parametrize(("text", "counts"), [("1.2", (1, 2, 0)), ("0.0.4", (0, 0, 4)), ("2.0", (2, 0, 0))])
def test_groups_are_counted(text: str, counts: tuple[int, int, int]) -> None:
    reading = read_sex(text)
    assert reading is not None and reading.counts == counts


@pytest.mark.parametrize("text", ["0.0", "1842", "pastel", "2021-03-04"])
def test_no_sexes(text: str) -> None:
    assert read_sex(text) is None


@pytest.mark.parametrize(
    ("text", "decigrams", "exact"),
    [
        ("1842", 18420, True),
        ("1.842kg", 18420, True),
        ("4lb 1oz", 18427, True),
        ("65 oz", 18427, True),
        ("1,842", 18420, True),
        ("1,842 kg", 18420, True),
        ("~1500", 15000, False),
        ("1500 (before meal)", 15000, False),
        ("1500g after laying", 15000, False),
    ],
)
def test_weights(text: str, decigrams: int, exact: bool) -> None:
    reading = read_mass(text, MassUnit.GRAM)
    assert reading is not None
    assert (reading.mass.decigrams, reading.exact) == (decigrams, exact)


@pytest.mark.parametrize("text", ["big girl", "0", "-5", "1500/1600", "12.5.2021", "99 kg"])
def test_no_weights(text: str) -> None:
    assert read_mass(text, MassUnit.GRAM) is None


def test_a_bare_number_without_a_unit_is_not_guessed() -> None:
    assert read_mass("3.2", None) is None
    with_unit = read_mass("3.2 oz", None)
    assert with_unit is not None and with_unit.mass.grams == Decimal("90.7")


@pytest.mark.parametrize(
    ("text", "money", "exact"),
    [
        ("$350", Money(35000, "USD"), True),
        ("350", Money(35000, "EUR"), True),
        ("€ 1.200,50", Money(120050, "EUR"), True),
        ("1,200 £", Money(120000, "GBP"), True),
        ("150 + ship", Money(15000, "EUR"), False),
    ],
)
def test_prices(text: str, money: Money, exact: bool) -> None:
    reading = read_price(text, "EUR")
    assert reading is not None
    assert (reading.money, reading.exact) == (money, exact)


def test_thousands_are_not_taken_for_kilograms() -> None:
    assert [bare_number(text) for text in ("1,842", "1842", "3,2", "3.2", "0,842")] == [
        Decimal(1842),
        Decimal(1842),
        Decimal("3.2"),
        Decimal("3.2"),
        Decimal("0.842"),
    ]


def test_a_price_in_words_has_no_number() -> None:
    assert read_price("trade for a male", "EUR") is None


@pytest.mark.parametrize(
    ("text", "status", "exact", "rest"),
    [
        ("sold", Status.SOLD, True, ""),
        ("Dead.", Status.DEAD, True, ""),
        ("holdback", Status.HERE, False, ""),
        ("sold 14.3.2023 to Teo", Status.SOLD, False, "14.3.2023 to Teo"),
        ("on loan", Status.LOAN, False, ""),
    ],
)
def test_states(text: str, status: Status, exact: bool, rest: str) -> None:
    reading = read_status(text)
    assert reading is not None
    assert (reading.status, reading.exact, reading.rest) == (status, exact, rest)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("R2-14", ("R2", "14")),
        ("Rack 2 tub 7", ("Rack 2", "7")),
        ("2/3", ("2", "3")),
        ("A3", ("A", "3")),
        ("R4", ("R4", "")),
        ("14", ("", "14")),
        ("the big glass one", ("", "the big glass one")),
    ],
)
def test_places(text: str, place: tuple[str, str]) -> None:
    assert split_place(text) == place


def test_pairings() -> None:
    assert split_pairing("F-014 x M-03") == ("F-014", "M-03")
    assert split_pairing("F-014 × M 03") == ("F-014", "M 03")
    assert split_pairing("Max") is None


def test_spellings_of_one_id_share_a_key() -> None:
    assert len({identity_key(text) for text in ("F-014", "f14", "F 14", "f_0014")}) == 1
    assert len({identity_key(text) for text in ("F-014", "F-0141", "F1-4", "M-014", "14", "F-014b")}) == 6


@given(st.text(min_size=1, max_size=20))
def test_a_key_is_never_empty_and_is_its_own_spelling(text: str) -> None:
    assert identity_key(text)
    assert identity_key(text.upper().lower()) == identity_key(text.lower())


def test_signs_look_alike() -> None:
    assert mark_of(" X ") == mark_of("x") == mark_of("✗")
    assert mark_of("✔") == mark_of("√")
    assert mark_of("–") == mark_of("-")


@pytest.mark.parametrize(
    ("mark", "values"),
    [("2m", {"taken|2|mouse", "taken|2|medium"}), ("sm", {"taken|1|small"}), ("2 sm rats", {"taken|2|sm rat"})],
)
def test_prey_signs_are_asked_with_their_readings(mark: str, values: set[str]) -> None:
    question = mark_question(mark)
    assert values <= {option.value for option in question.options}
    assert question.suggested in values


@pytest.mark.parametrize(
    ("mark", "suggested"), [("x", "taken"), ("r", "refused"), ("✓", "taken"), ("-", "nothing"), ("zz", "text")]
)
def test_first_guesses(mark: str, suggested: str) -> None:
    assert mark_question(mark).suggested == suggested


def test_answers_about_signs() -> None:
    meaning = parse_mark_answer(mark_answer(FeedingResult.TAKEN, 2, "mouse"))
    assert meaning is not None
    assert (meaning.result, meaning.count, meaning.prey) == (FeedingResult.TAKEN, 2, "mouse")
    for wrong in ("", "eaten", "taken|x|mouse", "taken|0|mouse", "taken|999|mouse", "pending"):
        assert parse_mark_answer(wrong) is None


@pytest.mark.parametrize("space", [" ", "\u00a0", "\u202f", "\u2009"])
def test_a_number_grouped_by_a_space_is_one_number(space: str) -> None:
    reading = read_mass(f"1{space}842", MassUnit.GRAM)
    assert reading is not None
    assert (reading.mass.decigrams, reading.exact) == (18_420, True)
    # no unit makes sense of it: the first digits alone are no weight
    assert read_mass(f"1{space}842", MassUnit.KILOGRAM) is None


@pytest.mark.parametrize(
    ("text", "kind", "state", "exact"),
    [
        ("f/t mice", "mice", PreyState.FROZEN_THAWED, True),
        ("small rat (live)", "small rat", PreyState.LIVE, True),
        ("live?", "", PreyState.LIVE, False),
        ("rat pup, P/K", "rat pup", PreyState.PRE_KILLED, True),
        ("medium rats", "medium rats", None, True),
        ("f/t or live", "f/t or live", None, True),
    ],
)
def test_prey_and_how_it_is_given(text: str, kind: str, state: PreyState | None, exact: bool) -> None:
    reading = read_prey(text)
    assert (reading.kind, reading.state, reading.exact) == (kind, state, exact)
