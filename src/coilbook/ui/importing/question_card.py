"""One question at a time: what is asked, examples from the sheet, the answers as buttons with their digit."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from coilbook.intake.questions import Option, Question
from coilbook.ui.parts.buttons import QuietButton
from coilbook.ui.parts.emptying import empty
from coilbook.ui.parts.shapes import paint_card
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render

IN_A_LINE = 3


class QuestionCard(QWidget):
    """Shows the question in hand; `answered` carries its key and the answer, `passed` leaves it open."""

    answered = Signal(str, str)
    passed = Signal()
    again = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._question: Question | None = None
        self._options: tuple[Option, ...] = ()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Maximum)
        column = QVBoxLayout(self)
        pad = theme.px(16)
        column.setContentsMargins(pad + theme.px(4), theme.px(12), pad, theme.px(12))
        column.setSpacing(theme.px(8))
        self.place, self.text = label("", "head"), label("", "strong", wrap=True)
        self.examples = label("", "second", wrap=True)
        self._answers = QVBoxLayout()
        self._answers.setSpacing(theme.px(8))
        for part in (self.place, self.text, self.examples):
            column.addWidget(part)
        column.addLayout(self._answers)

    @property
    def question(self) -> Question | None:
        """The question in hand."""
        return self._question

    def show_question(self, question: Question, number: int, of: int, style: Style) -> None:
        """Ask this one, the `number`th of `of` that are open."""
        self._question = question
        chosen = [o for o in question.options if o.value == question.suggested]
        self._options = (*chosen, *(o for o in question.options if o.value != question.suggested))
        heads = translated("Question {number} of {of}").format(number=number, of=of)
        concerned = translated_plural("{n} cell", "{n} cells", question.count)
        self.place.setText(f"{heads}, {concerned}".upper())
        self.text.setText(render(question.text, style))
        self.examples.setText(translated("In the sheet: {cells}").format(cells=" · ".join(question.examples)))
        self.examples.setVisible(bool(question.examples))
        self.setAccessibleName(self.text.text())
        self._lay_answers(style)

    def _lay_answers(self, style: Style) -> None:
        empty(self._answers)
        buttons: list[QWidget] = []
        for number, option in enumerate(self._options, 1):
            button = QuietButton(self._theme, render(option.label, style), str(number) if number <= 9 else "")
            button.clicked.connect(partial(self._answer, option.value))
            buttons.append(button)
        skip = QuietButton(self._theme, translated("Leave it open"), "0")
        skip.clicked.connect(self.passed)
        buttons.append(skip)
        self._add_lines(buttons)
        if self._question is not None and self._question.free:
            self._answers.addLayout(self._own_words())

    def _add_lines(self, buttons: Sequence[QWidget]) -> None:
        for start in range(0, len(buttons), IN_A_LINE):
            line = QHBoxLayout()
            line.setSpacing(self._theme.px(8))
            for button in buttons[start : start + IN_A_LINE]:
                line.addWidget(button)
            line.addStretch(1)
            self._answers.addLayout(line)

    def _own_words(self) -> QHBoxLayout:
        line = QHBoxLayout()
        typed = QLineEdit()
        typed.setAccessibleName(translated("Another answer"))
        typed.setPlaceholderText(translated("or type what it means: taken 2 small mouse"))
        typed.returnPressed.connect(lambda: self._answer(typed.text()))
        line.addWidget(typed)
        return line

    def _answer(self, value: str) -> None:
        if self._question is not None:
            self.answered.emit(self._question.key, value)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        typed = event.text()
        if typed == "0":
            self.passed.emit()
        elif typed.isdecimal() and 1 <= int(typed) <= len(self._options):
            self._answer(self._options[int(typed) - 1].value)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        paint_card(self, self._theme, "clay", edge="accent" if self.hasFocus() else "rule")
