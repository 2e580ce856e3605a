"""Who else changed by an act of any day: asked from History and from an animal's timeline, through the window."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from coilbook.operations.animals import AnimalDetails, edit_animal
from coilbook.operations.departures import DepartureDetails, sell
from coilbook.operations.finding_typed import enter_typed
from coilbook.operations.people import add_person
from coilbook.records.vocabulary import PersonRole
from coilbook.ui.background import Background
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.changed import ChangedScreen
from coilbook.ui.screens.history import HistoryScreen
from tests.derived.family import Family, s5
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow


@pytest.fixture
def family(room: Room) -> Family:
    """S5 with D-12 proven some time ago, two of her young sold before."""
    found = Family(room.book)
    s5(found)
    buyer = add_person(room.book, name="Ida", role=PersonRole.BUYER).value
    for name in ("24-2", "24-5"):
        sell(room.book, animal=found.ids[name], details=DepartureDetails(person=buyer))
    room.clock.pass_(days=2)
    enter_typed(room.book, animal=found.ids["D-12"], text="proven piebald")
    for number in range(6):
        room.clock.pass_(days=2)
        edit_animal(room.book, animal=found.ids["D-05"], details=AnimalDetails(name=f"name {number}"))
    return found


@pytest.fixture
def window(make_window: MakeWindow, family: Family) -> MainWindow:
    return make_window(AnimalScreen, HistoryScreen, ChangedScreen)


def press(qtbot: QtBot, key: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    widget = QApplication.focusWidget()
    assert widget is not None
    qtbot.keyClick(widget, key, modifiers)
    QApplication.processEvents()


def shown(window: MainWindow) -> ChangedScreen:
    screen = window.screen_open
    assert isinstance(screen, ChangedScreen)
    return screen


def rows(screen: ChangedScreen) -> dict[str, tuple[str, str]]:
    look = screen.model.look
    return {look(n, 0).text: (look(n, 2).text, look(n, 3).text) for n in range(screen.model.rowCount())}


def test_history_tells_whom_an_act_of_long_ago_moved(window: MainWindow, family: Family, qtbot: QtBot) -> None:
    window.open_screen("history", animal=family.ids["D-12"])
    history = window.screen_open
    assert isinstance(history, HistoryScreen)
    assert "proven" in str(history.model.index(0, 2).data())
    assert history.margin_content().links[0].words.startswith("Who else changed by this")
    press(qtbot, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    screen = shown(window)
    assert rows(screen) == {f"24-{egg}": ("33%", "50%") for egg in range(1, 7)}
    heads = [screen.model.headerData(n, Qt.Orientation.Horizontal) for n in (2, 3)]
    assert heads == ["without", "with it"]
    assert screen.sentence.text().startswith("Everything known today, without this act and with it: D-12")
    content = screen.margin_content()
    assert "Both numbers are of today" in str(content.rests_on)
    assert screen.notes_button.isEnabled()
    screen.copy_all()
    copied = QApplication.clipboard().text()
    assert copied.count("To Ida:") == 2
    press(qtbot, Qt.Key.Key_Escape)
    assert window.screen_open is history


def test_an_act_that_moves_no_odds_offers_nothing(window: MainWindow, family: Family, qtbot: QtBot) -> None:
    window.open_screen("history", animal=family.ids["D-05"])
    history = window.screen_open
    assert isinstance(history, HistoryScreen)
    assert [link.words for link in history.margin_content().links] == ["Take this back"]
    press(qtbot, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert window.screen_open is history


def test_the_timeline_asks_by_its_entry(window: MainWindow, family: Family, qtbot: QtBot) -> None:
    window.desk.go_animal(family.ids["D-12"])
    page = window.screen_open
    assert isinstance(page, AnimalScreen)
    entry = next(e for e in page.body.timeline.shown if e.table == "finding")
    page.body.timeline.focus_entry(entry.table, entry.row)
    page.body.timeline.to_list()
    QApplication.processEvents()
    assert "Who else changed by this" in [link.words for link in page.margin_content().links]
    press(qtbot, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert set(rows(shown(window))) == {f"24-{egg}" for egg in range(1, 7)}


def test_nobody_is_said_with_the_reason(window: MainWindow, family: Family) -> None:
    enter_typed(window.desk.collection, animal=family.ids["M-15"], text="proven piebald")
    row = window.desk.collection.read_one("SELECT max(id) FROM act")
    assert row is not None
    window.open_screen("changed", act=row[0])
    screen = shown(window)
    assert screen.stack.currentWidget() is screen.empty
    assert screen.empty.title.text() == "Nobody else's odds rest on it"
    assert not screen.notes_button.isEnabled()
    window.open_screen("changed", moved=())
    assert screen.empty.title.text() == "Nobody else changed"
    window.open_screen("changed", act=row[0])
    assert screen.sentence.isVisible() and "M-15" in screen.sentence.text()


def test_it_is_worked_out_beside_the_window_and_leaving_stops_it(
    make_window: MakeWindow, family: Family, qtbot: QtBot
) -> None:
    window = make_window(HistoryScreen, ChangedScreen)
    row = family.book.read_one("SELECT max(act) FROM change WHERE tbl = 'finding'")
    assert row is not None
    background = Background(window)
    window.desk.background = background
    window.open_screen("changed", act=row[0])
    qtbot.waitUntil(lambda: isinstance(window.screen_open, ChangedScreen), timeout=20_000)
    screen = shown(window)
    assert screen.empty.title.text() == "Working it out" and not rows(screen)
    (job,) = background.jobs
    window.open_screen("history")
    assert job.stopped.is_set()
    window.open_screen("changed", act=row[0])
    qtbot.waitUntil(lambda: len(rows(screen)) == 6, timeout=20_000)
    qtbot.waitUntil(lambda: not background.busy, timeout=20_000)
    assert len(rows(screen)) == 6
