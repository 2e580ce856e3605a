"""Answers of loci that know of each other: what is seen at one locus of who the sires are counts at all.

`join` takes the answers of all loci of one pedigree; what it gives back answers each locus as `Solved` does, every law
a mixture over the combinations of sires. `worlds` tells of pairs at several loci at once.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod

import numpy as np

from coilbook.genetics.inference.engine import Solved
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.inference.selectors import selectors_of
from coilbook.genetics.inference.weighing import Apart, Cluster, Group, weighed
from coilbook.genetics.problem import NONE, Clash, Ints, Problem
from coilbook.genetics.states import Floats


@dataclass(frozen=True, eq=False)
class Joined:
    """All loci of one pedigree together. `alone` are the answers each locus gives by itself."""

    alone: tuple[Solved, ...]
    clusters: tuple[Cluster, ...] = ()
    apart: tuple[Apart, ...] = ()

    @cached_property
    def answers(self) -> tuple[Solved | JoinedLocus, ...]:
        """By locus: the answer it gives by itself where the others have nothing to say."""
        touched = {group.locus for cluster in self.clusters for group in cluster.groups}
        touched |= {one.locus for one in self.apart}
        return tuple(
            JoinedLocus(self, locus) if locus in touched else answer for locus, answer in enumerate(self.alone)
        )

    def with_answers(self, answers: Mapping[int, Solved], keep: Collection[int] = ()) -> Joined:
        """The same with other answers at some loci; `keep`: selectors asked for (see `weighed`)."""
        changed = [answers.get(locus, answer) for locus, answer in enumerate(self.alone)]
        return join(changed, keep=keep, before=self)

    def selector_of(self, young: int) -> int | None:
        """The number of the doubt about the sire of an animal; None where there is none."""
        return selectors_of(self.alone[0].problem.pedigree).of.get(young)

    def contradictions(self) -> tuple[Cluster, ...]:
        """The clusters whose loci cannot all be true together."""
        return tuple(cluster for cluster in self.clusters if not cluster.possible)

    def young_of(self, cluster: Cluster) -> tuple[int, ...]:
        """The animals whose sires a cluster is about."""
        doubts = selectors_of(self.alone[0].problem.pedigree).all
        return tuple(sorted({young for number in cluster.selectors for young in doubts[number].young}))

    def sires(self, selector: int) -> tuple[tuple[int, ...], Floats]:
        """The candidates of a doubt and their chances, as far as its clusters tell them; else those before any look."""
        one = selectors_of(self.alone[0].problem.pedigree).all[selector]
        for cluster in self.clusters:
            if selector in cluster.selectors and cluster.possible:
                return one.sires, cluster.law([selector])
        return one.sires, np.array(one.weights)


def join(
    answers: Sequence[Solved], *, watch: Watch | None = None, keep: Collection[int] = (), before: Joined | None = None
) -> Joined:
    """Weigh doubtful sires over all loci. `answers` are of one pedigree. Raises `Cancelled`."""
    if not answers or not answers[0].problem.pedigree.litters:
        return Joined(tuple(answers))
    if (
        before is not None
        and not keep
        and len(answers) == len(before.alone)
        and all(new is old for new, old in zip(answers, before.alone))
    ):
        return before
    earlier = before if before is not None and len(before.alone) == len(answers) else None
    return Joined(tuple(answers), *weighed(answers, watch or Watch(), keep, earlier.clusters if earlier else ()))


class JoinedLocus:
    """The answer of one locus, with what all others know of the sires: see `coilbook.genetics.problem.Answer`."""

    def __init__(self, joined: Joined, locus: int) -> None:
        self.joined, self.locus = joined, locus
        self.own = joined.alone[locus]
        self.problem: Problem = self.own.problem
        self.groups = [
            (cluster, group) for cluster in joined.clusters for group in cluster.groups if group.locus == locus
        ]
        self.apart = frozenset(animal for one in joined.apart if one.locus == locus for animal in one.who.tolist())
        self.exact = self.own.exact and not self.apart
        self.clashes = (*self.own.clashes, *self._contradictions())
        self._laws = self._mixed()

    def _contradictions(self) -> tuple[Clash, ...]:
        """Loci that cannot all be true together are a contradiction at each of them: of the young in doubt."""
        here = {id(cluster) for cluster, _ in self.groups}
        found = [cluster for cluster in self.joined.contradictions() if id(cluster) in here]
        return tuple(Clash(self.joined.young_of(cluster)) for cluster in found)

    def _mixed(self) -> Floats:
        laws = self.own.all_posteriors().copy()
        for cluster, group in self.groups:
            if cluster.possible:
                laws[group.who] = group.laws(cluster.law(group.kept).ravel())
            else:
                laws[group.who] = np.nan
        return laws

    @cached_property
    def _group_of(self) -> dict[int, int]:
        return {animal: at for at, (_, group) in enumerate(self.groups) for animal in group.who.tolist()}

    def posterior(self, animal: int) -> Floats:
        """(S,) law of one animal."""
        return np.asarray(self._laws[animal])

    def all_posteriors(self) -> Floats:
        """(n, S) laws of all animals."""
        return self._laws

    def error(self, animal: int) -> float:
        """Standard error of the animal's law; 0 where it is counted."""
        return self.own.error(animal)

    def joint(self, sire: int, dam: int) -> Floats:
        """(S, S) joint law of two animals."""
        return np.asarray(self.joints(sire, np.array([dam]))[0])

    def joints(self, one: int, others: Ints) -> Floats:
        """(k, S, S) joint laws of `one` with each of `others`."""
        others = np.asarray(others, dtype=np.int64)
        mine = self.group_of(one)
        found: Floats = self._laws[one][None, :, None] * self._laws[others][:, None, :]
        if mine is None:
            alone = [at for at, other in enumerate(others.tolist()) if self.group_of(other) is None]
            if alone:
                found[alone] = self.own.joints(one, others[alone])
            return found
        cluster = mine[0]
        near = [at for at, other in enumerate(others.tolist()) if self.in_cluster(other, (cluster,)) is not None]
        if near and cluster.possible:
            selectors = self.selectors_of((one, *others[near].tolist()), cluster)
            given = self.given(one, others[near], selectors, (cluster,))
            found[near] = np.tensordot(cluster.law(selectors).ravel(), given, axes=1)
        return found

    def group_of(self, animal: int) -> tuple[Cluster, Group] | None:
        """The family of an animal here whose sires other loci know of."""
        if animal < NONE:
            return next((found for found in self.groups if found[1].holds(animal)), None)
        at = self._group_of.get(animal)
        return self.groups[at] if at is not None else None

    def selectors_of(self, animals: Sequence[int], cluster: Cluster) -> tuple[int, ...]:
        """The selectors of one cluster that these animals hang on here."""
        groups = [found for found in map(self.group_of, animals) if found is not None and found[0] is cluster]
        return tuple(sorted({number for _, group in groups for number in group.kept}))

    def given(self, one: int, others: Ints, selectors: Sequence[int], clusters: Sequence[Cluster]) -> Floats:
        """(C, N, S, S) joint law of `one` with each of `others` for every combination of `selectors`.

        `selectors` are those of `clusters` that bear on these animals; doubts of other clusters are summed out.
        """
        shape = self._shape(selectors)
        size = self._laws.shape[1]
        mine = self.in_cluster(one, clusters)
        theirs = [self.in_cluster(int(other), clusters) for other in others]
        found = np.zeros((prod(shape), len(others), size, size))
        same = np.array([mine is not None and other is mine for other in theirs], dtype=np.bool_)
        alone = np.array([mine is None and other is None for other in theirs], dtype=np.bool_)
        if same.any():
            assert mine is not None
            found[:, same] = _spread(mine.joints(one, others[same]), mine.kept, selectors, shape)
        if alone.any():
            found[:, alone] = self.joints(one, others[alone])[None]
        apart = np.flatnonzero(~same & ~alone)
        if len(apart):
            law = self.law_given(one, mine, selectors)
            for at in apart.tolist():
                other = self.law_given(int(others[at]), theirs[at], selectors)
                found[:, at] = law[:, :, None] * other[:, None, :]
        return found

    def _shape(self, selectors: Sequence[int]) -> tuple[int, ...]:
        return selectors_of(self.problem.pedigree).sizes(selectors)

    def in_cluster(self, animal: int, clusters: Sequence[Cluster]) -> Group | None:
        found = self.group_of(animal)
        return found[1] if found is not None and any(found[0] is one for one in clusters) else None

    def law_given(self, animal: int, group: Group | None, selectors: Sequence[int]) -> Floats:
        """(C, S) the law of an animal of a family (None: of none that hangs on them) for every combination."""
        shape = self._shape(selectors)
        if group is None:
            return np.asarray(np.broadcast_to(self._laws[animal], (prod(shape), self._laws.shape[1])))
        return _spread(group.law_of(animal), group.kept, selectors, shape)

    def with_evidence(self, rows: Mapping[int, Floats]) -> Solved | JoinedLocus:
        """The answer when what was observed of some animals at this locus is this instead."""
        return self.with_answer(self.own.with_evidence(rows))

    def with_answer(self, answer: Solved) -> Solved | JoinedLocus:
        """The answer when this locus by itself says something else."""
        return self.joined.with_answers({self.locus: answer}).answers[self.locus]


def _spread(values: Floats, kept: Sequence[int], selectors: Sequence[int], shape: tuple[int, ...]) -> Floats:
    """Values (combinations of kept, ...) as (combinations of `selectors`, ...)."""
    sizes = [shape[selectors.index(number)] if number in kept else 1 for number in selectors]
    rest = values.shape[1:]
    wide = np.broadcast_to(values.reshape(*sizes, *rest), (*shape, *rest))
    return wide.reshape(-1, *rest)
