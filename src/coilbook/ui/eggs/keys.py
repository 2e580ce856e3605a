"""Keys of the page of eggs that are no command: digits choose an egg, arrows walk the shelves, Enter keeps or pours."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from coilbook.ui.parts.arrows import STEPS

if TYPE_CHECKING:
    from coilbook.ui.screens.eggs import EggsScreen


def handled(screen: EggsScreen, event: QKeyEvent) -> bool:
    """Do what a key means now; False when it means nothing."""
    key, text = event.key(), event.text()
    if screen.room.form is not None:
        return False
    if screen.part in ("doubts", "helped"):
        if key == Qt.Key.Key_Escape:
            screen.turn_to(screen.part)
        return key == Qt.Key.Key_Escape
    if text and text in "0123456789":
        _digit(screen, text)
    elif key in STEPS and event.modifiers() & Qt.KeyboardModifier.AltModifier:
        screen.acts.nudge(*STEPS[Qt.Key(key)])
    elif key in STEPS:
        screen.page.shelves.step(*STEPS[Qt.Key(key)])
    elif screen.candling is not None:
        return _of_candling(screen, key)
    elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and screen.part == "eggs":
        screen.acts.pour()
    elif key == Qt.Key.Key_Escape and screen.part == "story":
        screen.story()
    else:
        return False
    return True


def _of_candling(screen: EggsScreen, key: int) -> bool:
    """Enter keeps it, Esc lets it go, Space and Backspace walk."""
    candling = screen.candling
    assert candling is not None
    if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        screen.keep_candling()
    elif key == Qt.Key.Key_Escape:
        screen.candle()
    elif key in (Qt.Key.Key_Space, Qt.Key.Key_Backspace):
        candling.skip() if key == Qt.Key.Key_Space else candling.back()
        screen.show_now()
    else:
        return False
    return True


def _digit(screen: EggsScreen, digit: str) -> None:
    """Two digits are one number when the clutch has such an egg."""
    at = screen.at
    egg = at.numbered(int(screen.digits + digit)) or at.numbered(int(digit))
    screen.digits = digit if at.egg is None or egg is None or str(egg.number) == digit else ""
    if egg is not None and screen.candling is not None and egg.id in screen.candling.order:
        screen.candling.place = screen.candling.order.index(egg.id)
    if egg is not None:
        screen.choose_egg(egg.id)
