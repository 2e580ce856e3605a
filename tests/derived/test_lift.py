"""What an animal's look needs of parents that are not recorded is seen before anything is computed."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from coilbook.derived.genetics_book import solve_again
from coilbook.genetics.problem import Answer, Problem
from coilbook.storage.collection import Collection
from tests.derived.family import Family, book_with, percents


class Counted:
    """The solver, and how often each locus was asked with contradictions in the answer."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.clashes = 0

    def __call__(
        self, problem: Problem, before: Answer | None, cancelled: Callable[[], bool] = lambda: False
    ) -> Answer:
        answer = solve_again(problem, before)
        self.asked.append(problem.states.locus.key)
        self.clashes += len(answer.clashes)
        return answer


@pytest.fixture
def family(book: Collection) -> Family:
    return Family(book)


def test_a_dam_that_does_not_look_it_is_no_source_of_a_dominant_gene(family: Family) -> None:
    family.add("F-1", "Leopard")
    family.add("F-2", "normal", dam="F-1")
    family.add("M-3", "Leopard", dam="F-2")
    solver = Counted()
    genetics = book_with(family.book, solver).current()
    assert solver.asked.count("leopard") == 1 and solver.clashes == 0
    # her sire had it: nobody above her on record can have handed it on
    assert percents(genetics, family.ids, "leopard", "F-1", "F-2", "M-3") == [100.0, 0.0, 100.0]


def test_a_het_of_a_visual_dam_does_not_have_a_visual_sire(family: Family) -> None:
    family.add("F-1", "Piebald")
    family.add("F-2", "het piebald", dam="F-1")
    solver = Counted()
    genetics = book_with(family.book, solver).current()
    assert solver.asked.count("piebald") == 1 and solver.clashes == 0
    assert percents(genetics, family.ids, "piebald", "F-1", "F-2") == [100.0, 100.0]


def test_two_genes_of_one_complex_of_which_the_dam_has_one(family: Family) -> None:
    family.add("M-1", "Gravel")
    family.add("F-2", "Gravel Yellow Belly", sire="M-1")
    solver = Counted()
    genetics = book_with(family.book, solver).current()
    assert solver.asked.count("yellow belly complex") == 1 and solver.clashes == 0
    law = genetics.law(family.ids["F-2"], "yellow belly complex")
    assert law is not None and law.max() == pytest.approx(1.0)
