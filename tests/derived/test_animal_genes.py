"""The genes of an animal in words and numbers, as its page shows them."""

from __future__ import annotations

import pytest

from coilbook.derived import genetics_book
from coilbook.operations.finding_typed import enter_typed
from coilbook.operations.findings import FindingDetails, add_finding
from coilbook.reads.genetics import genetics_part
from coilbook.reads.genetics_card import CardText, card_line, card_texts
from coilbook.reads.genetics_rows import GeneRow
from coilbook.reads.genetics_why import why
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection
from tests.derived.by_hand import solve_by_hand
from tests.derived.family import Family, s5


@pytest.fixture
def family(book: Collection, monkeypatch: pytest.MonkeyPatch) -> Family:
    monkeypatch.setattr(genetics_book, "solve_again", solve_by_hand)
    return Family(book)


def told(row: GeneRow) -> tuple[str, str, str, str, str]:
    evidence = "" if not row.numbered or row.evidence is None else f"{100 * row.evidence:.1f}"
    paper = "" if not row.numbered or row.paper is None else str(row.paper)
    return row.name, str(row.what), evidence, paper, str(row.rests_on)


def rows(family: Family, name: str) -> list[tuple[str, str, str, str, str]]:
    part = genetics_part(family.book, family.ids[name])
    assert part is not None
    return [told(row) for row in part.rows]


def head(family: Family, name: str) -> str:
    part = genetics_part(family.book, family.ids[name])
    assert part is not None
    return part.head


def test_the_page_of_the_picture(family: Family) -> None:
    family.add("F-004", "Enchi het clown proven")
    family.add("M-01", "Pastel Albino het clown proven")
    family.add("F-017", "Pastel Enchi", dam="F-004", sire="M-01")
    family.add("M-03", "Clown")
    family.young("J-08 J-09 24-3 24-5", "Enchi", dam="F-017", sire="M-03")
    assert rows(family, "F-017") == [
        ("Pastel", "one dose, seen", "", "", "seen; sire M-01 is Pastel"),
        ("Enchi", "one dose, seen", "", "", "seen; dam F-004 is Enchi"),
        ("Albino", "het", "100.0", "1", "sire M-01 is Albino"),
        ("Clown", "possible het", "11.1", "2/3", "0 of 4 shown by M-03"),
    ]
    assert head(family, "F-017") == "Pastel Enchi 100% het albino 66% het clown, 0 of 4 shown"
    assert rows(family, "M-03") == [("Clown", "seen", "", "", "seen")]


def test_a_label_that_says_what_follows_stands_as_it_was_written(family: Family) -> None:
    family.add("F-1", "Pastel, 66% het clown")
    assert head(family, "F-1") == "Pastel, 66% het clown"


def test_a_proof_is_named_by_its_young(family: Family) -> None:
    s5(family)
    family.add("25-1", "Piebald", dam="D-12", sire="M-15")
    assert ("Piebald", "het", "100.0", "2/3", "proven by 25-1") in rows(family, "D-12")
    assert rows(family, "24-1") == [("Piebald", "possible het", "50.0", "1/2", "dam D-12 is proven het Piebald")]


def test_a_claim_that_differs_from_the_parents_is_told_beside(family: Family) -> None:
    family.add("F-1", "66% het clown")
    family.add("M-1", "normal")
    family.add("F-2", "66% het clown", dam="F-1", sire="M-1")
    part = genetics_part(family.book, family.ids["F-2"])
    assert part is not None
    assert "claimed 66%, and the parents give 33%" in str(part.rows[0].claimed)
    assert part.head == "33% het clown"


def test_a_doubtful_look_and_a_possible_super(family: Family) -> None:
    """Scenario S4 at hatch: pastel 60%, super enchi 33%."""
    family.add("F-1", "Enchi het clown proven")
    family.add("M-1", "Pastel Enchi het clown proven")
    young = family.add("J-6", "Clown", dam="F-1", sire="M-1")
    for details in (
        FindingDetails(kind=FindingKind.SEEN, locus="enchi", looks=("enchi", "super enchi")),
        FindingDetails(kind=FindingKind.SEEN, locus="pastel", looks=("pastel", "super pastel"), ppm=600_000),
    ):
        add_finding(family.book, animal=young, details=details)
    assert rows(family, "J-6") == [
        ("Clown", "seen", "", "", "seen; both parents proven het Clown"),
        ("Enchi", "seen; two doses?", "33.3", "1/3", "seen; dam F-1 is Enchi, sire M-1 is Enchi"),
        ("Pastel", "perhaps", "60.0", "1/2", "seen, 60% sure"),
    ]


