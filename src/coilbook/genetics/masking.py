"""What can be told apart: which looks show a gene, and what a look hides of the genes elsewhere.

A look hides other genes in an animal that has it: there, one dose of the hidden gene cannot be told from none, and what
two doses look like stays told apart. A look that hides everything (a white animal) leaves nothing else to tell.
Where two loci hide each other, the one that comes first in the order stays told apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from coilbook.genetics.catalogue import EVERYTHING, Catalogue
from coilbook.genetics.locus import Locus
from coilbook.genetics.states import Bools, LocusStates

#: in place of an allele: every look of the locus is hidden
EVERY_ALLELE = -1

#: hidden genes as (locus key, allele index)
Hidden = frozenset[tuple[str, int]]
NOTHING: Hidden = frozenset()


def looks_showing(locus: Locus, allele: int) -> frozenset[int]:
    """The looks (indexes) that show this allele: that of two doses, and every other that takes it.

    The wild look shows nothing; a look that falls without the allele too does not show it.
    """
    with_it = set(locus.table[allele])
    without = {
        locus.table[first][second]
        for first in range(len(locus.alleles))
        for second in range(len(locus.alleles))
        if allele not in (first, second)
    }
    return frozenset(((with_it - without) | {locus.table[allele][allele]}) - {0})


def look_indexes(states: LocusStates) -> tuple[int, ...]:
    """The look of each state, as its index in the locus."""
    places = {id(look): index for index, look in enumerate(states.locus.looks)}
    return tuple(places[id(look)] for look in states.looks)


@dataclass(frozen=True)
class Telling:
    """What can be told apart at the loci named, with this catalogue."""

    catalogue: Catalogue
    loci: tuple[LocusStates, ...]

    @cached_property
    def order(self) -> tuple[int, ...]:
        """The places of the loci, those that hide before what they hide (a ring of hiding is cut anywhere)."""
        keys = [states.locus.key for states in self.loci]
        left = dict.fromkeys(range(len(keys)))
        ordered: list[int] = []
        while left:
            free = [i for i in left if not any(keys[i] in self._targets[j] for j in left if j != i)]
            chosen = free[0] if free else next(iter(left))
            ordered.append(chosen)
            del left[chosen]
        return tuple(ordered)

    @cached_property
    def _targets(self) -> tuple[frozenset[str], ...]:
        """The keys of the other loci each locus hides something of."""
        return tuple(
            frozenset(key for hidden in self._hiding[place] for key, _ in hidden) for place in range(len(self.loci))
        )

    @cached_property
    def _hiding(self) -> tuple[tuple[Hidden, ...], ...]:
        """What each look of each locus hides elsewhere."""
        return tuple(
            tuple(self._hidden_by(states.locus, look) for look in range(len(states.locus.looks)))
            for states in self.loci
        )

    def _hidden_by(self, locus: Locus, look: int) -> Hidden:
        catalogue = self.catalogue
        keys = catalogue.masks.get((locus.key, locus.looks[look].key), frozenset())
        if EVERYTHING in keys:
            others = (states.locus.key for states in self.loci if states.locus.key != locus.key)
            return frozenset((key, EVERY_ALLELE) for key in others)
        genes = (catalogue.genes[key] for key in keys if key in catalogue.genes)
        return frozenset((gene.locus, catalogue.allele_of(gene.key)) for gene in genes if gene.locus != locus.key)

    @cached_property
    def _look_of(self) -> tuple[tuple[int, ...], ...]:
        return tuple(look_indexes(states) for states in self.loci)

    @cached_property
    def _everything(self) -> Hidden:
        """All that may ever be hidden at these loci."""
        return frozenset().union(*(hidden for looks in self._hiding for hidden in looks))

    def classes(self, place: int, hidden: Hidden) -> tuple[Bools, ...]:
        """The states (S,) of each told-apart look of a locus where these genes are hidden; lethal looks left out."""
        here = frozenset(item for item in hidden if item[0] == self.loci[place].locus.key)
        if (place, here) not in self._known:
            self._known[place, here] = self._classes(place, here)
        return self._known[place, here]

    @cached_property
    def _known(self) -> dict[tuple[int, Hidden], tuple[Bools, ...]]:
        """The classes worked out so far."""
        return {}

    @cached_property
    def _known_hides(self) -> dict[tuple[int, bytes], Hidden]:
        """What the classes met so far hide."""
        return {}

    def _classes(self, place: int, hidden: Hidden) -> tuple[Bools, ...]:
        states, look_of = self.loci[place], np.array(self._look_of[place])
        locus = states.locus
        with_wild = {0} | {locus.table[0][allele] for _, allele in hidden if allele != EVERY_ALLELE}
        if (locus.key, EVERY_ALLELE) in hidden:
            with_wild = set(range(len(locus.looks)))
        groups = [with_wild] + [{look} for look in range(len(locus.looks)) if look not in with_wild]
        masks = [np.isin(look_of, list(group)) & states.alive for group in groups]
        return tuple(mask for mask in masks if mask.any())

    def coarsest(self, place: int) -> tuple[Bools, ...]:
        """The classes of a locus where everything that can be hidden is."""
        return self.classes(place, self._everything)

    def single_looks(self, place: int, mask: Bools) -> tuple[Bools, ...]:
        """A class taken apart into the looks it holds."""
        look_of = np.array(self._look_of[place])
        return tuple(mask & (look_of == look) for look in sorted(set(look_of[mask].tolist())))

    def hides(self, place: int, mask: Bools) -> Hidden:
        """What a class of a locus may hide elsewhere: all that any look in it hides."""
        known = (place, mask.tobytes())
        if known not in self._known_hides:
            looks: Iterable[int] = set(np.array(self._look_of[place])[mask].tolist())
            self._known_hides[known] = frozenset().union(*(self._hiding[place][look] for look in looks))
        return self._known_hides[known]

    def hidden_in(self, masks: Sequence[Bools]) -> tuple[Hidden, ...]:
        """For each locus, what the others hide of it in an animal with these masks, place by place."""
        by_place = [self.hides(place, mask) for place, mask in enumerate(masks)]
        return tuple(
            frozenset(
                item
                for other, hidden in enumerate(by_place)
                if other != place
                for item in hidden
                if item[0] == states.locus.key
            )
            for place, states in enumerate(self.loci)
        )
