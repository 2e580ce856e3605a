"""Laws of the notation: what is printed is read as it was meant, and no text whatever breaks the reader."""

from __future__ import annotations

import random
import time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.unit.genetics.catalogues import shipped
from tests.unit.genetics.test_notation_rows import ROWS

from coilbook.genetics.catalogue import Catalogue, LineWord
from coilbook.genetics.notation_printer import in_order, print_statements
from coilbook.genetics.notation_reader import read
from coilbook.genetics.statement import FlagKind, Says, Statement, Tier

LINES = (LineWord("axanthic", "line B"), LineWord("axanthic", "Northgate"), LineWord("axanthic", "Old Pond 2"))
BALL = shipped().with_lines(LINES)
CORN = shipped("corn_snake")
RANDOM_STRINGS = 100_000
#: a reader that goes over the text once for each of its words takes minutes
LONGEST_S = 5.0
_ALPHABET = "abcdefghiklmnoprstuvwxy ABHXP 0123456789%%//,,..;|?()[]&+-_'\"♂♀×ßéİ\u0345\n\t\0\ud800🐍"


def _statement_of(gene: str, recessive: bool, pick: st.DataObject) -> Statement:
    says = pick.draw(
        st.sampled_from(
            [Says.VISUAL, Says.HET, Says.POSSIBLE_HET] if recessive else [Says.ONE, Says.TWO, Says.ONE_OR_TWO]
        )
    )
    percent = pick.draw(st.none() | st.integers(1, 99)) if says is Says.POSSIBLE_HET else None
    proven = says is Says.HET and pick.draw(st.booleans())
    return Statement(gene, says, percent, pick.draw(st.integers(0, 9)) == 0, proven)


def _animal(catalogue: Catalogue, pick: st.DataObject) -> list[Statement]:
    """What can be said of one animal: at most two alleles of a locus."""
    statements: list[Statement] = []
    for locus in pick.draw(st.lists(st.sampled_from(sorted(catalogue.loci)), unique=True, max_size=7)):
        alleles = catalogue.loci[locus].alleles[1:]
        two = pick.draw(st.lists(st.sampled_from(alleles), unique=True, min_size=1, max_size=2))
        if len(two) == 2:
            statements += [Statement(gene, Says.ONE) for gene in two]
        else:
            statements.append(_statement_of(two[0], catalogue.is_recessive(two[0]), pick))
    return list(pick.draw(st.permutations(statements)))


@pytest.mark.parametrize("catalogue", [BALL, CORN], ids=["ball python", "corn snake"])
@given(pick=st.data())
@settings(max_examples=400, deadline=None)
def test_what_is_printed_is_read_as_it_was_meant(catalogue: Catalogue, pick: st.DataObject) -> None:
    statements = _animal(catalogue, pick)
    text = print_statements(statements, catalogue)
    reading = read(text, catalogue)
    assert reading.statements == in_order(statements, catalogue), text
    assert set(reading.statements) == set(statements) and not reading.rest
    # the only questions left are about what the statements themselves leave open
    assert {flag.kind for flag in reading.questions} <= {FlagKind.DOUBT, FlagKind.NO_PERCENT, FlagKind.LINE}


def test_two_names_side_by_side_are_kept_apart() -> None:
    statements = (Statement("desert", Says.ONE), Statement("ghost", Says.VISUAL))
    assert print_statements(statements, BALL) == "Desert, Ghost"
    assert read("Desert, Ghost", BALL).statements == statements
    assert read("Desert Ghost", BALL).statements == (Statement("desert ghost", Says.VISUAL),)


def test_proven_not_is_read_and_never_printed() -> None:
    reading = read("Pastel, not het clown, 66% het pied", BALL)
    assert Statement("clown", Says.PROVEN_NOT) in reading.statements
    assert print_statements(reading.statements, BALL) == "Pastel 66% het piebald"
    assert print_statements([Statement("clown", Says.PROVEN_NOT)], BALL) == ""


def test_how_things_are_written() -> None:
    statements = [
        Statement("clown", Says.POSSIBLE_HET, 50),
        Statement("piebald", Says.HET),
        Statement("axanthic (line b)", Says.HET),
        Statement("ghi", Says.ONE_OR_TWO),
        Statement("ghost", Says.HET, proven=True),
        Statement("lavender albino", Says.VISUAL),
        Statement("pastel", Says.TWO, doubtful=True),
    ]
    assert print_statements(statements, BALL) == (
        "poss super GHI Super Pastel? Lavender Albino proven het ghost 100% het piebald/axanthic (line B) 50% het clown"
    )
    with pytest.raises(KeyError):
        print_statements([Statement("no such gene", Says.ONE)], BALL)


@given(st.text(max_size=80))
@example("İ het ﬁre 66%")
@example("0.0.0.1 ٣٣% het clown ²½")
@settings(max_examples=300, deadline=None)
def test_any_text_is_read(text: str) -> None:
    _holds(text)


def _holds(text: str) -> None:
    reading = read(text, BALL)
    assert reading.text == text
    assert (reading.tier is Tier.QUESTION) == bool(reading.questions) or reading.tier is Tier.TEXT_KEPT
    assert all(s.gene in BALL.genes or s.gene in {line.key for line in reading.lines} for s in reading.statements)
    if reading.tier is Tier.READY:
        # nothing is lost in silence: a text without a statement is empty, a plain word, a sex or kept beside
        again = read(text, BALL.with_lines(reading.lines))
        assert again.statements == reading.statements


def test_a_hundred_thousand_random_and_mutated_texts() -> None:
    """Half of them rows of the notation with up to six changes, half of them noise."""
    chance = random.Random(10_2)
    texts = [row[0] for row in ROWS]
    tiers = dict.fromkeys(Tier, 0)
    for number in range(RANDOM_STRINGS):
        if number % 2:
            text = "".join(chance.choices(_ALPHABET, k=chance.randrange(48)))
        else:
            text = _mutated(chance.choice(texts), chance)
        tiers[read(text, BALL).tier] += 1
    assert sum(tiers.values()) == RANDOM_STRINGS and min(tiers.values()) > 1000


def _mutated(text: str, chance: random.Random) -> str:
    letters = list(text)
    for _ in range(chance.randrange(7)):
        at = chance.randrange(len(letters) + 1)
        match chance.randrange(4):
            case 0:
                letters.insert(at, chance.choice(_ALPHABET))
            case 1:
                del letters[at : at + chance.randrange(4)]
            case 2:
                letters[at:at] = letters[: chance.randrange(8)]
            case _:
                letters[at : at + 2] = reversed(letters[at : at + 2])
    return "".join(letters)


@pytest.mark.parametrize("part", ["het clown ", "pastal ", "66%/", "x", "(", "line "])
def test_a_long_text_takes_no_long_time(part: str) -> None:
    """30,000 letters, where a label has some dozens: measured on the processor, so that other work does not count."""
    text = part * (30_000 // len(part))
    began = time.process_time()
    read(text, BALL)
    assert time.process_time() - began < LONGEST_S
