"""Where every table of a tree of tables lies, and which entry of one meets which of another.

All tables lie in one array, lowest in the tree first: small ones handled a whole level at a time by index arrays, large
ones one by one by broadcasting. `tree` runs the two passes over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coilbook.genetics.inference.order import Elimination
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats

#: tables with more entries than this are handled one by one
LARGE = 1024

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
        return int(np.prod(self.shape, dtype=np.int64))

    def bases(self) -> Ints:
        """(N,) where each table begins."""
        if self.starts is not None:
            return self.starts
        return self.offset + np.arange(len(self.scope), dtype=np.int64) * self.entries

    def strides(self) -> tuple[int, ...]:
        """Steps of each axis."""
        return tuple(int(np.prod(self.shape[axis + 1 :], dtype=np.int64)) for axis in range(len(self.shape)))


@dataclass(frozen=True)
class View:
    """A small array (`low` to `high` of a flat one) seen in the axes of a large table.

    The small array has `shape`; `axes` brings it into the table's order. Neighbouring axes of the table that are all
    shared or all not are taken as one: `whole` is the table's shape then, `spread` the small array's against it (1
    where not shared), `gone` the axes to sum away.
    """

    low: int
    high: int
    shape: tuple[int, ...]
    axes: tuple[int, ...]
    whole: tuple[int, ...]
    spread: tuple[int, ...]
    gone: tuple[int, ...]


@dataclass(frozen=True)
class Level:
    """Tables of one height.

    `runs`: the small tables by number of states: (states, where their tables begin and end, their messages too).
    `tables`: where all small tables begin and end; `messages`: where all messages do, of large tables too.
    `into`: (entry from `tables[0]`, message entry) of what comes from below into small tables. `out_of`: (table entry
    above, message entry from `messages[0]`) of what goes back down. `roots` is 1 where a message has no table above.
    `under_large`: (view of the message in the large table above, that table's bucket).
    """

    runs: tuple[tuple[int, int, int, int, int], ...]
    tables: tuple[int, int]
    messages: tuple[int, int]
    into: tuple[Ints, Ints]
    out_of: tuple[Ints, Ints]
    roots: Floats
    large: tuple[int, ...]
    under_large: tuple[tuple[View, int], ...]


class Layout:
    """The places of all tables, messages and factors of one set of variables. A bucket is named by its variable."""

    def __init__(self, sizes: Ints, elimination: Elimination, groups: Sequence[FactorGroup], entries: int) -> None:
        self.entries = entries
        self.sizes = sizes.astype(np.int64)
        self._order = elimination.order
        self.later = dict(zip(elimination.order, elimination.later, strict=True))
        self._having: dict[int, set[int]] = {}
        self._lay_out(elimination)
        self._find_strides()
        self._place_factors(groups)
        self._place_messages()

    # ---- layout

    def _lay_out(self, elimination: Elimination) -> None:
        count = len(self.sizes)
        sizes = self.sizes.tolist()
        self._place = np.full(count, -1, dtype=np.int64)
        self._place[elimination.order] = np.arange(len(elimination.order))
        table = np.zeros(count, dtype=np.int64)
        height = np.zeros(count, dtype=np.int64)
        heights = [0] * count
        root = list(range(count))
        own: list[int] = []
        member: list[int] = []
        stride: list[int] = []
        for one, later in zip(elimination.order, elimination.later, strict=True):
            step = sizes[one]
            for other in later:
                own.append(one)
                member.append(other)
                stride.append(step)
                step *= sizes[other]
            table[one] = step
            if later:
                heights[later[0]] = max(heights[later[0]], heights[one] + 1)
        for one, later in zip(reversed(elimination.order), reversed(elimination.later), strict=True):
            root[one] = root[later[0]] if later else one
        height[:] = heights
        self.root = np.array(root, dtype=np.int64)
        self.table, self.height = table, height
        self._own, self._member, self._stride = (np.array(x, dtype=np.int64) for x in (own, member, stride))
        self.parent = np.full(count, -1, dtype=np.int64)
        for one, later in zip(elimination.order, elimination.later, strict=True):
            if later:
                self.parent[one] = later[0]
        self._assign_slices()

    def _assign_slices(self) -> None:
        """Tables and messages in the order (height, large last, states)."""
        known = np.array(self._order, dtype=np.int64)
        large = self.table > LARGE
        order = known[np.lexsort((known, self.sizes[known], large[known], self.height[known]))]
        message = np.zeros(len(self.sizes), dtype=np.int64)
        message[order] = self.table[order] // self.sizes[order]
        self.offset = np.zeros(len(self.sizes), dtype=np.int64)
        self.message_at = np.zeros(len(self.sizes), dtype=np.int64)
        self.offset[order] = np.cumsum(self.table[order]) - self.table[order]
        self.message_at[order] = np.cumsum(message[order]) - message[order]
        self.size = int(self.table[order].sum())
        self.message_size = int(message.sum())
        self.message, self._large, self.sorted = message, large, order

    def _find_strides(self) -> None:
        count = len(self.sizes)
        mine = np.flatnonzero(self._place >= 0)
        keys = np.concatenate([mine * count + mine, self._own * count + self._member])
        steps = np.concatenate([np.ones(len(mine), dtype=np.int64), self._stride])
        order = np.argsort(keys)
        self._keys, self._steps = keys[order], steps[order]

    def step(self, bucket: Ints, variable: Ints) -> Ints:
        """The step of a variable in the table of a bucket."""
        return self._steps[np.searchsorted(self._keys, bucket * len(self.sizes) + variable)]

    def _expand(self, bucket: Ints, scope: Ints, steps: Ints, base: Ints) -> tuple[Ints, Ints]:
        """For all entries of the buckets' tables: (entry, where it lies in an array over `scope` (N, a)).

        `steps` (N, a) are the array's own steps, `base` (N,) where it begins; a scope is padded with -1.
        """
        sizes = self.table[bucket]
        row = np.repeat(np.arange(len(bucket)), sizes)
        entry = np.arange(len(row)) - (np.cumsum(sizes) - sizes)[row]
        source = base[row]
        for axis in range(scope.shape[1]):
            live = scope[:, axis] >= 0
            variable = np.where(live, scope[:, axis], bucket)
            step = self.step(bucket, variable)[row]
            source += entry // step % self.sizes[variable][row] * np.where(live, steps[:, axis], 0)[row]
        return self.offset[bucket][row] + entry, source

    def _place_factors(self, groups: Sequence[FactorGroup]) -> None:
        """`factor_row` numbers the factors of all groups in order; factors of no known variable are left out.

        `factor_*` say where factors enter the tables, `read_*` where their marginals are taken from: the smallest table
        that has all their variables.
        """
        entries, sources, rows, read = [_NONE], [_NONE], [_NONE], [(_NONE, _NONE)]
        self.factor_views: list[tuple[int, View]] = []
        self.read_views: list[tuple[int, View]] = []
        self.factors = 0
        for group in groups:
            place = np.where(group.scope >= 0, self._place[group.scope], len(self.sizes))
            first = place.min(axis=1)
            keep = np.flatnonzero((first >= 0) & (first < len(self.sizes)))
            scope, base = group.scope[keep], group.bases()[keep]
            bucket = scope[np.arange(len(scope)), place[keep].argmin(axis=1)]
            small = ~self._large[bucket]
            steps = np.broadcast_to(np.array(group.strides(), dtype=np.int64), scope.shape)
            entry, source = self._expand(bucket[small], scope[small], steps[small], base[small])
            entries.append(entry)
            sources.append(source)
            rows.append(np.repeat(self.factors + keep[small], self.table[bucket[small]]))
            self.factors += len(group.scope)
            if group.read:
                read.append((entry, source))
            for at in np.flatnonzero(~small).tolist():
                read.append(self._place_large(group, int(bucket[at]), scope[at : at + 1], int(base[at])))
        self.factor_entry, self.factor_source = np.concatenate(entries), np.concatenate(sources)
        self.factor_row = np.concatenate(rows)
        self.read_entry, self.read_source = (np.concatenate(part) for part in zip(*read, strict=True))

    def touched(self, changed: Bools) -> bool:
        """Whether any factor of these tables is among the entries (entries,) that changed."""
        return bool(changed[self.factor_source].any()) or any(
            changed[view.low : view.high].any() for _, view in self.factor_views
        )

    def owned(self) -> Bools:
        """(entries,) whose marginals are taken from these tables."""
        mine = np.zeros(self.entries, dtype=np.bool_)
        mine[self.read_source] = True
        for _, view in self.read_views:
            mine[view.low : view.high] = True
        return mine

    def _place_large(self, group: FactorGroup, bucket: int, scope: Ints, base: int) -> tuple[Ints, Ints]:
        """Place one factor of a large table; where to read it, if that is a small one."""
        variables = scope[0].tolist()
        self.factor_views.append((bucket, self._view(bucket, variables, group.shape, base)))
        if not group.read:
            return _NONE, _NONE
        least = self._smallest_with(variables)
        if self._large[least]:
            self.read_views.append((least, self._view(least, variables, group.shape, base)))
            return _NONE, _NONE
        steps = np.array([group.strides()], dtype=np.int64)
        return self._expand(np.array([least]), scope, steps, np.array([base]))

    def _smallest_with(self, scope: list[int]) -> int:
        """The bucket of the smallest table over all these variables."""
        if not self._having:
            for one in self._order:
                for member in (one, *self.later[one]):
                    self._having.setdefault(member, set()).add(one)
        return min(set.intersection(*(self._having[one] for one in scope)), key=lambda one: (self.table[one], one))

    def _axes(self, bucket: int) -> list[int]:
        """The variables of a bucket's table, first axis first."""
        return [*reversed(self.later[bucket]), bucket]

    def _view(self, bucket: int, scope: list[int], shape: tuple[int, ...], low: int) -> View:
        axes = self._axes(bucket)
        order = tuple(sorted(range(len(scope)), key=lambda at: axes.index(scope[at])))
        whole: list[int] = []
        shared: list[bool] = []
        for one in axes:
            mine = one in scope
            if shared and shared[-1] == mine:
                whole[-1] *= int(self.sizes[one])
            else:
                whole.append(int(self.sizes[one]))
                shared.append(mine)
        spread = tuple(size if mine else 1 for size, mine in zip(whole, shared, strict=True))
        gone = tuple(at for at, mine in enumerate(shared) if not mine)
        return View(low, low + int(np.prod(shape, dtype=np.int64)), shape, order, tuple(whole), spread, gone)

    def _place_messages(self) -> None:
        known = self.sorted
        below = known[self.parent[known] >= 0]
        above = self.parent[below]
        small = ~self._large[above]
        child, parent = below[small], above[small]
        width = max((len(self.later[one]) for one in child.tolist()), default=0)
        scope = np.full((len(child), width), -1, dtype=np.int64)
        for row, one in enumerate(child.tolist()):
            later = self.later[one]
            scope[row, : len(later)] = later
        steps = np.zeros_like(scope)
        for axis in range(width):
            live = np.flatnonzero(scope[:, axis] >= 0)
            steps[live, axis] = self.step(child[live], scope[live, axis]) // self.sizes[child[live]]
        entry, source = self._expand(parent, scope, steps, self.message_at[child])
        sizes = self.table[parent]
        self.message_views: dict[int, list[View]] = {}
        under: dict[int, list[tuple[View, int]]] = {}
        for one, over in zip(below[~small].tolist(), above[~small].tolist(), strict=True):
            scope_of = list(reversed(self.later[one]))
            view = self._view(over, scope_of, tuple(int(self.sizes[v]) for v in scope_of), int(self.message_at[one]))
            self.message_views.setdefault(over, []).append(view)
            under.setdefault(int(self.height[one]), []).append((view, over))
        into, out_of = np.repeat(self.height[parent], sizes), np.repeat(self.height[child], sizes)
        top = int(self.height[self.sorted].max()) + 1 if len(self.sorted) else 0
        ins, outs = _by_level(into, top), _by_level(out_of, top)
        self.levels = [
            self._level(height, (entry[ins[height]], source[ins[height]]), (entry[outs[height]], source[outs[height]]),
                        tuple(under.get(height, ())))
            for height in range(top)
        ]  # fmt: skip

    def _level(
        self, height: int, into: tuple[Ints, Ints], out_of: tuple[Ints, Ints], under: tuple[tuple[View, int], ...]
    ) -> Level:
        mine = self.sorted[self.height[self.sorted] == height]
        small, large = mine[~self._large[mine]], mine[self._large[mine]]
        runs: list[tuple[int, int, int, int, int]] = []
        for states in np.unique(self.sizes[small]).tolist():
            some = small[self.sizes[small] == states]
            low, at = int(self.offset[some[0]]), int(self.message_at[some[0]])
            runs.append((states, low, low + int(self.table[some].sum()), at, at + int(self.message[some].sum())))
        start = int(self.message_at[mine[0]])
        end = start + int(self.message[mine].sum())
        roots = np.zeros(end - start)
        roots[self.message_at[mine[self.parent[mine] < 0]] - start] = 1.0
        tables = (runs[0][1], runs[-1][2]) if runs else (0, 0)
        return Level(
            tuple(runs), tables, (start, end), (into[0] - tables[0], into[1]), (out_of[0], out_of[1] - start), roots,
            tuple(large.tolist()), under,
        )  # fmt: skip


def _by_level(levels: Ints, top: int) -> list[Ints]:
    """The places of each level, in order."""
    order = np.argsort(levels, kind="stable")
    cuts = np.searchsorted(levels[order], np.arange(top + 1))
    return [order[cuts[level] : cuts[level + 1]] for level in range(top)]
