"""A question an act has come back with, shown where it was asked for, with its answers as buttons."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from coilbook.ui.parts.buttons import KeyButton, PrimaryButton, QuietButton
from coilbook.ui.parts.shapes import ShapeMark, paint_card
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated


class Question(QWidget):
    """Digits answer, Esc goes back to what was typed."""

    left = Signal()

    def __init__(self, theme: Theme, sentence: str, answers: Sequence[tuple[str, Callable[[], None]]]) -> None:
        super().__init__()
        self._theme = theme
        self.setAccessibleName(sentence)
        self.buttons: list[KeyButton] = []
        for number, (words, run) in enumerate(answers, 1):
            kind: type[KeyButton] = PrimaryButton if number == 1 else QuietButton
            button = kind(theme, words, str(number))
            button.clicked.connect(run)
            self.buttons.append(button)
        back = QuietButton(theme, translated("Back to what I typed"), "Esc")
        back.clicked.connect(self.left)
        self.buttons.append(back)
        column = QVBoxLayout(self)
        pad = theme.px(16)
        column.setContentsMargins(pad + theme.px(4), pad, pad, pad)
        column.setSpacing(theme.px(12))
        first = QHBoxLayout()
        first.setSpacing(theme.px(8))
        first.addWidget(ShapeMark(theme, "triangle"), 0, Qt.AlignmentFlag.AlignTop)
        first.addWidget(label(sentence, "strong", wrap=True), 1)
        row = QHBoxLayout()
        row.setSpacing(theme.px(8))
        for shown in self.buttons:
            row.addWidget(shown)
        row.addStretch(1)
        column.addLayout(first)
        column.addLayout(row)

    def begin(self) -> None:
        """The keyboard goes to the first answer."""
        self.buttons[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        digit = event.key() - Qt.Key.Key_1
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif 0 <= digit < len(self.buttons) - 1:
            self.buttons[digit].click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        paint_card(self, self._theme, "clay")
