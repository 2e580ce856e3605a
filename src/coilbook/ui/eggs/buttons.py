"""The buttons at the head of the page of eggs: those that fit what stands on the page, each with its key."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QHBoxLayout

from coilbook.ui.commands import Command
from coilbook.ui.parts.buttons import KeyButton, PrimaryButton, QuietButton
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated

#: over the open box, over the story in its place, over the lists of the whole collection
SHOWN: dict[str, tuple[str, ...]] = {
    "eggs": ("story", "candle", "lay", "look"),
    "story": ("story", "sheet", "share"),
    "doubts": ("doubts", "put_off", "settle"),
    "helped": ("helped",),
    "empty": (),
}
_QUIET = ("story", "doubts", "helped", "sheet", "candle", "lay", "put_off")
_FILLED = ("look", "share", "settle")
_WORDS = {
    "sheet": "As a PDF",
    "candle": "Candle",
    "doubts": "Back to the eggs",
    "helped": "Back to the eggs",
    "put_off": "Look again later",
}


class EggButtons(dict[str, KeyButton]):
    """Buttons by the name of their command, put into a row; `show_for` shows those of a part of the page."""

    def __init__(self, theme: Theme, command: Callable[[str], Command], row: QHBoxLayout) -> None:
        super().__init__()
        self._command = command
        for name in _QUIET:
            self[name] = QuietButton.of(theme, command(name))
        for name in _FILLED:
            self[name] = PrimaryButton.of(theme, command(name))
        for name, words in _WORDS.items():
            self[name].set_words(translated(words))
        for button in self.values():
            row.addWidget(button)

    def show_for(self, part: str) -> None:
        """Those of a part of the page, pressable as far as their command can be run."""
        self["story"].set_words(translated("Back to the eggs") if part == "story" else translated("Story"))
        for name, button in self.items():
            button.setVisible(name in SHOWN[part])
            button.setEnabled(self._command(name).enabled())
