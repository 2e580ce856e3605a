"""Inbreeding of all animals and kinship of any, exact, from the recorded pedigree.

Kinship of two animals is the chance that a gene drawn from each is a copy of one gene of a common ancestor; the
inbreeding coefficient F of an animal is the kinship of its parents, its kinship with itself (1 + F) / 2. With A the
numerator relationship matrix (A = 2 x kinship) = T D T', row i of T how much of i comes from each ancestor, and D the
part of an animal its parents do not settle:

* all inbreeding: one value a mating from the rows of T of the two parents (Meuwissen and Luo 1992, Genet. Sel. Evol.
  24:305), many matings at a time, and only breeders have rows;
* one with all: A e = T (D (T' e)), one pass up and one down the pedigree (Colleau 2002, Genet. Sel. Evol. 34:409).

An ancestor that is not recorded counts as unrelated to everything, so every figure is the least it can be; where a sire
is doubtful it is the mean over the list, each draw independent of the others (`genetics.lineage`). Over sires that are
sure, sums are of powers of one half and exact while they fit 53 bits.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from coilbook.genetics.lineage import Flags, Lineage, lineage_of
from coilbook.genetics.problem import Ints, Pedigree
from coilbook.genetics.states import Floats

#: numbers of the table that parents' rows are laid out in at a time: what stays in a processor's cache
_TABLE = 1 << 20


class Kinship:
    """The inbreeding of all animals of a pedigree, and kinship on question.

    `OwnAncestor` when an animal descends from itself.
    """

    def __init__(self, pedigree: Pedigree) -> None:
        self._lineage = lineage_of(pedigree)
        self._crosses = _crosses(self._lineage)
        self._rows = _Rows.empty(self._lineage, self._crosses)
        #: A of each node with itself, and its own part D
        self._self, self._own = _work_down(self._lineage, self._crosses, self._rows)
        #: (n,) F of every animal
        self.inbreeding: Floats = self._self[self._lineage.node_of] - 1

    def of(self, one: int, other: int) -> float:
        """Kinship of two animals."""
        return float(self.with_all(one)[other])

    def with_all(self, animal: int) -> Floats:
        """(n,) kinship of one animal with every animal, itself included."""
        line = self._lineage
        node = int(line.node_of[animal])
        _, ancestors, shares = self._rows.of(np.array([node]))
        passed = np.zeros(line.size + 1)
        passed[ancestors] = shares * self._own[ancestors]
        if node >= line.breeders:
            passed[node] = self._own[node]
        first, second = line.first, line.second
        one, two = line.weight_first, line.weight_second
        levels = [*line.levels.tolist(), line.size]
        for low, high in pairwise(levels[1:]):
            passed[low:high] += one[low:high] * passed[first[low:high]] + two[low:high] * passed[second[low:high]]
        return passed[line.node_of] / 2

    def between(self, ones: Ints, others: Ints) -> Floats:
        """(len(ones), len(others)) kinship of each with each."""
        return np.array([self.with_all(int(one))[others] for one in ones]).reshape(len(ones), len(others))


@dataclass(frozen=True)
class _Crosses:
    """Distinct pairs of terms, by level: `of` (N,) is each node's cross, -1 without terms.

    `level_bounds` bound the crosses of a level of their *young*; `bred` marks those with young that breed.
    """

    first: Ints
    second: Ints
    weight_first: Floats
    weight_second: Floats
    bred: Flags
    of: Ints
    level_bounds: Ints


def _crosses(line: Lineage) -> _Crosses:
    """Find the distinct crosses; a doubtful sire is always one of its own."""
    size = line.size
    young = np.flatnonzero((line.first >= 0) | (line.second >= 0))
    level = np.searchsorted(line.levels, np.arange(line.breeders), "right") - 1
    level = np.append(level, -1)
    depth = np.maximum(level[line.first[young]], level[line.second[young]]) + 1
    wide = line.breeders + 1
    key = (depth * wide + line.second[young] + 1) * wide + line.first[young] + 1
    alone = np.flatnonzero(~line.is_animal[young])
    if alone.size:
        # same terms, own weights: a key no other node has, in the order of the levels
        key = key * (size + 1)
        key[alone] += young[alone] + 1
    distinct, at, inverse = np.unique(key, return_index=True, return_inverse=True)
    of = np.full(size + 1, -1, np.int64)
    of[young] = inverse
    bred = np.zeros(distinct.size, bool)
    bred[inverse[young < line.breeders]] = True
    nodes = young[at]
    levels = depth[at]
    bounds = np.searchsorted(levels, np.arange(len(line.levels) + 1))
    return _Crosses(
        line.first[nodes], line.second[nodes], line.weight_first[nodes], line.weight_second[nodes], bred, of, bounds
    )


@dataclass
class _Rows:
    """The rows of T: of each cross that has breeding young, what its young have of each ancestor.

    Full sibs share the row of their cross; the row of a breeder is that and itself, whole.
    """

    cross_of: Ints
    start: Ints
    count: Ints
    breeders: int
    first: Ints
    second: Ints
    weight_first: Floats
    weight_second: Floats
    used: int = 0
    ancestor: Ints = field(default_factory=lambda: np.zeros(1024, np.int64))
    share: Floats = field(default_factory=lambda: np.zeros(1024))

    @classmethod
    def empty(cls, line: Lineage, crosses: _Crosses) -> _Rows:
        """Before any cross is known."""
        none = np.zeros(crosses.first.size + 1, np.int64)
        return cls(
            crosses.of, none, none.copy(), line.breeders,
            line.first, line.second, line.weight_first, line.weight_second,
        )  # fmt: skip

    def of(self, nodes: Ints) -> tuple[Ints, Ints, Floats]:
        """The rows of some nodes on end: which of `nodes`, the ancestor, its share; breeders hold themselves, whole.

        A node that does not breed has the rows of its two terms; one ancestor may then stand twice and is summed.
        """
        if len(nodes) == 1 and nodes[0] >= self.breeders:
            return self._summed(int(nodes[0]))
        cross = self.cross_of[nodes]
        lengths = self.count[cross]
        which = np.repeat(np.arange(len(nodes)), lengths)
        ends = np.cumsum(lengths)
        place = np.arange(ends[-1] if len(ends) else 0) + np.repeat(self.start[cross] - ends + lengths, lengths)
        return (
            np.concatenate([which, np.arange(len(nodes))]),
            np.concatenate([self.ancestor[place], nodes]),
            np.concatenate([self.share[place], np.ones(len(nodes))]),
        )

    def _summed(self, node: int) -> tuple[Ints, Ints, Floats]:
        total = np.zeros(self.breeders)
        terms = ((self.first[node], self.weight_first[node]), (self.second[node], self.weight_second[node]))
        for term, weight in terms:
            if term >= 0:
                _, ancestors, shares = self.of(np.array([term]))
                total[ancestors] += weight * shares
        found = np.flatnonzero(total)
        return np.zeros(found.size, np.int64), found, total[found]

    def add(self, crosses: Ints, which: Ints, ancestors: Ints, shares: Floats) -> None:
        """Keep rows; `which` says of which of `crosses`, in order."""
        lengths = np.bincount(which, minlength=len(crosses))
        self.count[crosses] = lengths
        self.start[crosses] = self.used + np.cumsum(lengths) - lengths
        end = self.used + len(ancestors)
        if end > self.ancestor.size:
            self.ancestor = np.resize(self.ancestor, 2 * end)
            self.share = np.resize(self.share, 2 * end)
        self.ancestor[self.used : end] = ancestors
        self.share[self.used : end] = shares
        self.used = end


def _work_down(line: Lineage, crosses: _Crosses, rows: _Rows) -> tuple[Floats, Floats]:
    """A of every node with itself, and its D; fills `rows`. Level by level, founders first."""
    whole, own = np.ones(line.size + 1), np.ones(line.size + 1)
    together = np.zeros(crosses.first.size + 1)
    for level in range(len(line.levels)):
        nodes = _level(line, level)
        if level:
            low, high = crosses.level_bounds[level : level + 2]
            _relate(crosses, rows, own, together, (int(low), int(high)))
            _merge(crosses, rows, np.flatnonzero(crosses.bred[low:high]) + low)
        if level < len(line.levels) - 1:
            _settle(line, crosses, together, nodes, whole, own)
    _settle(line, crosses, together, np.arange(line.breeders, line.size), whole, own)
    return whole, own


def _level(line: Lineage, level: int) -> Ints:
    bounds = line.levels
    return np.arange(bounds[level], bounds[level + 1]) if level < len(bounds) - 1 else np.zeros(0, np.int64)


def _settle(line: Lineage, crosses: _Crosses, together: Floats, nodes: Ints, whole: Floats, own: Floats) -> None:
    """A with itself and D of nodes whose terms are settled and related."""
    if not nodes.size:
        return
    first, second = line.first[nodes], line.second[nodes]
    one, two = line.weight_first[nodes], line.weight_second[nodes]
    mine, theirs = np.where(first >= 0, whole[first], 0), np.where(second >= 0, whole[second], 0)
    related = together[crosses.of[nodes]]
    animal = line.is_animal[nodes]
    # a case that is not recorded is a founder: 1 with itself
    mixed = one * np.where(first >= 0, mine, 1) + two * np.where(second >= 0, theirs, 1)
    whole[nodes] = np.where(animal, 1 + related / 2, mixed)
    own[nodes] = np.where(
        animal, 1 - (mine + theirs) / 4, mixed - one**2 * mine - two**2 * theirs - 2 * one * two * related
    )


def _relate(crosses: _Crosses, rows: _Rows, own: Floats, together: Floats, span: tuple[int, int]) -> None:
    """A between the two terms of each cross of a level: the second's rows laid out, the first's read against them."""
    low, high = span
    both = np.flatnonzero((crosses.first[low:high] >= 0) & (crosses.second[low:high] >= 0)) + low
    if not both.size:
        return
    wide = rows.breeders
    second = crosses.second[both]
    new = np.concatenate([[True], second[1:] != second[:-1]])
    column = np.cumsum(new) - 1
    sires = second[new]
    many = max(_TABLE // wide, 1)
    table = np.zeros((min(many, len(sires)), wide))
    for begin in range(0, len(sires), many):
        here = sires[begin : begin + many]
        which, ancestors, shares = rows.of(here)
        table[which, ancestors] = shares * own[ancestors]
        left, right = np.searchsorted(column, [begin, begin + len(here)])
        part = both[left:right]
        of, theirs, share = rows.of(crosses.first[part])
        met = table[(column[left:right] - begin)[of], theirs] * share
        together[part] = np.bincount(of, met, len(part))
        table[which, ancestors] = 0


def _merge(crosses: _Crosses, rows: _Rows, chosen: Ints) -> None:
    """Make and keep the rows of some crosses: the two terms' rows, weighted and summed."""
    wide = rows.breeders
    many = max(_TABLE // wide, 1)
    table = np.zeros((min(many, len(chosen)), wide))
    for begin in range(0, len(chosen), many):
        part = chosen[begin : begin + many]
        have_one, have_two = np.flatnonzero(crosses.first[part] >= 0), np.flatnonzero(crosses.second[part] >= 0)
        of, ancestors, shares = rows.of(crosses.first[part[have_one]])
        of = have_one[of]
        table[of, ancestors] = shares * crosses.weight_first[part][of]
        other, others, more = rows.of(crosses.second[part[have_two]])
        other = have_two[other]
        more = more * crosses.weight_second[part][other]
        met = table[other, others]
        table[other, others] = met + more
        fresh = met == 0
        which = np.concatenate([of, other[fresh]])
        who = np.concatenate([ancestors, others[fresh]])
        values = table[which, who]
        table[which, who] = 0
        by_cross = np.argsort(which, kind="stable")
        rows.add(part, which[by_cross], who[by_cross], values[by_cross])
