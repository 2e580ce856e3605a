"""A question that stands between a keeper and an act: the act was not done, and says how to call it again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from coilbook.records.message import Message, Refusal


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: its word, and the arguments to add when the same operation is called again."""

    word: Message
    arguments: Mapping[str, object] = field(default_factory=dict)


class Asks(Refusal):
    """Nothing was written; `choices` are the answers, each with the arguments that carry it."""

    def __init__(self, message: Message, choices: tuple[Choice, ...]) -> None:
        super().__init__(message)
        self.choices = choices
