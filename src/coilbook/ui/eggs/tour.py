"""States of the page of eggs worth a picture."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from coilbook.ui.eggs.overall import DOUBTS, HELPED

if TYPE_CHECKING:
    from coilbook.ui.screens.eggs import EggsScreen


def eggs_tour(screen: EggsScreen) -> list[tuple[str, Callable[[], None]]]:
    """Names, and what brings the page there."""
    states: tuple[tuple[str, Callable[[], None]], ...] = (
        ("candling", screen.candle),
        ("laying", partial(screen.begin, "lay")),
        ("hatching", partial(screen.begin, "hatch")),
        ("weighing", partial(screen.begin, "look")),
        ("story", screen.story),
        ("photos", partial(_to_photos, screen)),
        ("doubts", partial(screen.turn_to, DOUBTS)),
        ("helped", partial(screen.turn_to, HELPED)),
    )
    return [(name, partial(screen.afresh, state)) for name, state in states]


def _to_photos(screen: EggsScreen) -> None:
    """To the egg that was photographed most."""
    at = screen.desk_eggs
    found = [(len(egg.photos), box.id, egg.id) for box in at.now.boxes for egg in box.eggs if egg.photos]
    if found:
        _, box, egg = max(found)
        at.choose_box(box)
        screen.choose_egg(egg)
