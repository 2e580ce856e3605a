"""What counts as evidence, and what does not: texts without a look, doubts, hidden genes, possible supers, clutches.

All numbers are worked out by hand from Mendel's law, beside each check.
"""

from __future__ import annotations

import pytest

from coilbook.derived.genetics_book import Genetics, book_of
from coilbook.genetics.inference import weighing
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.finding_typed import enter_typed
from coilbook.operations.hatching import NewHatchling, make_hatchlings
from coilbook.reads.genetics import genetics_part
from coilbook.reads.genetics_card import card_texts
from coilbook.reads.genetics_rows import GeneRow
from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.reads.pedigree_odds import KeptGenes
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import EggId
from coilbook.storage.collection import Collection
from tests.derived.family import Family, on_paper, percents
from tests.operations.conftest import Clock


@pytest.fixture
def family(book: Collection) -> Family:
    return Family(book)


def now(family: Family) -> Genetics:
    return book_of(family.book).current()


def head(family: Family, name: str) -> str:
    part = genetics_part(family.book, family.ids[name])
    assert part is not None
    return part.head


def two_doses(family: Family, name: str, gene: str) -> float:
    found = now(family).view(family.ids[name], gene)
    assert found is not None
    return float(found[0].law(found[1])[found[0].states.copies(found[0].states.locus.allele_index(gene)) == 2].sum())


@pytest.mark.parametrize("text", ["", "0.1", "female", "-", '"the pretty one"', "Blorpfen"])
def test_a_text_that_names_no_look_is_not_a_normal_look(family: Family, text: str) -> None:
    """Of two hets: 3/4 carry; 2/3 of those that look normal."""
    family.add("F-1", "het clown")
    family.add("M-1", "het clown")
    family.add("J-1", text, dam="F-1", sire="M-1")
    family.add("J-2", "0.1 normal", dam="F-1", sire="M-1")
    assert percents(now(family), family.ids, "clown", "J-1", "J-2") == [75.0, 66.7]


def test_a_doubt_beside_a_sure_gene_of_its_complex_leaves_that_one_sure(family: Family) -> None:
    family.add("F-1", "yellow belly? gravel")
    found = now(family).view(family.ids["F-1"], "yellow belly complex")
    assert found is not None
    assert found[0].carrier(found[1], "gravel") == pytest.approx(1)
    assert 0 < found[0].carrier(found[1], "yellow belly") < 1


def test_a_possible_super_is_settled_by_its_young_and_by_nothing_less(family: Family) -> None:
    """Even odds where nothing says more; 6 Pastel of 6 by a normal mate: 1 / (1 + 1/64) = 98.5%."""
    family.add("F-1", "poss super pastel")
    family.add("M-1", "normal")
    assert two_doses(family, "F-1", "pastel") == pytest.approx(1 / 2)
    assert head(family, "F-1") == "poss super pastel"
    family.young("J-1 J-2 J-3 J-4 J-5 J-6", "Pastel", dam="F-1", sire="M-1")
    assert two_doses(family, "F-1", "pastel") == pytest.approx(64 / 65, abs=1e-12)
    family.add("J-7", "normal", dam="F-1", sire="M-1")
    assert two_doses(family, "F-1", "pastel") == 0


@pytest.mark.parametrize(
    ("text", "typed"),
    [
        ("Clown", ""),
        ("normal", "clown"),
        ("", "clown, not pastel"),
        ("Clown", "not pastel"),
        ("Pastel", "clown, not pastel"),
    ],
)
def test_what_a_look_hides_is_hidden_however_that_look_was_entered(family: Family, text: str, typed: str) -> None:
    """One dose of pastel cannot be seen in a Clown (common practice), so half of these carry it."""
    family.add("F-1", "Pastel het clown")
    family.add("M-1", "het clown")
    family.add("J-1", text, dam="F-1", sire="M-1")
    if typed:
        enter_typed(family.book, animal=family.ids["J-1"], text=typed)
    assert percents(now(family), family.ids, "pastel", "J-1") == [50.0]


def test_a_clown_that_was_none_hides_nothing(family: Family) -> None:
    family.add("F-1", "Pastel het clown")
    family.add("M-1", "het clown")
    family.add("J-1", "Clown", dam="F-1", sire="M-1")
    enter_typed(family.book, animal=family.ids["J-1"], text="not clown")
    assert percents(now(family), family.ids, "pastel", "J-1") == [0.0]
    assert percents(now(family), family.ids, "clown", "J-1") == [66.7]


def test_what_was_not_seen_leaves_what_the_label_says_besides(family: Family) -> None:
    family.add("F-1", "Albino")
    family.add("F-2", "Pastel")
    enter_typed(family.book, animal=family.ids["F-1"], text="not toffee")
    enter_typed(family.book, animal=family.ids["F-2"], text="not super pastel")
    found = now(family).view(family.ids["F-1"], "TYR")
    assert found is not None and found[0].carrier(found[1], "albino") == 1
    assert percents(now(family), family.ids, "pastel", "F-2") == [100.0]


def test_a_proven_parent_nobody_described_is_a_het_and_no_possible_visual(family: Family) -> None:
    family.add("F-1", "")
    family.add("M-1", "")
    family.add("J-1", "Clown", dam="F-1", sire="M-1")
    assert head(family, "F-1") == "100% het clown"
    card = card_texts(family.book, [family.ids["F-1"]])[family.ids["F-1"]]
    assert (card.certain, card.doubt) == ("100% het clown", "")


def test_a_claim_without_a_number_is_unknown_and_not_nothing(family: Family) -> None:
    family.add("F-1", "pos het clown")
    part = genetics_part(family.book, family.ids["F-1"])
    assert part is not None
    (row,) = part.rows
    assert (row.evidence, row.paper, part.head) == (None, None, "pos het clown")


