"""An empty screen is a beginning: what belongs here, and the one next step."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from coilbook.ui.commands import Command
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme


class EmptyState(QWidget):
    """A title, a sentence, the next step filled and others quiet; stands in the upper third of the page."""

    def __init__(self, theme: Theme, title: str, sentence: str, steps: Sequence[Command] = ()) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(theme.px(24), theme.px(96), theme.px(24), theme.px(24))
        column.setSpacing(theme.px(8))
        self.title, self.sentence = label(title, "title", wrap=True), label(sentence, "second", wrap=True)
        self.sentence.setMaximumWidth(theme.px(560))
        column.addWidget(self.title)
        column.addWidget(self.sentence)
        row = QHBoxLayout()
        row.setContentsMargins(0, theme.px(16), 0, 0)
        row.setSpacing(theme.px(8))
        self.steps = [(PrimaryButton if n == 0 else QuietButton).of(theme, step) for n, step in enumerate(steps)]
        for button in self.steps:
            row.addWidget(button)
        row.addStretch(1)
        column.addLayout(row)
        column.addStretch(1)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, False)

    def say(self, title: str, sentence: str) -> None:
        """Other words for the same place."""
        self.title.setText(title)
        self.sentence.setText(sentence)
