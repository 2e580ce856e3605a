"""The stair of a number: as in the picture of the animal page, and for the family of scenario S5."""

from __future__ import annotations

import pytest

from coilbook.derived.genetics_explain import Explanation, explain
from coilbook.operations.findings import FindingDetails, add_finding
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection
from tests.derived.by_hand import solve_by_hand
from tests.derived.family import Family, book_with, s5


@pytest.fixture
def family(book: Collection) -> Family:
    return Family(book)


def stair(family: Family, name: str, gene: str) -> Explanation:
    genetics = book_with(family.book).current()
    found = genetics.view(family.ids[name], gene)
    assert found is not None
    view, animal = found
    carries = view.states.copies(view.states.locus.allele_index(gene)) > 0
    told = explain(view, solve_by_hand, animal, carries, lambda a: f"{a:05}")
    assert told is not None
    return told


def test_four_young_that_are_not_clown(family: Family) -> None:
    """66.6, 50.0, 33.3, 20.0, 11.1%: two in three, then 2/(2+2^n) (facts 0.8)."""
    family.add("F-004", "Enchi het clown proven")
    family.add("M-01", "Pastel Albino het clown proven")
    family.add("F-017", "Pastel Enchi het albino", dam="F-004", sire="M-01")
    family.add("M-03", "Clown")
    family.young("J-08 J-09", "Pastel Enchi", dam="F-017", sire="M-03")
    family.young("24-3 24-5", "Enchi", dam="F-017", sire="M-03")
    told = stair(family, "F-017", "clown")
    assert told.start == pytest.approx(2 / 3)
    assert [s.after for s in told.steps] == pytest.approx([1 / 2, 1 / 3, 1 / 5, 1 / 9])
    assert [s.without for s in told.steps] == pytest.approx([1 / 5] * 4)
    assert [without for _, without in told.mating_without] == pytest.approx([2 / 3])
    assert (told.value, told.more) == (pytest.approx(1 / 9), 0)


def test_a_grandyoung_that_proves_its_dam_moves_her_young(family: Family) -> None:
    s5(family)
    family.add("25-9", "Piebald", dam="D-20", sire="M-15")
    told = stair(family, "D-21", "piebald")
    assert told.start == pytest.approx(1 / 4)
    names = {i: n for n, i in family.ids.items()}
    rows = book_with(family.book).current().herds["ball_python"].rows
    assert [(names[int(rows.ids[s.animal])], round(s.after, 4), round(s.without, 4)) for s in told.steps] == [
        ("25-9", 0.5, 0.25)
    ]


def test_her_own_test_is_a_step_and_her_own_look_is_not(family: Family) -> None:
    family.add("F-1", "het clown")
    family.add("M-1", "het clown")
    family.add("F-2", "normal", dam="F-1", sire="M-1")
    details = FindingDetails(kind=FindingKind.TEST, locus="clown", gene="clown", copies=0, ppm=10_000)
    add_finding(family.book, animal=family.ids["F-2"], details=details)
    told = stair(family, "F-2", "clown")
    assert told.start == pytest.approx(2 / 3)
    assert [round(s.after, 4) for s in told.steps] == [round(2 * 0.005 / (2 * 0.005 + 0.99), 4)]