def test_young_of_one_clutch_share_its_sire_though_they_hatch_days_apart(family: Family) -> None:
    """M-1 or M-2, even odds; a Clown can be of M-1 alone, so her sib is his, and half of his are Clown."""
    family.add("F-1", "Clown")
    family.add("M-1", "het clown")
    family.add("M-2", "normal")
    sires = {"M-1": 50, "M-2": 50}
    family.add("J-1", "Clown", dam="F-1", sire=sires, hatched="2025-08-01")
    family.add("J-2", "", dam="F-1", sire=sires, hatched="2025-08-04")
    family.add("J-3", "", dam="F-1", sire=sires, hatched="2026-08-04")
    assert [two_doses(family, name, "clown") for name in ("J-2", "J-3")] == pytest.approx([1 / 2, 1 / 4], abs=1e-12)


def test_young_of_a_clutch_on_record_share_its_sire(family: Family, clock: Clock) -> None:
    family.add("F-1", "Clown")
    family.add("M-1", "het clown")
    family.add("M-2", "normal")
    sires = {family.ids["M-1"]: 50, family.ids["M-2"]: 50}
    lay_clutch(family.book, laying=Laying(dam=family.ids["F-1"], eggs=read_egg_line("80 80"), sires=sires))
    clock.pass_(days=58)
    made = make_hatchlings(family.book, young=[NewHatchling(egg=EggId(1), genetics="Clown")], at=clock.now)
    clock.pass_(days=12)
    more = make_hatchlings(family.book, young=[NewHatchling(egg=EggId(2))], at=clock.now)
    family.ids |= {"J-1": made.value[0], "J-2": more.value[0]}
    assert two_doses(family, "J-2", "clown") == pytest.approx(1 / 2, abs=1e-12)


def test_no_card_says_more_than_the_seller_where_a_parent_is_not_known(family: Family) -> None:
    """By the reading of claims 3/4 follow (a het dam, and a sire that hands it on with 2/3); the seller said 66%."""
    family.add("F-1", "100% het clown")
    family.add("F-2", "66% het clown", dam="F-1")
    card = card_texts(family.book, [family.ids["F-2"]])[family.ids["F-2"]]
    assert (card.certain, card.doubt) == ("", "66% het clown")
    family.add("M-1", "Clown")
    family.add("J-1", "Clown", dam="F-2", sire="M-1")
    proven = card_texts(family.book, [family.ids["F-2"]])[family.ids["F-2"]]
    assert (proven.certain, proven.doubt) == ("100% het clown", "")


def test_a_doubtful_sire_is_weighed_over_all_genes_unless_there_are_too_many(
    family: Family, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The daughter is Pastel by M-1 alone, and so surely het clown; too many combinations are told."""
    family.add("F-1", "normal")
    family.add("M-1", "Pastel Clown")
    family.add("M-2", "normal")
    family.add("J-1", "Pastel", dam="F-1", sire={"M-1": 50, "M-2": 50})

    def clown() -> GeneRow:
        part = genetics_part(family.book, family.ids["J-1"])
        assert part is not None
        return next(row for row in part.rows if row.gene == "clown")

    assert (clown().evidence, clown().by_gene, clown().taken) == (1.0, False, ())
    monkeypatch.setattr(weighing, "MOST_COMBINATIONS", 1)
    book_of(family.book).forget()
    assert clown().evidence == pytest.approx(0.5) and clown().by_gene
    assert SIRES_BY_GENE in clown().taken
    told = KeptGenes(family.book).gene_words("clown", [family.ids["J-1"]])[family.ids["J-1"]]
    assert "its sires weighed by this gene alone" in told.text


def test_on_paper_no_test_and_no_lean_of_the_animal_itself_counts(family: Family) -> None:
    """Even odds before a test are an assumption of the evidence (0.99 : 0.005), and no word for a card."""
    family.add("F-1", "normal")
    family.add("F-2", "")
    family.add("F-3", "poss super pastel")
    for name, typed in (("F-1", "test clown 1"), ("F-2", "pastel 60%")):
        enter_typed(family.book, animal=family.ids[name], text=typed)
    assert percents(now(family), family.ids, "clown", "F-1") == [99.5]
    assert percents(now(family), family.ids, "pastel", "F-2") == [60.0]
    assert on_paper(now(family), family.ids, "clown", "F-1") == ["0"]
    assert on_paper(now(family), family.ids, "pastel", "F-2") == ["0"]
    cards = card_texts(family.book, list(family.ids.values()))
    assert (cards[family.ids["F-1"]].certain, cards[family.ids["F-1"]].doubt) == ("normal", "")
    part = genetics_part(family.book, family.ids["F-3"])
    assert part is not None and part.rows[0].evidence == pytest.approx(1 / 2) and part.rows[0].paper is None


def test_a_white_animal_shows_nothing_else_whatever_was_not_seen_of_it(family: Family) -> None:
    """Of two het Clown: 3 in 4 of the white young carry clown, 1 in 4 with two copies (Mendel); none can be seen."""
    family.add("F-1", "Butter het clown")
    family.add("M-1", "Butter het clown")
    white = family.add("J-1", "super Butter", dam="F-1", sire="M-1")
    for typed in ("", "not clown"):
        if typed:
            enter_typed(family.book, animal=white, text=typed)
        assert percents(now(family), family.ids, "clown", "J-1") == [75.0]
        assert two_doses(family, "J-1", "clown") == pytest.approx(0.25)
        assert on_paper(now(family), family.ids, "clown", "J-1") == ["3/4"]
