"""`solve`: exact laws of all animals at one locus, and what is kept to answer the next question faster."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np

from coilbook.genetics.inference.families import Families, families_of
from coilbook.genetics.inference.laws import Laws, Watch, laws_of
from coilbook.genetics.inference.masks import MEET, Masks, masks_of
from coilbook.genetics.inference.network import Network, network_of, pairs_of, settled_slots
from coilbook.genetics.inference.numbers import animal_laws, factors, sort_pairs
from coilbook.genetics.inference.tree import run
from coilbook.genetics.problem import Clash, Ints, Pedigree, Problem, Rows
from coilbook.genetics.states import Floats

#: the most table entries one family may need before the bounded method takes over
WIDTH_LIMIT = 25_000_000

_FAMILIES: WeakKeyDictionary[Pedigree, Families] = WeakKeyDictionary()


@dataclass(frozen=True)
class Structure:
    """What a locus and a pedigree have in common with the next question about them."""

    pedigree: Pedigree
    network: Network
    width_limit: int
    #: (count,) the sets of states that evidence and prior allowed when it was built
    seen: Ints
    priors: Ints

    def serves(self, problem: Problem, laws: Laws, masks: Masks, width_limit: int) -> bool:
        """Whether evidence of this problem rules out at least what it ruled out before."""
        if self.pedigree is not problem.pedigree or self.network.masks is not masks or width_limit != self.width_limit:
            return False
        seen, priors = _sets(laws, masks)
        wider = masks.look(MEET, seen, self.seen) != seen
        return not wider.any() and np.array_equal(priors, self.priors)


def _sets(laws: Laws, masks: Masks) -> tuple[Ints, Ints]:
    return masks.number(laws.evidence > 0)[laws.evidence_of], masks.number(laws.prior > 0)[laws.prior_of]


def families_kept(pedigree: Pedigree) -> Families:
    """The matings of a pedigree, worked out once."""
    known = _FAMILIES.get(pedigree)
    if known is None:
        known = _FAMILIES[pedigree] = families_of(pedigree)
    return known


class Solved:
    """The answer: see `coilbook.genetics.problem.Answer`."""

    def __init__(self, problem: Problem, structure: Structure, laws: Floats) -> None:
        self.problem = problem
        self.structure = structure
        self._laws = laws
        self.clashes: tuple[Clash, ...] = ()
        self.exact = True

    def posterior(self, animal: int) -> Floats:
        """(S,) law of one animal."""
        return np.asarray(self._laws[animal])

    def all_posteriors(self) -> Floats:
        """(n, S) laws of all animals."""
        return self._laws

    def error(self, animal: int) -> float:
        """0: the answer is exact."""
        return 0.0

    def joint(self, sire: int, dam: int) -> Floats:
        """(S, S) joint law of two animals."""
        return np.asarray(self.joints(sire, np.array([dam]))[0])

    def joints(self, one: int, others: Ints) -> Floats:
        """(k, S, S) joint laws of `one` with each of `others`: one run for each genotype `one` can have."""
        law = self.posterior(one)
        found = np.zeros((len(others), len(law), len(law)))
        mine = self.problem.evidence.rows[self.problem.evidence.of[one]]
        for state in np.flatnonzero(law > 0):
            if law[state] == 1.0:
                found[:, state] = self._laws[others]
            else:
                sure = np.zeros_like(mine)
                sure[state] = mine[state]
                found[:, state] = law[state] * self.with_evidence({one: sure}).all_posteriors()[others]
        return found

    def with_evidence(self, rows: Mapping[int, Floats]) -> Solved:
        """The answer when what was observed of some animals is this instead."""
        evidence = self.problem.evidence
        of = evidence.of.copy()
        of[list(rows)] = len(evidence.rows) + np.arange(len(rows))
        new = Rows(np.concatenate([evidence.rows, np.array(list(rows.values())).reshape(len(rows), -1)]), of)
        return solve(
            replace(self.problem, evidence=new), structure=self.structure, width_limit=self.structure.width_limit
        )


def solve(
    problem: Problem,
    *,
    structure: Structure | None = None,
    width_limit: int = WIDTH_LIMIT,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Solved:
    """Exact laws of all animals at one locus, given everything known.

    `structure` of an earlier answer about the same pedigree is used again where it serves. `width_limit`: the most
    table entries one family may need; a more tangled one is answered by the bounded method, which says so.
    Raises `BrokenPedigree`, ValueError for evidence that is none, `Cancelled`.
    """
    watch = Watch(progress, cancelled)
    families = families_kept(problem.pedigree)
    masks = masks_of(problem.states)
    laws = laws_of(problem, families)
    pairs = pairs_of(families, laws)
    watch.look(1, 4)
    if structure is None or not structure.serves(problem, laws, masks, width_limit):
        slots = settled_slots(families, laws, masks, pairs)
        if (masks.sizes[slots.sets[: slots.breeders]] == 0).any():
            raise NotImplementedError("a contradiction")
        network = network_of(families, laws, masks, slots, pairs, width_limit)
        structure = Structure(problem.pedigree, network, width_limit, *_sets(laws, masks))
    watch.look(2, 4)
    network = structure.network
    by_kin = sort_pairs(network, pairs)
    marginals, family = run(network.layout, factors(network, laws, pairs, by_kin))
    watch.look(3, 4)
    if network.elimination.too_wide:
        raise NotImplementedError("a family too tangled")
    found = animal_laws(network, laws, pairs, by_kin, marginals)[: families.recorded]
    if np.isneginf(family).any() or not found.any(axis=1).all():
        raise NotImplementedError("a contradiction")
    return Solved(problem, structure, found)
