"""The round's own sizes: they grow with the text scale only as far as the page has room.

Everything here is room-large already, and the whole page has to stay under one thumb without scrolling.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, QSize

from coilbook.ui.theme import Theme

#: the page at 100 percent in a window of 1280x800, in px
PAGE = QSize(1136, 696)
_STEP = 5


class FittedTheme(Theme):
    """The window's theme with a scale of its own; `fit` says whether it changed."""

    def __init__(self, base: Theme, parent: QObject | None = None) -> None:
        super().__init__(None, parent)
        self._base = base
        self._room_for = 100
        self._follow()
        base.changed.connect(self._follow_aloud)

    def fit(self, page: QSize) -> bool:
        """Take the scale the page has room for; True when the parts have to be made again."""
        room = min(page.width() * 100 / PAGE.width(), page.height() * 100 / PAGE.height())
        self._room_for = max(int(room) // _STEP * _STEP, 100)
        before = self._percent
        self._follow()
        return self._percent != before

    def _follow(self) -> None:
        self.name, self._room = self._base.name, self._base.room
        self._percent = min(round(self._base.scale * 100), self._room_for)
        self._fonts.clear()

    def _follow_aloud(self) -> None:
        self._follow()
        self.changed.emit()
