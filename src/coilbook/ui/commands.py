"""What can be done, as data: menus, shortcuts and the command list are all built from these."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field


def _always() -> bool:
    return True


@dataclass(frozen=True, slots=True)
class Command:
    """One thing the keeper can do. `words` name it as an order ("Add an animal"); `shortcut` is Qt's portable text.

    A command without `screen` works everywhere; one with a screen's key only while that screen is open.
    """

    id: str
    words: str
    run: Callable[[], None]
    shortcut: str = ""
    enabled: Callable[[], bool] = field(default=_always)
    screen: str = ""
    #: further words it is found by
    also: str = ""
    #: left out of the command list (keys of the list itself, single letters of a round)
    listed: bool = True


def clashes(commands: Sequence[Command]) -> list[tuple[str, str, str]]:
    """(shortcut, id, id) of every two commands that would answer to the same keys on one screen."""
    found = []
    for index, one in enumerate(commands):
        for other in commands[index + 1 :]:
            together = not one.screen or not other.screen or one.screen == other.screen
            if one.shortcut and one.shortcut == other.shortcut and together:
                found.append((one.shortcut, one.id, other.id))
    return found


def matching(commands: Sequence[Command], text: str, limit: int = 12) -> list[Command]:
    """The listed, enabled commands that fit what was typed, best first; all of them for no text."""
    open_ones = [command for command in commands if command.listed and command.enabled()]
    if not text.strip():
        return open_ones[:limit]
    from rapidfuzz import fuzz, process, utils

    found = process.extract(
        text,
        [f"{command.words} {command.also}" for command in open_ones],
        scorer=fuzz.partial_token_ratio if len(text) > 2 else fuzz.partial_ratio,
        processor=utils.default_process,
        score_cutoff=70,
        limit=limit,
    )
    return [open_ones[index] for _, _, index in found]
