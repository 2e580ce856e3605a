"""Where large tables lie: joined to cliques, each with a recipe that makes it of the small arrays that bear on it.

A table that has nothing its neighbour below lacks is no table of its own but part of that clique. What bears on a
clique is multiplied smallest first, so that the whole table is met last; going back down it is summed the same way.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from math import prod

import numpy as np

from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools

#: small arrays are added up in cells of at most this many entries
_CELL = 64

_NONE = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True)
class Bearing:
    """A small array that bears on the table of `bucket`: its variables, their numbers of states, where it begins.

    `read`: its marginal is wanted.
    """

    bucket: int
    scope: tuple[int, ...]
    shape: tuple[int, ...]
    base: int
    read: bool


@dataclass(frozen=True)
class Step:
    """Two arrays multiplied to a third one of shape `whole`, seen in it as `first_as` and `second_as`.

    Neighbouring axes that both have, or one and the same lacks, are taken as one. `*_gone`: the axes to sum away for
    the marginal of each, () where it has all and None where nobody asks for it.
    """

    first: int
    second: int
    whole: tuple[int, ...]
    first_as: tuple[int, ...]
    second_as: tuple[int, ...]
    first_gone: tuple[int, ...] | None
    second_gone: tuple[int, ...] | None


@dataclass(frozen=True)
class Clique:
    """One large table. Its arrays are numbered: `cells` (places among all cells), those of `children`, then the steps'.

    `own`: states of the variables summed out here, the first axes of the table; `message`: entries over the others.
    A child's message has the shape and is brought into the order of axes that `turned` says, None where it is in order.
    """

    own: int
    message: int
    cells: tuple[tuple[int, int], ...]
    children: tuple[int, ...]
    turned: tuple[tuple[tuple[int, ...], tuple[int, ...]] | None, ...]
    steps: tuple[Step, ...]
    #: the variables summed out here
    variables: tuple[int, ...]


@dataclass
class _Draft:
    """A clique on its way: its variables (axes in order once known), what bears on it, the cells that makes."""

    own: list[int]
    scope: list[int]
    bearings: list[tuple[int, Bearing]]
    children: list[int]
    cells: list[list[tuple[int, Bearing]]]
    below: list[set[int]] = field(default_factory=list)


class Cliques:
    """All large tables of one layout, each before those above it, and what bears on them from outside.

    Small arrays are first added up in cells, of which cell k begins at `starts[k]` of `size` entries. `factor_at`
    (entry of a factor) meets `factor_cell` (entry of a cell), `message_at` (entry of a small table's message) meets
    `message_cell`; `read` (as long as `factor_at`) is which of them have a marginal that is wanted.
    """

    def __init__(
        self,
        order: Sequence[int],
        later: dict[int, list[int]],
        sizes: Sequence[int],
        factors: Sequence[Bearing],
        messages: Sequence[Bearing],
    ) -> None:
        self._sizes = sizes
        drafts = _drafts(order, later, (*factors, *messages))
        starts: list[int] = []
        at: list[Ints] = [_NONE] * (len(factors) + len(messages))
        cell_at = list(at)
        self.size = 0
        made = []
        for draft in drafts:
            self._pack(draft)
            low = len(starts)
            for cell in draft.cells:
                starts.append(self.size)
                self.size += self._place(draft, cell, at, cell_at)
            bounds = [*starts[low:], self.size]
            made.append(self._made(draft, drafts, tuple(pairwise(bounds))))
        self.cliques = tuple(made)
        self.starts = np.array(starts, dtype=np.int64)
        count = len(factors)
        self.factor_at, self.factor_cell = (np.concatenate([_NONE, *part[:count]]) for part in (at, cell_at))
        self.message_at, self.message_cell = (np.concatenate([_NONE, *part[count:]]) for part in (at, cell_at))
        self.read: Bools = np.repeat(
            np.array([one.read for one in factors], dtype=np.bool_), [len(part) for part in at[:count]]
        )

    def _entries(self, scope: Iterable[int]) -> int:
        return prod([self._sizes[one] for one in scope])

    def _pack(self, draft: _Draft) -> None:
        """Sort what bears on a clique into cells, the largest first, each where the cell grows least."""
        scopes: list[set[int]] = []
        entries: list[int] = []
        for bearing in sorted(draft.bearings, key=lambda pair: -prod(pair[1].shape)):
            members = bearing[1].scope
            best, least = -1, _CELL + 1
            for number, scope in enumerate(scopes):
                size = entries[number]
                for one in members:
                    if one not in scope:
                        size *= self._sizes[one]
                if size == entries[number]:
                    best, least = number, size
                    break
                if size < least:
                    best, least = number, size
            if best < 0:
                scopes.append(set(members))
                entries.append(prod(bearing[1].shape))
                draft.cells.append([bearing])
            else:
                scopes[best].update(members)
                entries[best] = least
                draft.cells[best].append(bearing)
        self._sort_axes(draft, scopes)

    def _sort_axes(self, draft: _Draft, scopes: list[set[int]]) -> None:
        """Own variables first; last those that most of the large arrays have, which are gone through without a jump."""
        weight = dict.fromkeys(draft.scope, 0)
        for scope in (*scopes, *draft.below):
            size = self._entries(scope)
            for one in scope:
                weight[one] += size
        own = set(draft.own)
        draft.scope.sort(key=lambda one: (one not in own, weight[one]))

    def _place(self, draft: _Draft, cell: list[tuple[int, Bearing]], at: list[Ints], cell_at: list[Ints]) -> int:
        """Where each array of a cell meets it; how many entries the cell has."""
        members = {one for _, bearing in cell for one in bearing.scope}
        scope = [one for one in draft.scope if one in members]
        shape = tuple(self._sizes[one] for one in scope)
        size = prod(shape)
        entries = np.arange(self.size, self.size + size)
        for number, bearing in cell:
            axes = tuple(scope.index(one) for one in bearing.scope)
            at[number] = bearing.base + _pattern(shape, bearing.shape, axes)
            cell_at[number] = entries
        return size

    def _made(self, draft: _Draft, drafts: list[_Draft], cells: tuple[tuple[int, int], ...]) -> Clique:
        bit = {one: 1 << at for at, one in enumerate(draft.scope)}
        sizes = [self._sizes[one] for one in draft.scope]
        masks = [sum(bit[one] for one in {one for _, bearing in cell for one in bearing.scope}) for cell in draft.cells]
        wanted = [any(bearing.read for _, bearing in cell) for cell in draft.cells]
        turned = []
        for child in draft.children:
            above = drafts[child].scope[len(drafts[child].own) :]
            masks.append(sum(bit[one] for one in above))
            wanted.append(True)
            axes = tuple(sorted(range(len(above)), key=lambda axis: bit[above[axis]]))
            shape = tuple(self._sizes[one] for one in above)
            turned.append(None if axes == tuple(range(len(axes))) else (shape, axes))
        count = len(draft.own)
        return Clique(
            prod(sizes[:count]), prod(sizes[count:]), cells, tuple(draft.children), tuple(turned),
            _recipe(masks, wanted, sizes), tuple(draft.own),
        )  # fmt: skip


def _drafts(order: Sequence[int], later: dict[int, list[int]], bearings: Sequence[Bearing]) -> list[_Draft]:
    drafts = [_Draft(own, [own[0], *later[own[0]]], [], [], []) for own in _joined(order, later)]
    of = {one: number for number, draft in enumerate(drafts) for one in draft.own}
    for number, bearing in enumerate(bearings):
        drafts[of[bearing.bucket]].bearings.append((number, bearing))
    for number, draft in enumerate(drafts):
        above = later[draft.own[-1]]
        if above:
            drafts[of[above[0]]].children.append(number)
            drafts[of[above[0]]].below.append(set(above))
    return drafts


def _joined(order: Sequence[int], later: dict[int, list[int]]) -> list[list[int]]:
    """The variables each clique sums out, cliques below first: a table that another holds whole goes to that one."""
    joined: dict[int, list[int]] = {}
    whole_in: dict[int, list[int]] = {}
    for one in order:
        above = later[one]
        mine = whole_in.get(one)
        if mine is None:
            mine = joined[one] = []
        mine.append(one)
        if above and len(above) == len(later[above[0]]) + 1:
            whole_in.setdefault(above[0], mine)
    place = {one: at for at, one in enumerate(order)}
    return sorted(joined.values(), key=lambda own: place[own[-1]])


@lru_cache(maxsize=4096)
def _pattern(shape: tuple[int, ...], small: tuple[int, ...], axes: tuple[int, ...]) -> Ints:
    """For every entry of a table of `shape`, which entry of a `small` one over its `axes` it meets."""
    order = sorted(range(len(axes)), key=axes.__getitem__)
    seen = np.arange(prod(small), dtype=np.int64).reshape(small).transpose(order)
    spread = seen.reshape([size if axis in axes else 1 for axis, size in enumerate(shape)])
    return np.ascontiguousarray(np.broadcast_to(spread, shape)).reshape(-1)


def _recipe(masks: list[int], wanted: list[bool], sizes: list[int]) -> tuple[Step, ...]:
    """Multiply arrays (bits: which axes each has) till one is left: the smallest with what makes it grow least."""

    def entries(mask: int) -> int:
        return prod(size for at, size in enumerate(sizes) if mask >> at & 1)

    masks, wanted = list(masks), list(wanted)
    size = [entries(mask) for mask in masks]
    left = list(range(len(masks)))
    steps = []
    while len(left) > 1:
        first = min(left, key=lambda at: (size[at], at))
        left.remove(first)
        grown = {at: entries(masks[at] | masks[first]) for at in left}
        second = min(left, key=lambda at: (grown[at], size[at], at))
        left.remove(second)
        steps.append(_step(first, second, masks, wanted, sizes))
        left.append(len(masks))
        masks.append(masks[first] | masks[second])
        wanted.append(wanted[first] or wanted[second])
        size.append(grown[second])
    return tuple(steps)


def _step(first: int, second: int, masks: list[int], wanted: list[bool], sizes: list[int]) -> Step:
    one, two = masks[first], masks[second]
    whole: list[int] = []
    kinds: list[tuple[int, int]] = []
    for at, size in enumerate(sizes):
        kind = (one >> at & 1, two >> at & 1)
        if kind == (0, 0):
            continue
        if kinds and kinds[-1] == kind:
            whole[-1] *= size
        else:
            whole.append(size)
            kinds.append(kind)
    seen = [tuple(size if kind[side] else 1 for size, kind in zip(whole, kinds, strict=True)) for side in (0, 1)]
    # outermost first: the runs that are added up are the longest, and half is gone before the short ones come
    gone = [tuple(at for at, kind in enumerate(kinds) if not kind[side]) for side in (0, 1)]
    return Step(
        first, second, tuple(whole), seen[0], seen[1],
        gone[0] if wanted[first] else None, gone[1] if wanted[second] else None,
    )  # fmt: skip
