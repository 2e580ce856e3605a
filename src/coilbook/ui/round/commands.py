"""The keys of the round as commands, so that they work wherever the focus is but in a field."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from coilbook.ui.commands import Command
from coilbook.ui.round.keys import Key, letters
from coilbook.wording.language import translated

#: letters that also stand in the list of what can be done; the others are on their buttons
_LISTED = (Key.ALL, Key.VIEW)


def round_commands(screen: str, press: Callable[[str], None], step_rack: Callable[[int], None]) -> list[Command]:
    """One command a letter, and the two that go from rack to rack."""
    made = [
        Command(
            f"round.{letter.lower()}",
            translated(words),
            partial(press, letter),
            letter,
            screen=screen,
            listed=letter in _LISTED,
        )
        for letter, words in letters()
    ]
    for by, words, keys in ((1, "Next rack", "PgDown"), (-1, "Rack before", "PgUp")):
        made.append(Command(f"round.rack{by}", translated(words), partial(step_rack, by), keys, screen=screen))
    return made
