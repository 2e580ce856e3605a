"""What can be told apart: which looks show a gene, and what a look hides of the genes elsewhere.

A look hides other genes in an animal that has it: there, one dose of the hidden gene cannot be told from none, and what
two doses look like stays told apart. A look that hides everything (a white animal) leaves nothing else to tell, so
whether it is there is asked first, of every locus that has such a look; then each locus is taken apart, those that hide
a gene before those it is hidden of. Where two loci hide single genes of each other, the first in the order stays told
apart.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from coilbook.genetics.catalogue import EVERYTHING, Catalogue
from coilbook.genetics.locus import Locus
from coilbook.genetics.states import Bools, LocusStates

#: in place of an allele: every look of the locus is hidden; it has a look that hides everything; it has none
EVERY_ALLELE, VEILED, UNVEILED = -1, -2, -3

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


def apparent_looks(states: LocusStates, hidden: Collection[int], *, everything: bool = False) -> tuple[int, ...]:
    """The look (index) each state seems to have in an animal that hides one dose of these alleles (indexes).

    What looks like one dose of a hidden allele beside a wild one cannot be told from none; what two doses look like, or
    two different alleles, stays told apart. Where another look hides `everything`, every state seems wild. This is the
    one rule of what is hidden: what is known of an animal by its look rests on it, and what is told apart among young.
    """
    looks = look_indexes(states)
    if everything:
        return (0,) * len(looks)
    unseen = {states.locus.table[0][allele] for allele in hidden}
    return tuple(0 if look in unseen else look for look in looks)


@dataclass(frozen=True, slots=True)
class Step:
    """A locus is told; or only whether it has a look that hides everything (`veil`)."""

    place: int
    veil: bool = False


@dataclass(frozen=True)
class Telling:
    """What can be told apart at the loci named, with this catalogue."""

    catalogue: Catalogue
    loci: tuple[LocusStates, ...]

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The order in which an animal is told: the veils, then every locus."""
        veils = [Step(place, veil=True) for place in range(len(self.loci)) if self._white(place).any()]
        keys = [states.locus.key for states in self.loci]
        left = dict.fromkeys(range(len(keys)))
        while left:
            free = [i for i in left if not any(keys[i] in self._targets[j] for j in left if j != i)]
            chosen = free[0] if free else next(iter(left))
            veils.append(Step(chosen))
            del left[chosen]
        return tuple(veils)

    def _white(self, place: int) -> Bools:
        """(S,) the states of a locus whose look hides everything."""
        veils = [any(a == EVERY_ALLELE for _, a in hidden) for hidden in self._hiding[place]]
        return np.array([veils[look] for look in self._look_of[place]]) & self.loci[place].alive

    @cached_property
    def _targets(self) -> tuple[frozenset[str], ...]:
        """The keys of the other loci of which each hides single genes."""
        return tuple(
            frozenset(key for hidden in self._hiding[place] for key, allele in hidden if allele != EVERY_ALLELE)
            for place in range(len(self.loci))
        )

    def parts(self, at: int, hidden: Hidden) -> tuple[tuple[Bools, Hidden], ...]:
        """What step `at` tells apart where this is hidden: masks of states (S,), and what is hidden after each."""
        if (at, hidden) not in self._known_parts:
            self._known_parts[at, hidden] = tuple(self._parts(self.steps[at], hidden))
        return self._known_parts[at, hidden]

    @cached_property
    def _known_parts(self) -> dict[tuple[int, Hidden], tuple[tuple[Bools, Hidden], ...]]:
        """The parts worked out so far."""
        return {}

    def _parts(self, step: Step, hidden: Hidden) -> Iterator[tuple[Bools, Hidden]]:
        states = self.loci[step.place]
        key, alive, white = states.locus.key, states.alive, self._white(step.place)
        if not step.veil:
            allowed = alive
            if (key, VEILED) in hidden:
                allowed = white
            elif (key, UNVEILED) in hidden:
                allowed = alive & ~white
            for mask in self.classes(step.place, hidden):
                if (mask & allowed).any():
                    yield mask & allowed, hidden | self.hides(step.place, mask & allowed)
        elif (key, EVERY_ALLELE) in hidden:
            yield alive, hidden
        else:
            yield white, hidden | self.hides(step.place, white) | {(key, VEILED)}
            if (alive & ~white).any():
                yield alive & ~white, hidden | {(key, UNVEILED)}

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
    def _singles(self) -> Hidden:
        """All single genes that may ever be hidden at these loci."""
        every = (item for looks in self._hiding for hidden in looks for item in hidden)
        return frozenset(item for item in every if item[1] != EVERY_ALLELE)

    def classes(self, place: int, hidden: Hidden) -> tuple[Bools, ...]:
        """The states (S,) of each told-apart look of a locus where these genes are hidden; lethal looks left out."""
        key = self.loci[place].locus.key
        here = frozenset(item for item in hidden if item[0] == key and item[1] >= EVERY_ALLELE)
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
        states = self.loci[place]
        alleles = frozenset(allele for _, allele in hidden if allele >= 0)
        everything = (states.locus.key, EVERY_ALLELE) in hidden
        seems = np.array(apparent_looks(states, alleles, everything=everything))
        masks = [(seems == look) & states.alive for look in range(len(states.locus.looks))]
        return tuple(mask for mask in masks if mask.any())

    def widest(self, place: int, mask: Bools, at: int, hidden: Hidden) -> tuple[Bools, ...]:
        """No class of a locus that may come of `mask` after step `at` holds a likelier one than these do."""
        key = self.loci[place].locus.key
        veils_left = any(step.veil for step in self.steps[at + 1 :])
        if veils_left or (key, EVERY_ALLELE) in hidden:
            return (mask,)
        classes = (*self.classes(place, self._singles), *self.classes(place, NOTHING))
        return tuple(one & mask for one in classes if (one & mask).any())

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
