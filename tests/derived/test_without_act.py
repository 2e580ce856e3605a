"""Today's odds without one act of any day: what would be known if it had never been entered."""

from __future__ import annotations

import pytest

from coilbook.derived.genetics_book import GeneticsBook, solve_again
from coilbook.derived.genetics_without import without_and_with
from coilbook.genetics.inference import Cancelled
from coilbook.genetics.locus import Inheritance
from coilbook.operations.animals import AnimalDetails, edit_animal, set_parents
from coilbook.operations.catalogue import add_gene, correct_gene
from coilbook.operations.departures import DepartureDetails, sell
from coilbook.operations.finding_typed import enter_typed
from coilbook.operations.findings import retract_finding
from coilbook.operations.people import add_person
from coilbook.operations.undo import undo_act
from coilbook.reads.consequences import Moved
from coilbook.reads.genetics_changed import changed_by, changed_without
from coilbook.reads.history import changed_rows, last_act_on, may_move_odds
from coilbook.records.ids import ActId, FindingId
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import PersonRole
from coilbook.storage.collection import Collection
from tests.derived.family import Family, percents, s5
from tests.derived.random_acts import RandomActs
from tests.derived.test_kept_is_rebuilt import LOCI, told
from tests.operations.conftest import Clock


@pytest.fixture
def family(book: Collection) -> Family:
    found = Family(book)
    s5(found)
    return found


def newest(book: Collection) -> ActId:
    row = book.read_one("SELECT max(id) FROM act")
    assert row is not None
    return ActId(int(row[0]))


def moves(moved: tuple[Moved, ...]) -> dict[str, tuple[float, float]]:
    return {m.keeper_id: (round(100 * (m.before or 0), 1), round(100 * (m.after or 0), 1)) for m in moved}


def test_a_proof_of_long_ago_still_tells_whom_it_moved(family: Family, clock: Clock) -> None:
    """S5: D-12 proven moves her six of 2024 from 1/3 to 1/2, whatever was entered since."""
    book = family.book
    buyer = add_person(book, name="Ida", role=PersonRole.BUYER).value
    sell(book, animal=family.ids["24-2"], details=DepartureDetails(person=buyer))
    clock.pass_(days=3)
    enter_typed(book, animal=family.ids["D-12"], text="proven piebald")
    act = newest(book)
    clock.pass_(days=3)
    for number in range(8):
        edit_animal(book, animal=family.ids["D-05"], details=AnimalDetails(name=f"name {number}"))
    sell(book, animal=family.ids["24-3"], details=DepartureDetails(person=buyer))
    assert changed_by(book, act) == ()
    found = changed_without(book, act)
    assert moves(found) == {f"24-{egg}": (33.3, 50.0) for egg in range(1, 7)}
    # who was sold when it was known already gets no note
    assert [m.keeper_id for m in found if m.note is not None] == ["24-2"]
    assert {m.keeper_id for m in found if m.status == "sold"} == {"24-2", "24-3"}


def test_what_was_corrected_or_taken_back_since_moves_nobody(family: Family) -> None:
    book, d12 = family.book, family.ids["D-12"]
    finding = enter_typed(book, animal=d12, text="proven piebald").value
    act = newest(book)
    retract_finding(book, finding=FindingId(finding), why="another animal")
    retracted = newest(book)
    assert changed_without(book, act) == ()
    # the withdrawal is what holds the numbers down: without it the proof would stand
    assert moves(changed_without(book, retracted)) == {f"24-{egg}": (50.0, 33.3) for egg in range(1, 7)}
    undo_act(book, act=retracted)
    assert changed_without(book, retracted) == ()
    assert len(changed_without(book, act)) == 6


def test_corrected_looks_and_parents_are_compared_too(family: Family) -> None:
    book = family.book
    edit_animal(book, animal=family.ids["24-1"], details=AnimalDetails(genetics="Piebald"))
    looked = newest(book)
    # M-40 and D-12 both carry then: her other five have 2 in 3 by Mendel. D-05 (2 in 3 by her parents) has three normal
    # ones by him: 2/3 (3/4)^3 : 1/3 = 54 : 64; each of these has 54/118 2/3 + 64/118 1/2 = 57.6%
    five = {f"24-{n}": (33.3, 66.7) for n in range(2, 7)}
    line = {"D-05": (50.0, 45.8), "D-20": (25.0, 57.6), "D-21": (25.0, 57.6), "D-22": (25.0, 57.6)}
    assert moves(changed_without(book, looked)) == {"D-12": (66.7, 100.0), "M-40": (0.0, 100.0), **five, **line}
    set_parents(book, animal=family.ids["24-1"], dam=family.ids["D-12"], sires={family.ids["M-15"]: 100})
    moved = newest(book)
    without, after = without_and_with(book, moved, lambda: False)
    assert percents(without, family.ids, "piebald", "M-40", "24-2") == [100.0, 66.7]
    assert percents(after, family.ids, "piebald", "M-40", "24-2") == [0.0, 50.0]
    # a look written over since stands, with the act that came before it or without
    edit_animal(book, animal=family.ids["24-1"], details=AnimalDetails(genetics="normal"))
    assert changed_without(book, looked) == ()


def test_an_act_that_is_not_there_is_refused_and_a_stop_is_heard(family: Family) -> None:
    with pytest.raises(Refusal):
        changed_without(family.book, ActId(10_000))
    with pytest.raises(Cancelled):
        changed_without(family.book, newest(family.book), lambda: True)


def test_which_acts_are_worth_asking(family: Family) -> None:
    book, d12 = family.book, family.ids["D-12"]
    enter_typed(book, animal=d12, text="proven piebald")
    act = newest(book)
    assert may_move_odds(changed_rows(book, act))
    row = book.read_one("SELECT max(id) FROM finding")
    assert row is not None and last_act_on(book, "finding", int(row[0])) == act
    edit_animal(book, animal=d12, details=AnimalDetails(name="Willow"))
    assert not may_move_odds(changed_rows(book, newest(book)))
    sell(book, animal=d12)
    assert not may_move_odds(changed_rows(book, newest(book)))


@pytest.mark.parametrize("loci", LOCI, ids=" and ".join)
def test_without_the_newest_act_the_book_is_as_it_was(book: Collection, loci: tuple[str, ...]) -> None:
    """Every number of every animal, after any act, an undo among them."""
    keeper = RandomActs(book, 7, loci)
    for _ in range(25):
        acts, before = newest(book), told(GeneticsBook(book, solve_again).current())
        done = keeper.step()
        if newest(book) == acts:
            continue
        without, now = without_and_with(book, newest(book), lambda: False)
        assert told(without) == before, done
        assert told(now) == told(GeneticsBook(book, solve_again).current()), done


def test_what_a_corrected_gene_moved_is_told_too(book: Collection) -> None:
    """A Lantern young of an Enchi has Enchi with 1 in 2 (Mendel), once Lantern is said to hide it."""
    family = Family(book)
    add_gene(book, name="Lantern", inheritance=Inheritance.INCOMPLETE_DOMINANT)
    family.add("F-1", "Enchi")
    family.add("M-1", "Lantern")
    family.add("J-1", "Lantern", dam="F-1", sire="M-1")
    correct_gene(book, gene="lantern", changes={"hides": ["enchi"]})
    act = newest(book)
    edit_animal(book, animal=family.ids["F-1"], details=AnimalDetails(name="Willow"))
    assert may_move_odds(changed_rows(book, act))
    assert moves(changed_without(book, act)) == {"J-1": (0.0, 50.0)}
