"""The look a keeper looks for, as the states that count at each locus."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.masking import look_indexes, looks_showing
from coilbook.genetics.statement import Says, Statement
from coilbook.genetics.states import Bools, LocusStates
from coilbook.records.vocabulary import Sex


@dataclass(frozen=True, slots=True)
class Wish:
    """Every gene looked for at once, and of which sex; a gene said with one dose may have two."""

    statements: tuple[Statement, ...]
    sex: Sex | None = None

    def masks(self, catalogue: Catalogue, loci: Iterable[LocusStates]) -> dict[str, Bools]:
        """The states (S,) that count, by locus key. A locus that is not among `loci` is left out: nothing can come."""
        states = {one.locus.key: one for one in loci}
        masks: dict[str, Bools] = {}
        for statement in self.statements:
            key = catalogue.genes[statement.gene].locus
            if key in states:
                mask = meant(states[key], catalogue.allele_of(statement.gene), statement.says)
                masks[key] = masks[key] & mask if key in masks else mask
        return masks

    def loci(self, catalogue: Catalogue) -> tuple[str, ...]:
        """The keys of the loci it asks about."""
        return tuple(dict.fromkeys(catalogue.genes[statement.gene].locus for statement in self.statements))


def wish_today(wish: Wish | None, catalogue: Catalogue) -> Wish | None:
    """A wish made before the catalogue changed: merged genes by what they are now; None where nothing of it is left."""
    if wish is None:
        return None
    statements = [replace(one, gene=catalogue.current(one.gene)) for one in wish.statements]
    left = tuple(one for one in statements if one.gene in catalogue.genes)
    return replace(wish, statements=left) if left else None


def showing(states: LocusStates, allele: int) -> Bools:
    """(S,) the states whose look shows an allele."""
    return np.asarray(np.isin(look_indexes(states), list(looks_showing(states.locus, allele))))


def meant(states: LocusStates, allele: int, says: Says) -> Bools:
    """(S,) the states that fulfil what is said of an allele."""
    match says:
        case Says.TWO:
            return np.asarray(states.copies(allele) == 2)
        case Says.HET | Says.POSSIBLE_HET:
            return np.asarray(states.copies(allele) >= 1)
        case Says.PROVEN_NOT:
            return np.asarray(states.copies(allele) == 0)
        case _:
            return showing(states, allele)


def wish_for(catalogue: Catalogue, genes: Mapping[str, Says | None], sex: Sex | None = None) -> Wish:
    """A wish by gene keys; None: as the gene shows, a recessive with two doses."""

    def says(gene: str, said: Says | None) -> Says:
        return said or (Says.VISUAL if catalogue.is_recessive(gene) else Says.ONE)

    return Wish(tuple(Statement(gene, says(gene, said)) for gene, said in genes.items()), sex)
