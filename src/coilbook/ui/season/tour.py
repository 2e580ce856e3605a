"""States of the Season screen worth a picture."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from coilbook.reads.lookup import animal_with_id

if TYPE_CHECKING:
    from coilbook.ui.screens.season import SeasonScreen


def season_tour(screen: SeasonScreen) -> list[tuple[str, Callable[[], None]]]:
    """Names, and what brings the page there."""
    return [
        ("f014", partial(_at, screen, "F-014")),
        ("ovulation", partial(_at, screen, "F-023")),
        ("eggs", partial(_at, screen, "F-005")),
        ("second-clutch", partial(_at, screen, "F-004")),
        ("male", partial(_at, screen, "M-07")),
        ("near", partial(_zoomed, screen)),
        ("stay-form", partial(_form, screen, "stay")),
        ("follicle-form", partial(_form, screen, "follicle")),
        ("plans", partial(_page, screen, "plans")),
        ("close", partial(_page, screen, "close")),
        ("year-before", partial(_before, screen)),
    ]


def _at(screen: SeasonScreen, keeper_id: str) -> None:
    screen.leave_form()
    screen.show_part("lines")
    animal = animal_with_id(screen.desk.collection, keeper_id)
    if animal is not None:
        screen.lines.focus_on_animal(animal)


def _zoomed(screen: SeasonScreen) -> None:
    _at(screen, "F-014")
    screen.lines.zoom(3)


def _form(screen: SeasonScreen, name: str) -> None:
    _at(screen, "F-023")
    screen.fit()
    screen.ask(name)


def _page(screen: SeasonScreen, name: str) -> None:
    screen.leave_form()
    screen.show_part(name)
    table = screen.plan_table if name == "plans" else screen.close_table
    table.setCurrentIndex(table.model().index(0, 0))


def _before(screen: SeasonScreen) -> None:
    screen.show_part("lines")
    screen.turn(-1)
