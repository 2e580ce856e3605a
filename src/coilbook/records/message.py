"""Sentences as data, and the two kinds of trouble a keeper can meet.

The rooms below the window raise and return `Message`; `wording.texts.render` turns one into the keeper's
language and units. The text is the English sentence itself with named places, as gettext wants it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

_NOTHING: Mapping[str, object] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Message:
    """One sentence: `text` with `{named}` places, their `values`, and a plural form chosen by `values["n"]`."""

    text: str
    values: Mapping[str, object] = field(default_factory=lambda: _NOTHING)
    plural: str | None = None

    def __str__(self) -> str:
        chosen = self.plural if self.plural is not None and self.values.get("n") != 1 else self.text
        return chosen.format(**self.values)


def say(text: str, plural: str | None = None, /, **values: object) -> Message:
    """Shorthand for a `Message`.

    >>> str(say("{n} animal", "{n} animals", n=2))
    '2 animals'
    """
    return Message(text, MappingProxyType(dict(values)), plural)


class CoilbookError(Exception):
    """Root of what the program raises on purpose; carries a `Message`."""

    def __init__(self, message: Message | str) -> None:
        self.message = say("{text}", text=message) if isinstance(message, str) else message
        super().__init__(str(self.message))


class Refusal(CoilbookError):
    """The act was not done and nothing was written; the keeper can fix what the sentence names."""


class WorkStopped(CoilbookError):
    """The keeper stopped the work, or nobody waits for its answer any more; nothing went wrong."""


class StorageTrouble(CoilbookError):
    """The disk, a lock, a foreign or damaged file: the data is as it was; `kind` is a stable word for it."""

    def __init__(self, message: Message | str, kind: str = "storage") -> None:
        super().__init__(message)
        self.kind = kind
