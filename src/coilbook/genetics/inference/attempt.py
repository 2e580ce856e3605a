"""One run of a problem through its network, and what is kept of it for the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np

from coilbook.genetics.inference.families import Families, families_of
from coilbook.genetics.inference.laws import Laws, Watch, laws_of
from coilbook.genetics.inference.masks import MEET, Masks, masks_of
from coilbook.genetics.inference.network import Network, network_of, pairs_of, settled_slots
from coilbook.genetics.inference.numbers import animal_laws, factors, sort_pairs
from coilbook.genetics.inference.sampler import sample, unknown
from coilbook.genetics.inference.tree import run
from coilbook.genetics.problem import Ints, Pedigree, Problem, Rows
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


def keep_families(pedigree: Pedigree, families: Families) -> None:
    """Keep what is known of a pedigree already."""
    _FAMILIES[pedigree] = families


@dataclass(frozen=True)
class Attempt:
    """One run. `spot`: animals near a contradiction, () where there is none and `laws` (n, S) hold.

    `errors` (n,): standard errors of the laws, None where all are exact.
    """

    spot: tuple[int, ...]
    structure: Structure | None = None
    laws: Floats | None = None
    errors: Floats | None = None


def attempt(
    problem: Problem, structure: Structure | None, width_limit: int, watch: Watch, sampling: bool = True
) -> Attempt:
    """Answer a problem, or say where it contradicts itself. Without `sampling` tangled families are left out."""
    families = families_kept(problem.pedigree)
    masks = masks_of(problem.states)
    laws = laws_of(problem, families)
    pairs = pairs_of(families, laws)
    watch.look(1, 4)
    if structure is None or not structure.serves(problem, laws, masks, width_limit):
        slots = settled_slots(families, laws, masks, pairs)
        empty = families.breeders[masks.sizes[slots.sets[: slots.breeders]] == 0]
        if len(empty):
            return Attempt(tuple(sorted(_recorded(families, empty))))
        network = network_of(families, laws, masks, slots, pairs, width_limit)
        structure = Structure(problem.pedigree, network, width_limit, *_sets(laws, masks))
    watch.look(2, 4)
    network = structure.network
    by_kin = sort_pairs(network, pairs)
    logs = factors(network, laws, pairs, by_kin)
    marginals, family = run(network.layout, logs)
    errors = None
    if network.elimination.too_wide and not sampling:
        marginals += unknown(network)
    elif network.elimination.too_wide:
        chains = sample(network, logs, watch) + marginals
        marginals = chains.mean(axis=0)
        some = np.array([animal_laws(network, laws, pairs, by_kin, chain)[: families.recorded] for chain in chains])
        errors = some.std(axis=0, ddof=1).max(axis=1) / np.sqrt(len(some))
        errors[np.isnan(errors)] = np.inf
    watch.look(3, 4)
    found = animal_laws(network, laws, pairs, by_kin, marginals)[: families.recorded]
    return Attempt(_spot(families, network, found, family), structure, found, errors)


def _spot(families: Families, network: Network, found: Floats, family: Floats) -> tuple[int, ...]:
    """Animals that nothing can be, of families whose evidence has no chance."""
    impossible = set(np.flatnonzero(~found.any(axis=1)).tolist())
    variables = np.flatnonzero(np.isneginf(family[: len(network.animals)]))
    return tuple(sorted(impossible | _recorded(families, network.animals[variables])))


def _recorded(families: Families, animals: Ints) -> set[int]:
    """The animals, each fresh parent being named by the young it was thought up for."""
    first = families.recorded
    return {one if one < first else families.fresh[one - first].of for one in animals.tolist()}


def with_rows(problem: Problem, rows: Mapping[int, Floats]) -> Problem:
    """The problem with other rows of evidence for some animals."""
    evidence = problem.evidence
    of = evidence.of.copy()
    of[list(rows)] = len(evidence.rows) + np.arange(len(rows))
    new = np.array(list(rows.values())).reshape(len(rows), evidence.rows.shape[1])
    return replace(problem, evidence=Rows(np.concatenate([evidence.rows, new]), of))
