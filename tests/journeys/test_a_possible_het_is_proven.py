"""Scenario S5 in the real window: D-12 is proven by two visual young, and every number that follows is there to see."""

from __future__ import annotations

import datetime as dt

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from coilbook.operations.departures import DepartureDetails, sell
from coilbook.operations.people import add_person
from coilbook.reads.lookup import animal_with_id
from coilbook.records.vocabulary import PersonRole
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.animals import AnimalsScreen
from coilbook.ui.screens.changed import ChangedScreen
from tests.derived.family import Family, s5
from tests.operations.conftest import Clock, Room

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier
YOUNG_24 = tuple(f"24-{egg}" for egg in range(1, 7))


@pytest.fixture
def family(room: Room) -> Family:
    """As it stood before 2025, with two of the young of 2024 sold."""
    found = Family(room.book)
    s5(found)
    buyers = [add_person(room.book, name=name, role=PersonRole.BUYER).value for name in ("Ida", "Bo")]
    for name, buyer in zip(("24-2", "24-5"), buyers, strict=True):
        sell(room.book, animal=found.ids[name], details=DepartureDetails(person=buyer))
    return found


class Keeper:
    """At the keyboard of the window."""

    def __init__(self, window: MainWindow) -> None:
        self.window = window

    @staticmethod
    def focus() -> QWidget:
        widget = QApplication.focusWidget()
        assert widget is not None, "the keyboard is nowhere"
        return widget

    def press(self, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(self.focus(), key, held)
        QApplication.processEvents()

    def page(self, name: str) -> AnimalScreen:
        """Open the page of an animal."""
        found = animal_with_id(self.window.desk.collection, name)
        assert found is not None
        self.window.desk.go_animal(found)
        QApplication.processEvents()
        screen = self.window.screen_open
        assert isinstance(screen, AnimalScreen)
        assert screen.page is not None
        assert screen.page.who.keeper_id == name
        return screen

    def gene(self, name: str, gene: str = "Piebald") -> tuple[str, str, str]:
        """What the page of an animal says of a gene: what it is, with evidence, on paper."""
        rows = {row.name: row for row in self.page(name).body.genes.list.rows}
        row = rows[gene]
        return str(row.what), f"{100 * (row.evidence or 0):.1f}", str(row.paper)

    def hatch(self, name: str, looks: str, dam: str, sire: str) -> None:
        """Enter a hatchling in the form of the list."""
        self.window.open_screen("animals")
        screen = self.window.screen_open
        assert isinstance(screen, AnimalsScreen)
        QTest.keyClick(self.window, Key.Key_N, CTRL)
        QApplication.processEvents()
        form = screen.acts.form
        assert form is not None
        for field, text in (
            ("keeper_id", name),
            ("genetics", looks),
            ("hatched", "2025-08-01"),
            ("dam", dam),
            ("sire", sire),
        ):
            editor = form.rows[field].editor
            editor.setFocus()
            assert isinstance(editor, QLineEdit)
            editor.selectAll()
            QTest.keyClicks(editor, text)
        self.press(Key.Key_Return)

    def choices(self) -> list[str]:
        notice = self.window.desk.notices.current
        assert notice is not None
        return [self.window.desk.render(choice.words) for choice in notice.choices]


def test_d12_is_proven_and_the_consequences_walk(window: MainWindow, family: Family, clock: Clock) -> None:
    clock.now = dt.datetime(2026, 3, 29, 20, 0, tzinfo=clock.now.tzinfo)
    keeper = Keeper(window)
    assert keeper.gene("D-12") == ("possible het", "66.7", "2/3")
    assert [keeper.gene(name)[1:] for name in YOUNG_24] == [("33.3", "1/3")] * 6
    keeper.hatch("25-1", "Piebald", "D-12", "M-15")
    # D-12 herself and the six of 2024; the two that are sold are counted
    assert keeper.choices() == ["7 animals changed, 2 sold"]
    QTest.keyClick(window, Key.Key_1, ALT)
    QApplication.processEvents()
    changed = window.screen_open
    assert isinstance(changed, ChangedScreen)
    shown = {m.keeper_id: (f"{100 * (m.before or 0):.1f}", f"{100 * (m.after or 0):.1f}") for m in changed.moved}
    assert shown == {"D-12": ("66.7", "100.0"), **dict.fromkeys(YOUNG_24, ("33.3", "50.0"))}
    assert {m.keeper_id: m.buyer for m in changed.moved if m.buyer} == {"24-2": "Ida", "24-5": "Bo"}
    QTest.keyClick(window, Key.Key_C, CTRL | Qt.KeyboardModifier.ShiftModifier)
    QApplication.processEvents()
    notes = QGuiApplication.clipboard().text()
    assert "To Ida: 24-2 went to you" in notes and "To Bo: 24-5 went to you" in notes
    assert notes.count("50% with everything known now, and 50% on paper") == 2
    for name, looks in (
        ("25-2", "Piebald"),
        ("25-3", "normal"),
        ("25-4", "normal"),
        ("25-5", "normal"),
        ("25-6", "normal"),
    ):
        keeper.hatch(name, looks, "D-12", "M-15")
    assert keeper.gene("D-12") == ("het", "100.0", "2/3")
    assert [keeper.gene(name)[1:] for name in YOUNG_24] == [("50.0", "1/2")] * 6
    assert [keeper.gene(f"25-{egg}")[1] for egg in (3, 4, 5, 6)] == ["100.0"] * 4
    assert keeper.gene("D-13") == ("possible het", "66.7", "2/3")
    page = keeper.page("D-12")
    page.body.to_genes()
    page.body.genes.list.go("piebald")
    row = page.body.genes.list.row
    assert row is not None
    assert str(row.rests_on) == "proven by 25-1"


def test_none_of_six_leaves_three_percent_and_the_card_says_both(window: MainWindow, family: Family) -> None:
    keeper = Keeper(window)
    keeper.page("D-12")
    for egg in range(1, 7):
        keeper.hatch(f"25-{egg}", "normal", "D-12", "M-15")
    assert keeper.gene("D-12") == ("possible het", "3.0", "2/3")
    assert [keeper.gene(name)[1:] for name in YOUNG_24] == [("1.5", "1/3")] * 6
    page = keeper.page("D-12")
    assert page.body.head.genetics.value == "Pastel 66% het piebald, 0 of 6 shown"
    page.body.to_genes()
    page.body.genes.list.go("piebald")
    content = page.margin_content()
    assert content.verdict == "Piebald: 3% with evidence"
    card = next(section for section in content.sections if section.heading == "The card will say")
    assert card.text.startswith("66% het piebald from parents; 0 of 6 shown")


def test_the_line_of_d05_rises_with_a_grandyoung_and_falls_again_with_undo(window: MainWindow, family: Family) -> None:
    keeper = Keeper(window)
    assert [keeper.gene(name)[1] for name in ("D-05", "D-20", "D-21", "D-22")] == ["50.0", "25.0", "25.0", "25.0"]
    keeper.hatch("25-9", "Piebald", "D-20", "M-15")
    assert [keeper.gene(name)[1] for name in ("D-05", "D-20", "D-21", "D-22")] == ["100.0", "100.0", "50.0", "50.0"]
    QTest.keyClick(window, Key.Key_Z, CTRL)
    QApplication.processEvents()
    assert [keeper.gene(name)[1] for name in ("D-05", "D-20", "D-21", "D-22")] == ["50.0", "25.0", "25.0", "25.0"]
