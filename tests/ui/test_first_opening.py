"""A screen opened for the first time: made in turns, from what a worker loaded, with the keys that waited for it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from coilbook.ui.background import Background
from coilbook.ui.desk import Desk, DeskParts
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.registry import registered_screens
from tests.ui.conftest import Room

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

#: what the list brings, which is there before any other screen is opened
_BEFORE = "import sys, importlib, coilbook.app.rooms_first, coilbook.ui.main_window\n"


@pytest.mark.parametrize("kind", registered_screens()[1:], ids=lambda kind: kind.key)
def test_what_a_screen_is_made_from_is_loaded_beside(kind: object) -> None:
    """After the worker has been at it, the first opening imports modules of the window and no others."""
    beside, module = kind.beside, kind.module  # type: ignore[attr-defined]
    code = (
        f"{_BEFORE}for name in {beside!r}: importlib.import_module(name)\n"
        f"before = set(sys.modules)\nimport {module}\n"
        "ours = ('coilbook.ui.', 'PySide6')\n"
        "print(*sorted(m for m in set(sys.modules) - before if not m.startswith(ours)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=True)
    assert done.stdout.split() == []


@pytest.fixture
def window(qtbot: QtBot, room: Room) -> MainWindow:
    """The window as it is started, its work on workers."""
    desk = Desk(DeskParts(room.book, Background()))
    made = MainWindow(desk, registered_screens())
    qtbot.addWidget(made, before_close_func=lambda _window: desk.background.close())
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is made and not desk.background.busy)
    return made


def test_keys_pressed_while_a_screen_is_made_go_to_that_screen(window: MainWindow, qtbot: QtBot) -> None:
    turns: list[str] = []
    real = window.desk.background.in_turns

    def counted(steps: list[Callable[[], object]], ended: Callable[[], None]) -> None:
        turns.append(str(len(steps)))
        real(steps, ended)

    window.desk.background.in_turns = counted  # type: ignore[assignment,method-assign]
    assert window.open_screen("round") and window.screen_open is not window._made.get("round")
    # a person's keys, a shortcut of another screen among them: none of it belongs to the list that is still shown
    handle = window.windowHandle()
    for key in (Qt.Key.Key_9, Qt.Key.Key_1):
        QTest.keyClick(handle, key, delay=1)
    assert window.line.field.text() == ""
    qtbot.waitUntil(lambda: window.screen_open is window._made.get("round"))
    qtbot.waitUntil(lambda: window.scanner._waiting is None)
    assert turns[:1] == ["3"]
    assert window.line.field.text() == ""
    qtbot.waitUntil(lambda: not window.desk.background.busy)


def test_a_shortcut_of_the_screen_to_come_is_done_by_that_screen(window: MainWindow, qtbot: QtBot) -> None:
    """`Ctrl+N` adds an animal on the list that is still shown, and a rack on the places that come."""
    window.open_screen("places")
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: window.screen_open is not None and window.screen_open.key == "places")
    qtbot.waitUntil(lambda: window.scanner._waiting is None)
    shown = [head.text() for head in window.screen_open.findChildren(QLabel) if head.isVisible()]  # type: ignore[union-attr]
    assert "A new rack" in shown


def test_a_screen_asked_for_over_one_being_made_is_the_one_that_opens(window: MainWindow, qtbot: QtBot) -> None:
    window.open_screen("eggs")
    window.open_screen("places")
    qtbot.waitUntil(lambda: window.screen_open is not None and window.screen_open.key == "places")
    qtbot.waitUntil(lambda: not window.desk.background.busy)
    QApplication.processEvents()
    assert window.screen_open is not None and window.screen_open.key == "places"
    assert window.scanner._waiting is None
    window.go_back()
    assert window.screen_open is not None and window.screen_open.key == "animals"


def test_the_keys_come_back_where_the_keeper_returns_to_a_screen_that_is_there(
    window: MainWindow, qtbot: QtBot
) -> None:
    window.open_screen("eggs")
    window.open_screen("animals")
    qtbot.waitUntil(lambda: not window.desk.background.busy)
    assert window.screen_open is not None and window.screen_open.key == "animals"
    qtbot.wait(50)
    window.line.field.setFocus()
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_9)
    qtbot.waitUntil(lambda: window.line.field.text() == "9")


def test_a_screen_that_cannot_be_made_gives_the_keys_back(
    window: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_key: str) -> None:
        raise RuntimeError("a screen that cannot be made")

    monkeypatch.setattr(window, "made", broken)
    with qtbot.captureExceptions() as caught:
        window.open_screen("genes")
        qtbot.waitUntil(lambda: bool(caught))
    assert window.scanner._waiting is None
    assert window.screen_open is not None and window.screen_open.key == "animals"
    qtbot.waitUntil(lambda: not window.desk.background.busy)
