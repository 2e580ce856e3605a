"""Questions an import asks: each once, with both readings shown, under a key that stays the same next time."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from coilbook.records.message import Message


class Scope(StrEnum):
    """What one answer covers: what a column or a sign means lasts, what a sheet or row is holds for this file."""

    COLUMN = "column"
    WORD = "word"
    SHEET = "sheet"
    ROW = "row"


@dataclass(frozen=True, slots=True)
class Option:
    """One possible answer: its stable `value`, and what it means in words."""

    value: str
    label: Message


@dataclass(frozen=True, slots=True)
class Question:
    """One question; `answer` is None while it is open.

    `holds`: rows that wait for it stand in the tier QUESTION until answered. Left open, what it concerns is kept as
    text (or, for whose animal a row is, not written at all): nothing is guessed. `suggested` is the option to show
    first. `free`: any answer `marks.parse_mark_answer` understands is allowed beside the options.
    """

    key: str
    text: Message
    options: tuple[Option, ...]
    scope: Scope
    suggested: str | None = None
    holds: bool = True
    free: bool = False
    answer: str | None = None
    count: int = 0
    examples: tuple[str, ...] = ()

    @property
    def open(self) -> bool:
        """True until it is answered."""
        return self.answer is None

    @property
    def remembered(self) -> bool:
        """True when the answer is worth keeping for the next file of this shape."""
        return self.scope in (Scope.COLUMN, Scope.WORD)


_EXAMPLES = 5


class QuestionBook:
    """Collects questions while rows are read: the first asker words it, all others add to the count."""

    def __init__(self, answers: Mapping[str, str], valid: Callable[[Question, str], bool]) -> None:
        self._answers = answers
        self._valid = valid
        self._asked: dict[str, Question] = {}
        self._counts: dict[str, int] = {}
        self._examples: dict[str, list[str]] = {}

    def ask(self, key: str, make: Callable[[], Question], example: str) -> str | None:
        """The answer given to `key`, or None while open; `example` is a cell or id it concerns."""
        question = self._asked.get(key)
        if question is None:
            question = make()
            given = self._answers.get(key)
            if given is not None and self._valid(question, given):
                question = _with(question, answer=given)
            self._asked[key] = question
            self._counts[key] = 0
            self._examples[key] = []
        self._counts[key] += 1
        examples = self._examples[key]
        if len(examples) < _EXAMPLES and example not in examples:
            examples.append(example)
        return question.answer

    def is_open(self, key: str) -> bool:
        """True when `key` was asked and has no answer."""
        return key in self._asked and self._asked[key].answer is None

    def holds(self, key: str) -> bool:
        """True when rows wait for `key`."""
        return self.is_open(key) and self._asked[key].holds

    def questions(self) -> tuple[Question, ...]:
        """All questions in the order they came up, with how many cells or rows each concerns."""
        return tuple(
            _with(question, count=self._counts[key], examples=tuple(self._examples[key]))
            for key, question in self._asked.items()
        )


def _with(question: Question, **changes: object) -> Question:
    return replace(question, **changes)  # type: ignore[arg-type]
