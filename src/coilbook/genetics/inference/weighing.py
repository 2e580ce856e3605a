"""Doubtful sires weighed over all loci at once, exactly.

Loci are not linked: given who the sires are they are independent. So the chance of a combination of sires is its prior
times, locus by locus, the chance of what was seen there; and everything at a locus is a mixture over the combinations.
Only selectors that are live at two loci or more need it: a doubt that one locus alone knows of is settled there.
Selectors that meet in a family at some locus form a `Cluster`, which keeps one table of their combinations.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod

import numpy as np

from coilbook.genetics.inference.engine import Solved
from coilbook.genetics.inference.forced import Cut, Forced, cut_family, force, same
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.inference.own_sires import OwnYoung
from coilbook.genetics.inference.selectors import LiveFamily, Selectors, live_families, selectors_of
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Floats

#: animals times combinations of one family at one locus, at most, and of all loci of a cluster: an act runs the one,
#: a collection that is opened the other (1 and 5 microseconds each where this was measured)
MOST_COPIES = 40_000
MOST_COPIES_IN_ALL = 150_000
#: combinations of one cluster, at most; and those of one of its families times what is left open when they are settled
MOST_COMBINATIONS = 65_536


@dataclass(frozen=True, eq=False)
class Group:
    """One live family of one locus, run; `kept` its selectors that are live elsewhere too (or asked for).

    `table` (sizes of kept) the chance of the evidence by these, times a constant. What is left open when they are
    settled: `shares` (kept combinations, O) its law, `run` (kept, O) which combination of `forced` each is of.
    `own` (kept, O, S) are the laws of young weighed one by one.
    """

    locus: int
    answer: Solved
    forced: Forced
    kept: tuple[int, ...]
    table: Floats
    shares: Floats
    run: Ints
    own: dict[int, Floats]

    @cached_property
    def who(self) -> Ints:
        """The animals whose laws it gives."""
        return np.append(self.forced.cut.who, np.array(list(self.own), dtype=np.int64))

    def laws(self, weights: Floats) -> Floats:
        """(W, S) the laws of `who` under a law (kept combinations,) of the kept selectors."""
        mixed = weights[:, None] * self.shares
        runs = np.bincount(self.run.ravel(), weights=mixed.ravel(), minlength=len(self.forced.logs))
        found = np.tensordot(runs, self.forced.laws, axes=1)
        more = [np.einsum("ko,kos->s", mixed, law)[None] for law in self.own.values()]
        return np.concatenate([found, *more])

    def holds(self, animal: int) -> bool:
        """Whether it gives the law of an animal (or of an unrecorded sire)."""
        return animal in self.own or animal in self.forced.cut.place

    def law_of(self, animal: int) -> Floats:
        """(kept combinations, S) the law of an animal by the kept selectors."""
        return np.asarray(np.einsum("ko,kos->ks", self.shares, self._open(animal)))

    def joints(self, one: int, others: Ints) -> Floats:
        """(kept combinations, N, S, S) the joint laws of one animal with others, all of this family."""
        alone = [at for at, other in enumerate(others.tolist()) if one in self.own or other in self.own]
        rest = [at for at in range(len(others)) if at not in alone]
        size = self.forced.laws.shape[2]
        found = np.zeros((len(self.shares), len(others), size, size))
        if rest:
            joints = self.forced.joints(one, others[rest])
            for at, place in enumerate(rest):
                found[:, place] = np.einsum("ko,kost->kst", self.shares, joints[self.run, at])
        for at in alone:
            other = int(others[at])
            if other == one:
                found[:, at] = self.law_of(one)[:, :, None] * np.eye(size)
            else:
                found[:, at] = np.einsum("ko,kos,kot->kst", self.shares, self._open(one), self._open(other))
        return found

    def _open(self, animal: int) -> Floats:
        """(kept combinations, O, S) the law of an animal with all settled."""
        return self.own[animal] if animal in self.own else self.forced.law_of(animal)[self.run]


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
    known = {(group.locus, group.forced.cut.family.selectors): group for cluster in before for group in cluster.groups}
    clusters, apart = [], []
    for mine in _clustered([one for one in families if shared & set(one[1].selectors)], shared):
        cuts = [(at, _cut(answers[at], family, selectors, known.get((at, family.selectors)))) for at, family in mine]
        kept = sorted({number for _, family in mine for number in family.selectors} & shared)
        groups = _run(answers, cuts, selectors, shared, known, watch) if _fits(cuts, kept, selectors) else None
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


def _fits(cuts: list[tuple[int, Cut]], kept: Sequence[int], selectors: Selectors) -> bool:
    """Whether a cluster can be weighed within the limits."""
    copies = [cut.combinations * cut.problem.pedigree.size for _, cut in cuts]
    if any(cut.family.wide for _, cut in cuts) or max(copies) > MOST_COPIES or sum(copies) > MOST_COPIES_IN_ALL:
        return False
    families = (prod(selectors.sizes(cut.family.selectors)) * cut.held.count for _, cut in cuts)
    return max(prod(selectors.sizes(kept)), *families) <= MOST_COMBINATIONS


def _run(
    answers: Sequence[Solved],
    cuts: list[tuple[int, Cut]],
    selectors: Selectors,
    shared: set[int],
    known: dict[tuple[int, tuple[int, ...]], Group],
    watch: Watch,
) -> tuple[Group, ...] | None:
    groups = []
    for at, cut in cuts:
        watch.look(1, 4)
        earlier = known.get((at, cut.family.selectors))
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
    return earlier.forced if earlier is not None and same(earlier.forced.cut, cut) else None


def _group(locus: int, answer: Solved, forced: Forced, kept: tuple[int, ...], selectors: Selectors) -> Group:
    cut = forced.cut
    runs, weights = _runs(forced, kept, selectors)
    eggs = _Eggs(cut.held.young, kept, selectors)
    # (kept of the runs, kept of the eggs, others, what the parents held fast are)
    whole = (weights * eggs.apart)[:, None] * eggs.chances[None, :, None]
    numbers = [*(number for number in cut.numbers if number in kept), *eggs.kept]
    order = _in_order(numbers, selectors)
    left_open = whole.shape[2] * whole.shape[3]
    shares, total = _shares(whole.reshape(-1, left_open)[order])
    run = np.broadcast_to(runs[:, None], whole.shape).reshape(-1, left_open)[order]
    own = {
        one.animal: np.broadcast_to(law[None, :, None], (*whole.shape, law.shape[-1])).reshape(
            -1, left_open, law.shape[-1]
        )[order]
        for one, law in zip(cut.held.young, map(eggs.law, cut.held.young), strict=True)
    }
    return Group(locus, answer, forced, kept, total.reshape(selectors.sizes(kept)), shares, run, own)


def _runs(forced: Forced, kept: tuple[int, ...], selectors: Selectors) -> tuple[Ints, Floats]:
    """(kept of the runs, others, held) the number of each run, and its weight: the others' prior times its chance."""
    cut = forced.cut
    mine = [number for number in cut.numbers if number in kept]
    others = [number for number in cut.numbers if number not in kept]
    axes = [cut.numbers.index(number) for number in (*mine, *others)]
    runs = np.arange(len(forced.logs)).reshape(*selectors.sizes(cut.numbers), cut.held.count)
    runs = runs.transpose(*axes, len(axes))
    runs = runs.reshape(prod(selectors.sizes(mine)), prod(selectors.sizes(others)), cut.held.count)
    prior = np.ones(1)
    for number in others:
        prior = np.multiply.outer(prior, selectors.all[number].weights).ravel()
    top = forced.logs.max(initial=-np.inf)
    chance = np.exp(forced.logs - top) if np.isfinite(top) else np.zeros(len(forced.logs))
    return runs, chance[runs] * prior[:, None]


