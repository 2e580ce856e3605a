"""Scenario S5: who else changed when D-12 was proven, who of them is sold, and the note to the buyer."""

from __future__ import annotations

import pytest

from coilbook.derived.genetics_book import book_of
from coilbook.operations.departures import DepartureDetails, sell
from coilbook.operations.finding_typed import enter_typed
from coilbook.operations.people import add_person
from coilbook.reads.consequences import Moved, consequences
from coilbook.records.vocabulary import PersonRole
from coilbook.storage.collection import Collection
from tests.derived.family import Family, book_with, s5


@pytest.fixture
def family(book: Collection) -> Family:
    found = Family(book)
    s5(found)
    return found


def moves(moved: tuple[Moved, ...]) -> dict[str, tuple[float, float, str, str]]:
    return {
        m.keeper_id: (
            round(100 * (m.before or 0), 1),
            round(100 * (m.after or 0), 1),
            str(m.paper_before),
            str(m.paper_after),
        )
        for m in moved
    }


def test_who_changed_and_who_of_them_is_sold(family: Family) -> None:
    buyer = add_person(family.book, name="Ida", role=PersonRole.BUYER).value
    for name in ("24-2", "24-5"):
        sell(family.book, animal=family.ids[name], details=DepartureDetails(person=buyer))
    kept = book_with(family.book)
    kept.current()
    family.young("25-1 25-2", "Piebald", dam="D-12", sire="M-15")
    act = family.book.read_one("SELECT max(id) FROM act")
    after = kept.current()
    step = kept.step_of(int(act[0]))  # type: ignore[index]
    assert step is not None
    assert step[1] is after
    found = consequences(family.book, *step, besides=[family.ids["D-12"]])
    assert moves(found) == {f"24-{egg}": (33.3, 50.0, "1/3", "1/2") for egg in range(1, 7)}
    sold = {m.keeper_id: m.buyer for m in found if m.status == "sold"}
    assert sold == {"24-2": "Ida", "24-5": "Ida"}
    (note,) = [m.note for m in found if m.keeper_id == "24-2"]
    assert "To Ida: 24-2 went to you on" in str(note)
    assert "it is 50% with everything known now, and 50% on paper" in str(note)
    assert [m.note for m in found if m.status == "here"] == [None] * 4


def test_none_of_six_lowers_them(family: Family) -> None:
    kept = book_with(family.book)
    before = kept.current()
    family.young("25-1 25-2 25-3 25-4 25-5 25-6", "normal", dam="D-12", sire="M-15")
    found = consequences(family.book, before, kept.current())
    assert moves(found)["D-12"] == (66.7, 3.0, "2/3", "2/3")
    assert moves(found)["24-1"] == (33.3, 1.5, "1/3", "1/3")
    assert "D-13" not in moves(found)


def test_an_act_that_says_nothing_of_genes_has_no_consequences(family: Family) -> None:
    kept = book_with(family.book)
    before = kept.current()
    sell(family.book, animal=family.ids["24-2"])
    after = kept.current()
    assert consequences(family.book, before, after) == ()
    assert all(
        after.herds["ball_python"].loci[k].answer is v.answer for k, v in before.herds["ball_python"].loci.items()
    )


def test_the_first_animal_of_a_gene_moves_its_family(book: Collection) -> None:
    """Nobody in the book had clown; a Clown hatches. By Mendel: both parents carry, a normal sib with 2 in 3."""
    family = Family(book)
    family.add("F-1", "normal")
    family.add("M-1", "normal")
    family.add("J-1", "normal", dam="F-1", sire="M-1")
    sell(book, animal=family.ids["J-1"])
    kept = book_with(book)
    before = kept.current()
    family.add("J-2", "Clown", dam="F-1", sire="M-1")
    after = kept.current()
    expected = {
        "F-1": (0.0, 100.0, "0", "0"),
        "M-1": (0.0, 100.0, "0", "0"),
        "J-1": (0.0, 66.7, "0", "2/3"),
    }
    assert moves(consequences(book, before, after)) == expected
    backwards = moves(consequences(book, after, before))
    assert {name: (b, a) for name, (a, b, _, _) in backwards.items()} == {
        n: (a, b) for n, (a, b, _, _) in expected.items()
    }


def test_a_note_says_100_only_of_what_is_sure(family: Family) -> None:
    """2/3, and a test that is wrong once in 1,000: 2 x 0.999 : 0.0005 is 99.97%, and no proof."""
    family.add("F-1", "66% het clown")
    before = book_of(family.book).current()
    enter_typed(family.book, animal=family.ids["F-1"], text="test clown 1 0.1%")
    sell(family.book, animal=family.ids["F-1"])
    (moved,) = consequences(family.book, before, book_of(family.book).current())
    assert moved.after == pytest.approx(2 * 0.999 / (2 * 0.999 + 0.0005))
    assert "it is >99% with everything known now" in str(moved.note)
