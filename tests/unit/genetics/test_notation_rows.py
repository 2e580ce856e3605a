"""The rows of the trade's notation (job.md 10.2), each as it must be read."""

from __future__ import annotations

import pytest
from tests.unit.genetics.catalogues import shipped

from coilbook.genetics.notation_reader import read
from coilbook.genetics.statement import FlagKind, Reading, Tier
from coilbook.records.vocabulary import Sex


def marks(reading: Reading) -> str:
    """The statements as the table writes them."""
    return "; ".join(f"{s.gene}={s.mark}{' proven' if s.proven else ''}" for s in reading.statements)


def kinds(reading: Reading) -> list[str]:
    """What is asked."""
    return sorted(flag.kind.value for flag in reading.questions)


#: text, reading, questions; the numbers are those of the table
ROWS = [
    ("Pastel Clown", "pastel=1; clown=V", []),  # 1
    ("super pastel clown", "pastel=2; clown=V", []),  # 2
    ("het clown", "clown=het", ["bare_het"]),  # 3
    ("100% het clown", "clown=het", []),  # 4
    ("66% het clown", "clown=ph66", []),  # 5
    ("50% poss het albino", "albino=ph50", []),  # 7
    ("pos het clown", "clown=ph?", ["no_percent"]),  # 8
    ("ph clown", "clown=ph?", ["no_percent"]),  # 9
    ("66% het clown poss super pastel", "clown=ph66; pastel=1-2", []),  # 10
    ("Enchi Fire het clown/pied", "enchi=1; fire=1; clown=het; piebald=het", ["bare_het"]),  # 12
    ("DH clown pied", "clown=het; piebald=het", []),  # 13
    ("TH Clown Pied Albino", "clown=het; piebald=het; albino=het", []),  # 16
    ("100% het clown 50% het pied", "clown=het; piebald=ph50", []),  # 17
    ("Clown 66% het pied, 50% het albino", "clown=V; piebald=ph66; albino=ph50", []),  # 18
    ("het clown pastel enchi", "clown=het; pastel=1; enchi=1", ["bare_het", "scope"]),  # 20
    ("het pied proven", "piebald=het proven", []),  # 22
    ("proven het clown", "clown=het proven", []),  # 23
    ("het axanthic", "axanthic=het", ["bare_het", "line"]),  # 25
    ("line A ax pastel", "axanthic (line a)=V; pastel=1", []),  # 26
    ("Axanthic line B", "axanthic (line b)=V", []),  # 27
    ("killer clown", "pastel=2; clown=V", []),  # 28
    ("Highway clown", "yellow belly=1; gravel=1; clown=V", []),  # 29
    ("yb gravel", "yellow belly=1; gravel=1", []),  # 30
    ("0.1 Ghost 66% clown", "ghost=V; clown=ph66", ["bare_percent"]),  # 32
    ("Pastel? Clown", "pastel=1?; clown=V", ["doubt"]),  # 34
    ("pastal clwon het peid", "pastel=1; clown=V; piebald=het", ["bare_het", *["spelling"] * 3]),  # 35
    ("snow", "albino=V; axanthic=V", ["line"]),  # 36
    ("Hypo het dg", "ghost=V; desert ghost=het", ["bare_het"]),  # 39
    ("candy toffee", "candy=1; toffee=1", []),  # 41
    ('Lav albino het pied "the pretty one"', "lavender albino=V; piebald=het", ["bare_het"]),  # 43
    ("super clown", "clown=V", ["super_recessive"]),  # 45
    # the rules below the table
    ("66%/50% het clown/pied", "clown=ph66; piebald=ph50", []),
    ("66/50 het clown/pied", "clown=ph66; piebald=ph50", []),
    ("66%/50% het clown pied albino", "clown=ph?; piebald=ph?; albino=ph?", ["count", "no_percent"]),
    ("66% DH clown pied", "clown=ph66; piebald=ph66", []),
    ("DH clown", "clown=het", ["count"]),
    ("double het clown & pied", "clown=het; piebald=het", []),
    ("het clown; pied", "clown=het; piebald=V", ["bare_het"]),
    ("het clown (66%)", "clown=ph66", []),
    ("100% het clown (66%) pied", "clown=ph66; piebald=het", []),
    ("66% het clown 50% pied", "clown=ph66; piebald=ph50", ["loose_percent"]),
    ("not het clown/pied", "clown=not; piebald=not", []),
    ("proven not clown", "clown=not", []),
    ("super? pastel", "pastel=1-2", []),
    ("Clown Enchi, poss super Enchi, poss Pastel", "clown=V; enchi=1-2; pastel=1?", ["doubt"]),
    ("het pastel", "pastel=1", ["het_shown"]),
    ("visual pied", "piebald=V", []),
    ("butter lesser phantom", "butter=1; lesser=1; phantom=1", ["alleles"]),
    ("super butter lesser", "butter=2; lesser=1", ["alleles"]),
    ("albino 100% het toffee", "albino=V; toffee=het", ["alleles"]),
    ("pastel super pastel", "pastel=1", ["twice"]),
    ("pastel pastel", "pastel=1", []),
    ("het snow", "albino=het; axanthic=het", ["bare_het", "line"]),
    ("ivory", "yellow belly=2", []),
    ("8-ball pied", "black pastel=1; cinnamon=1; piebald=V", []),
    ("proven clown", "clown=het proven", ["proven"]),
    ("yelow belly", "yellow belly=1", ["spelling"]),
    ("hte clown 100% het pied", "clown=het; piebald=het", ["bare_het", "spelling"]),
    ("YELLOW-BELLY + black  pastel w/ enchi", "yellow belly=1; black pastel=1; enchi=1", []),
    ("poss. het pied. Clown", "piebald=ph?; clown=V", ["no_percent"]),
    ("Pastel 2x het clown pied", "pastel=1; clown=het; piebald=het", []),
    ("2/3 het clown 50 percent het pied", "clown=ph66; piebald=ph50", []),
    ("non het clown", "clown=not", []),
    ("Clown (visual)", "clown=V", []),
    ("coral glow (male maker)", "coral glow=1", ["unknown_word"]),
    ("pied blorf?", "piebald=V", ["unknown_word"]),
    ("BEL clown", "clown=V", ["alleles"]),
    ("normal", "", []),
    ("wild type 66% het clown", "clown=ph66", []),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected", "asked"), ROWS, ids=[row[0] for row in ROWS])
def test_row(text: str, expected: str, asked: list[str]) -> None:
    reading = read(text, shipped())
    assert marks(reading) == expected
    assert kinds(reading) == sorted(asked)
    assert reading.tier is (Tier.QUESTION if asked else Tier.READY)
    assert reading.refused is None


def test_a_pairing_is_refused() -> None:
    for text in ("pastel clown x enchi het clown", "pastel clown × enchi 100% het clown"):
        reading = read(text, shipped())
        assert reading.refused is not None and reading.statements == () and reading.rest == text
        assert reading.tier is Tier.TEXT_KEPT


def test_sexes_are_taken_out() -> None:
    read_sexes = {
        text: (reading.sex, reading.sex_sure, marks(reading))
        for text in ("0.1 Ghost", "1.0 pastel", "0.0.1 pastel", "♂ pastel", "pastel female", "male? pastel")
        for reading in [read(text, shipped())]
    }
    assert read_sexes == {
        "0.1 Ghost": (Sex.FEMALE, True, "ghost=V"),
        "1.0 pastel": (Sex.MALE, True, "pastel=1"),
        "0.0.1 pastel": (Sex.UNSEXED, True, "pastel=1"),
        "♂ pastel": (Sex.MALE, True, "pastel=1"),
        "pastel female": (Sex.FEMALE, True, "pastel=1"),
        "male? pastel": (Sex.MALE, False, "pastel=1"),
    }
    assert kinds(read("1.2 pastel", shipped())) == ["several"]
    assert read("coral glow (male maker)", shipped()).sex is None


def test_what_is_not_understood_is_kept_verbatim() -> None:
    reading = read('Lav albino het pied "the Pretty one"', shipped(), answers={"bare-het": "100"})
    assert reading.rest == '"the Pretty one"' and reading.tier is Tier.READY
    reading = read("pied, Bought in Oldtown and 2019", shipped())
    assert reading.rest == "Bought in Oldtown and 2019" and kinds(reading) == ["unknown_word"]
    reading = read("the pretty one", shipped())
    assert reading.rest == "the pretty one" and reading.tier is Tier.TEXT_KEPT and not reading.questions


@pytest.mark.parametrize(
    ("text", "answers", "expected"),
    [
        ("het clown", {"bare-het": "100"}, "clown=het"),
        ("het clown", {"bare-het": "unknown"}, "clown=ph?"),
        ("Ph  Clown", {"no_percent|ph clown": "66"}, "clown=ph66"),
        ("ph clown", {"no_percent|ph clown": "unknown"}, "clown=ph?"),
        ("pastal clown", {"spelling|pastal": "gene:pastel"}, "pastel=1; clown=V"),
        ("pastal clown", {"spelling|pastal": "note"}, "clown=V"),
        ("super clown", {"super|clown": "visual"}, "clown=V"),
        ("super clown", {"super|clown": "text"}, ""),
        ("Pastel? Clown", {"doubt|pastel? clown": "keep"}, "pastel=1?; clown=V"),
        ("Pastel? Clown", {"doubt|pastel? clown": "sure"}, "pastel=1; clown=V"),
        ("100% het clown pastel", {"scope|100% het clown pastel": "closed"}, "clown=het; pastel=1"),
        ("100% het clown pastel", {"scope|100% het clown pastel": "doubt"}, "clown=het; pastel=1?"),
        ("DH clown pastel pied", {"scope|dh clown pastel pied": "open"}, "clown=het; pastel=1; piebald=het"),
        ("0.1 ghost 66% clown", {"bare-percent": "het"}, "ghost=V; clown=ph66"),
        ("albino 100% het toffee", {"alleles|TYR|albino 100% het toffee": "albino+toffee"}, "albino=1; toffee=1"),
        ("super butter lesser", {"alleles|blue-eyed leucistic complex|super butter lesser": "butter+butter"},
         "butter=2"),
        ("pastel super pastel", {"twice|pastel|pastel super pastel": "2"}, "pastel=2"),
        ("66% het clown 50% pied", {"loose_percent|66% het clown 50% pied": "before"}, "clown=ph50; piebald=ph66"),
        ("pied from Oldtown", {"word|from oldtown": "note"}, "piebald=V"),
        ("axanthic", {"line|axanthic": "unknown"}, "axanthic=V"),
        ("Northgate axanthic", {"line|axanthic|northgate": "line"}, "axanthic (northgate)=V"),
        ("Northgate axanthic", {"line|axanthic|northgate": "note", "line|axanthic": "unknown"}, "axanthic=V"),
        ("BEL clown", {"alleles|bel|bel clown": "butter+lesser"}, "butter=1; lesser=1; clown=V"),
        ("BEL clown", {"alleles|bel|bel clown": "lesser+lesser"}, "lesser=2; clown=V"),
        ("BEL clown", {"alleles|bel|bel clown": "note"}, "clown=V"),
        ("proven clown", {"proven|proven clown": "visual"}, "clown=V"),
    ],
)  # fmt: skip
def test_one_click_settles_it(text: str, answers: dict[str, str], expected: str) -> None:
    assert read(text, shipped()).tier is Tier.QUESTION
    reading = read(text, shipped(), answers=answers)
    assert marks(reading) == expected and not reading.questions
    assert reading.tier is (Tier.READY if expected else Tier.TEXT_KEPT)


def test_an_answer_that_is_none_of_the_options_is_no_answer() -> None:
    assert read("het clown", shipped(), answers={"bare-het": "50"}).tier is Tier.QUESTION


def test_a_line_is_the_keepers_own_word() -> None:
    reading = read("Axanthic (Line  Q) 66% het clown", shipped())
    assert [(line.of, line.words) for line in reading.lines] == [("axanthic", "Line Q")]
    catalogue = shipped().with_lines(reading.lines)
    assert catalogue.genes["axanthic (line q)"].name == "Axanthic (Line Q)"
    again = read("line q ax", catalogue)
    assert marks(again) == "axanthic (line q)=V" and again.lines == ()
    assert [option.value for option in read("axanthic", catalogue).questions[0].options] == [
        "axanthic (line q)",
        "unknown",
    ]
    chosen = read("het axanthic", catalogue, answers={"bare-het": "100", "line|axanthic": "axanthic (line q)"})
    assert marks(chosen) == "axanthic (line q)=het" and chosen.tier is Tier.READY
    northgate = read("Northgate axanthic", shipped())
    assert northgate.questions[0].kind is FlagKind.LINE and northgate.lines[0].words == "Northgate"


def test_a_combination_remembers_its_word() -> None:
    assert {s.combination for s in read("killer clown", shipped()).statements} == {"killer clown"}