class _Eggs:
    """Young weighed one by one: `chances` (combinations of `kept`, G) of those whose selectors are, `apart` (G,)."""

    def __init__(self, young: Sequence[OwnYoung], kept: tuple[int, ...], selectors: Selectors) -> None:
        self._selectors = selectors
        self.kept = [one.number for one in young if one.number in kept]
        sizes = selectors.sizes(self.kept)
        self._picks = np.indices(sizes).reshape(len(sizes), prod(sizes))
        self.chances, self.apart = np.ones((self._picks.shape[1], 1)), np.ones(1)
        for one in young:
            if one.number in kept:
                self.chances = self.chances * one.chances[self._picks[self.kept.index(one.number)]]
            else:
                self.apart = self.apart * (self._weights(one) @ one.chances)

    def _weights(self, one: OwnYoung) -> Floats:
        return np.array(self._selectors.all[one.number].weights)

    def law(self, one: OwnYoung) -> Floats:
        """(combinations of `kept`, G, S) the law of one of them."""
        if one.number in self.kept:
            return np.asarray(one.laws[self._picks[self.kept.index(one.number)]])
        shares, _ = _shares((self._weights(one)[:, None] * one.chances).T)
        law = np.einsum("gc,cgs->gs", shares, one.laws)
        return np.asarray(np.broadcast_to(law, (self._picks.shape[1], *law.shape)))


def _in_order(numbers: Sequence[int], selectors: Selectors) -> Ints:
    """(combinations,) where, of these selectors as they stand, lies what those in rising order have in turn."""
    places = np.arange(prod(selectors.sizes(numbers))).reshape(selectors.sizes(numbers))
    return np.asarray(places.transpose(np.argsort(numbers, kind="stable")).ravel()) if numbers else places.ravel()


def _shares(weights: Floats) -> tuple[Floats, Floats]:
    """(weights (K, O) made to sum to 1 in each row, 0 where nothing can be; their sums (K,))."""
    total = weights.sum(axis=1)
    return np.divide(weights, total[:, None], out=np.zeros_like(weights), where=total[:, None] > 0), total


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
