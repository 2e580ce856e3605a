"""States of the outlook page worth a picture."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import product
from typing import TYPE_CHECKING

from coilbook.reads.named import animals_named
from coilbook.reads.outlook import Pairing
from coilbook.ui.outlook.asking import ask_pairing
from coilbook.ui.outlook.sorts import PieceKind

if TYPE_CHECKING:
    from coilbook.ui.screens.outlook import OutlookScreen

#: females and males of the demo
DAMS, SIRES = ("F-023", "F-014"), ("M-03", "M-11", "M-15")


def outlook_tour(screen: OutlookScreen) -> list[tuple[str, Callable[[], None]]]:
    """Names, and what brings the page there."""
    return [
        ("two", partial(show, screen, ("F-023", "M-03"), ("F-023", "M-11"))),
        ("opened", partial(_open_first, screen)),
        ("fact", partial(screen.columns.focus_on, PieceKind.FACT, 0, 3)),
        ("three", partial(show, screen, ("F-023", "M-11"), ("F-014", "M-03"), ("F-031", "M-15"))),
        ("six", partial(show, screen, *product(DAMS, SIRES))),
        ("refused", partial(show, screen, ("F-023", "F-014"))),
        ("ranking", partial(_rank, screen)),
        ("form", partial(ask_pairing, screen)),
    ]


def show(screen: OutlookScreen, *pairs: tuple[str, str]) -> None:
    """Put these pairings on the page."""
    screen.close_form()
    screen.pairings.clear()
    for dam, sire in pairs:
        found = [animals_named(screen.desk.collection, name, 1) for name in (dam, sire)]
        if all(found):
            screen.pairings.append(Pairing(found[0][0].id, ((found[1][0].id, 100),)))
    screen.columns.focus_on(PieceKind.NUMBER, 0)
    screen.show_pairings()


def _open_first(screen: OutlookScreen) -> None:
    screen.columns.focus_on(PieceKind.LOOK, 0)
    if screen.columns.piece is not None:
        screen.open_piece(screen.columns.piece)


def _rank(screen: OutlookScreen) -> None:
    found = animals_named(screen.desk.collection, DAMS[0], 1)
    if found:
        screen.rank(found[0].id)
