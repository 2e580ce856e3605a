"""Everything that can be done on the pedigree screen, as commands."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from coilbook.ui.commands import Command
from coilbook.ui.pedigree.making import Kind
from coilbook.ui.pedigree.view import STEP
from coilbook.wording.language import translated

if TYPE_CHECKING:
    from coilbook.ui.screens.pedigree import PedigreeScreen

#: the letter of each way to look at a family
KIND_KEYS = {Kind.ANCESTORS: "A", Kind.DESCENDANTS: "D", Kind.BOTH: "B", Kind.MAP: "M"}
KIND_WORDS = {
    Kind.ANCESTORS: "Ancestors",
    Kind.DESCENDANTS: "Descendants",
    Kind.BOTH: "Both",
    Kind.MAP: "Map",
}


def pedigree_commands(screen: PedigreeScreen) -> list[Command]:
    """Print, how much of the family, nearer and farther, the gene, ways."""

    def made(
        name: str,
        words: str,
        run: Callable[[], None],
        key: str = "",
        also: str = "",
        enabled: Callable[[], bool] = screen.has_tree,
    ) -> Command:
        return Command(f"pedigree.{name}", translated(words), run, key, enabled, screen.key, also)

    orders = {
        Kind.ANCESTORS: "Show the ancestors",
        Kind.DESCENDANTS: "Show the descendants",
        Kind.BOTH: "Show ancestors and descendants",
        Kind.MAP: "Show the whole family as one map",
    }
    return [
        made("print", "Print the pedigree", screen.print_sheet, "Ctrl+P", "pdf paper", screen.has_animal),
        made("share", "Save as a picture (PNG and SVG)", screen.share, "Ctrl+E", "export image png svg"),
        *[
            made(kind.value, orders[kind], partial(screen.show_kind, kind), KIND_KEYS[kind], "tree family generations")
            for kind in Kind
        ],
        made("fewer", "A generation less", partial(screen.change_generations, -1), "[", "", screen.may_fewer),
        made("more", "A generation more", partial(screen.change_generations, 1), "]", "", screen.may_more),
        made("fit", "Show all of it", screen.view.fit, "0", "zoom whole"),
        made("reading", "Show it at reading size", screen.view.reading, "1", "zoom 100%"),
        made("nearer", "Look from nearer", partial(screen.view.zoom, STEP), "+", "zoom in larger"),
        made("farther", "Look from farther", partial(screen.view.zoom, 1 / STEP), "-", "zoom out smaller"),
        made("gene", "Choose a gene to show", screen.ask_gene, "G", "carrier het odds", screen.has_genes),
        made("paper", "On paper or with evidence", screen.turn_paper, "E", "odds", screen.has_gene),
        made("centre", "Show the pedigree of the animal in focus", screen.travel_focus, "C", "travel enter"),
        made("open", "Open the page of the animal in focus", screen.open_focus, "O", "animal"),
        made("back", "Back to the tree before", screen.go_back, "Backspace", "return", screen.has_before),
    ]
