"""What an animal's young have shown of a gene: how many could have, how many did, by which mates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.derived.genetics_locus import LocusView
from coilbook.genetics.evidence import likelihood
from coilbook.genetics.masking import looks_showing
from coilbook.genetics.problem import NONE
from coilbook.genetics.states import Bools


@dataclass(frozen=True, slots=True)
class YoungSeen:
    """Young of sure parentage whose look is known and whose other parent could have given the gene.

    `proving` are young that show it. Animals are places.
    """

    looked_at: int = 0
    proving: tuple[int, ...] = ()
    mates: tuple[int, ...] = ()


def young_seen(view: LocusView, animal: int, allele: int) -> YoungSeen:
    """The young of one animal that say something of an allele (index) that shows in two copies only."""
    pedigree = view.inputs.rows.pedigree
    shows = showing(view, allele)
    looked_at = 0
    proving: list[int] = []
    mates: dict[int, None] = {}
    for child in view.inputs.descent.children(animal):
        sire, dam = int(pedigree.sire[child]), int(pedigree.dam[child])
        mate = dam if sire == animal else sire
        if NONE in (sire, dam) or not _may_give(view, mate, allele):
            continue
        fits = likelihood(view.states, view.known(child)) > 0
        if not fits[shows].any() or not fits[~shows].any():
            looked_at += 1
            mates[mate] = None
            if fits[shows].any():
                proving.append(child)
    return YoungSeen(looked_at, tuple(proving), tuple(mates))


def showing(view: LocusView, allele: int) -> Bools:
    """(S,) the states in which the allele shows."""
    keys = {view.states.locus.looks[index].key for index in looks_showing(view.states.locus, allele)}
    return np.array([look.key in keys for look in view.states.looks])


def _may_give(view: LocusView, animal: int, allele: int) -> bool:
    law = view.law(animal)
    return bool(law[view.states.copies(allele) > 0].sum() > 0)
