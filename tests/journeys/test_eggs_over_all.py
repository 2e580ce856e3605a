"""Lists over the whole collection: every open doubt is settled or put off by key, and what helped over all clutches."""

from __future__ import annotations

import datetime as dt

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from coilbook.operations.egg_boxes import BoxDetails, do_to_box, set_up_box
from coilbook.operations.eggs import move_eggs
from coilbook.operations.hatching import NewHatchling, make_hatchlings
from coilbook.reads.what_helped import what_helped
from coilbook.records.egg_vocabulary import DoubtKind, EggDeed, Outcome
from coilbook.records.ids import EggId
from coilbook.records.quantities import Mass
from tests.journeys.eggs_keeper import ENTER, ESC, TAB, Keeper, keeper, lay

__all__ = ["keeper"]
RIGHT, DOWN = Qt.Key.Key_Right, Qt.Key.Key_Down


def with_modifier(keeper: Keeper, key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
    QTest.keyClick(QApplication.focusWidget() or keeper.window, key, modifier)
    QApplication.processEvents()


def abouts(keeper: Keeper) -> list[tuple[str, str]]:
    return [(doubt.about, doubt.kind.value) for doubt in keeper.screen.overall.doubts.doubts]


def test_all_doubts_stand_in_one_list_and_are_settled_and_put_off_there(keeper: Keeper) -> None:
    lay(keeper)
    keeper.press("n", TAB, "80? 81", ENTER)
    keeper.press("y", RIGHT, RIGHT, RIGHT, RIGHT, TAB, "M-03", TAB, "het?", TAB, TAB, "his young", ENTER)
    keeper.press("j")
    assert keeper.screen.part == "doubts"
    assert sorted(abouts(keeper)) == [("C26-01-5", "fertile"), ("C26-02-1", "fertile"), ("M-03", "other")]
    assert keeper.screen.head._rest.text() == "3 open doubts in the collection"
    assert [n for n, b in keeper.screen.buttons.items() if b.isVisible()] == ["doubts", "put_off", "settle"]
    first = keeper.screen.overall.doubts.doubt
    assert first is not None and keeper.screen.margin_content().whose == first.about
    # no letter of the page of eggs judges anything from here
    keeper.press("x", "f", "5")
    assert keeper.book.read("SELECT count(*) FROM box_look") == [(0,)] and keeper.screen.room.form is None
    with_modifier(keeper, Qt.Key.Key_Z, Qt.KeyboardModifier.ShiftModifier)
    keeper.press(TAB, "12.5.2026", ENTER)
    assert keeper.book.read("SELECT look_again FROM doubt WHERE id = ?", (first.id,)) == [("2026-05-12",)]
    keeper.screen.overall.doubts.setFocus()
    second = keeper.screen.overall.doubts.doubt
    assert second is not None
    keeper.press("z", TAB, "good", TAB, "veins", ENTER)
    assert keeper.book.read("SELECT answer FROM doubt WHERE id = ?", (second.id,)) == [("good",)]
    assert second.about not in [about for about, _ in abouts(keeper)]
    keeper.press(ESC)
    assert keeper.screen.part == "eggs"


def test_enter_goes_to_the_egg_a_doubt_is_about(keeper: Keeper) -> None:
    lay(keeper)
    keeper.press("n", TAB, "80 81", ENTER)
    assert keeper.screen.at.box is not None and keeper.screen.at.box.id == 2
    keeper.press("j", ENTER)
    assert keeper.screen.part == "eggs"
    assert keeper.screen.at.box is not None and keeper.screen.at.box.id == 1
    assert keeper.screen.at.egg is not None and keeper.screen.at.egg.number == 5


def test_what_helped_over_all_clutches_with_what_hatched(keeper: Keeper) -> None:
    lay(keeper)
    keeper.press("2", "o", TAB, "dry swab", TAB, "mould", ENTER)
    keeper.day(5)
    keeper.press("2", "+", "3", "o", TAB, "Dry  swab", TAB, "mould", ENTER)
    keeper.day(7)
    keeper.press("3", "-", "4", "o", RIGHT, TAB, "powder", ENTER)
    keeper.day(57)
    make_hatchlings(keeper.book, young=[NewHatchling(egg=EggId(2), mass=Mass(600))])
    first, second = what_helped(keeper.book)
    assert (first.what, first.how, first.times, first.eggs, first.hatched, first.open) == (
        EggDeed.WIPED, "dry swab", 2, 2, 1, 1,
    )  # fmt: skip
    assert first.came_of == ((Outcome.BETTER, 1), (Outcome.WORSE, 1)) and first.whys == ("mould",)
    assert (first.since, first.last, first.labels) == ("2026-03-31", "2026-04-05", ("C26-01",))
    assert (second.what, second.how, second.open) == (EggDeed.TREATED, "powder", 1)
    keeper.window.open_screen("eggs")
    with_modifier(keeper, Qt.Key.Key_J, Qt.KeyboardModifier.ControlModifier)
    assert keeper.screen.part == "helped"
    table = keeper.screen.overall.helped
    told = [str(table.model().index(0, column).data()) for column in range(6)]
    assert "90%" in str(table.model().headerData(4, Qt.Orientation.Horizontal))
    # of one egg whose end is known one hatched: 27 to 100%, worked by hand with z = 1.645: 1 / (1 + 2.706)
    assert told == [
        "wiped",
        "dry swab",
        "2",
        "1 better, 1 worse",
        "1 of 1, 27\u2013100%; 1 to come",
        "C26-01",
    ]
    assert "not against eggs left alone" in keeper.screen.margin_content().rests_on
    keeper.press(ESC)
    assert keeper.screen.part == "eggs"


def test_what_is_done_to_a_box_is_done_to_the_eggs_in_it(keeper: Keeper) -> None:
    lay(keeper)
    keeper.press("o", ENTER)
    (way,) = what_helped(keeper.book)
    assert (way.what, way.eggs, way.open) == (EggDeed.VENTED, 8, 8) and way.range() is None


def test_what_is_done_to_a_box_is_done_to_the_eggs_that_lay_in_it_then(keeper: Keeper) -> None:
    lay(keeper)
    other = set_up_box(keeper.book, details=BoxDetails(label="EB-20")).value
    keeper.day(2)
    keeper.press("o", ENTER)
    move_eggs(keeper.book, eggs=[EggId(1), EggId(2)], box=other)
    keeper.day(4)
    do_to_box(keeper.book, box=other, what=EggDeed.VENTED, how="lid off")
    open_lid, vented = sorted(what_helped(keeper.book), key=lambda way: way.eggs)
    assert (open_lid.how, open_lid.eggs, vented.eggs) == ("lid off", 2, 8)


def test_a_doubt_of_an_animal_needs_no_egg(keeper: Keeper) -> None:
    keeper.press("y", RIGHT, TAB, "F-014", TAB, "clown?", ENTER)
    (row,) = keeper.book.read("SELECT kind, question, egg_id, box_id, animal_id FROM doubt")
    assert row[0] == DoubtKind.GENE.value and row[1] == "clown?" and row[2:4] == (None, None) and row[4] is not None
    assert keeper.clock.now.date() == dt.date(2026, 3, 31)
