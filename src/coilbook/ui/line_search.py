"""What the line does with a text: filter the open screen, find animals and places, run acts, or read a code."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint, Qt

from coilbook.reads.named import NamedAnimal, NamedPlace, animals_named, places_named
from coilbook.records.message import CoilbookError
from coilbook.records.vocabulary import Status
from coilbook.ui.answers import WIDEST, Answer, AnswerList
from coilbook.ui.commands import Command, matching
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow

#: typed first, it opens the list of what can be done
DO = "/"
MOST_ANSWERS, MOST_ACTS = 8, 100


class LineSearch(QObject):
    """Joins the field of the line with the open screen and the list below it."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.field = window.line.field
        self.list = AnswerList(window.desk.theme, window)
        self.field.textEdited.connect(self.typed)
        self.field.stepped.connect(self._step)
        self.field.escaped.connect(self.clear)
        self.field.entered.connect(self.entered)
        self.list.ran.connect(self._ran)

    def screen_changed(self, screen: Screen) -> None:
        """Another screen is open: its own hint and text stand in the line."""
        self.field.setPlaceholderText(screen.line_hint())
        self.field.setText(screen.line_text() if screen.takes_line else "")
        self._understand(screen, self.field.text())
        self.list.hide()

    def understand_again(self) -> None:
        """The open screen knows more than when the line was typed."""
        screen = self._window.screen_open
        if screen is self.sender():
            self._understand(screen, self.field.text())

    def begin(self, text: str = "") -> None:
        """Put the keyboard in the line; with a text, as if it had been typed."""
        self.field.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.field.selectAll()
        if text:
            self.field.setText(text)
            self.typed(text)

    def typed(self, text: str) -> None:
        """The keeper typed in the line."""
        screen = self._window.screen_open
        if text.startswith(DO):
            self._offer(self._acts(text[len(DO) :], MOST_ACTS), translated("Nothing to do fits that."))
            return
        if screen is not None and screen.takes_line:
            self.list.hide()
            screen.filter_text(text)
            self._understand(screen, text)
            return
        if not text.strip():
            self.list.hide()
            return
        answers = [*self._found(text), *self._sentence(text), *self._acts(text, MOST_ANSWERS)]
        self._offer(answers, translated("Nothing by that name."))

    def entered(self) -> None:
        """Enter in the line: what is chosen in the list, else a code, else back to the page."""
        text, screen = self.field.text(), self._window.screen_open
        if self.list.isVisible() and self.list.run_chosen():
            return
        if text.strip() and self._is_code(text):
            self.clear()
            self._window.scans.scanned(text)
        elif screen is not None and not (screen.takes_line and screen.line_entered(text)):
            self._to_page()

    def clear(self) -> None:
        """Esc: the line is empty again; when it was, the keyboard goes back to the page."""
        was_empty = not self.field.text()
        self.field.clear()
        self.list.hide()
        screen = self._window.screen_open
        if screen is not None and screen.takes_line and not was_empty:
            screen.filter_text("")
        self._understand(screen, "")
        if was_empty:
            self._to_page()

    def place(self) -> None:
        """Put the list under the field."""
        corner = self.field.mapTo(self._window, QPoint(0, self.field.height() + 2))
        self.list.move(corner)
        width = min(self.field.width(), self._window.desk.theme.px(WIDEST))
        self.list.resize(width, self.list.sizeHint().height())

    # --- parts ---------------------------------------------------------------------------------------------
    def _offer(self, answers: list[Answer], note: str) -> None:
        self.place()
        self.list.offer(answers, note)

    def _acts(self, text: str, most: int) -> list[Answer]:
        return [self._act(command) for command in matching(self._window.commands(), text, most)]

    def _act(self, command: Command) -> Answer:
        return Answer(command.words, command.run, kind=translated("do"), key=command.shortcut)

    def _found(self, text: str) -> list[Answer]:
        desk = self._window.desk
        animals = animals_named(desk.collection, text, MOST_ANSWERS)
        places = places_named(desk.collection, text, 2)
        return [self._animal(animal) for animal in animals] + [self._place(place) for place in places]

    def _sentence(self, text: str) -> list[Answer]:
        """A sentence that a list understands is answered by the list, wherever it was typed."""
        desk = self._window.desk
        lists = [screen for screen in self._window.screens_made() if screen.takes_line and screen.reads_line(text)]
        return [
            Answer(text, partial(desk.go, screen.key, text=text), about=screen.title, kind=translated("list"))
            for screen in lists
        ]

    def _animal(self, animal: NamedAnimal) -> Answer:
        desk = self._window.desk
        sex = desk.style.sex_sign(animal.sex, animal.sex_percent)
        about = [animal.genetics, animal.place, words(animal.status) if animal.status is not Status.HERE else ""]
        return Answer(
            " ".join(part for part in (animal.keeper_id, *sex) if part),
            lambda: desk.go_animal(animal.id),
            about=", ".join(part for part in about if part),
            kind=translated("animal"),
        )

    def _place(self, place: NamedPlace) -> Answer:
        count = translated_plural("{n} animal", "{n} animals", place.animals)
        go = self._window.desk.go
        return Answer(place.label, lambda: go("animals", place=place.id), about=count, kind=translated("place"))

    def _is_code(self, text: str) -> bool:
        from coilbook.labels.code import parse

        try:
            parse(text)
        except CoilbookError:
            return False
        return True

    def _understand(self, screen: Screen | None, text: str) -> None:
        if screen is not None and screen.takes_line and text:
            self.field.show_understood(screen.terms(text), screen.complete(text))
        else:
            self.field.show_understood((), ())

    def _step(self, by: int) -> None:
        if self.list.isVisible():
            self.list.step(by)
        elif by > 0:
            self._to_page()

    def _to_page(self) -> None:
        screen = self._window.screen_open
        if screen is not None:
            screen.take_focus()

    def _ran(self) -> None:
        screen = self._window.screen_open
        self.field.setText(screen.line_text() if screen is not None and screen.takes_line else "")
        self._to_page()
