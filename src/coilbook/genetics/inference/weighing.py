"""Doubtful sires weighed over all loci at once, exactly.

Loci are not linked: given who the sires are they are independent. So the chance of a combination of sires is its prior
times, locus by locus, the chance of what was seen there; and everything at a locus is a mixture over the combinations.
Only selectors that are live at two loci or more need it: a doubt that one locus alone knows of is settled there.
Selectors that meet in a family at some locus form a `Cluster`, which keeps one table of their combinations.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import prod

import numpy as np

from coilbook.genetics.inference.engine import Solved
from coilbook.genetics.inference.forced import Cut, Forced, cut_family, force
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.inference.selectors import LiveFamily, Selectors, live_families, selectors_of
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Floats

#: animals times combinations of one family at one locus, at most: more would hold up an act
MOST_COPIES = 40_000
#: combinations of one cluster, at most
MOST_COMBINATIONS = 65_536


@dataclass(frozen=True, eq=False)
class Group:
    """One live family of one locus, run; `kept` its selectors that are live elsewhere too (or asked for).

    `table` (sizes of kept) the chance of the evidence by these, times a constant; `shares` (kept, others) the law of
    its other selectors given these, `order` (kept * others) the combination of `forced` of each pair.
    """

    locus: int
    answer: Solved
    forced: Forced
    kept: tuple[int, ...]
    table: Floats
    shares: Floats
    order: Ints

    def given(self, values: Floats) -> Floats:
        """(kept combinations, ...) values (K, ...) of all combinations as they are given the kept selectors alone."""
        sorted_ = values[self.order].reshape(*self.shares.shape, *values.shape[1:])
        return np.asarray(np.einsum("ko,ko...->k...", self.shares, sorted_))


@dataclass(frozen=True, eq=False)
class Apart:
    """A live family of a cluster with too many combinations: its locus weighs the sires by itself."""

    locus: int
    who: Ints


@dataclass(frozen=True, eq=False)
class Cluster:
    """Selectors that bear on each other, and `table` (sizes) the law of their combinations with everything known.

    `table` sums to 1, or is 0 throughout where the loci contradict each other.
    """

    selectors: tuple[int, ...]
    table: Floats
    groups: tuple[Group, ...]

    @property
    def possible(self) -> bool:
        """Whether what is known at all loci can be true together."""
        return bool(self.table.sum() > 0)

    def law(self, selectors: Sequence[int]) -> Floats:
        """(sizes...) the joint law of some of its selectors, in this order."""
        axes = [self.selectors.index(one) for one in selectors]
        rest = tuple(axis for axis in range(self.table.ndim) if axis not in axes)
        order = [sorted(axes).index(axis) for axis in axes]
        return np.asarray(self.table.sum(axis=rest).transpose(order))


def weighed(
    answers: Sequence[Solved], watch: Watch, keep: Collection[int] = (), before: Sequence[Cluster] = ()
) -> tuple[tuple[Cluster, ...], tuple[Apart, ...]]:
    """The clusters of the loci answered (of one pedigree), and the families that are too many to be weighed together.

    `keep`: selectors asked for, whose clusters are told even where one locus alone knows of them. `before`: clusters of
    an earlier state, used where their loci have not changed.
    """
    selectors = selectors_of(answers[0].problem.pedigree)
    families = [(at, one) for at, answer in enumerate(answers) for one in live_families(answer, selectors)]
    times = [0] * len(selectors.all)
    for _, family in families:
        for number in family.selectors:
            times[number] += 1
    shared = {number for number, count in enumerate(times) if count > 1 or (count and number in keep)}
    known = {(group.locus, group.forced.cut.family): group for cluster in before for group in cluster.groups}
    clusters, apart = [], []
    for mine in _clustered([one for one in families if shared & set(one[1].selectors)], shared):
        cuts = [(at, _cut(answers[at], family, selectors, known.get((at, family)))) for at, family in mine]
        kept = sorted({number for _, family in mine for number in family.selectors} & shared)
        groups = _run(answers, cuts, selectors, shared, known, watch) if _fits(cuts, selectors.sizes(kept)) else None
        if groups is None:
            apart += [Apart(at, cut.who) for at, cut in cuts]
        else:
            clusters.append(_cluster(tuple(kept), groups, selectors))
    return tuple(clusters), tuple(apart)


def _cut(answer: Solved, family: LiveFamily, selectors: Selectors, earlier: Group | None) -> Cut:
    if earlier is not None and earlier.answer is answer:
        return earlier.forced.cut
    return cut_family(answer, family, selectors)


def _clustered(families: list[tuple[int, LiveFamily]], shared: set[int]) -> list[list[tuple[int, LiveFamily]]]:
    """Families that have a selector in common, directly or through others."""
    merged: list[tuple[set[int], list[tuple[int, LiveFamily]]]] = []
    for one in families:
        numbers, mine, rest = set(one[1].selectors) & shared, [one], []
        for other in merged:
            if other[0] & numbers:
                numbers, mine = numbers | other[0], other[1] + mine
            else:
                rest.append(other)
        merged = [*rest, (numbers, mine)]
    return [mine for _, mine in merged]


def _fits(cuts: list[tuple[int, Cut]], sizes: tuple[int, ...]) -> bool:
    small = all(not cut.family.wide and cut.combinations * cut.problem.pedigree.size <= MOST_COPIES for _, cut in cuts)
    return small and prod(sizes) <= MOST_COMBINATIONS


def _run(
    answers: Sequence[Solved],
    cuts: list[tuple[int, Cut]],
    selectors: Selectors,
    shared: set[int],
    known: dict[tuple[int, LiveFamily], Group],
    watch: Watch,
) -> tuple[Group, ...] | None:
    groups = []
    for at, cut in cuts:
        watch.look(1, 4)
        earlier = known.get((at, cut.family))
        forced = _unchanged(earlier, cut) or force(
            cut, answers[at].width_limit, watch, earlier.forced if earlier is not None else None
        )
        if forced is None:
            return None
        kept = tuple(number for number in cut.family.selectors if number in shared)
        if earlier is not None and earlier.forced is forced and earlier.kept == kept:
            groups.append(earlier)
        else:
            groups.append(_group(at, answers[at], forced, kept, selectors))
    return tuple(groups)


def _unchanged(earlier: Group | None, cut: Cut) -> Forced | None:
    """What was run before, where nothing of this family has changed since."""
    if earlier is None or earlier.forced.cut.network is not cut.network:
        return None
    old, new = earlier.forced.cut.problem.evidence, cut.problem.evidence
    return earlier.forced if np.array_equal(old.rows[old.of], new.rows[new.of]) else None


def _group(locus: int, answer: Solved, forced: Forced, kept: tuple[int, ...], selectors: Selectors) -> Group:
    numbers = forced.cut.family.selectors
    others = [number for number in numbers if number not in kept]
    sizes = selectors.sizes(numbers)
    places = np.arange(prod(sizes)).reshape(sizes)
    order = np.transpose(places, [numbers.index(number) for number in (*kept, *others)])
    shape = (prod(selectors.sizes(kept)), prod(selectors.sizes(others)))
    top = forced.logs.max()
    chance = np.exp(forced.logs - top) if np.isfinite(top) else np.zeros(len(forced.logs))
    prior = np.ones(1)
    for number in others:
        prior = np.multiply.outer(prior, selectors.all[number].weights).ravel()
    weights = chance[order.ravel()].reshape(shape) * prior
    total = weights.sum(axis=1, keepdims=True)
    shares = np.divide(weights, total, out=np.zeros_like(weights), where=total > 0)
    return Group(locus, answer, forced, kept, total.reshape(selectors.sizes(kept)), shares, order.ravel())


def _cluster(kept: tuple[int, ...], groups: tuple[Group, ...], selectors: Selectors) -> Cluster:
    table = np.ones(selectors.sizes(kept))
    for number in kept:
        table = table * _along(np.array(selectors.all[number].weights), (number,), kept)
    for group in groups:
        table = table * _along(group.table, group.kept, kept)
        top = table.max()
        table = table / top if top > 0 else table
    total = table.sum()
    return Cluster(kept, table / total if total > 0 else table, groups)


def _along(values: Floats, numbers: tuple[int, ...], of: tuple[int, ...]) -> Floats:
    """Values over some selectors (in order) as an array over all of a cluster."""
    shape = [1] * len(of)
    for number, size in zip(numbers, values.shape, strict=True):
        shape[of.index(number)] = size
    return values.reshape(shape)
