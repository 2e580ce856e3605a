"""States of the genes screen worth a picture."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from coilbook.genetics.catalogue_text import OwnEntry
from coilbook.genetics.locus import Inheritance
from coilbook.operations import catalogue as acts
from coilbook.operations.own_genes import keep_entry
from coilbook.reads.genes import EntryKind

if TYPE_CHECKING:
    from coilbook.ui.screens.genes import GenesScreen

#: an entry made when the shipped catalogue still said something else
_OLDER = """[[gene]]
key = "clown"
description = "Broad stripe, and a mark under each eye."
two = "Clown"
was = {description = "Reduced pattern."}
"""


def genes_tour(screen: GenesScreen) -> list[tuple[str, Callable[[], None]]]:
    """Names, and what brings the screen there."""
    return [
        ("caution", partial(_focus, screen, EntryKind.GENE, "spider")),
        ("complex", partial(_focus, screen, EntryKind.GENE, "yellow belly")),
        ("locus", partial(_focus, screen, EntryKind.COMPLEX, "TYR")),
        ("locus-asked", partial(_correct_complex, screen)),
        ("combination", partial(_focus, screen, EntryKind.COMBINATION, "killer clown")),
        ("filtered", partial(screen.filter_text, "recessive published")),
        ("nothing", partial(screen.filter_text, "zebra")),
        ("new-gene", partial(_unfiltered, screen, screen.asking.gene)),
        ("correct", partial(_correct, screen)),
        ("hides", partial(_asked, screen, "albino", screen.asking.hides)),
        ("caution-asked", partial(_asked, screen, "spider", screen.asking.caution)),
        ("pair", partial(_asked, screen, "yellow belly", screen.asking.pair)),
        ("own", partial(_own, screen)),
        ("conflict", partial(_conflict, screen)),
        ("conflict-away", partial(_focus, screen, EntryKind.GENE, "albino")),
        ("merge", partial(_unfiltered, screen, screen.asking.merge)),
        ("new-combination", partial(_unfiltered, screen, screen.asking.combination)),
    ]


def _focus(screen: GenesScreen, kind: EntryKind, key: str) -> None:
    _unfiltered(screen)
    number = screen.model.number_of(kind, key)
    if number >= 0:
        screen.table.setCurrentIndex(screen.model.index(number, 0))
        screen.table.scrollTo(screen.model.index(number, 0), screen.table.ScrollHint.EnsureVisible)


def _unfiltered(screen: GenesScreen, then: Callable[[], None] | None = None) -> None:
    screen.close_form()
    screen.filter_text("")
    if then is not None:
        then()


def _correct(screen: GenesScreen) -> None:
    _focus(screen, EntryKind.GENE, "champagne")
    screen.asking.correction()


def _correct_complex(screen: GenesScreen) -> None:
    _focus(screen, EntryKind.COMPLEX, "yellow belly complex")
    screen.asking.correction()


def _asked(screen: GenesScreen, gene: str, ask: Callable[[], None]) -> None:
    _focus(screen, EntryKind.GENE, gene)
    ask()


def _own(screen: GenesScreen) -> None:
    screen.close_form()
    if "lantern" not in screen.book_genes():
        run = partial(screen.desk.run, species=screen.species)
        run(acts.add_gene, name="Lantern", inheritance=Inheritance.RECESSIVE, allele_of="ultramel")
        run(acts.add_line, gene="axanthic", words="Line Q")
        run(acts.name_combination, name="Harvest Moon", parts="Enchi Lantern")
    _focus(screen, EntryKind.GENE, "lantern")


def _conflict(screen: GenesScreen) -> None:
    # each look of the tour has the same book: what stands in it is not kept twice
    if screen.book is not None and all(entry.key != "gene clown" for entry in screen.book.own):
        screen.desk.run(keep_entry, entry=OwnEntry("gene clown", _OLDER), species=screen.species)
    _focus(screen, EntryKind.GENE, "clown")
