"""Painting held back for a moment is always let go, and what came meanwhile is then painted."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from coilbook.ui.parts.held_paint import LONGEST_MS, HeldPaint


class Paints(QObject):
    def __init__(self) -> None:
        super().__init__()
        self.count = 0

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        self.count += event.type() is QEvent.Type.Paint
        return False


class Shown:
    """A window with one line, what is painted of it, and who may hold it back."""

    def __init__(self, qtbot: QtBot) -> None:
        self.window, self.label, self.paints = QWidget(), QLabel("600 g"), Paints()
        filling = QWidget()
        QVBoxLayout(filling).addWidget(self.label)
        QVBoxLayout(self.window).addWidget(filling)
        qtbot.addWidget(self.window)
        self.window.show()
        qtbot.waitExposed(self.window)
        self.label.installEventFilter(self.paints)
        qtbot.wait(20)
        self.paints.count = 0
        self.held = HeldPaint(self.label)


def test_what_came_while_it_was_held_is_painted_once(qtbot: QtBot) -> None:
    one = Shown(qtbot)
    label, paints, held = one.label, one.paints, one.held
    held.hold()
    for weight in ("610 g", "620 g"):
        label.setText(weight)
        qtbot.wait(5)
    assert paints.count == 0
    held.let_go()
    qtbot.waitUntil(lambda: paints.count > 0, timeout=1_000)
    assert label.updatesEnabled()


def test_nothing_is_held_longer_than_the_moment(qtbot: QtBot) -> None:
    one = Shown(qtbot)
    label, paints, held = one.label, one.paints, one.held
    held.hold()
    label.setText("630 g")
    assert not label.updatesEnabled()
    qtbot.waitUntil(lambda: paints.count > 0, timeout=LONGEST_MS * 50)
    assert label.updatesEnabled()


def test_a_widget_nobody_sees_holds_nothing(qtbot: QtBot) -> None:
    one = Shown(qtbot)
    one.window.hide()
    one.held.hold()
    assert one.label.updatesEnabled()
