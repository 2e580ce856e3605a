"""Which of several sires it was, as questions of the whole collection: the same at every locus.

A `Selector` is one such question: of a litter that has one sire, or of one young where each egg has its own. At a
locus it is *live* where its candidates can differ; live selectors that hang together through animals not settled there
are one `LiveFamily`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from coilbook.genetics.inference.engine import Solved
from coilbook.genetics.inference.families import Brood, candidates
from coilbook.genetics.inference.network import Network
from coilbook.genetics.problem import NONE, Ints, Pedigree


@dataclass(frozen=True, slots=True)
class Selector:
    """One doubt: `young` that share a sire, who it may be (NONE: a male that is not recorded), with what chance."""

    young: tuple[int, ...]
    sires: tuple[int, ...]
    weights: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Selectors:
    """All doubts of a pedigree, and by young the number of its doubt."""

    all: tuple[Selector, ...]
    of: dict[int, int]

    def sizes(self, numbers: Iterable[int]) -> tuple[int, ...]:
        """How many candidates these selectors have."""
        return tuple(len(self.all[number].sires) for number in numbers)


@dataclass(frozen=True, slots=True)
class LiveFamily:
    """Selectors that hang together at one locus, in order, and the roots of the network's families they touch.

    `wide`: one of these families is too tangled to be counted.
    """

    selectors: tuple[int, ...]
    roots: frozenset[int]
    wide: bool = False


def unrecorded(selector: int) -> int:
    """The male that is not recorded, of one doubt, where an animal is asked for: below every index."""
    return -2 - selector


_SELECTORS: WeakKeyDictionary[Pedigree, Selectors] = WeakKeyDictionary()
_LIVE: WeakKeyDictionary[Solved, tuple[LiveFamily, ...]] = WeakKeyDictionary()


def selectors_of(pedigree: Pedigree) -> Selectors:
    """The doubts of a pedigree, worked out once."""
    known = _SELECTORS.get(pedigree)
    if known is None:
        found: list[Selector] = []
        for litter in pedigree.litters:
            sires, weights = candidates(litter)
            if len(sires) > 1:
                groups = [litter.young] if litter.shared else [(young,) for young in litter.young]
                found += [Selector(young, tuple(sires), tuple(weights)) for young in groups]
        of = {young: number for number, one in enumerate(found) for young in one.young}
        known = _SELECTORS[pedigree] = Selectors(tuple(found), of)
    return known


def live_families(answer: Solved, selectors: Selectors) -> tuple[LiveFamily, ...]:
    """The live selectors of one locus by family; those of families in contradiction are left out."""
    if answer not in _LIVE:
        _LIVE[answer] = _live_families(answer, selectors)
    return _LIVE[answer]


def _live_families(answer: Solved, selectors: Selectors) -> tuple[LiveFamily, ...]:
    network = answer.structure.network
    roots = roots_of(network)
    parts: list[tuple[set[int], set[int]]] = []
    for brood in network.families.broods:
        if is_live(answer, brood):
            parts += _of_brood(answer, network, brood, selectors, roots)
    merged: list[tuple[set[int], set[int]]] = []
    for asked, touched in parts:
        apart = []
        for other in merged:
            if other[0] & asked or other[1] & touched:
                asked, touched = asked | other[0], touched | other[1]
            else:
                apart.append(other)
        merged = [*apart, (asked, touched)]
    found = [LiveFamily(tuple(sorted(a)), frozenset(t - {-1}), wide=-1 in t) for a, t in merged]
    return tuple(sorted(found, key=lambda family: family.selectors))


def _of_brood(
    answer: Solved, network: Network, brood: Brood, selectors: Selectors, roots: Ints
) -> list[tuple[set[int], set[int]]]:
    """(selectors, roots of the families) of one brood.

    Young that each have their own sire fall apart where all their possible parents are settled.
    """
    families = network.families
    known = [one for one in (*brood.young, brood.dam, *brood.sires) if 0 <= one < families.recorded]
    if answer.clashes and np.isnan(answer.all_posteriors()[known]).any():
        return []

    def of(animals: Iterable[int]) -> set[int]:
        at = [int(families.breeder_at[one]) for one in animals if one != NONE]
        variables = [int(network.variable_of[place]) for place in at if place >= 0]
        return {int(roots[variable]) for variable in variables if variable >= 0}

    parents = of((brood.dam, *brood.sires))
    if brood.choice >= 0 or parents:
        return [({selectors.of[one] for one in brood.young}, parents | of(brood.young))]
    return [({selectors.of[one]}, of([one])) for one in brood.young]


def roots_of(network: Network) -> Ints:
    """(variables,) the root of each one's family, -1 of those too tangled to be counted."""
    roots = np.full(len(network.sizes), -1, dtype=np.int64)
    for layout in network.layouts:
        roots[layout.members] = layout.root[layout.members]
    return roots


def is_live(answer: Solved, brood: Brood) -> bool:
    """Whether the candidates of a brood can differ: False where all are settled and alike."""
    sure = {_settled_as(answer, brood, sire) for sire in brood.sires}
    return len(sure) > 1 or -1 in sure


def _settled_as(answer: Solved, brood: Brood, sire: int) -> int:
    """The one state a candidate can have, -1 for one of several."""
    structure = answer.structure
    network, laws = structure.network, structure.laws
    if sire == NONE:
        law = laws.prior[laws.founder_rows + laws.absent_of[brood.first]]
        return int(law.argmax()) if (law > 0).sum() == 1 else -1
    place = int(network.families.breeder_at[sire])
    settled = network.variable_of[place] < 0
    return int(network.masks.only[network.slots.sets[place]]) if settled else -1
