"""The round: rack by rack, one animal at hand in large type, one key or tap a result.

By keyboard, by touch, by scan. Digits always go to the weight; letters are results and signs.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from coilbook.operations.asks import Asks
from coilbook.reads.codes import Found
from coilbook.reads.round import RoundAnimal, RoundState, next_due_after
from coilbook.records.changes import Changes
from coilbook.records.message import say
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.round.acts import RoundActs
from coilbook.ui.round.commands import round_commands
from coilbook.ui.round.finished import Finished
from coilbook.ui.round.fitted_theme import FittedTheme
from coilbook.ui.round.head import RoundHead
from coilbook.ui.round.keys import HEADS, Key, ReasonKey, ResultKey
from coilbook.ui.round.margin import round_margin
from coilbook.ui.round.page import Question, WalkPage
from coilbook.ui.round.panels import Answer
from coilbook.ui.round.rack_counts import Mode
from coilbook.ui.round.strip import Strip
from coilbook.ui.round.walk import Walk
from coilbook.ui.round.walk_at_desk import WalkAtDesk
from coilbook.ui.round.weigh_panel import Typed
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated


class RoundScreen(Screen):
    """The evening's round and the morning's close."""

    key = "round"
    title = "Round"
    room_size = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.walk = Walk(desk.collection, desk.clock, lambda: desk.settings.default_interval_days)
        self.at_desk = WalkAtDesk(desk, self.walk, self.show_walk)
        self.acts = RoundActs(desk, self.walk, self.show_walk)
        self._why: ResultKey | None = None
        self._question: Question | None = None
        self._undoing = False
        self._list = round_commands(self.key, self.press, self._step_rack)
        self.theme = FittedTheme(desk.theme, self)
        self._column = QVBoxLayout(self)
        self._build()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    # --- building -------------------------------------------------------------------------------------------
    def _build(self) -> None:
        desk, theme = self.desk, self.theme
        px = theme.px
        self.head = RoundHead(theme, self.press)
        self.strip = Strip(theme, self.walk)
        self.strip.walked.connect(self._walked)
        self.page = WalkPage(desk, theme, self.walk)
        self.results, self.below, self.weight = self.page.results, self.page.below, self.page.weight
        self.page.view.chosen.connect(self._choose)
        self.results.pressed.connect(self.press)
        self.below.pressed.connect(self.press)
        self.weight.save.connect(self._save_weight)
        self.weight.nobody.connect(self._say_nobody)
        self._stack = QStackedWidget()
        self._add_pages()
        self._column.setContentsMargins(px(24), px(8), px(24), px(16))
        self._column.setSpacing(px(8))
        for part, stretch in ((self.head, 0), (self.strip, 0), (self._stack, 1)):
            self._column.addWidget(part, stretch)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Large text grows as far as the page has room; then every part is made again."""
        super().resizeEvent(event)
        if self.theme.fit(self.size()):
            typed = self.weight.typed
            for part in (self.head, self.strip, self._stack):
                self._column.removeWidget(part)
                part.hide()
                part.deleteLater()
            self._build()
            self.weight.typed = typed
            if self.at_desk.begun:
                self.show_walk()

    def _add_pages(self) -> None:
        theme = self.theme
        everybody = Command("round.everybody", translated("Offer anyway"), partial(self._begin, Mode.ALL), Key.VIEW)
        animals = Command("round.animals", translated("Go to Animals"), lambda: self.desk.go("animals"))
        go_on = Command("round.go_on", translated("Go on"), partial(self.press, Key.VIEW), Key.VIEW)
        self.nothing = EmptyState(theme, translated("Nothing is due tonight."), "", (everybody,))
        sentence = translated("The round goes past every animal here, rack by rack. Add one, or import a sheet.")
        self.nobody = EmptyState(theme, translated("No animal is here yet"), sentence, (animals,))
        self.finished = Finished(theme, (go_on,))
        patience = translated("A large book takes a moment.")
        self.waiting = EmptyState(theme, translated("Counting the racks"), patience)
        for page in (self.page, self.nothing, self.nobody, self.finished, self.waiting):
            self._stack.addWidget(page)

    # --- the window's questions -----------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Start or go on; at a rack, a slot or an animal when given."""
        if self.at_desk.open(target):
            self._leave_question()
        self.show_walk()

    def refresh(self, changes: Changes) -> None:
        """Reread the rack at hand, or everything when it was not only about animals in it."""
        undone, self._undoing = self._undoing, False
        if undone:
            self.acts.forget_signs(changes.animals)
        self.at_desk.follow(changes, undone=undone)
        self.show_walk()

    def scanned(self, found: Found) -> bool:
        """Either code brings the animal to hand; with two in the slot the page asks which."""
        taken = self.at_desk.scanned(found)
        if taken:
            self._leave_question()
            self.show_walk()
        return taken

    def commands(self) -> list[Command]:
        return self._list

    def count(self) -> int | None:
        return (self.walk.todo() or None) if self.at_desk.begun else None

    def foot_hint(self) -> str:
        return translated("`Space` next  `\u2190` `\u2192` along the walk  `U` undo")

    def margin_content(self) -> MarginContent:
        if self._stack.currentWidget() is not self.page:
            return MarginContent(strip=translated("the round"))
        return round_margin(self.desk, self.walk)

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        def why() -> None:
            self._begin(Mode.ALL)
            self.press("R")

        def number() -> None:
            self._leave_question()
            for digit in "178":
                self.weight.press(digit)

        return [("everybody", partial(self._begin, Mode.ALL)), ("why-refused", why), ("weight-typed", number)]

    # --- showing --------------------------------------------------------------------------------------------
    def _begin(self, mode: Mode | None) -> None:
        self._leave_question()
        self.at_desk.begin(mode)
        self.show_walk()

    def show_walk(self) -> None:
        """Draw the page for where the walk is."""
        self.strip.show_walk()
        self.head.show_walk(self.walk)
        self._stack.setCurrentWidget(self._which_page())
        self.page.show_animal()
        left = self.weight.open_for_another
        if left is not None and self._question is None:
            self._ask_about(left)
        animal = self.walk.animal
        self.page.show_keys(self._question, self._why, tuple(self.acts.seen.get(animal.id, {})) if animal else ())
        self.margin_changed.emit()
        self.count_changed.emit()

    def _walked(self) -> None:
        """Another tub was pressed in the strip."""
        self._why = None
        self.show_walk()

    def _which_page(self) -> QWidget:
        walk = self.walk
        self.strip.setVisible(bool(walk.racks))
        if not walk.racks:
            return self.waiting if self.at_desk.waiting else self.nobody
        if walk.total() == 0:
            self._say_next()
            return self.nothing
        if walk.finished and not walk.is_guest:
            self.finished.show_walk(walk)
            return self.finished if walk.mode is not Mode.ALL else self.page
        return self.page

    def _say_next(self) -> None:
        coming = next_due_after(self.desk.collection, self.walk.time)
        sentence = translated("Nobody has a next day yet.")
        if coming is not None:
            day = self.desk.style.date(coming[0], year=False, weekday=True)
            sentence = translated("Next: {rack}, {day}.").format(rack=coming[1] or translated("no slot"), day=day)
        self.nothing.say(translated("Nothing is due tonight."), sentence)

    # --- keys -----------------------------------------------------------------------------------------------
    def press(self, key: str) -> None:
        """A letter, from the keyboard or a button."""
        tub = self.walk.tub
        # an undo that was refused brings nobody back to hand
        self._undoing = False
        if key == Key.UNDO:
            self._undo()
        elif self._question is not None:
            self._answer(key)
        elif key in HEADS and tub is not None and len(tub.animals) > 1:
            self._choose(HEADS.index(key))
        elif key == Key.VIEW:
            self._next_view()
        elif key == Key.ALL:
            self._whole_rack()
        elif key == Key.SEPARATED:
            self._separate()
        elif self._stack.currentWidget() is self.page and self.walk.animal is not None:
            self._press_for(self.walk.animal, key)

    def _press_for(self, animal: RoundAnimal, key: str) -> None:
        result = self.results.result_of(key)
        if result is not None and result.why:
            self._why = result
            self.show_walk()
        elif result is not None:
            self._offer(animal, result)
        elif self.below.reasoning:
            reason = self.below.reason_keys.get(key)
            if reason is not None and self._why is not None:
                self._offer(animal, self._why, reason)
        elif not self.walk.must_separate and key in self.below.sign_keys:
            self.acts.sign(animal, self.below.sign_keys[key].seen)

    def _offer(self, animal: RoundAnimal, result: ResultKey, reason: ReasonKey | None = None) -> None:
        self._why = None
        why, note = (reason.reason, reason.note) if reason is not None else (None, "")
        self.acts.offer(animal, result.result, reason=why, note=note, asked=self._ask_again)
        self.show_walk()

    def _whole_rack(self) -> None:
        waiting, rack = self.walk.waiting(), self.walk.rack
        if not waiting or rack is None:
            return
        if self.walk.mode is Mode.CLOSE:
            self.acts.rest_taken(waiting)
        else:
            self.acts.whole_rack(waiting, rack.label or translated("No slot"))

    def _next_view(self) -> None:
        order = [Mode.DUE, Mode.ALL]
        if any(g.state is RoundState.OPEN or g.closing for g in self.walk.groups()):
            order = [Mode.CLOSE, *order]
        place = order.index(self.walk.mode) if self.walk.mode in order else -1
        self._begin(order[(place + 1) % len(order)])

    def _choose(self, head: int) -> None:
        self.walk.choose(head)
        self.show_walk()

    def _separate(self) -> None:
        if self.walk.must_separate:
            self.walk.separate()
            if self.walk.animal is None:
                self.walk.next_todo()
            self.show_walk()

    def _step_rack(self, by: int) -> None:
        self.walk.to_rack_index(self.walk.rack_index + by)
        self._leave_question()
        self.show_walk()

    def _undo(self) -> None:
        """Only what was done in this sitting: a thumb in the room must not take back last week's import."""
        self._leave_question()
        if self.desk.notices.undoable is None:
            self.desk.notices.tell(say("Nothing of this sitting is left to undo. History has the rest."))
            return
        self._undoing = True
        self.desk.undo()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Digits to the weight, arrows and Space along the walk, Enter saves, Esc leaves a question."""
        key, text = event.key(), event.text()
        steps = {Qt.Key.Key_Right: 1, Qt.Key.Key_Down: 1, Qt.Key.Key_Space: 1, Qt.Key.Key_Left: -1, Qt.Key.Key_Up: -1}
        if text and text in "0123456789.,":
            self.weight.press("." if text == "," else text)
        elif key == Qt.Key.Key_Backspace:
            self.weight.press("back")
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.weight.enter()
        elif key in steps:
            self.walk.step(steps[Qt.Key(key)])
            self._why = None
            self.show_walk()
        elif key == Qt.Key.Key_Escape and (self._why is not None or self._question is not None):
            self._escape()
        elif len(text) == 1 and text.isalpha() and not event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
            self.press(text.upper())
        else:
            super().keyPressEvent(event)

    # --- questions ------------------------------------------------------------------------------------------
    def _answer(self, key: str) -> None:
        assert self._question is not None
        chosen = next((a for a in self._question[1] if a.key == key), None)
        if chosen is not None:
            self._leave_question()
            chosen.run()
            self.show_walk()

    def _escape(self) -> None:
        if self._question is not None:
            self._answer("Esc")
        else:
            self._why = None
        self.show_walk()

    def _leave_question(self) -> None:
        self._question = self._why = None

    def _ask(self, sentence: str, answers: tuple[Answer, ...]) -> None:
        self._question = (sentence, answers)
        self.show_walk()

    def _ask_again(self, question: Asks, send: Callable[..., None]) -> None:
        """A second meal so soon: the animal is back at hand, and the keeper says."""
        choice = question.choices[0]
        again = Answer(Key.YES, self.desk.render(choice.word), lambda: send(**choice.arguments))
        leave = Answer("Esc", translated("Leave it"), lambda: None)
        self._ask(self.desk.render(question.message), (again, leave))

    def _save_weight(self, typed: Typed) -> None:
        self.weight.clear()
        self.acts.weigh(typed, asked=self._ask_weight, back=self.weight.take_back)

    def _ask_weight(self, question: Asks, send: Callable[..., None]) -> None:
        """A number far from the last one stays in its place until it is kept, kept in doubt or typed again."""
        typed = self.weight.typed

        def keep(number: int) -> None:
            if self.weight.typed is typed:
                self.weight.clear()
            send(**question.choices[number].arguments)

        keys = (Key.YES, Key.OTHER)
        answers = [
            Answer(key, self.desk.render(choice.word), partial(keep, number))
            for number, (key, choice) in enumerate(zip(keys, question.choices))
        ]
        self._ask(
            self.desk.render(question.message), (*answers, Answer("Esc", translated("Type again"), self.weight.clear))
        )

    def _ask_about(self, left: Typed) -> None:
        """Somebody else is at hand and a number was not saved: ask once, whose it stays."""
        sentence = say("{number} typed for {animal} is not saved yet.", number=left.text, animal=left.keeper_id)
        save = translated("Save for {animal}").format(animal=left.keeper_id)
        self._question = (
            self.desk.render(sentence),
            (
                Answer(Key.YES, save, partial(self._save_weight, left)),
                Answer(Key.OTHER, translated("Drop it"), self.weight.clear),
            ),
        )

    def _say_nobody(self) -> None:
        tub = self.walk.tub
        if tub is None:
            self.desk.notices.warn(say("No animal is at hand, so nothing is weighed."))
            return
        ids = [f"{HEADS[n]} {a.keeper_id}" for n, a in enumerate(tub.animals)]
        self.desk.notices.warn(say("Whose weight is it? Press {heads} first.", heads=", ".join(ids)))
