"""Where every table of a tree of tables lies, and which entry of one meets which of another.

Small tables lie in one array, lowest in the tree first, and are handled a whole level at a time by index arrays. Large
ones and all above them are cliques (`cliques`), handled one by one. `tree` runs the two passes over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from math import prod
from typing import Any

import numpy as np
import numpy.typing as npt

from coilbook.genetics.inference.cliques import Bearing, Cliques
from coilbook.genetics.inference.order import Elimination
from coilbook.genetics.inference.shapes import Shapes
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats

#: tables with more entries than this, and those above them, are handled one by one
LARGE = 256

_NONE = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True)
class FactorGroup:
    """Factors of one shape: scope (N, a) variables, each table row-major over `shape`, one after the other.

    With `starts` (N,) the tables begin there instead, and a scope may hold -1 where a variable is held fast. Marginals
    are made of factors that are `read`.
    """

    scope: Ints
    shape: tuple[int, ...]
    offset: int
    starts: Ints | None = None
    read: bool = True

    @property
    def entries(self) -> int:
        """Entries of one table."""
        return prod(self.shape)

    def bases(self) -> Ints:
        """(N,) where each table begins."""
        if self.starts is not None:
            return self.starts
        return self.offset + np.arange(len(self.scope), dtype=np.int64) * self.entries

    def strides(self) -> tuple[int, ...]:
        """Steps of each axis."""
        return tuple(prod(self.shape[axis + 1 :]) for axis in range(len(self.shape)))


class Factors:
    """All factors of `groups` in order: (N, a) `scope`, -1 beyond, and the `steps` of these; (N,) `base`, `group`."""

    def __init__(self, groups: Sequence[FactorGroup]) -> None:
        width = max((len(group.shape) for group in groups), default=0)
        counts = [len(group.scope) for group in groups]
        self.groups = groups
        self.scope = np.full((sum(counts), width), -1, dtype=np.int64)
        self.steps = np.zeros_like(self.scope)
        low = 0
        for group in groups:
            high, axes = low + len(group.scope), len(group.shape)
            self.scope[low:high, :axes], self.steps[low:high, :axes] = group.scope, group.strides()
            low = high
        self.base = np.concatenate([_NONE, *(group.bases() for group in groups)])
        self.group = np.repeat(np.arange(len(groups)), counts)


@dataclass(frozen=True)
class Level:
    """Small tables of one height.

    `runs`: (states, where their tables begin and end, their messages too) by number of states. `tables`, `messages`:
    where all begin and end. `into`: (entry from `tables[0]`, message entry) of what comes from below. `out_of`: (table
    entry above, message entry from `messages[0]`) of what goes back down. `roots` is 1 where a message has no table
    above.
    """

    runs: tuple[tuple[int, int, int, int, int], ...]
    tables: tuple[int, int]
    messages: tuple[int, int]
    into: tuple[Ints, Ints]
    out_of: tuple[Ints, Ints]
    roots: Floats


class Layout:
    """The places of all tables, messages and factors of one set of variables. A bucket is named by its variable.

    `members` are all variables, `sorted` those with a small table; `cliques` the large ones, None where there are none.
    """

    def __init__(self, sizes: Ints, elimination: Elimination, factors: Factors, entries: int) -> None:
        self.entries = entries
        self.sizes = sizes.astype(np.int64)
        self._order = elimination.order
        self.later = dict(zip(elimination.order, elimination.later, strict=True))
        self.members = np.array(elimination.order, dtype=np.int64)
        self._lay_out(elimination)
        bearing = self._place_factors(factors)
        bearing_messages = self._place_messages()
        self.cliques: Cliques | None = None
        if len(self.sorted) < len(self.members):
            order = [one for one in self._order if self._high[one]]
            self.cliques = Cliques(order, self.later, self.sizes.tolist(), bearing, bearing_messages)

    # ---- layout

    def _lay_out(self, elimination: Elimination) -> None:
        count, order = len(self.sizes), self.members
        self._place = np.full(count, -1, dtype=np.int64)
        self._place[order] = np.arange(len(order))
        self._find_axes(elimination)
        height, root = [0] * count, list(range(count))
        for one, later in zip(elimination.order, elimination.later, strict=True):
            if later and height[later[0]] <= height[one]:
                height[later[0]] = height[one] + 1
        for one, later in zip(reversed(elimination.order), reversed(elimination.later), strict=True):
            if later:
                root[one] = root[later[0]]
        self.root, self.height = np.array(root, dtype=np.int64), np.array(height, dtype=np.int64)
        self._assign_slices()

    def _find_axes(self, elimination: Elimination) -> None:
        """The axes of small tables, by place in the order: the bucket's own variable first and fastest; -1 beyond."""
        count, order = len(self.sizes), self.members
        counts = np.array([len(later) for later in elimination.later], dtype=np.int64)
        others = np.fromiter(chain.from_iterable(elimination.later), np.int64, int(counts.sum()))
        axes = np.full((len(order), 1 + int(counts.max(initial=0))), -1, dtype=np.int64)
        axes[:, 0] = order
        rows = np.repeat(np.arange(len(order)), counts)
        axes[rows, 1 + np.arange(len(others)) - np.repeat(np.cumsum(counts) - counts, counts)] = others
        states = np.where(axes >= 0, self.sizes[axes], 1)
        products = np.cumprod(states, axis=1)
        self.table = np.zeros(count, dtype=np.int64)
        self.table[order] = products[:, -1]
        self.parent = np.full(count, -1, dtype=np.int64)
        if axes.shape[1] > 1:
            self.parent[order] = axes[:, 1]
        width = 1 + int(counts[products[:, -1] <= LARGE].max(initial=0))
        self._axes, self._steps = axes[:, :width], products[:, :width] // states[:, :width]
        self._shapes = Shapes(states[:, :width])

    def _assign_slices(self) -> None:
        """Small tables and their messages in the order (height, states)."""
        high = (self.table > LARGE).tolist()
        if any(high):
            for one in self._order:
                if high[one] and self.later[one]:
                    high[self.later[one][0]] = True
        self._high = np.array(high, dtype=np.bool_)
        self.under_cliques = np.zeros(len(self.sizes), dtype=np.bool_)
        self.under_cliques[self.members] = self._high[self.root[self.members]]
        known = self.members[~self._high[self.members]]
        order = known[np.lexsort((known, self.sizes[known], self.height[known]))]
        message = np.zeros(len(self.sizes), dtype=np.int64)
        message[order] = self.table[order] // self.sizes[order]
        self.offset = np.zeros(len(self.sizes), dtype=np.int64)
        self.message_at = np.zeros(len(self.sizes), dtype=np.int64)
        self.offset[order] = np.cumsum(self.table[order]) - self.table[order]
        self.message_at[order] = np.cumsum(message[order]) - message[order]
        self.size = int(self.table[order].sum())
        self.message_size = int(message.sum())
        self.message, self.sorted = message, order

    def step(self, bucket: Ints, variable: Ints) -> Ints:
        """The step of a variable in the table of a bucket."""
        place = self._place[bucket]
        axis = (self._axes[place] == variable[:, None]).argmax(axis=1)
        return np.asarray(self._steps[place, axis])

    def _alike(self, bucket: Ints, first: npt.NDArray[Any] | None = None) -> Ints:
        """The order that brings tables of one shape together, by `first` (N,) before that."""
        shape = self._shapes.number[self._place[bucket]]
        return np.argsort(shape, kind="stable") if first is None else np.lexsort((shape, first))

    def _expand(self, bucket: Ints, scope: Ints, steps: Ints, base: Ints) -> tuple[Ints, Ints]:
        """For all entries of the buckets' tables: (entry, where it lies in an array over `scope` (N, a)).

        `steps` (N, a) are the array's own steps, `base` (N,) where it begins; a scope is padded with -1. Buckets that
        are `_alike` stand together.
        """
        place = self._place[bucket]
        axes = self._axes[place]
        strides = np.zeros_like(axes)
        for at in range(scope.shape[1]):
            strides += (axes == scope[:, at : at + 1]) * steps[:, at : at + 1]
        sizes = self.table[bucket]
        entry = np.repeat(self.offset[bucket] - (np.cumsum(sizes) - sizes), sizes)
        entry += np.arange(len(entry))
        return entry, self._shapes.addresses(place, strides, base)

    def _place_factors(self, factors: Factors) -> list[Bearing]:
        """Where factors enter the small tables; those that bear on the cliques.

        Factors of no known variable are left out. `read_*`: where marginals are taken from.
        """
        groups, scope, steps, base, group_of = factors.groups, factors.scope, factors.steps, factors.base, factors.group
        self.factors = len(scope)
        place = np.where(scope >= 0, self._place[scope], len(self.sizes))
        first = place.min(axis=1, initial=len(self.sizes))
        keep = np.flatnonzero((first >= 0) & (first < len(self.sizes)))
        bucket = scope[keep, place[keep].argmin(axis=1)] if len(keep) else _NONE
        small = ~self._high[bucket]
        unread = np.array([not group.read for group in groups], dtype=np.bool_)[group_of]
        alike = self._alike(bucket[small], unread[keep[small]])
        mine, low = keep[small][alike], bucket[small][alike]
        self.factor_entry, self.factor_source = self._expand(low, scope[mine], steps[mine], base[mine])
        self._row_of, self._row_entries = mine, self.table[low]
        read = int(self._row_entries[~unread[mine]].sum())
        self.read_entry, self.read_source = self.factor_entry[:read], self.factor_source[:read]
        bearing = []
        rows = keep[~small]
        for at, one, members, start in zip(
            group_of[rows].tolist(), bucket[~small].tolist(), scope[rows].tolist(), base[rows].tolist(), strict=True
        ):
            group = groups[at]
            bearing.append(Bearing(one, tuple(members[: len(group.shape)]), group.shape, start, group.read))
        return bearing

    def factor_row(self) -> Ints:
        """(as long as `factor_entry`) which factor each belongs to, those of all groups being numbered in order."""
        return np.repeat(self._row_of, self._row_entries)

    def touched(self, changed: Bools) -> bool:
        """Whether any factor of these tables is among the entries (entries,) that changed."""
        high = self.cliques is not None and bool(changed[self.cliques.factor_at].any())
        return high or bool(changed[self.factor_source].any())

    def owned(self) -> Bools:
        """(entries,) whose marginals are taken from these tables."""
        mine = np.zeros(self.entries, dtype=np.bool_)
        mine[self.read_source] = True
        if self.cliques is not None:
            mine[self.cliques.factor_at[self.cliques.read]] = True
        return mine

    def _place_messages(self) -> list[Bearing]:
        """Where messages enter the small tables; those that bear on the cliques."""
        known = self.sorted
        below = known[self.parent[known] >= 0]
        above = self.parent[below]
        small = ~self._high[above]
        alike = self._alike(above[small])
        child, parent = below[small][alike], above[small][alike]
        place = self._place[child]
        steps = self._steps[place, 1:] // self.sizes[child][:, None]
        entry, source = self._expand(parent, self._axes[place, 1:], steps, self.message_at[child])
        sizes = self.table[parent]
        into, out_of = np.repeat(self.height[parent], sizes), np.repeat(self.height[child], sizes)
        top = int(self.height[known].max()) + 1 if len(known) else 0
        ins, outs = _by_level(into, top), _by_level(out_of, top)
        self.levels = [
            self._level(height, (entry[ins[height]], source[ins[height]]), (entry[outs[height]], source[outs[height]]))
            for height in range(top)
        ]
        states = self.sizes.tolist()
        bearing = []
        for one, over in zip(below[~small].tolist(), above[~small].tolist(), strict=True):
            axes = tuple(reversed(self.later[one]))
            shape = tuple(states[other] for other in axes)
            bearing.append(Bearing(over, axes, shape, int(self.message_at[one]), read=True))
        return bearing

    def _level(self, height: int, into: tuple[Ints, Ints], out_of: tuple[Ints, Ints]) -> Level:
        mine = self.sorted[self.height[self.sorted] == height]
        runs: list[tuple[int, int, int, int, int]] = []
        sizes = self.sizes[mine]
        for states in sorted(set(sizes.tolist())):
            some = mine[sizes == states]
            low, at = int(self.offset[some[0]]), int(self.message_at[some[0]])
            runs.append((states, low, low + int(self.table[some].sum()), at, at + int(self.message[some].sum())))
        tables = (runs[0][1], runs[-1][2])
        start, end = runs[0][3], runs[-1][4]
        roots = np.zeros(end - start)
        roots[self.message_at[mine[self.parent[mine] < 0]] - start] = 1.0
        return Level(
            tuple(runs), tables, (start, end), (into[0] - tables[0], into[1]), (out_of[0], out_of[1] - start), roots
        )


def _by_level(levels: npt.NDArray[np.signedinteger[Any]], top: int) -> list[Ints]:
    """The places of each level, in order."""
    if top < 2**15:
        # two bytes are sorted by counting
        levels = levels.astype(np.int16)
    order = np.argsort(levels, kind="stable")
    cuts = np.searchsorted(levels[order], np.arange(top + 1))
    return [order[cuts[level] : cuts[level + 1]] for level in range(top)]
