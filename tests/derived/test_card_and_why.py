"""What a card may say, and the margin's explanation of the picture of the animal page."""

from __future__ import annotations

import pytest

from coilbook.operations.finding_typed import enter_typed
from coilbook.operations.findings import FindingDetails, add_finding
from coilbook.reads.genetics import genetics_part
from coilbook.reads.genetics_card import CardText, card_texts
from coilbook.reads.genetics_why import Why, why
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection
from tests.derived.family import Family, s5


@pytest.fixture
def family(book: Collection) -> Family:
    return Family(book)


def picture(family: Family) -> None:
    family.add("F-004", "Enchi het clown proven")
    family.add("M-01", "Pastel Albino het clown proven")
    family.add("F-017", "Pastel Enchi het albino 66% het clown", dam="F-004", sire="M-01")
    family.add("M-03", "Clown")
    family.add("M-11", "het clown")
    family.add("M-20", "normal")
    family.young("J-08 J-09", "Pastel Enchi", dam="F-017", sire="M-03", hatched="2024-06-03")
    family.young("24-3 24-5", "Enchi", dam="F-017", sire="M-03", hatched="2024-06-04")


def card(family: Family, name: str) -> CardText:
    return card_texts(family.book, [family.ids[name]])[family.ids[name]]


def explained(family: Family, name: str, gene: str) -> Why:
    part = genetics_part(family.book, family.ids[name])
    assert part is not None
    (row,) = [r for r in part.rows if r.gene == gene]
    found = why(family.book, row, family.ids[name], lambda: False)
    assert found is not None
    return found


def test_a_card_that_says_more_than_the_evidence_says_both(family: Family) -> None:
    picture(family)
    found = card(family, "F-017")
    assert (found.certain, found.doubt) == ("Pastel Enchi 100% het albino", "66% het clown from parents; 0 of 4 shown")
    assert [str(w) for w in found.warnings] == [
        "Clown: 66% from parents is more than the 11% with evidence, so the card prints both."
    ]


@pytest.mark.parametrize(("ppm", "doubt"), [(250_000, "25% het clown from parents; 0 of 4 shown"),
                                            (100_000, "10% het clown"), (0, ""),
                                            (900_000, "66% het clown from parents; 0 of 4 shown")])  # fmt: skip
def test_a_keeper_can_lower_a_card_and_never_raise_it(family: Family, ppm: int, doubt: str) -> None:
    picture(family)
    details = FindingDetails(kind=FindingKind.CARD, locus="clown", gene="clown", ppm=ppm)
    add_finding(family.book, animal=family.ids["F-017"], details=details)
    assert card(family, "F-017").doubt == doubt


def test_a_card_prints_the_exact_paper_value_rounded_down(family: Family) -> None:
    family.add("F-1", "66% het clown")
    family.add("M-1", "het clown")
    family.add("J-1", "66% het clown", dam="F-1", sire="M-1")
    found = card(family, "J-1")
    assert found.doubt == "60% het clown (sold as 50%)"
    assert [str(line) for line in found.basis] == [
        "60% het clown (sold as 50%): dam F-1 is 66% het Clown, sire M-1 is het Clown"
    ]


def test_a_proven_animal_is_certain_on_her_card(family: Family) -> None:
    s5(family)
    family.add("25-1", "Piebald", dam="D-12", sire="M-15")
    assert card(family, "D-12") == CardText("Pastel 100% het piebald", "")


def test_the_stair_and_what_would_settle_it(family: Family) -> None:
    picture(family)
    found = explained(family, "F-017", "clown")
    assert str(found.ground) == "both parents proven het Clown"
    assert [(str(s.words), round(s.after, 4)) for s in found.steps] == [
        ("J-08 not Clown", 0.5),
        ("J-09 not Clown", 0.3333),
        ("24-3 not Clown", 0.2),
        ("24-5 not Clown", 0.1111),
    ]
    assert "Without the young of F-017 by M-03 it stands at 66.7%." in [str(n) for n in found.notes]
    assert [(str(w.name), str(w.says)) for w in found.ways][1:] == [
        ("Young by M-03", "2, none Clown: 3.0%. One Clown: proven."),
        ("Young by M-01", "4, none Clown: 3.8%. One Clown: proven."),
        ("Young by M-20", "Say nothing: M-20 is taken as not carrying Clown."),
    ]
    assert "Yes leaves 96.1%, no 0.1%" in str(found.ways[0].says)


