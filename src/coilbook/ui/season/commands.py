"""Everything that can be done on the Season screen, as commands."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from coilbook.ui.commands import Command
from coilbook.ui.season.kinds import KINDS
from coilbook.wording.language import translated

if TYPE_CHECKING:
    from coilbook.ui.screens.season import SeasonScreen

#: the key of each form, and further words it is found by
_FORMS = {
    "stay": ("I", "pair introduction male in together"),
    "plan": ("P", "pairing backup target"),
    "lock": ("L", "mating courting copulation"),
    "out": ("O", "separate end stay"),
    "follicle": ("F", "ultrasound palpation scan mm"),
    "ovulation": ("V", "swelling"),
    "mark": ("S", "pre-lay ordinary unsure"),
    "end": ("E", "resorbed did not take skip"),
    "cooling": ("C", "night temperature cycling"),
}


def season_commands(screen: SeasonScreen) -> dict[str, Command]:
    """By name."""
    found: dict[str, Command] = {}

    def made(name: str, words: str, run: Callable[[], None], key: str = "", also: str = "") -> None:
        found[name] = Command(f"season.{name}", translated(words), run, key, screen=screen.key, also=also)

    for name, (key, also) in _FORMS.items():
        made(name, KINDS[name].words, partial(screen.ask, name), key, f"season {also}")
    made("drop", "Drop the plan", screen.drop_plan, "Del", "planned pairing")
    made("lines", "Show the season's lines", partial(screen.show_part, "lines"), "A", "axis")
    made("plans", "Show planned against happened", partial(screen.show_part, "plans"), "H", "pairings")
    made("close", "Show the close of the season", partial(screen.show_part, "close"), "K", "hatch rate result")
    made("earlier", "The season before", partial(screen.turn, -1), "Shift+Y", "year")
    made("later", "Other seasons, year over year", partial(screen.turn, 1), "Y", "year")
    made("nearer", "Zoom the axis in", partial(screen.lines.zoom, 1.25), "+")
    made("farther", "Zoom the axis out", partial(screen.lines.zoom, 0.8), "-")
    made("fit", "Fit the axis to the season", screen.fit, "0")
    made("calendar", "Write a calendar of what is expected", screen.write_calendar, "", "iCalendar ics export")
    made("numbers", "Numbers the windows count with", partial(screen.desk.go, "numbers"), "", "profile own days")
    made("close_csv", "Write the close of the season as CSV", partial(screen.write_close, ".csv"), "", "export")
    made("close_xlsx", "Write the close of the season as a workbook", partial(screen.write_close, ".xlsx"), "", "excel")
    return found
