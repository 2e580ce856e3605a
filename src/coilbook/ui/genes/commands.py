"""Everything that can be done on the genes screen, as commands."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from coilbook.ui.commands import Command
from coilbook.wording.language import translated

if TYPE_CHECKING:
    from coilbook.ui.screens.genes import GenesScreen


def _made(
    screen: GenesScreen,
    name: str,
    words: str,
    run: Callable[[], None],
    key: str,
    usable: Callable[[], bool] = lambda: True,
    also: str = "",
) -> tuple[str, Command]:
    return name, Command(f"genes.{name}", translated(words), run, key, usable, screen.key, also)


def genes_commands(screen: GenesScreen) -> dict[str, Command]:
    """By name."""

    gene, named, own = screen.is_gene, screen.is_named, screen.is_own
    made = partial(_made, screen)
    return dict(
        [
            made("add", "Add a gene", screen.asking.gene, "Ctrl+N", also="new morph allele catalogue"),
            made("combination", "Name a combination", screen.asking.combination, "C", also="new morph name"),
            made("line", "Add a line of this gene", screen.asking.line, "L", gene, "lineage word"),
            made(
                "correct", "Correct this entry", screen.asking.correction, "E", named, "edit inheritance looks aliases"
            ),
            made(
                "complex",
                "Correct its complex",
                screen.asking.complex,
                "X",
                screen.has_complex,
                "locus alleles name source",
            ),
            made("rename", "Give it another name", screen.asking.name, "F2", named),
            made("merge", "Merge it into another", screen.asking.merge, "M", gene, "same gene line one"),
            made("hides", "Say what it hides", screen.asking.hides, "H", gene, "mask white covers not seen"),
            made("caution", "Note a caution about it", screen.asking.caution, "W", gene, "welfare warning health"),
            made("pair", "Name the look with an allele", screen.asking.pair, "P", gene, "two alleles super"),
            made("keep", "Settle the conflict: yours", screen.keep_yours, "K", screen.has_conflict),
            made("take", "Settle the conflict: as shipped", screen.take_shipped, "T", screen.has_conflict),
            made("back", "Take your entry back", screen.take_back, "Del", own, "remove own shipped again"),
            made("animals", "Animals whose text names it", screen.show_animals, "A", screen.is_written, "who carries"),
            made("species", "Genes of another species", screen.next_species, "S", also="corn snake python"),
        ]
    )
