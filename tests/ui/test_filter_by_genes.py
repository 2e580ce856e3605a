"""The filter of the list by odds: "carries piebald", "may carry piebald"."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from coilbook.operations.finding_typed import enter_typed
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animals import AnimalsScreen
from tests.derived.family import Family, s5
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow


@pytest.fixture
def family(room: Room) -> Family:
    found = Family(room.book)
    s5(found)
    return found


@pytest.fixture
def window(make_window: MakeWindow, family: Family) -> MainWindow:
    return make_window(AnimalsScreen)


def left_by(window: MainWindow, text: str) -> set[str]:
    screen = window.screen_open
    assert isinstance(screen, AnimalsScreen)
    screen.filter_text(text)
    QApplication.processEvents()
    rows = [screen.model.row(number) for number in range(screen.model.rowCount())]
    return {row.keeper_id for row in rows if row is not None}


def test_who_carries_and_who_may_by_the_odds_not_by_the_label(window: MainWindow, family: Family) -> None:
    # D-12 and D-13 are written "Pastel" and "normal": what they may carry follows from their parents alone
    assert left_by(window, "carries piebald") == {"S-01", "T-01", "M-15"}
    may = left_by(window, "may carry piebald")
    assert {"D-12", "D-13", "D-05", "D-20"} <= may and "M-15" not in may and "M-40" not in may
    assert left_by(window, "not carries piebald") & may == may


def test_the_filter_follows_a_finding(window: MainWindow, family: Family) -> None:
    assert "D-12" not in left_by(window, "carries piebald")
    window.desk.run(enter_typed, animal=family.ids["D-12"], text="proven piebald")
    QApplication.processEvents()
    assert "D-12" in left_by(window, "carries piebald")


def test_the_line_goes_on_with_names_of_genes_those_of_the_animals_here_first(
    window: MainWindow, family: Family, qtbot: QtBot
) -> None:
    window.open_screen("animals")
    window.search.begin()
    field = window.line.field
    qtbot.keyClicks(field, "carr")
    qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert field.text() == "carries "
    QApplication.processEvents()
    screen = window.screen_open
    assert isinstance(screen, AnimalsScreen)
    assert screen.complete("carries ")[:2] == ("carries pastel", "carries piebald")
    qtbot.keyClicks(field, "pie")
    qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert field.text() == "carries piebald"
    assert screen.complete("may carry yellow")[0] == "may carry yellow belly"
    assert screen.complete("female may carry cl") == ("female may carry clown",)
    # what was half typed when the odds came is understood with them
    assert [term.understood for term in screen.terms(field.text())] == [True]


def test_a_word_that_is_no_gene_is_told(window: MainWindow, family: Family) -> None:
    assert left_by(window, "carries piebald")
    assert left_by(window, "carries zebra ") == set()
    screen = window.screen_open
    assert isinstance(screen, AnimalsScreen) and screen._left is not None
    assert "no gene of the catalogue" in str(screen._left.messages[0].text)