def test_a_contradiction_names_the_animals(family: Family) -> None:
    family.add("F-1", "normal")
    family.add("M-1", "normal")
    family.add("J-1", "Pastel", dam="F-1", sire="M-1")
    (row,) = [told(r) for r in genetics_part(family.book, family.ids["J-1"]).rows]  # type: ignore[union-attr]
    assert row[1] == "contradiction"
    assert "J-1" in row[4]


def test_what_was_recorded_stands_beside_what_it_has_come_to(family: Family) -> None:
    """70% on a founder: none of six of a Clown mate. Bayes: 0.7/64 : 0.3 = 3.5%."""
    family.add("F-1", "70% het clown")
    family.add("M-1", "Clown")
    family.young("J-1 J-2 J-3 J-4 J-5 J-6", "normal", dam="F-1", sire="M-1")
    part = genetics_part(family.book, family.ids["F-1"])
    assert part is not None
    row = part.rows[0]
    assert told(row) == ("Clown", "possible het", "3.5", "7/10", "0 of 6 shown by M-1")
    assert str(row.claimed) == "recorded as 70%; with what has been found since 3.5%"


def test_a_claim_with_one_parent_on_record_says_all_its_numbers(family: Family) -> None:
    """The dam gives 1/2, the other parent is taken at 2/3: of those that do not show, 3 in 4 carry."""
    family.add("F-1", "proven het clown")
    family.add("J-1", "66% het clown", dam="F-1")
    part = genetics_part(family.book, family.ids["J-1"])
    assert part is not None
    row = part.rows[0]
    assert told(row)[2:4] == ("75.0", "3/4")
    assert str(row.claimed).startswith("recorded as 66%, taken as said of the parent that is not on record: with the")
    assert "a card says no more than was recorded" in str(row.claimed)
    assert card_line(row) == "66% het clown"


def test_a_chance_taken_over_a_recorded_one_is_told(family: Family) -> None:
    family.add("F-1", "66% het clown")
    enter_typed(family.book, animal=family.ids["F-1"], text="assume 10% clown")
    part = genetics_part(family.book, family.ids["F-1"])
    assert part is not None
    assert str(part.rows[0].claimed) == "recorded as 66%; the 10% you took for it stands over it"


def test_doubts_without_a_number_are_lines_that_say_so(family: Family) -> None:
    family.add("F-1", "Pastel?, pos het clown")
    assert rows(family, "F-1") == [
        ("Pastel", "perhaps, no number", "", "", "question mark: not counted"),
        ("Clown", "possible, no number", "", "", "claimed, no number: not counted"),
    ]
    part = genetics_part(family.book, family.ids["F-1"])
    assert part is not None
    assert [card_line(row) for row in part.rows] == ["poss Pastel", "poss het clown"]


def test_het_without_a_number_says_that_it_is_taken_as_sure(family: Family) -> None:
    family.add("F-1", "het clown")
    family.add("F-2", "100% het clown")
    for name, said in (("F-1", True), ("F-2", False)):
        part = genetics_part(family.book, family.ids[name])
        assert part is not None and part.rows[0].evidence == 1.0
        assert any("'het' without a number" in str(one) for one in part.rows[0].taken) is said


def test_a_card_is_lowered_and_not_raised_where_it_is_typed(family: Family) -> None:
    s5(family)
    with pytest.raises(Refusal, match="On paper it is 66%: a card can be lowered, never raised"):
        enter_typed(family.book, animal=family.ids["D-12"], text="card 90% piebald")
    enter_typed(family.book, animal=family.ids["D-12"], text="card 66% piebald")
    enter_typed(family.book, animal=family.ids["D-12"], text="card 25% piebald")
    part = genetics_part(family.book, family.ids["D-12"])
    assert part is not None
    assert [card_line(row) for row in part.rows if row.gene == "piebald"] == ["25% het piebald"]


