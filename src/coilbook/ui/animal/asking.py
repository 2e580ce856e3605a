"""Runs an act for a form: what is wrong is said in the form, a question takes its place until it is answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from coilbook.operations.asks import Asks, Choice
from coilbook.records.changes import Outcome
from coilbook.records.message import CoilbookError
from coilbook.ui.animal.entry_form import EntryForm
from coilbook.ui.animal.question import Question
from coilbook.ui.desk import Desk, Operation

Done = Callable[[Outcome[Any]], None]


class AskingRoom(QWidget):
    """Holds one form, and the question that an act came back with; nothing typed is lost by either."""

    #: a question was left or answered and nothing but the page stands there again
    closed = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.form: EntryForm | None = None
        self.question: Question | None = None
        # True from the start of an act to its answer: a second Enter must not do it twice
        self._underway = False
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)

    def show_form(self, form: EntryForm) -> None:
        """Show a form; the one before is only put aside, its owner keeps it."""
        self._drop_question()
        if self.form is not None and self.form is not form:
            self.form.hide()
            self._column.removeWidget(self.form)
        if self.form is not form:
            self._column.addWidget(form)
        self.form = form
        form.show()

    def clear(self) -> None:
        """No form any more."""
        self._drop_question()
        if self.form is not None:
            self.form.hide()
            self._column.removeWidget(self.form)
        self.form = None

    def run(self, operation: Operation, done: Done, **arguments: Any) -> None:
        """Run an act that the form stands for; nothing while one is under way already."""
        if self._underway:
            return
        self._underway = True

        def kept(outcome: Outcome[Any]) -> None:
            self._underway = False
            done(outcome)

        def refused(error: CoilbookError) -> bool:
            self._underway = False
            if isinstance(error, Asks):
                self._ask(error, lambda choice: self.run(operation, done, **{**arguments, **choice.arguments}))
                return True
            self._drop_question()
            if self.form is None:
                return False
            self.form.refuse(self._desk.render(error.message))
            return True

        self._desk.run(operation, kept, on_refused=refused, **arguments)

    def ask(self, sentence: str, answers: list[tuple[str, Callable[[], None]]]) -> None:
        """Put a question in the form's place."""
        self._drop_question()
        question = Question(self._desk.theme, sentence, answers)
        question.left.connect(self.take_back)
        self.question = question
        if self.form is not None:
            self.form.hide()
        self._column.addWidget(question)
        question.show()
        question.begin()

    def take_back(self) -> None:
        """The question is left: the form stands there again as it was typed."""
        self._drop_question()
        if self.form is not None:
            self.form.save.setFocus(Qt.FocusReason.OtherFocusReason)
        self.closed.emit()

    def _ask(self, error: Asks, answer: Callable[[Choice], None]) -> None:
        render = self._desk.render
        answers = [(render(c.word), _answering(answer, c)) for c in error.choices]
        self.ask(render(error.message), answers)

    def _drop_question(self) -> None:
        if self.question is not None:
            self.question.hide()
            self._column.removeWidget(self.question)
            self.question.deleteLater()
            self.question = None
        if self.form is not None:
            self.form.show()


def _answering(answer: Callable[[Choice], None], choice: Choice) -> Callable[[], None]:
    return lambda: answer(choice)
