"""The scanner in the real window, key by key through the window system: it is heard anywhere and types nowhere, and
what a person types arrives whole, in order, and reaches fields, buttons and shortcuts as ever."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton, QVBoxLayout
from pytestqt.qtbot import QtBot

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.reads.codes import code_of
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import CodeKind, Sex
from coilbook.scanning.layouts import Keyboard, Pairing, code_readings
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screen import Screen
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow
from tests.ui.frame_screens import PageScreen
from tests.unit.scanning.scrambled import typed_as

#: a person's keys are at least so far apart here, in ms
HUMAN_MS = 70


class TypingScreen(Screen):
    """A field, a button, a letter that is a shortcut and one that is Enter's."""

    key, title = "typing", "Typing"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.did: list[str] = []
        self.field = QLineEdit()
        self.button = QPushButton("Press")
        self.button.clicked.connect(lambda: self.did.append("pressed"))
        column = QVBoxLayout(self)
        column.addWidget(self.field)
        column.addWidget(self.button)
        self.own = [
            Command("taken", "Taken", lambda: self.did.append("T"), "T", screen=self.key),
            Command("enter", "Log", lambda: self.did.append("Enter"), "Return", screen=self.key),
            Command("save", "Save", lambda: self.did.append("save"), "Ctrl+S", screen=self.key),
        ]

    def commands(self) -> list[Command]:
        return self.own


@pytest.fixture
def window(make_window: MakeWindow) -> MainWindow:
    return make_window(TypingScreen, PageScreen)


def _screen(window: MainWindow) -> TypingScreen:
    screen = window.made("typing")
    assert isinstance(screen, TypingScreen)
    return screen


def _keys(window: MainWindow, text: str, delay: int = 0) -> None:
    """Send characters to the window as the window system does."""
    for char in text:
        if delay:
            QTest.qWait(delay)
        if char == "\r":
            QTest.keyClick(window.windowHandle(), Qt.Key.Key_Return)
        else:
            QTest.keyClick(window.windowHandle(), char)


def _card(room: Room, animal: AnimalId) -> str:
    code = code_of(room.book, CodeKind.ANIMAL, animal)
    assert code is not None
    return code.text


def _animal_open(window: MainWindow) -> AnimalId | None:
    page = window.screen_open
    return page.animal if isinstance(page, PageScreen) else None


@pytest.mark.parametrize("end", ["\r", ""])
def test_a_scan_is_heard_in_a_field_and_types_nothing(window: MainWindow, room: Room, qtbot: QtBot, end: str) -> None:
    field = _screen(window).field
    field.setFocus()
    _keys(window, _card(room, room.female) + end)
    qtbot.waitUntil(lambda: _animal_open(window) == room.female)
    assert field.text() == "" and _screen(window).did == []


def test_a_scan_over_letter_shortcuts_runs_none_of_them(window: MainWindow, room: Room, qtbot: QtBot) -> None:
    window.setFocus()
    _keys(window, "HTTPS://EXAMPLE.ORG/T/" + _card(room, room.male) + "\r")
    qtbot.waitUntil(lambda: _animal_open(window) == room.male)
    assert _screen(window).did == []


def test_typing_arrives_whole_and_in_order(window: MainWindow, qtbot: QtBot) -> None:
    field = _screen(window).field
    field.setFocus()
    _keys(window, "Taken 12", HUMAN_MS)
    qtbot.waitUntil(lambda: field.text() == "Taken 12")
    assert _screen(window).did == [], "a field that wants the letter keeps it from the shortcut"


def test_a_rolled_pair_of_keys_is_not_lost(window: MainWindow, qtbot: QtBot) -> None:
    field = _screen(window).field
    field.setFocus()
    _keys(window, "th")
    qtbot.waitUntil(lambda: field.text() == "th")


def test_a_letter_on_the_page_is_its_shortcut(window: MainWindow, qtbot: QtBot) -> None:
    window.setFocus()
    _keys(window, "t")
    qtbot.waitUntil(lambda: _screen(window).did == ["T"])


def test_enter_alone_and_control_keys_are_as_ever(window: MainWindow, qtbot: QtBot) -> None:
    window.setFocus()
    _keys(window, "\r")
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert _screen(window).did == ["Enter", "save"]


def test_a_letter_and_enter_quickly_after_it_keep_their_order(window: MainWindow, qtbot: QtBot) -> None:
    window.setFocus()
    _keys(window, "t\r")
    qtbot.waitUntil(lambda: _screen(window).did == ["T", "Enter"])


def test_an_arrow_settles_what_was_typed_before_it(window: MainWindow, qtbot: QtBot) -> None:
    field = _screen(window).field
    field.setFocus()
    _keys(window, "ab")
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_Left)
    _keys(window, "c")
    qtbot.waitUntil(lambda: field.text() == "acb")


def test_space_still_presses_a_button(window: MainWindow, qtbot: QtBot) -> None:
    _screen(window).button.setFocus()
    _keys(window, " ")
    qtbot.waitUntil(lambda: _screen(window).did == ["pressed"])
    assert not _screen(window).button.isDown()


def test_two_scans_are_two(window: MainWindow, room: Room, qtbot: QtBot) -> None:
    seen: list[AnimalId | None] = []
    for animal in (room.female, room.male):
        _keys(window, _card(room, animal) + "\r")
        qtbot.waitUntil(lambda animal=animal: _animal_open(window) == animal)  # type: ignore[misc]
        seen.append(_animal_open(window))
    assert seen == [room.female, room.male]


def test_a_scanner_set_to_another_layout_is_understood(window: MainWindow, room: Room, qtbot: QtBot) -> None:
    french = Pairing(scanner=Keyboard.QWERTY, computer=Keyboard.AZERTY)
    field = _screen(window).field
    field.setFocus()
    # the test driver sends ASCII only, so an animal whose scrambled code stays within it
    for number in range(60):
        animal = add_animal(room.book, details=AnimalDetails(keeper_id=f"J-{number:02d}", sex=Sex.FEMALE)).value
        scrambled = typed_as(_card(room, animal), french)
        if scrambled.isascii() and scrambled != _card(room, animal) and len(code_readings(scrambled)) == 1:
            break
    else:
        pytest.fail("no such code among sixty")
    _keys(window, scrambled + "\r")
    qtbot.waitUntil(lambda: _animal_open(window) == animal)
    assert field.text() == ""


def test_a_damaged_symbol_is_said_and_typed_nowhere(window: MainWindow, room: Room, qtbot: QtBot) -> None:
    field = _screen(window).field
    field.setFocus()
    card = _card(room, room.female)
    wrong = card[:-1] + ("2" if card[-1] != "2" else "3")
    _keys(window, wrong + "\r")
    qtbot.waitUntil(lambda: window.desk.notices.current is not None)
    assert field.text() == ""


def test_the_filter_goes_with_its_window(make_window: MakeWindow, qtbot: QtBot) -> None:
    window = make_window(TypingScreen, PageScreen)
    window.close()
    field = QLineEdit()
    qtbot.addWidget(field)
    field.show()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is field)
    QTest.keyClick(field.windowHandle(), "x")
    assert field.text() == "x"
