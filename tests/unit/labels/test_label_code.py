"""Label codes: the standard's check character, the scramble, reading back, prefixes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.labels import code
from coilbook.labels.code import (
    BODY_COUNT,
    CHECK_ALPHABET,
    ID_ALPHABET,
    QR_ALPHANUMERIC,
    LabelCode,
    check_character,
    check_prefix,
    nth_body,
    parse,
)
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import CodeKind

kinds = st.sampled_from(list(CodeKind))
numbers = st.integers(min_value=0, max_value=BODY_COUNT - 1)


def issued(kind: CodeKind, n: int) -> LabelCode:
    """The first code issued at or after number `n`."""
    for number in range(n, BODY_COUNT):
        body = nth_body(kind, number)
        if body is not None:
            return LabelCode(kind, body)
    return issued(kind, 0)


codes = st.builds(issued, kinds, numbers)


def test_check_character_of_the_published_example() -> None:
    """ISO 7064 MOD 37,36: A12425GABC1234002 -> M (the example printed with the global release identifier)."""
    assert check_character("A12425GABC1234002") == "M"


@given(st.text(CHECK_ALPHABET, min_size=1, max_size=20))
def test_check_character_fulfils_the_congruence_of_the_standard(text: str) -> None:
    """Second reading of ISO 7064: the whole string, check included, leaves carry 1 (mod 36)."""
    carry = 36
    for character in text:
        carry = (2 * (((carry + CHECK_ALPHABET.index(character)) % 36) or 36)) % 37
    assert (carry + CHECK_ALPHABET.index(check_character(text))) % 36 == 1


@given(codes)
def test_every_single_substitution_is_found(made: LabelCode) -> None:
    text = made.text
    for place in range(len(text)):
        for sign in CHECK_ALPHABET:
            if sign in "ILO" and text[place] == {"I": "1", "L": "1", "O": "0"}[sign]:
                continue  # that is the same code as a hand would type it
            if sign != text[place]:
                with pytest.raises(Refusal):
                    parse(text[:place] + sign + text[place + 1 :])


@given(codes)
def test_round_trip_as_text_and_as_shown(made: LabelCode) -> None:
    assert parse(made.text) == made
    assert parse(made.shown) == made


@given(codes, st.data())
def test_typed_by_hand_it_is_still_the_code(made: LabelCode, data: st.DataObject) -> None:
    """Small letters, I or L for 1, O for 0, blanks and hyphens anywhere."""
    typed = ""
    for sign in made.text:
        typed += data.draw(st.sampled_from({"1": "1IlL", "0": "0oO"}.get(sign, sign + sign.lower())))
        typed += data.draw(st.sampled_from(["", "", " ", "-", " - "]))
    assert parse(f" {typed}\n") == made


@given(codes, st.text(max_size=60))
def test_any_payload_that_ends_in_a_code_is_accepted(made: LabelCode, before: str) -> None:
    assert parse(before + made.text) == made


@given(kinds, numbers)
def test_issued_codes_hold_only_signs_of_the_alphabet(kind: CodeKind, n: int) -> None:
    body = nth_body(kind, n)
    if body is not None:
        assert set(LabelCode(kind, body).text) <= set(ID_ALPHABET)


def test_the_scramble_meets_every_id_once() -> None:
    """All 33,554,432 numbers, by the same steps done on arrays: every value appears exactly once."""
    np = pytest.importorskip("numpy")
    scrambled = np.arange(BODY_COUNT, dtype=np.uint32)  # products wrap at 32 bits, of which 25 are kept
    for multiplier, shift in ((0x1C4F2D9, 13), (0x0D3A5E7, 11), (0x19F8B43, 14)):
        scrambled *= np.uint32(multiplier)
        scrambled += np.uint32(0x5A7D1)
        scrambled &= np.uint32(BODY_COUNT - 1)
        scrambled ^= scrambled >> np.uint32(shift)
    assert [code._scramble(n) for n in range(0, BODY_COUNT, 400_009)] == scrambled[::400_009].tolist()
    met = np.zeros(BODY_COUNT, dtype=bool)
    met[scrambled] = True
    assert met.all()


@pytest.mark.parametrize("kind", list(CodeKind))
def test_an_id_tells_no_order(kind: CodeKind) -> None:
    """Of neighbouring numbers the later id is the greater about half the time, and the first signs spread."""
    bodies = [body for n in range(4000) if (body := nth_body(kind, n)) is not None]
    rising = sum(a < b for a, b in pairwise(bodies))
    assert 0.4 < rising / len(bodies) < 0.6
    assert {body[0] for body in bodies} == set(ID_ALPHABET)
    assert len(set(bodies)) == len(bodies)


def test_shares_no_number_beyond_the_last() -> None:
    with pytest.raises(ValueError, match="label ids run"):
        nth_body(CodeKind.ANIMAL, BODY_COUNT)
    with pytest.raises(ValueError, match="not an id"):
        LabelCode(CodeKind.ANIMAL, "FKTU8")


@pytest.mark.parametrize(
    ("read", "says"),
    [
        ("", "Nothing was read"),
        ("F-014", "'F-014' is too short"),
        ("XFKT38F", "kind letter would be X"),
        ("AFKU38F", "no code has the sign U"),
        ("AFKT38G", "AFKT-38G was misread"),
        ("HTTPS://WREN.EXAMPLE/", "is not a code"),
    ],
)
def test_a_refusal_says_what_was_read_and_what_is_wrong(read: str, says: str) -> None:
    with pytest.raises(Refusal) as refused:
        parse(read)
    assert says in str(refused.value)


@pytest.mark.parametrize(
    ("prefix", "says"),
    [
        ("https://wren.example/", "small letter 'h'"),
        ("HTTPS://WREN.EXAMPLE/?A=", "sign '?'"),
        ("ÄHREN:", "sign 'Ä'"),
        ("X" * 41, "41 signs"),
    ],
)
def test_a_prefix_that_cannot_be_printed_is_refused_with_the_reason(prefix: str, says: str) -> None:
    with pytest.raises(Refusal) as refused:
        check_prefix(prefix)
    assert says in str(refused.value)


@given(st.text(sorted(QR_ALPHANUMERIC), max_size=40))
def test_any_other_prefix_is_taken(prefix: str) -> None:
    check_prefix(prefix)
