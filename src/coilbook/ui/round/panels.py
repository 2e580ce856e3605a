"""Below the animal: the results, and under them the signs, which give way to reasons or to a question."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from coilbook.records.vocabulary import Sex, ShedKind
from coilbook.ui.parts.text import label, set_role
from coilbook.ui.round.keys import CLOSE, EVENING, REASONS, REST, SIGNS, ReasonKey, ResultKey, SignKey
from coilbook.ui.round.room_button import RoomButton
from coilbook.ui.theme import BODY, Theme
from coilbook.wording.language import translated


class ResultRow(QWidget):
    """The five results (four in the close), the first one filled."""

    pressed = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.keys: tuple[ResultKey, ...] = EVENING
        self.buttons: list[RoomButton] = []
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.px(8))
        for number, result in enumerate(EVENING):
            button = RoomButton(theme, translated(result.words), result.key, look="result")
            button.clicked.connect(lambda _checked=False, one=result.key: self.pressed.emit(one))
            button.filled = number == 0
            self.buttons.append(button)
            row.addWidget(button, 1)
        self.setFixedHeight(theme.px(96))

    def offer(self, close: bool, enabled: bool, open_tonight: bool) -> None:
        """Which results can be said now: of an open offer, or of tonight's."""
        self.keys = CLOSE if close else EVENING
        for number, button in enumerate(self.buttons):
            button.setVisible(number < len(self.keys))
            if number < len(self.keys):
                result = self.keys[number]
                button.say(translated(result.words), translated(result.note), result.key)
                button.setEnabled(enabled and not (open_tonight and number in (0, len(EVENING) - 1)))

    def result_of(self, key: str) -> ResultKey | None:
        """The result a letter stands for now; None when it is closed."""
        for result, button in zip(self.keys, self.buttons):
            if result.key == key and button.isEnabled():
                return result
        return None


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to a question: its key, its words, what it does."""

    key: str
    words: str
    run: Callable[[], None]


class Below(QStackedWidget):
    """Signs; or reasons; or one question with its answers."""

    pressed = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._sign_page, self._signs = self._grid(translated("Seen on her, one tap each"), len(SIGNS))
        self._reason_page, self._reasons = self._grid("", len(REASONS))
        self._question_page, self._answers = self._grid("", 3)
        for page in (self._sign_page, self._reason_page, self._question_page):
            self.addWidget(page.widget)
        self.setFixedHeight(theme.px(24 + 48 + 8 + 48))
        self.sign_keys: dict[str, SignKey] = {}
        self.reason_keys: dict[str, ReasonKey] = {}
        self._question: tuple[Answer, ...] = ()
        for buttons in (self._signs, self._reasons, self._answers):
            for button in buttons:
                button.clicked.connect(lambda _checked=False, one=button: self.pressed.emit(one.property("letter")))

    @property
    def asking(self) -> tuple[Answer, ...]:
        """The answers of the question that stands, or none."""
        return self._question if self.currentWidget() is self._question_page.widget else ()

    @property
    def reasoning(self) -> bool:
        """True while a reason is asked for."""
        return self.currentWidget() is self._reason_page.widget

    def show_signs(self, sex: Sex, blue: bool, done: Sequence[object]) -> None:
        """The signs that can be seen on an animal of this sex, ticked where written."""
        whom = {Sex.MALE: translated("Seen on him, one tap each"), Sex.FEMALE: translated("Seen on her, one tap each")}
        self._sign_page.say(whom.get(sex, translated("Seen, one tap each")))
        self.sign_keys = {}
        for sign, button in zip(SIGNS, self._signs):
            shown = clear_again(sign) if blue and sign.seen is ShedKind.BLUE else sign
            offered = not (sign.female and sex is Sex.MALE)
            button.setVisible(offered)
            button.say(translated(shown.words), "", shown.key)
            button.set_done(shown.seen in done)
            button.setProperty("letter", shown.key)
            if offered:
                self.sign_keys[shown.key] = shown
        self.setCurrentWidget(self._sign_page.widget)

    def ask_why(self, sentence: str, resting: bool) -> None:
        """Six reasons in the place of the signs."""
        self._reason_page.say(sentence, "strong")
        self.reason_keys = {}
        for reason, button in zip(REASONS, self._reasons):
            chosen = REST if resting and reason.key == REST.key else reason
            button.say(translated(chosen.words), "", chosen.key)
            button.setProperty("letter", chosen.key)
            self.reason_keys[chosen.key] = chosen
        self.setCurrentWidget(self._reason_page.widget)

    def ask(self, sentence: str, answers: Sequence[Answer]) -> None:
        """One question; its answers in large."""
        self._question = tuple(answers)
        self._question_page.say(sentence, "clay")
        for number, button in enumerate(self._answers):
            button.setVisible(number < len(answers))
            if number < len(answers):
                button.say(answers[number].words, "", answers[number].key)
                button.setProperty("letter", answers[number].key)
                button.filled = number == 0
        self.setCurrentWidget(self._question_page.widget)

    def _grid(self, sentence: str, count: int) -> tuple[_Page, list[RoomButton]]:
        look = "pad" if count == 3 else "sign"
        buttons = [RoomButton(self._theme, "", "", look=look) for _ in range(count)]
        columns = {len(SIGNS): 6, len(REASONS): 3}.get(count, count)
        return _Page(self._theme, sentence, buttons, columns), buttons


class _Page:
    """A sentence over a grid of buttons."""

    def __init__(self, theme: Theme, sentence: str, buttons: Sequence[RoomButton], columns: int) -> None:
        self.widget = QWidget()
        column = QVBoxLayout(self.widget)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.px(4))
        self._sentence = label(sentence, "second")
        self._sentence.setFixedHeight(theme.px(20))
        self._sentence.setStyleSheet(f"font-size: {theme.px(BODY)}px;")
        column.addWidget(self._sentence, 0, Qt.AlignmentFlag.AlignTop)
        grid = QGridLayout()
        grid.setSpacing(theme.px(8))
        for number, button in enumerate(buttons):
            policy = button.sizePolicy()
            policy.setRetainSizeWhenHidden(True)
            policy.setVerticalPolicy(QSizePolicy.Policy.Expanding)
            button.setSizePolicy(policy)
            grid.addWidget(button, number // columns, number % columns)
        for number in range(columns):
            grid.setColumnStretch(number, 1)
        column.addLayout(grid, 1)

    def say(self, sentence: str, role: str = "second") -> None:
        """Another sentence over the buttons."""
        self._sentence.setText(sentence)
        set_role(self._sentence, role)


def clear_again(sign: SignKey) -> SignKey:
    """The key of "in blue" for an animal that is in blue: clear again."""
    return SignKey(sign.key, "Clear again", ShedKind.CLEAR)