def test_a_young_its_mate_may_explain_proves_nothing(family: Family) -> None:
    """Albino and toffee share a locus: of a Toffino male either of her alleles makes a Toffino, so even odds are left.

    Before: 1/3 albino, 1/3 toffee, 1/3 neither, of a normal-looking young of the two hets; a Toffino excludes neither.
    """
    family.add("F-0", "proven het albino")
    family.add("M-0", "proven het toffee")
    family.add("F-1", "normal", dam="F-0", sire="M-0")
    family.add("M-1", "Toffino")
    family.add("J-1", "Toffino", dam="F-1", sire="M-1")
    assert rows(family, "F-1") == [
        ("Albino", "possible het", "50.0", "1/3", "1 of 1 shown by M-1"),
        ("Toffee", "possible het", "50.0", "1/3", "1 of 1 shown by M-1"),
    ]


def test_what_her_own_tests_moved_is_no_relatives_doing(family: Family) -> None:
    """2/3 before; one copy (wrong 1 in 100), then none (2 in 100): 2 x 0.99 x 0.01 : 0.005 x 0.98 = 80.2%."""
    family.add("F-1", "66% het clown")
    for text in ("test clown 1", "test clown none 2%"):
        enter_typed(family.book, animal=family.ids["F-1"], text=text)
    part = genetics_part(family.book, family.ids["F-1"])
    assert part is not None
    assert told(part.rows[0])[2:] == ("80.2", "2/3", "a test: 0 copies, a test: 1 copy")
    assert str(part.rows[0].claimed) == "recorded as 66%; with what has been found since 80.2%"
    found = why(family.book, part.rows[0], family.ids["F-1"], lambda: False)
    assert found is not None
    assert [str(step.words) for step in found.steps] == ["F-1: test, 1 copy, test, 0 copies"]


def test_a_young_of_one_parent_says_what_its_numbers_rest_on(family: Family) -> None:
    family.add("F-1", "normal")
    family.add("M-1", "normal")
    family.add("J-1", "Pastel 66% het clown", dam="F-1")
    family.add("J-2", "66% het clown", dam="F-1", sire="M-1")
    part = genetics_part(family.book, family.ids["J-1"])
    assert part is not None
    pastel, clown = part.rows
    assert told(clown) == ("Clown", "possible het", "66.7", "2/3", "claimed; a parent not known")
    assert [str(one) for one in pastel.taken] == [
        "Nothing said its parent not on record had this; what is known needs it, so it is taken as possible."
    ]
    (row,) = rows(family, "J-2")
    assert row[1:3] == ("not carrying", "0.0")
    assert row[4] == "dam F-1 is taken as not carrying Clown, sire M-1 is taken as not carrying Clown"


def test_a_young_nobody_described_is_surely_het_where_one_parent_shows_it(family: Family) -> None:
    """Of a Clown and a possible het every young carries clown; a third of them show it, and nobody has looked."""
    family.add("F-1", "Clown")
    family.add("M-1", "66% het clown")
    family.add("J-1", "", dam="F-1", sire="M-1")
    assert rows(family, "J-1") == [
        ("Clown", "het; may show it", "100.0", "1", "dam F-1 is Clown, sire M-1 is 66% het Clown")
    ]
    part = genetics_part(family.book, family.ids["J-1"])
    assert part is not None
    assert part.head == "100% het clown"


@pytest.mark.parametrize(("label", "found"), [("Clown", "not clown"), ("super pastel", "not pastel")])
def test_a_look_found_not_to_be_there_leaves_head_and_card(family: Family, label: str, found: str) -> None:
    family.add("F-1", label)
    enter_typed(family.book, animal=family.ids["F-1"], text=found)
    assert (rows(family, "F-1"), head(family, "F-1")) == ([], "normal")
    assert card_texts(family.book, [family.ids["F-1"]])[family.ids["F-1"]] == CardText("normal", "")


def test_a_claim_the_parents_exclude_leaves_head_and_card(family: Family) -> None:
    family.add("F-1", "normal")
    family.add("M-1", "normal")
    family.add("J-1", "66% het clown", dam="F-1", sire="M-1")
    assert head(family, "J-1") == "normal"
    assert card_texts(family.book, [family.ids["J-1"]])[family.ids["J-1"]] == CardText("normal", "")
