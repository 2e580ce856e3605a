"""Scenario S5 of the job: a possible het is proven, and every number that follows from it moves."""

from __future__ import annotations

import pytest

from coilbook.operations.undo import undo_last
from coilbook.storage.collection import Collection
from tests.derived.family import Family, book_with, on_paper, percents, s5

YOUNG_24 = tuple(f"24-{egg}" for egg in range(1, 7))


@pytest.fixture
def family(book: Collection) -> Family:
    found = Family(book)
    s5(found)
    return found


def test_before_2025_everything_stands_as_on_paper(family: Family) -> None:
    genetics = book_with(family.book).current()
    assert percents(genetics, family.ids, "piebald", "D-12", "D-13", *YOUNG_24) == [66.7, 66.7] + [33.3] * 6
    assert on_paper(genetics, family.ids, "piebald", "D-12", "D-13", *YOUNG_24) == ["2/3", "2/3"] + ["1/3"] * 6
    assert percents(genetics, family.ids, "piebald", "D-05", "D-20", "D-21") == [50.0, 25.0, 25.0]


def test_two_visual_young_prove_her_and_the_young_of_2024_rise(family: Family) -> None:
    genetic_book = book_with(family.book)
    genetic_book.current()
    family.young("25-1 25-2", "Piebald", dam="D-12", sire="M-15", hatched="2025-08-01")
    family.young("25-3 25-4 25-5 25-6", "normal", dam="D-12", sire="M-15", hatched="2025-08-01")
    genetics = genetic_book.current()
    ids = family.ids
    assert percents(genetics, ids, "piebald", "D-12", "D-13") == [100.0, 66.7]
    assert percents(genetics, ids, "piebald", *YOUNG_24) == [50.0] * 6
    assert percents(genetics, ids, "piebald", "25-3", "25-4", "25-5", "25-6") == [100.0] * 4
    # a parent's proof raises the paper value of her young; her own young never raise hers
    assert on_paper(genetics, ids, "piebald", "D-12", "D-13", *YOUNG_24) == ["2/3", "2/3"] + ["1/2"] * 6
    assert not genetics.clashes()


def test_none_of_six_lowers_her_and_her_young_but_not_their_paper(family: Family) -> None:
    family.young("25-1 25-2 25-3 25-4 25-5 25-6", "normal", dam="D-12", sire="M-15", hatched="2025-08-01")
    genetics = book_with(family.book).current()
    assert percents(genetics, family.ids, "piebald", "D-12", *YOUNG_24) == [3.0] + [1.5] * 6
    assert on_paper(genetics, family.ids, "piebald", "D-12", *YOUNG_24) == ["2/3"] + ["1/3"] * 6
    assert percents(genetics, family.ids, "piebald", "25-1") == [100.0]


def test_a_visual_from_a_quarter_proves_her_dam_and_raises_her_sisters(family: Family) -> None:
    genetic_book = book_with(family.book)
    before = genetic_book.current()
    assert percents(before, family.ids, "piebald", "D-05", "D-20", "D-21") == [50.0, 25.0, 25.0]
    family.add("25-9", "Piebald", dam="D-20", sire="M-15", hatched="2025-08-02")
    after = genetic_book.current()
    assert percents(after, family.ids, "piebald", "D-05", "D-20", "D-21", "D-22") == [100.0, 100.0, 50.0, 50.0]
    assert on_paper(after, family.ids, "piebald", "D-05", "D-20", "D-21") == ["1/2", "1/2", "1/2"]
    undo_last(family.book)
    again = genetic_book.current()
    assert percents(again, family.ids, "piebald", "D-05", "D-20", "D-21") == [50.0, 25.0, 25.0]
