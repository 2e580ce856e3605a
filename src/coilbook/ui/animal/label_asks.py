"""The question a label asks, with its answers as buttons, where the genes of the animal stand."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from coilbook.genetics.statement import Flag
from coilbook.ui.parts.buttons import QuietButton
from coilbook.ui.parts.emptying import empty
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render


class LabelAsks(QWidget):
    """One question at a time; the next comes when the first is answered."""

    #: the key of the question and the value of the answer
    answered = Signal(str, str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.flag: Flag | None = None
        self.buttons: list[QuietButton] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, theme.px(4))
        self._column.setSpacing(theme.px(4))
        self.setAccessibleName(translated("What the label asks"))
        self.hide()

    def show_asks(self, flags: tuple[Flag, ...], style: Style) -> None:
        """Show the first question; nothing where there is none."""
        flag = flags[0] if flags else None
        if flag == self.flag:
            return
        self.flag, self.buttons = flag, []
        empty(self._column)
        self.setVisible(flag is not None)
        if flag is None:
            return
        self._column.addWidget(label(render(flag.message, style), "strong", wrap=True))
        for choice in flag.options:
            button = QuietButton(self._theme, render(choice.message, style))
            button.clicked.connect(partial(self._answer, flag.key, choice.value))
            self.buttons.append(button)
            self._column.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)

    def begin(self) -> None:
        """The keyboard goes to the first answer."""
        if self.buttons:
            self.buttons[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def _answer(self, key: str, value: str, _checked: bool = False) -> None:
        self.answered.emit(key, value)
