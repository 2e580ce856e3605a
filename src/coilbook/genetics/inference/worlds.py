"""Pairs at several loci at once, where doubtful sires tie the loci together.

A dam whose sire was either a clown or a pied is het for one of the two, never for both: the law of a pair over several
loci is no product. It is a mixture of products, one for each combination of the sires that matter (`Worlds`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod

import numpy as np

from coilbook.genetics.inference.engine import Solved
from coilbook.genetics.inference.joined import Joined, JoinedLocus
from coilbook.genetics.inference.selectors import selectors_of, unrecorded
from coilbook.genetics.inference.weighing import Cluster
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Floats

#: combinations of sires told apart for one question, at most
MOST_WORLDS = 4_096
#: a combination less likely than this is a rounding remnant
_NEVER = 1e-13
#: joint laws that agree to this many places are one
_PLACES = 13


@dataclass(frozen=True, eq=False)
class Worlds:
    """One animal with each of N others at some loci: `weights` (W,) of the worlds, which sum to 1.

    `joints` by locus: (W, N, S, S), in every world loci are independent. `sires` (W, A): in each world the candidate of
    every selector asked for. `apart`: there were too many worlds, so that each locus weighs the sires by itself.
    """

    weights: Floats
    joints: dict[int, Floats]
    sires: Ints
    apart: bool = False


def worlds(joined: Joined, one: int, others: Sequence[int], loci: Sequence[int], asked: Sequence[int] = ()) -> Worlds:
    """The joint laws of `one` (axis 2) with `others` (axis 3) at these loci, world by world.

    Among `others` may be the `unrecorded` sire of a doubt that is `asked`.
    """
    them = np.array(others, dtype=np.int64)
    clusters = _at_work(joined, one, them, loci, asked)
    selectors = _that_matter(joined, one, them, loci, asked, clusters)
    sizes = selectors_of(joined.alone[0].problem.pedigree).sizes(selectors) if selectors else ()
    apart = prod(sizes) > MOST_WORLDS
    if apart:
        clusters, selectors, sizes = [], (), ()
    weights = np.ones(sizes)
    for cluster in clusters:
        mine = [number for number in selectors if number in cluster.selectors]
        shape = [size if number in mine else 1 for number, size in zip(selectors, sizes)]
        weights = weights * cluster.law(mine).reshape(shape)
    weights = weights.ravel()
    live = np.flatnonzero(weights > _NEVER)
    joints = {}
    for locus in loci:
        joints[locus] = _joints(joined.answers[locus], one, them, selectors, clusters)[live]
    picks = np.array(np.unravel_index(live, sizes), dtype=np.int64).reshape(len(sizes), len(live)) if sizes else None
    columns = [
        picks[selectors.index(number)] if picks is not None and number in selectors else np.full(len(live), -1)
        for number in asked
    ]
    sires = np.array(columns, dtype=np.int64).reshape(len(asked), len(live)).T
    return _merged(Worlds(weights[live] / weights[live].sum(), joints, sires, apart))


def _joints(
    answer: Solved | JoinedLocus, one: int, others: Ints, selectors: Sequence[int], clusters: Sequence[Cluster]
) -> Floats:
    """(C, N, S, S) joint laws at one locus for every combination of the selectors."""
    doubts, size = selectors_of(answer.problem.pedigree), len(answer.problem.states.states)
    combinations = prod(doubts.sizes(selectors))
    known = [at for at, other in enumerate(others.tolist()) if other >= 0]
    if isinstance(answer, JoinedLocus) and selectors:
        known = [at for at, other in enumerate(others.tolist()) if other >= 0 or answer.group_of(other) is not None]
    found = np.zeros((combinations, len(others), size, size))
    if isinstance(answer, JoinedLocus) and selectors:
        found[:, known] = answer.given(one, others[known], selectors, clusters)
    elif known:
        found[:, known] = answer.joints(one, others[known])[None]
    rest = [at for at in range(len(others)) if at not in known]
    if rest:
        if isinstance(answer, JoinedLocus):
            law, own = answer.law_given(one, answer.in_cluster(one, clusters), selectors), answer.own
        else:
            law, own = np.broadcast_to(answer.posterior(one), (combinations, size)), answer
        laws = own.structure.laws
        for at in rest:
            young = doubts.all[unrecorded(int(others[at]))].young[0]
            other = laws.prior[laws.founder_rows + laws.absent_of[young]]
            found[:, at] = law[:, :, None] * other[None, None, :]
    return found


def _at_work(joined: Joined, one: int, others: Ints, loci: Sequence[int], asked: Sequence[int]) -> list[Cluster]:
    """The clusters that tie two of these loci together for these animals, or hold a selector asked for."""
    seen: dict[int, set[int]] = {}
    for locus in loci:
        answer = joined.answers[locus]
        if isinstance(answer, JoinedLocus):
            for found in map(answer.group_of, (one, *others.tolist())):
                if found is not None:
                    seen.setdefault(id(found[0]), set()).add(locus)
    return [
        cluster
        for cluster in joined.clusters
        if cluster.possible and (len(seen.get(id(cluster), ())) > 1 or set(asked) & set(cluster.selectors))
    ]


def _that_matter(
    joined: Joined, one: int, others: Ints, loci: Sequence[int], asked: Sequence[int], clusters: Sequence[Cluster]
) -> tuple[int, ...]:
    """The selectors of these clusters that these animals hang on, and those asked for."""
    found = {number for cluster in clusters for number in cluster.selectors if number in asked}
    for locus in loci:
        answer = joined.answers[locus]
        if isinstance(answer, JoinedLocus):
            for cluster in clusters:
                found.update(answer.selectors_of((one, *others.tolist()), cluster))
    return tuple(sorted(found))


def _merged(found: Worlds) -> Worlds:
    """Worlds that are alike for these animals as one."""
    count = len(found.weights)
    if count == 1:
        return found
    rows = [np.round(joints.reshape(count, -1), _PLACES) for joints in found.joints.values()]
    _, first, of = np.unique(
        np.concatenate([*rows, found.sires.astype(np.float64)], axis=1), axis=0, return_index=True, return_inverse=True
    )
    weights = np.bincount(of.ravel(), weights=found.weights, minlength=len(first)).astype(np.float64)
    joints = {locus: values[first] for locus, values in found.joints.items()}
    return Worlds(weights, joints, found.sires[first], found.apart)
