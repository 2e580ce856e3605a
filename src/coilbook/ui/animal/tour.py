"""Further states of an animal's page that are worth a picture."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coilbook.ui.screens.animal import AnimalScreen


def tour_states(screen: AnimalScreen) -> list[tuple[str, Callable[[], None]]]:
    """The panel at its choice, a feeding half typed, the fast explained, a line being corrected."""

    def fast() -> None:
        screen.body.close_log()
        screen.body.strip.go("fast")

    def correcting() -> None:
        screen.body.head.genetics.edit()

    def narrowed() -> None:
        screen.body.close_lines()
        screen.body.timeline.begin_narrowing("weighed")

    return [
        ("log", lambda: screen.log()),
        ("log-feeding", lambda: screen.log("feeding")),
        ("fast", fast),
        ("correct", correcting),
        ("narrowed", narrowed),
    ]