def test_the_super_of_s4_is_settled_by_young_of_a_normal_mate(family: Family) -> None:
    family.add("F-1", "Enchi het clown proven")
    family.add("M-1", "Pastel Enchi het clown proven")
    young = family.add("M-6", "Clown", dam="F-1", sire="M-1")
    seen = FindingDetails(kind=FindingKind.SEEN, locus="enchi", looks=("enchi", "super enchi"))
    add_finding(family.book, animal=young, details=seen)
    family.add("F-9", "normal")
    found = explained(family, "M-6", "enchi")
    assert round(found.value, 4) == 0.3333
    assert ("Young by F-9", "6, all with Enchi: 97.0%. One without: settled.") in [
        (str(w.name), str(w.says)) for w in found.ways
    ]


def ways(family: Family, name: str, gene: str) -> list[tuple[str, str]]:
    return [(str(way.name), str(way.says)) for way in explained(family, name, gene).ways][1:]


def test_a_mate_that_is_in_doubt_itself_settles_nothing_by_misses(family: Family) -> None:
    family.add("F-1", "66% het clown")
    family.add("M-1", "66% het clown")
    assert ways(family, "F-1", "clown") == [
        ("Young by M-1", "One Clown: proven. No number without one settles it: what M-1 carries is in doubt too."),
    ]


def test_young_of_a_look_that_hides_the_gene_say_nothing(family: Family) -> None:
    """Clown hides one dose of pastel (the catalogue): a Clown male's young of a Clown are all Clown.

    A Pastel male shows it by two doses, which a Clown shows too: 1/4 of the young, and (3/4)^11 leaves 4.1%.
    """
    family.add("F-1", "Clown")
    family.add("M-1", "Pastel het clown")
    family.add("F-2", "Clown", dam="F-1", sire="M-1")
    family.add("M-2", "Clown")
    family.add("M-3", "normal")
    assert ways(family, "F-2", "pastel") == [
        ("Young by M-3", "5, none Pastel: 3.0%. One Pastel: proven."),
        ("Young by M-1", "11, none Super Pastel: 4.1%. One Super Pastel: proven."),
        ("Young by M-2", "Say nothing when they hatch: another look of theirs hides Pastel."),
    ]


def test_what_hides_a_gene_is_weighed_with_who_the_sires_are(family: Family) -> None:
    """M-2 may have sired F-2 (1/2) and then gave her pastel (1/2): 1/4. None of 3 by a normal male: 1/4 x 1/8 : 3/4."""
    family.add("F-1", "Clown")
    family.add("M-1", "Clown")
    family.add("M-2", "Pastel Clown")
    for name in ("F-2", "M-4"):
        family.add(name, "Clown", dam="F-1", sire={"M-1": 50, "M-2": 50}, hatched="2025-08-01")
    family.add("M-9", "normal")
    assert ways(family, "F-2", "pastel")[0] == ("Young by M-9", "3, none Pastel: 4.0%. One Pastel: proven.")


def test_the_looks_that_decide_are_named(family: Family) -> None:
    """A Pastel mate makes Pastel young whatever she has: two doses prove hers, a quarter; 0.33 (3/4)^8 leaves 4.7%.

    A Toffino's Toffees are those that show she has toffee in the place of albino: even odds and a test of 8 : 1, so
    8 : (3/4)^4 are left of none of four. A normal young says nothing of it.
    """
    family.add("F-1", "Clown")
    family.add("M-1", "Pastel Clown")
    family.add("F-2", "Clown", dam="F-1", sire="M-1")
    enter_typed(family.book, animal=family.ids["F-2"], text="pastel 33%")
    assert ways(family, "F-2", "pastel")[0] == ("Young by M-1", "8, none Super Pastel: 4.7%. One Super Pastel: proven.")
    family.add("F-0", "proven het albino")
    family.add("M-0", "proven het toffee")
    family.add("F-3", "normal", dam="F-0", sire="M-0")
    family.add("M-3", "Toffino")
    family.young("J-1 J-2", "Toffino", dam="F-3", sire="M-3")
    enter_typed(family.book, animal=family.ids["F-3"], text="test albino 1 20%")
    assert ways(family, "F-3", "albino")[0] == ("Young by M-3", "4, none Toffee: 96.2%. One Toffee: settled.")
