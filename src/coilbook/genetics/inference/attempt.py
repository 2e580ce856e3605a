"""One run of a problem through its network, and what is kept of it for the next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np

from coilbook.genetics.inference.families import Families, families_of
from coilbook.genetics.inference.laws import Laws, Watch, laws_of
from coilbook.genetics.inference.masks import MEET, Masks, masks_of
from coilbook.genetics.inference.network import Network, Pairs, network_of, pairs_of, settled_slots
from coilbook.genetics.inference.numbers import Before, animal_laws, factors, sort_pairs
from coilbook.genetics.inference.runs import Numbers, numbers_of
from coilbook.genetics.inference.sampler import Sampled, unknown
from coilbook.genetics.inference.spread import standard_errors, unseen
from coilbook.genetics.problem import Ints, Pedigree, Problem, Rows
from coilbook.genetics.states import Bools, Floats

#: the most table entries one family may need before the bounded method takes over
WIDTH_LIMIT = 25_000_000

#: how many rows of evidence come together before those no longer used are thrown out
_ROWS = 64

#: tables of as many entries are run again rather than built anew; of more, only where nothing new is ruled out; between
#: the two, till more is ruled out of so many animals
_LIGHT, _HEAVY, _MANY = 4_096, 1_000_000, 16

_FAMILIES: WeakKeyDictionary[Pedigree, Families] = WeakKeyDictionary()


@dataclass(frozen=True)
class Structure:
    """What a locus and a pedigree have in common with the next question about them.

    `problem` and `laws` are those it was built for; `seen` (count,) the sets of states that evidence allowed then.
    """

    problem: Problem
    laws: Laws
    network: Network
    width_limit: int
    seen: Ints

    def laws_for(
        self, problem: Problem, families: Families, width_limit: int, animals: tuple[int, ...] | None
    ) -> Laws | None:
        """The laws of another problem, if it rules out at least what was ruled out before; else None.

        `animals`: of whom alone anything is new since a problem this held for; None for anybody.
        """
        mine = self.problem
        if (
            mine.pedigree is not problem.pedigree
            or mine.states is not problem.states
            or width_limit != self.width_limit
            or not same_rows(mine.founder, problem.founder, families.founder[: families.recorded])
            or not same_rows(mine.absent, problem.absent, families.needs_absent)
        ):
            return None
        laws, masks = laws_of(problem, families, self.laws), self.network.masks
        if animals is not None:
            some = list(animals)
            now = laws.evidence[laws.evidence_of[some]] > 0
            return None if (now & ~masks.sets[self.seen[some]]).any() else laws
        seen = seen_sets(laws, masks)
        return laws if np.array_equal(masks.look(MEET, seen, self.seen), seen) else None

    def outgrown(self, problem: Problem) -> bool:
        """Whether a problem rules out so much more that a structure of its own is likely to be far smaller.

        One with a family that was too tangled may be exact now: what is ruled out at all is then enough.
        """
        network = self.network
        wide = bool(network.elimination.too_wide)
        if not wide and network.entries <= _LIGHT:
            return False
        old, new = self.problem.evidence, problem.evidence
        if len(old.of) != len(new.of):
            return True
        fewer = ((old.rows > 0)[old.of] & ~(new.rows > 0)[new.of]).any(axis=1).sum()
        return bool(fewer > 0 if wide or network.entries > _HEAVY else fewer > _MANY)


def same_rows(one: Rows, two: Rows, who: Bools) -> bool:
    """Whether two tables say the same of the animals `who` (n,), in whatever rows they keep it."""
    if one is two:
        return True
    return one.rows.shape[1] == two.rows.shape[1] and np.array_equal(one.rows[one.of[who]], two.rows[two.of[who]])


def seen_sets(laws: Laws, masks: Masks) -> Ints:
    """(count,) the numbers of the sets of states that evidence allows."""
    return np.asarray(masks.number(laws.evidence > 0)[laws.evidence_of])


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

    `errors` (n,): standard errors of the laws, None where all are exact. `given`: what went in, of a run without
    sampling.
    """

    spot: tuple[int, ...]
    structure: Structure | None = None
    laws: Floats | None = None
    errors: Floats | None = None
    numbers: Numbers | None = None
    given: tuple[Laws, Pairs] | None = None


