"""The filter of the list by odds: "carries piebald", "may carry piebald"."""

from __future__ import annotations

from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from coilbook.derived import genetics_book
from coilbook.derived.genetics_book import book_of
from coilbook.genetics.inference import solve, weighing
from coilbook.operations.finding_typed import enter_typed
from coilbook.reads.genetics_carriers import carriers_of, genes_in_play
from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.records.changes import Changes
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animals import AnimalsScreen
from coilbook.ui.screens.genes import GenesScreen
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


def sentence(window: MainWindow) -> str:
    screen = window.screen_open
    assert isinstance(screen, AnimalsScreen)
    return screen.rest.text()


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


def test_odds_that_weigh_sires_by_one_gene_alone_are_told_of_the_filter_and_the_catalogue(
    make_window: MakeWindow, room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The daughter is Pastel by M-1 alone, and so surely het clown; beyond the limit that is not counted, and said."""
    family = Family(room.book)
    family.add("F-1", "normal")
    family.add("M-1", "Pastel Clown")
    family.add("M-2", "normal")
    family.add("J-1", "Pastel", dam="F-1", sire={"M-1": 50, "M-2": 50})
    window = make_window(AnimalsScreen, GenesScreen)
    assert left_by(window, "carries clown") == {"M-1", "J-1"} and "by this gene" not in sentence(window)
    monkeypatch.setattr(weighing, "MOST_COMBINATIONS", 1)
    book_of(room.book).forget()
    family.add("F-9", "normal")  # an act: the filter asks for the odds of now
    window.screen_open.refresh(Changes(everything=True))
    told = "(1 judged by this gene alone: too many possible sires)"
    assert left_by(window, "carries clown") == {"M-1"} and sentence(window).endswith(f"carries clown leaves 1 {told}")
    assert left_by(window, "may carry clown") == {"J-1"} and told in sentence(window)
    assert "J-1" in left_by(window, "not carries clown") and told in sentence(window)
    assert left_by(window, "male may carry clown") == set() and "by this gene" not in sentence(window)
    assert left_by(window, "may carry clown or carries piebald") == {"J-1"} and told in sentence(window)
    window.open_screen("genes", gene="clown")
    screen = window.screen_open
    assert isinstance(screen, GenesScreen) and screen.row is not None
    assert (screen.row.carry, screen.row.may, screen.row.by_gene) == (1, 1, 1)
    assert screen.model.look(screen.model.number_of(screen.row.kind, "clown"), 7).text == "1 (≈1)"
    sections = {section.heading: section.text for section in screen.margin_content().sections}
    assert sections["1 that may: its possible sires"] == str(SIRES_BY_GENE)
    [gene] = [one for one in genes_in_play(room.book) if one.key == "clown"]
    assert (gene.sure, gene.possible, gene.sires_by_gene) == (1, 1, 1)
    assert {one.keeper_id: one.sires_by_gene for one in carriers_of(room.book, "clown")} == {"M-1": False, "J-1": True}


def test_drawn_odds_are_told_of_the_filter(
    make_window: MakeWindow, room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A family over the width that is counted exactly, the limit set low."""
    family = Family(room.book)
    family.add("F-1", "66% het clown")
    family.add("M-1", "66% het clown")
    for number in range(3):
        family.add(f"D-{number}", "normal", dam="F-1", sire="M-1")
    window = make_window(AnimalsScreen, GenesScreen)
    assert "D-0" in left_by(window, "may carry clown") and "drawn" not in sentence(window)
    monkeypatch.setattr(genetics_book, "solve", partial(solve, width_limit=4))
    book_of(room.book).forget()
    window.screen_open.refresh(Changes(everything=True))
    assert len(left_by(window, "may carry clown")) == 5 and "(5 by drawn odds, not exact)" in sentence(window)
    window.open_screen("genes", gene="clown")
    screen = window.screen_open
    assert isinstance(screen, GenesScreen) and screen.row is not None and screen.row.drawn == 5
    assert any("drawn" in section.heading for section in screen.margin_content().sections)
