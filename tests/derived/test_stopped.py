"""Genetics that are stopped under way: what was done is not done again, and the answers are the same."""

from __future__ import annotations

import numpy as np
import pytest

from coilbook.derived.genetics_book import solve_again
from coilbook.genetics.inference import Cancelled
from coilbook.genetics.problem import Answer, Problem
from coilbook.storage.collection import Collection
from tests.derived.family import Family, book_with


def test_what_was_done_before_the_stop_is_kept_until_the_next_act(book: Collection) -> None:
    family = Family(book)
    family.add("F-1", "Pastel het clown")
    family.add("F-2", "Enchi Piebald", dam="F-1")
    asked: list[str] = []

    def solver(problem: Problem, before: Answer | None) -> Answer:
        asked.append(problem.states.locus.key)
        return solve_again(problem, before)

    genetics_book = book_with(book, solver)
    with pytest.raises(Cancelled):
        genetics_book.current(lambda: len(asked) == 2)
    assert len(asked) == 2 and genetics_book.ready() is None
    whole = genetics_book.current()
    assert sorted(asked) == sorted(set(asked)) and len(asked) == len(whole.herds["ball_python"].loci) == 4

    family.add("F-3", "Clown", dam="F-1")
    asked.clear()
    with pytest.raises(Cancelled):
        genetics_book.current(lambda: len(asked) == 1)
    assert genetics_book.ready() is whole
    # an act in between: nothing of a revision that is gone is used
    family.add("F-4", "Pastel", dam="F-2")
    found, fresh = genetics_book.current(), book_with(book, solve_again).current()
    assert list(found.herds["ball_python"].loci) == list(fresh.herds["ball_python"].loci)
    for key, view in found.herds["ball_python"].loci.items():
        other = fresh.herds["ball_python"].loci[key]
        np.testing.assert_allclose(view.answer.all_posteriors(), other.answer.all_posteriors(), atol=1e-12)
