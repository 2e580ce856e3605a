"""How sheets are really written: nothing of it is dropped in silence, and no first reading says what was not meant.

The strings are invented. What they must be read as follows from the words: a gene that is denied, or said of a
relative, is none of the animal; "het" behind a gene is said of that gene; a doubt written in words is a doubt.
"""

from __future__ import annotations

import random
import re

import pytest
from tests.unit.genetics.catalogues import shipped
from tests.unit.genetics.test_notation_rows import kinds, marks

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.known import known_by_label
from coilbook.genetics.notation_printer import in_order, print_statements
from coilbook.genetics.notation_reader import read
from coilbook.genetics.statement import FlagKind, Says, Tier
from coilbook.records.vocabulary import Sex

BALL = shipped()
SEED, STRINGS = 20, 4_000

#: text, reading, what is not understood and kept, questions
SHEETS = [
    # "het" behind its gene: a first reading as a visual would be the gravest of errors
    ("Clown het", "clown=het", "", ["bare_het", "het_behind"]),
    ("clown (het)", "clown=het", "", ["bare_het", "het_behind"]),
    ("Clown het 66%", "clown=ph66", "", ["het_behind"]),
    ("Pied het 66%, Clown het 50%", "piebald=ph66; clown=ph50", "", ["het_behind"]),
    ("Pied het / Clown het", "piebald=het; clown=het", "", ["bare_het", "het_behind"]),
    ("Pied het Clown het", "piebald=V; clown=het", "het", ["bare_het", "het_behind", "unknown_word"]),
    ("Clown 66%, Pied 50%", "clown=ph66; piebald=ph50", "", ["bare_percent"]),
    ("Clown het Pied", "clown=V; piebald=het", "", ["bare_het"]),
    ("Pastel het?", "pastel=1", "het?", ["unknown_word"]),
    ("Killer Bee het", "pastel=2; spider=1", "het", ["unknown_word"]),
    # what is denied
    ("Pastel not enchi", "pastel=1", "not enchi", ["unknown_word"]),
    ("no clown", "", "no clown", []),
    ("w/o clown", "", "w/o clown", []),
    ("neither clown nor pied", "", "neither clown nor pied", []),
    ("no super pastel", "", "no super pastel", []),
    ("not a clown", "", "not a clown", []),
    ("not proven clown", "", "not proven clown", []),
    ("not proven het clown", "clown=het", "not proven", ["bare_het", "unknown_word"]),
    ("0% het clown", "clown=not", "", []),
    ("Pastel without het clown", "pastel=1", "without het clown", ["unknown_word"]),
    # what is said of a relative
    ("Pastel (from clown dad) het pied", "pastel=1; piebald=het", "from clown dad", ["bare_het", "unknown_word"]),
    ("Pastel; dam het clown", "pastel=1", "dam het clown", ["unknown_word"]),
    ("Pastel clown from pastel, enchi", "pastel=1; clown=V", "from pastel, enchi", ["unknown_word"]),
    ("from 2021, het clown", "clown=het", "from 2021", ["bare_het", "unknown_word"]),
    ("sire pastel", "", "sire pastel", []),
    ("Pastel mate clown", "pastel=1", "mate clown", ["unknown_word"]),
    # a proven breeder has bred, which proves no gene
    ("Proven breeder het clown", "clown=het", "Proven breeder", ["bare_het", "unknown_word"]),
    ("het clown, proven breeder", "clown=het", "proven breeder", ["bare_het", "unknown_word"]),
    ("proven female het clown", "clown=het", "proven", ["bare_het", "unknown_word"]),
    # doubts in words
    ("Enchi or Fire", "enchi=1?; fire=1?", "", ["doubt"]),
    ("Pastel +/- yb", "pastel=1; yellow belly=1?", "", ["doubt"]),
    ("Pastel ± yb", "pastel=1; yellow belly=1?", "", ["doubt"]),
    ("prob. Enchi", "enchi=1?", "", ["doubt"]),
    ("Enchi prob", "enchi=1?", "", ["doubt"]),
    ("prob het clown", "clown=ph?", "", ["no_percent"]),
    ("possible female, het clown", "clown=het", "", ["bare_het"]),
    # short and glued words
    ("S. Pastel", "pastel=2", "", ["spelling"]),
    ("66% h. clown", "clown=ph66", "", ["spelling"]),
    ("D/H clown pied", "clown=het; piebald=het", "", []),
    ("d.h. clown pied", "clown=het; piebald=het", "", []),
    ("66%hetclown", "clown=ph66", "", []),
    ("SuperPastel", "pastel=2", "", []),
    ("super-stripe", "specter=1; yellow belly=1", "", []),
    ("Phantom", "phantom=1", "", []),
    # numbers
    ("66,6% het clown", "clown=ph66", "", []),
    ("66,6 het clown, 33,3% het pied", "clown=ph66; piebald=ph33", "", []),
    ("100,0% het clown", "clown=het", "", []),
    ("ph66 clown", "clown=ph66", "", []),
    ("het 66 clown", "clown=ph66", "", []),
    ("150% het clown", "clown=ph?", "150%", ["no_percent", "unknown_word"]),
    ("75 het clown", "clown=ph?", "75", ["no_percent", "unknown_word"]),
    ("50% het clown (66%)", "clown=ph50", "66%", ["unknown_word"]),
    # "het" beside what shows is said of neither in silence
    ("pied het visual yb", "piebald=het; yellow belly=1", "", ["bare_het", "het_behind"]),
    ("visual het clown", "clown=het", "visual", ["bare_het", "unknown_word"]),
    ("DH ??", "", "DH ??", []),
    # a table's quotation marks around the whole, and a sex at the end
    ('"Pastel Clown"', "pastel=1; clown=V", "", []),
    ("'66% het clown'", "clown=ph66", "", []),
    ('"the pretty one"', "", '"the pretty one"', []),
    ("Clown 0.1", "clown=V", "", []),
    ("Clown 1.1", "clown=V", "1.1", ["unknown_word"]),
]


