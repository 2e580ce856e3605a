"""What cards of young that do not show a recessive looked for may say of it: on paper, and with evidence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from coilbook.genetics import outlook_chance as chance
from coilbook.genetics.outlook import Group, Outlook
from coilbook.genetics.wish import Wish, showing
from coilbook.reads.outlook_source import GeneticsNow
from coilbook.records.ids import AnimalId


@dataclass(frozen=True, slots=True)
class CardOfTheRest:
    """Of young that do not show a gene: the chance that they carry it, with evidence, and on paper (None: no answer).

    A card prints the paper value, which is what their parents' statuses come to, and the other where that is less.
    """

    gene: str
    evidence: float
    paper: Fraction | None


def cards_of_the_rest(
    genetics: GeneticsNow, outlook: Outlook, wish: Wish | None, dam: AnimalId, sires: Sequence[tuple[AnimalId, int]]
) -> tuple[CardOfTheRest, ...]:
    """Each recessive looked for that not all of the young show."""
    return tuple(_cards(genetics, outlook, wish, dam, sires)) if wish is not None else ()


def _cards(
    genetics: GeneticsNow, outlook: Outlook, wish: Wish, dam: AnimalId, sires: Sequence[tuple[AnimalId, int]]
) -> Iterator[CardOfTheRest]:
    here = {one.key: one.states for one in outlook.loci}
    total = sum(percent for _, percent in sires)
    shares = [(sire, Fraction(percent, total)) for sire, percent in sires]
    for statement in wish.statements:
        gene = outlook.catalogue.genes[statement.gene]
        if not outlook.catalogue.is_recessive(gene.key) or gene.locus not in here:
            continue
        allele, states = outlook.catalogue.allele_of(gene.key), here[gene.locus]
        plain = ~showing(states, allele) & states.alive
        base = chance.each(outlook.cases({gene.locus: plain}))
        if base > 0:
            all_else = {key: np.ones(len(other.states), dtype=np.bool_) for key, other in here.items()}
            group = Group({**all_else, gene.locus: plain}, base, (base / 2, base / 2))
            carried = (c.any for c in outlook.carries(group) if c.locus == gene.locus and c.allele == allele)
            paper = genetics.paper_of_young(gene.locus, dam, shares, allele, plain)
            yield CardOfTheRest(gene.name, next(carried, 0.0), paper)
