"""Genetics that are stopped under way: what was done is not done again, and the answers are the same."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import numpy as np
import pytest

from coilbook.derived import genetics_book as genetics_book_module
from coilbook.derived.genetics_book import book_of, solve_again
from coilbook.genetics.inference import Cancelled
from coilbook.genetics.problem import Answer, Problem
from coilbook.storage.collection import Collection
from tests.derived.family import Family, book_with


def test_what_was_done_before_the_stop_is_kept_until_the_next_act(book: Collection) -> None:
    family = Family(book)
    family.add("F-1", "Pastel het clown")
    family.add("F-2", "Enchi Piebald", dam="F-1")
    asked: list[str] = []

    def solver(problem: Problem, before: Answer | None, cancelled: Callable[[], bool] = lambda: False) -> Answer:
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


class Tangled:
    """A solver for whom one locus takes as long as it is let."""

    def __init__(self, locus: str) -> None:
        self._locus, self.asked = locus, list[str]()
        self.begun, self.go_on = threading.Event(), threading.Event()

    def __call__(
        self, problem: Problem, before: Answer | None, cancelled: Callable[[], bool] = lambda: False
    ) -> Answer:
        self.asked.append(problem.states.locus.key)
        while problem.states.locus.key == self._locus and not self.go_on.wait(0.01):
            self.begun.set()
            if cancelled():
                raise Cancelled
        return solve_again(problem, before, cancelled)


def test_a_locus_that_takes_long_is_stopped_under_way_and_the_others_are_kept(book: Collection) -> None:
    family = Family(book)
    family.add("F-1", "Pastel het clown")
    family.add("F-2", "Enchi Piebald", dam="F-1")
    solver = Tangled("piebald")
    genetics_book = book_with(book, solver)
    end = time.monotonic() + 0.3
    with pytest.raises(Cancelled):
        genetics_book.current(lambda: time.monotonic() > end)
    solver.go_on.set()
    assert genetics_book.current().law(family.ids["F-2"], "piebald") is not None
    assert {key: solver.asked.count(key) for key in solver.asked} == dict.fromkeys(solver.asked, 1) | {"piebald": 2}


def test_inference_is_given_the_wish_to_stop(book: Collection) -> None:
    family = Family(book)
    family.add("F-1", "het clown")
    looks: list[bool] = []
    with pytest.raises(Cancelled):
        # the first look is the book's own, before the locus
        book_of(book).current(lambda: looks.append(True) or len(looks) > 1)
    assert len(looks) == 2


def test_an_act_is_not_held_up_by_numbers_that_take_long(book: Collection, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is followed at once only as long as that is quick; and its texts are read while others are computed."""
    # however slow the machine is, the book is taken for a quick one
    monkeypatch.setattr(genetics_book_module, "QUICK_S", 60.0)
    family = Family(book)
    family.add("F-1", "Pastel")
    solver = Tangled("clown")
    genetics_book = book_with(book, solver)
    genetics_book.current()
    family.add("F-2", "het clown", dam="F-1")
    began = time.monotonic()
    genetics_book.follow()
    assert time.monotonic() - began < 2
    assert solver.begun.is_set() and not genetics_book.is_current()

    worker = threading.Thread(target=genetics_book.current)
    solver.begun.clear()
    worker.start()
    try:
        assert solver.begun.wait(5)
        catalogue = genetics_book.catalogue_of(family.ids["F-2"])
        assert catalogue is not None
        assert genetics_book.reading_of("Enchi 66% het piebald", catalogue).statements
        genetics_book.follow()
        assert worker.is_alive()
    finally:
        solver.go_on.set()
        worker.join()
    assert genetics_book.is_current()
