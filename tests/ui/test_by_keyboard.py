"""Everything that can be pressed is reached with Tab alone, on every screen."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from coilbook.ui.main_window import MainWindow
from coilbook.ui.outlook.asking import ask_pairing
from coilbook.ui.parts.buttons import KeyButton
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.screens.outlook import OutlookScreen
from coilbook.ui.screens.registry import registered_screens
from tests.operations.conftest import Room

KEYS = [kind.key for kind in registered_screens()]
#: more steps than any screen has places for the keyboard
MOST = 120


@pytest.mark.parametrize("key", KEYS)
def test_tab_reaches_every_button(room: Room, window: MainWindow, qtbot: QtBot, key: str) -> None:
    screen = window.made(key)
    window.open_screen(key, **({"animal": room.female} if key in ("animal", "pedigree") else {}))
    qtbot.waitUntil(screen.isVisible)
    reached: set[QWidget] = set()
    for _ in range(MOST):
        here = QApplication.focusWidget()
        if here is None or here in reached:
            break
        reached.add(here)
        qtbot.keyClick(here, Qt.Key.Key_Tab)
    buttons = [
        button
        for button in screen.findChildren(KeyButton)
        if button.isVisible() and button.isEnabled() and button.focusPolicy() & Qt.FocusPolicy.TabFocus
    ]
    assert [button.text() for button in buttons if button not in reached] == []


def test_tab_goes_from_the_last_field_of_a_form_to_its_buttons(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    screen = window.made("outlook")
    assert isinstance(screen, OutlookScreen)
    window.open_screen("outlook")
    ask_pairing(screen)
    form = screen.findChild(InlineForm)
    assert form is not None
    walked = [QApplication.focusWidget()]
    for _ in range(len(form.rows) + 1):
        qtbot.keyClick(walked[-1], Qt.Key.Key_Tab)
        walked.append(QApplication.focusWidget())
    assert walked == [*(row.editor for row in form.rows.values()), form.save, form.leave]