@pytest.mark.parametrize(("text", "expected", "rest", "asked"), SHEETS, ids=[row[0] for row in SHEETS])
def test_as_sheets_are_written(text: str, expected: str, rest: str, asked: list[str]) -> None:
    reading = read(text, BALL)
    assert (marks(reading), reading.rest, sorted(set(kinds(reading)))) == (expected, rest, sorted(set(asked)))
    # a text with nothing read stays whole
    assert expected or reading.tier is Tier.TEXT_KEPT


def test_the_sex_is_read_wherever_it_stands() -> None:
    assert (read("Clown 0.1", BALL).sex, read("Pastel 1.0", BALL).sex) == (Sex.FEMALE, Sex.MALE)
    maybe = read("possible female, het clown", BALL)
    assert (maybe.sex, maybe.sex_sure) == (Sex.FEMALE, False)


def test_het_behind_its_gene_says_nothing_until_it_is_answered() -> None:
    text = "Clown het 66%"
    assert not known_by_label(read(text, BALL), BALL).named
    [flag] = read(text, BALL).questions
    answered = read(text, BALL, answers={flag.key: "het"})
    assert marks(answered) == "clown=ph66" and not answered.questions
    assert read(text, BALL, answers={flag.key: "text"}).tier is Tier.TEXT_KEPT


# --- whatever is put together ------------------------------------------------------------------------------------

_STRANGE = ("zorbel", "quimm", "vexlan", "brakkit", "wuzzo", "plimth")
_BEFORE = (
    "het ", "66% het ", "50% poss het ", "100% het ", "het. ", "Hets: ", "poss ", "pos. ", "ph ", "66ph ", "DH ",
    "D/H ", "super ", "Super-", "visual ", "not het ", "no ", "not ", "w/o ", "proven ", "prob ", "66 het ", "33% ",
    "h. ", "66,6% het ", "S. ", "1/2 het ", "from ", "dam ", "sire: ", "+/- ", "maybe ", "0% het ", "120% het ",
    "not proven ", "or ", "and ", "w/ ",
)  # fmt: skip
_BEHIND = (" het", " 66% het", " (66%)", " het 50%", "?", " (?)", " proven", " (visual)", " line B", " x2", " prob.",
           " 66", " - het")  # fmt: skip
_BETWEEN = (" ", ", ", "/", " / ", "; ", " + ", " & ", " and ", ". ", "\n", " - ", "|", " or ", "-")


def _piece(chance: random.Random, words: list[str]) -> str:
    text = chance.choice(_STRANGE) if chance.random() < 0.15 else chance.choice(words)
    if chance.random() < 0.5:
        text = chance.choice(_BEFORE) + text
    if chance.random() < 0.25:
        text += chance.choice(_BEHIND)
    return f"({text})" if chance.random() < 0.1 else text


def _sheet(chance: random.Random, words: list[str]) -> str:
    pieces = [_piece(chance, words) for _ in range(chance.randint(1, 5))]
    text = pieces[0]
    for piece in pieces[1:]:
        text += chance.choice(_BETWEEN) + piece
    return text.upper() if chance.random() < 0.1 else text


def _lost(text: str, catalogue: Catalogue) -> str:
    """What a reading says nothing of, and does not keep either; "" where all is there."""
    reading = read(text, catalogue)
    kept = " ".join([reading.rest, *(line.words for line in reading.lines)]).casefold()
    asked = " ".join(flag.key for flag in reading.flags if flag.kind is FlagKind.SPELLING)
    if gone := [word for word in _STRANGE if word in text.casefold() and word not in kept + asked]:
        return gone[0]
    if reading.tier is not Tier.READY or reading.refused is not None:
        return ""
    said = reading.statements
    carried = any(s.says in (Says.HET, Says.POSSIBLE_HET, Says.PROVEN_NOT) for s in said)
    if re.search(r"(?<![a-z])(het|hets|ph|dh)(?![a-z])", text.casefold()) and not carried and "het" not in kept:
        return "het"
    percents = {str(s.percent) for s in said}
    numbers = [n for n in re.findall(r"(?<!\d)(66|50|33)(?!\d|,)", text) if n not in percents and n not in kept]
    return numbers[0] if numbers else ""


def test_nothing_written_is_dropped_in_silence() -> None:
    chance = random.Random(SEED)
    words = [name for gene in BALL.genes.values() for name in (gene.name, *gene.aliases)]
    words += [name for one in BALL.combinations.values() for name in (one.name, *one.aliases)]
    for _ in range(STRINGS):
        text = _sheet(chance, words)
        assert not _lost(text, BALL), text
        reading = read(text, BALL)
        if reading.tier is Tier.READY:
            catalogue = BALL.with_lines(reading.lines)
            printed = print_statements(in_order(reading.statements, catalogue), catalogue)
            meant = {s for s in reading.statements if s.says is not Says.PROVEN_NOT}
            assert set(read(printed, catalogue).statements) == meant, (text, printed)
