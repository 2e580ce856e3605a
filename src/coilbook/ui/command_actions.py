"""Commands turned into Qt actions: their shortcuts work while their screen is open, menus show the same ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QWidget

from coilbook.ui.commands import Command

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow


class CommandActions(QObject):
    """Holds one action a command of the window and the open screen."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._actions: list[QAction] = []
        self._commands: list[Command] = []

    def rebuild(self) -> None:
        """Take the old shortcuts away and set those of the present screen; the same commands keep their actions."""
        commands = self._window.commands()
        if commands == self._commands:
            return
        self._commands = commands
        for action in self._actions:
            self._window.removeAction(action)
            action.deleteLater()
        self._actions = [action_of(command, self._window) for command in commands]
        self._window.addActions(self._actions)

    def run_key(self, event: QKeyEvent) -> bool:
        """Run the command a plain key stands for; False when it stands for none."""
        wanted = {QKeySequence(event.keyCombination()).toString()}
        if not event.text().isalpha():
            # on some keyboards a sign needs Shift; it is the sign that counts
            wanted.add(QKeySequence(event.key()).toString())
        for action in self._actions:
            if action.isEnabled() and action.shortcut().toString() in wanted:
                action.trigger()
                return True
        return False


def action_of(command: Command, parent: QWidget) -> QAction:
    """A Qt action that runs the command when it may be run."""
    action = QAction(command.words, parent)
    if command.shortcut:
        action.setShortcut(QKeySequence(command.shortcut, QKeySequence.SequenceFormat.PortableText))
        action.setShortcutContext(Qt.ShortcutContext.WindowShortcut)

    def run() -> None:
        if command.enabled():
            command.run()

    action.triggered.connect(run)
    return action
