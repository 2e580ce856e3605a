"""The views kept of the list: a button that opens them as a menu, one key each, and a way to take one away."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QMenu

from coilbook.operations.settings import remove_view
from coilbook.reads.views import View, saved_views
from coilbook.ui.commands import Command
from coilbook.ui.parts.buttons import QuietButton
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated


class KeptViews(QObject):
    """Knows the views; `show` is called with the one that was chosen."""

    def __init__(self, screen: Screen, show: Callable[[View], None]) -> None:
        super().__init__(screen)
        self._screen, self._desk, self._show = screen, screen.desk, show
        self.views: list[View] = []
        words = translated("Views")
        self._open = Command("animals.views", words, self.open_menu, "F3", self._any, screen.key, "kept filters saved")
        self.button = QuietButton.of(screen.desk.theme, self._open)
        self.read()

    def _any(self) -> bool:
        return bool(self.views)

    def read(self) -> None:
        """Read the views from the book; without any there is no button."""
        self.views = saved_views(self._desk.collection)
        self.button.setVisible(self._any())
        self.button.setEnabled(self._any())

    def commands(self) -> list[Command]:
        """The menu, and each view by its name."""
        return [self._open, *(self._command(view) for view in self.views)]

    def _command(self, view: View) -> Command:
        words = translated("View: {name}").format(name=view.name)
        return Command(f"animals.view.{view.name}", words, partial(self._show, view), screen=self._screen.key)

    def open_menu(self) -> None:
        """The views under their button; Esc leaves."""
        menu = QMenu(self._screen)
        menu.setAccessibleName(translated("Views"))
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        away = QMenu(translated("Take a view away"), menu)
        for number, view in enumerate(self.views, 1):
            key = f"&{number}  " if number < 10 else ""
            about = _plain(view.query or translated("all animals"))
            _add(menu, f"{key}{_plain(view.name)}: {about}", partial(self._show, view))
            _add(away, _plain(view.name), partial(self._desk.run, remove_view, name=view.name))
        menu.addSeparator()
        menu.addMenu(away)
        menu.popup(self.button.mapToGlobal(self.button.rect().bottomLeft()))


def _add(menu: QMenu, words: str, run: Callable[[], object]) -> None:
    action = menu.addAction(words)
    action.triggered.connect(lambda _on=False: run())


def _plain(text: str) -> str:
    """An ampersand would mark a key in a menu."""
    return text.replace("&", "&&")