def attempt(
    problem: Problem,
    structure: Structure | None,
    width_limit: int,
    watch: Watch,
    *,
    before: Numbers | None = None,
    animals: tuple[int, ...] | None = None,
    sampling: bool = True,
) -> Attempt:
    """Answer a problem, or say where it contradicts itself.

    Without `sampling` tangled families are left out, and what is built is made for this one run. `before`: numbers of
    the same structure, kept where nothing changed. `animals`: of whom alone anything is new since, None for anybody.
    """
    families = families_kept(problem.pedigree)
    kept = structure.laws_for(problem, families, width_limit, animals) if structure is not None else None
    laws = kept or laws_of(problem, families)
    pairs = pairs_of(families, laws)
    watch.look(1, 4)
    if structure is None or kept is None:
        before = None
        built = _built(problem, families, laws, pairs, width_limit, again=sampling)
        if isinstance(built, Attempt):
            return built
        structure = built
    watch.look(2, 4)
    network, by_kin = structure.network, sort_pairs(structure.network, pairs)
    earlier = Before(before.logs, animals) if before is not None and animals is not None else None
    logs = factors(network, laws, pairs, by_kin, earlier)
    numbers = numbers_of(network, logs, before, watch, sampling)
    watch.look(3, 4)

    def read(marginals: Floats) -> Floats:
        return animal_laws(network, laws, pairs, by_kin, marginals)[: families.recorded]

    errors = None if numbers.sampled is None else _errors(network, laws, numbers.sampled, read)
    found = read(numbers.marginals)
    spot, given = _spot(families, network, found, numbers.family), None if sampling else (laws, pairs)
    return Attempt(spot, structure, found, errors, numbers, given)


def _built(
    problem: Problem, families: Families, laws: Laws, pairs: Pairs, limit: int, *, again: bool
) -> Structure | Attempt:
    """The structure of a problem; an attempt that failed where some animal can be nothing at all."""
    masks = masks_of(problem.states)
    slots = settled_slots(families, laws, masks, pairs)
    empty = families.breeders[masks.sizes[slots.sets[: slots.breeders]] == 0]
    if len(empty):
        return Attempt(tuple(sorted(_recorded(families, empty))))
    network = network_of(families, laws, masks, slots, pairs, limit, again=again)
    return Structure(problem, laws, network, limit, seen_sets(laws, masks))


def _errors(network: Network, laws: Laws, sampled: Sampled, read: Callable[[Floats], Floats]) -> Floats:
    """(n,) standard error of the laws, the largest over the states; infinite where nothing was found.

    What could have been missed altogether is counted of every animal of a sampled family, but where its own findings
    or the pedigree leave it one genotype.
    """
    halves = np.array([[read(chain) for chain in half] for half in sampled.chains])
    errors = standard_errors(halves).max(axis=1)
    families = network.families
    settled = (laws.evidence > 0).sum(axis=1)[laws.evidence_of] == 1
    settled[families.breeders[network.variable_of < 0]] = True
    open_ = np.isnan(read(unknown(network))).any(axis=1) & ~settled[: len(errors)]
    errors[open_] = np.maximum(errors[open_], unseen(sampled.arrived))
    errors[np.isnan(errors)] = np.inf
    return np.asarray(errors)


def _spot(families: Families, network: Network, found: Floats, family: Floats) -> tuple[int, ...]:
    """Animals that nothing can be, of families whose evidence has no chance."""
    impossible = set(np.flatnonzero(found @ np.ones(found.shape[1]) == 0).tolist())
    variables = np.flatnonzero(np.isneginf(family[: len(network.animals)]))
    return tuple(sorted(impossible | _recorded(families, network.animals[variables])))


def _recorded(families: Families, animals: Ints) -> set[int]:
    """The animals, each fresh parent being named by the young it was thought up for."""
    first = families.recorded
    return {one if one < first else families.fresh[one - first].of for one in animals.tolist()}


def with_rows(problem: Problem, rows: Mapping[int, Floats]) -> Problem:
    """The problem with other rows of evidence for some animals."""
    evidence = problem.evidence
    if len(evidence.rows) % _ROWS == 0:
        # answer upon answer leaves rows behind that no animal points at
        kept, place = np.unique(evidence.of, return_inverse=True)
        evidence = Rows(evidence.rows[kept], place)
    of = evidence.of.copy()
    of[list(rows)] = len(evidence.rows) + np.arange(len(rows))
    new = np.array(list(rows.values())).reshape(len(rows), evidence.rows.shape[1])
    return replace(problem, evidence=Rows(np.concatenate([evidence.rows, new]), of))
