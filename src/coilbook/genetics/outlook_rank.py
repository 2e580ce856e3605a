"""Every mate of one animal by the chance of at least one of the look the keeper picks.

Many pairs at once: only the loci the look asks for matter, and of each pair only which of a few chances its cases have.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coilbook.genetics.outlook_pair import PLACES, laid
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.vocabulary import Sex


@dataclass(frozen=True, eq=False)
class Asked:
    """One locus of the look asked for: the states that count, and the joint law of each pair (N, sire S, dam S)."""

    states: LocusStates
    mask: Bools
    joints: Floats


@dataclass(frozen=True, eq=False)
class Ranking:
    """By pair (N,): `each` hatchling, `per_egg` that can hatch, `at_least_one`, and `possible` that any can fall.

    NaN throughout for a pair whose family is in contradiction.
    """

    each: Floats
    lethal: Floats
    at_least_one: Floats
    possible: Floats

    def order(self) -> list[int]:
        """The pairs, best first; pairs without an answer last, ties in the order given."""
        return sorted(range(len(self.each)), key=lambda i: (-np.nan_to_num(self.at_least_one[i], nan=-1.0), i))


def rank(asked: Sequence[Asked], hatchlings: int, sex: Sex | None = None) -> Ranking:
    """The pairs' chances of a look that asks for all of `asked` at once (and of a `sex`), among `hatchlings`.

    Raises ValueError when nothing is asked.
    """
    if not asked:
        raise ValueError("a ranking needs a look to look for")
    pairs = len(asked[0].joints)
    weight, table = np.ones((pairs, 1)), np.ones((1, 5))
    for locus in asked:
        values, of = _values(locus)
        grouped = _grouped(locus.joints.reshape(pairs, -1), of, len(values))
        weight = (weight[:, :, None] * grouped[:, None, :]).reshape(pairs, -1)
        table = (table[:, None, :] * values[None, :, :]).reshape(-1, table.shape[1])
        table, merged = np.unique(np.round(table, PLACES), axis=0, return_inverse=True)
        weight = _grouped(weight, merged.ravel(), len(table))
    son, daughter, males, females, alive = table.T
    total = males + females
    sons = 0.0 if sex is Sex.FEMALE else males * son
    daughters = 0.0 if sex is Sex.MALE else females * daughter
    each = np.divide(sons + daughters, total, out=np.zeros_like(total), where=total > 0)
    return Ranking(
        weight @ each, weight @ (1 - alive), weight @ (1 - (1 - each) ** hatchlings), weight @ (each > 0).astype(float)
    )


def _values(locus: Asked) -> tuple[Floats, np.ndarray[tuple[int], np.dtype[np.intp]]]:
    """The different rows (son, daughter, males, females, alive) of all parents, and which one each of S*S has."""
    states = locus.states
    law = states.transmission
    size = len(states.states)
    males, females = states.of_sex(Sex.MALE), states.of_sex(Sex.FEMALE)
    if states.locus.linkage is None:
        son = daughter = law[:, :, locus.mask].sum(axis=2)
        share = np.ones((size, size, 2))
    else:
        share = 2 * np.stack([law[:, :, males].sum(axis=2), law[:, :, females].sum(axis=2)], axis=2)
        son, daughter = (
            np.divide(2 * law[:, :, locus.mask & sex].sum(axis=2), part, out=np.zeros((size, size)), where=part > 0)
            for sex, part in ((males, share[..., 0]), (females, share[..., 1]))
        )
    alive = laid(states)[:, :, states.alive].sum(axis=2)
    rows = np.stack([son, daughter, share[..., 0], share[..., 1], alive], axis=2).reshape(size * size, 5)
    values, of = np.unique(np.round(rows, PLACES), axis=0, return_inverse=True)
    return values, of.ravel()


def _grouped(weight: Floats, of: np.ndarray[tuple[int], np.dtype[np.intp]], count: int) -> Floats:
    """(N, count) the weights (N, M) added by the value each column has."""
    onto = np.zeros((len(of), count))
    onto[np.arange(len(of)), of] = 1.0
    return weight @ onto
