"""Hatching through the window: what was helped, not right, twins, and the time of one step of one egg."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from coilbook.operations.undo import undo_last
from coilbook.reads.timeline_eggs import EGG_TELL
from coilbook.wording.texts import render
from tests.journeys.eggs_keeper import ENTER, TAB, Keeper, keeper

__all__ = ["keeper"]
RIGHT = Qt.Key.Key_Right


def test_a_whole_clutch_with_helped_navels_defects_and_twins(keeper: Keeper) -> None:
    keeper.press("n", "F-014", TAB, "80 81 82 83", ENTER)
    keeper.day(57)
    keeper.press("h", "61 58m x 4a:28 4b:30", TAB, TAB, "4 Clown", TAB, TAB, RIGHT, TAB, "2 open; 4b yolk", TAB, "1 4a")
    keeper.press(TAB, "4b small; 1 kinked tail", ENTER)
    sql = (
        "SELECT a.keeper_id, a.genetics, h.navel, h.defects, x.assisted FROM hatchling h"
        " JOIN animal a ON a.id = h.animal_id"
        " JOIN hatching x ON x.egg_id = h.egg_id AND x.twin = h.twin ORDER BY a.keeper_id"
    )
    assert keeper.book.read(sql) == [
        ("C26-01-1", "", "closed", "kinked tail", 1),
        ("C26-01-2", "", "open", "", 0),
        ("C26-01-4a", "Clown", "closed", "", 1),
        ("C26-01-4b", "Clown", "yolk", "small", 0),
    ]
    assert [egg.state.value for egg in keeper.box().eggs] == ["hatched", "hatched", "dead_in_shell", "hatched"]
    row = {"number": 2, "twin": "", "label": "C26-01", "navel": "open", "defects": "", "note": ""}
    assert [render(part) for part in EGG_TELL["hatchling"](row)[1]][1] == "navel open"
    undo_last(keeper.book)
    assert keeper.book.read("SELECT count(*) FROM hatchling") == [(0,)]


def test_a_word_for_an_egg_that_is_not_out_is_refused_in_the_form(keeper: Keeper) -> None:
    keeper.press("n", "F-014", TAB, "80 81", ENTER)
    keeper.day(57)
    for field, text in (("defects", "2 small"), ("navels", "1 blue"), ("assisted", "7")):
        keeper.press("h", "61")
        form = keeper.screen.room.form
        assert form is not None
        form.set_text(field, text)
        keeper.press(ENTER)
        assert keeper.screen.room.form is not None and keeper.book.read("SELECT count(*) FROM hatchling") == [(0,)]
        keeper.press(Qt.Key.Key_Escape)
        keeper.screen.room.close_form()


def test_with_no_egg_left_to_hatch_there_is_a_sentence_and_no_form(keeper: Keeper) -> None:
    keeper.press("n", "F-014", TAB, "80 81", ENTER)
    keeper.day(57)
    keeper.press("h", "61 x", ENTER)
    assert keeper.book.read("SELECT count(*) FROM hatchling") == [(1,)]
    keeper.press("h")
    told = keeper.screen.desk.notices.current
    assert keeper.screen.room.form is None and told is not None
    assert render(told.message) == "No egg of C26-01 is still to hatch."


def test_one_step_of_one_egg_with_its_exact_time_and_help(keeper: Keeper) -> None:
    keeper.press("n", "F-014", TAB, "80 81", ENTER)
    keeper.day(57)
    keeper.press("1")
    QTest.keyClick(QApplication.focusWidget() or keeper.window, Qt.Key.Key_P, Qt.KeyboardModifier.ShiftModifier)
    QApplication.processEvents()
    keeper.press(TAB, "06:40", TAB, RIGHT, TAB, RIGHT, TAB, RIGHT, ENTER)
    sql = "SELECT twin, event, at, not_yet_at, assisted FROM hatching"
    assert keeper.book.read(sql) == [("a", "pip", "2026-05-27T06:40", None, 1)]
    assert "egg 1a: pipped, assisted" in keeper.screen.page.story.accessibleDescription()
