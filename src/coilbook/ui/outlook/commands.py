"""Everything that can be done on the outlook page, as commands."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from coilbook.ui.commands import Command
from coilbook.ui.outlook import asking
from coilbook.wording.language import translated

if TYPE_CHECKING:
    from coilbook.ui.screens.outlook import OutlookScreen


def outlook_commands(screen: OutlookScreen) -> dict[str, Command]:
    """By name."""

    def made(
        name: str, words: str, run: Callable[[], None], key: str = "", *, listed: bool = True, also: str = ""
    ) -> tuple[str, Command]:
        enabled = screen.has_pairing if name in _NEED_PAIRING else _always
        return name, Command(f"outlook.{name}", translated(words), run, key, enabled, screen.key, also, listed)

    return dict(
        [
            made("look", "Choose the look", partial(asking.ask_look, screen), "K", also="looking for gene morph"),
            made("count", "How many hatchlings", partial(asking.ask_count, screen), "N", also="eggs clutch size"),
            made("rank", "Rank all males for this female", screen.rank_males, "R", also="mates best"),
            made("rank_females", "Rank all females for this male", screen.rank_females, "Shift+R", also="mates best"),
            made(
                "mates",
                "Rank the mates of an animal",
                partial(asking.ask_mates, screen),
                "Ctrl+R",
                also="males females best",
            ),
            made("add", "Add a pairing", partial(asking.ask_pairing, screen), "Ctrl+N", also="outlook odds breed"),
            made("plan", "Plan this pairing", screen.plan, "P", also="season put together"),
            made("remove", "Take the pairing off the page", screen.remove, "Del"),
            made("left", "Move the pairing to the left", partial(screen.shift, -1), "Ctrl+Left", listed=False),
            made("right", "Move the pairing to the right", partial(screen.shift, 1), "Ctrl+Right", listed=False),
            made("dam", "Open the page of the dam", partial(screen.open_parent, True), "D"),
            made("sire", "Open the page of the sire", partial(screen.open_parent, False), "S"),
        ]
    )


_NEED_PAIRING = ("rank", "rank_females", "plan", "remove", "left", "right", "dam", "sire")


def _always() -> bool:
    return True
