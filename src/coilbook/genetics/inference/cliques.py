"""Where large tables lie: joined to cliques, each with a recipe that makes it of the small arrays that bear on it.

A table that has nothing its neighbour below lacks is no table of its own but part of that clique. What bears on a
clique is multiplied smallest first, so that the whole table is met last; going back down it is summed the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache
from itertools import pairwise
from math import prod
from typing import NamedTuple

import numpy as np

from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools

#: small arrays are added up in cells of at most this many entries
_CELL = 64

_NONE = np.zeros(0, dtype=np.int64)


class Bearing(NamedTuple):
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
    #: states of all axes of the table; which of them (bits) the cells and then the messages of the children have
    sizes: tuple[int, ...]
    masks: tuple[int, ...]
    #: whether the marginal of each cell is wanted
    wanted: tuple[bool, ...]


@dataclass
class _Draft:
    """A clique on its way: its variables (axes in order once known), what bears on it, the cells that makes.

    Sets of its variables are whole numbers: bit k stands for `scope[k]`. `cell_of` is the cell of each of `bearings`,
    `masks` the variables of each cell and then of the message of each child.
    """

    own: list[int]
    scope: list[int]
    bearings: list[tuple[int, Bearing]] = field(default_factory=list)
    children: list[int] = field(default_factory=list)
    below: list[list[int]] = field(default_factory=list)
    cell_of: list[int] = field(default_factory=list)
    masks: list[int] = field(default_factory=list)
    wanted: list[bool] = field(default_factory=list)


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
        bearings = (*factors, *messages)
        drafts = _drafts(order, later, bearings)
        self.size = 0
        starts: list[int] = []
        patterns: list[Ints] = [_NONE] * len(bearings)
        cells: list[int] = [0] * len(bearings)
        made = []
        for draft in drafts:
            entries = _entries_of([sizes[one] for one in draft.scope])
            _pack(draft, entries)
            entries = self._sort_axes(draft, entries)
            bounds = self._place(draft, entries, patterns, cells)
            starts += bounds[:-1]
            made.append(self._made(draft, drafts, tuple(pairwise(bounds)), entries))
        self.cliques = tuple(made)
        self._find_places()
        self.starts = np.array(starts, dtype=np.int64)
        lengths = np.array([len(pattern) for pattern in patterns], dtype=np.int64)
        bases = np.array([bearing.base for bearing in bearings], dtype=np.int64)
        at = np.concatenate([_NONE, *patterns]) + np.repeat(bases, lengths)
        cell_at = np.repeat(np.array(cells, dtype=np.int64) - (np.cumsum(lengths) - lengths), lengths)
        cell_at += np.arange(len(cell_at))
        count = int(lengths[: len(factors)].sum())
        self.factor_at, self.factor_cell = at[:count], cell_at[:count]
        self.message_at, self.message_cell = at[count:], cell_at[count:]
        self.read: Bools = np.repeat(np.array([one.read for one in factors], np.bool_), lengths[: len(factors)])

    def _find_places(self) -> None:
        """The clique above each, -1 for none; entries of all tables; (entries of all cells,) the clique each is of."""
        self.above = [-1] * len(self.cliques)
        for number, clique in enumerate(self.cliques):
            for child in clique.children:
                self.above[child] = number
        self.entries = sum(clique.own * clique.message for clique in self.cliques)
        lengths = [clique.cells[-1][1] - clique.cells[0][0] if clique.cells else 0 for clique in self.cliques]
        self.clique_at = np.repeat(np.arange(len(self.cliques)), lengths)

    def _sort_axes(self, draft: _Draft, entries: Callable[[int], int]) -> Callable[[int], int]:
        """Own variables first; last those that most of the large arrays have, which are gone through without a jump."""
        old = {one: 1 << at for at, one in enumerate(draft.scope)}
        draft.masks += [sum(map(old.__getitem__, above)) for above in draft.below]
        sizes = [(mask, entries(mask)) for mask in draft.masks]
        own = set(draft.own)
        weight = {one: sum([size for mask, size in sizes if mask & bit]) for one, bit in old.items()}
        draft.scope.sort(key=lambda one: (one not in own, weight[one]))
        bits = [(old[one], 1 << at) for at, one in enumerate(draft.scope)]
        draft.masks = [sum([new for bit, new in bits if mask & bit]) for mask in draft.masks]
        return _entries_of([self._sizes[one] for one in draft.scope])

    def _place(self, draft: _Draft, entries: Callable[[int], int], patterns: list[Ints], cells: list[int]) -> list[int]:
        """Where each array meets its cell; where the cells of a clique begin, and the last one ends."""
        bounds, axis_of, shapes = [self.size], [], []
        for mask in draft.masks[: len(draft.masks) - len(draft.children)]:
            members = [one for at, one in enumerate(draft.scope) if mask >> at & 1]
            axis_of.append({one: axis for axis, one in enumerate(members)}.__getitem__)
            shapes.append(tuple([self._sizes[one] for one in members]))
            self.size += entries(mask)
            bounds.append(self.size)
        for (number, bearing), cell in zip(draft.bearings, draft.cell_of, strict=True):
            patterns[number] = pattern(shapes[cell], bearing.shape, tuple(map(axis_of[cell], bearing.scope)))
            cells[number] = bounds[cell]
        return bounds

    def _made(
        self,
        draft: _Draft,
        drafts: list[_Draft],
        cells: tuple[tuple[int, int], ...],
        entries: Callable[[int], int],
    ) -> Clique:
        place = {one: at for at, one in enumerate(draft.scope)}
        sizes = [self._sizes[one] for one in draft.scope]
        turned = []
        for child in draft.children:
            above = drafts[child].scope[len(drafts[child].own) :]
            axes = tuple(sorted(range(len(above)), key=[place[one] for one in above].__getitem__))
            shape = tuple([self._sizes[one] for one in above])
            turned.append(None if axes == tuple(range(len(axes))) else (shape, axes))
        count = len(draft.own)
        wanted = draft.wanted + [True] * len(draft.children)
        return Clique(
            prod(sizes[:count]), prod(sizes[count:]), cells, tuple(draft.children), tuple(turned),
            _recipe(draft.masks, wanted, sizes, entries), tuple(draft.own), tuple(sizes), tuple(draft.masks),
            tuple(draft.wanted),
        )  # fmt: skip


def _entries_of(sizes: Sequence[int]) -> Callable[[int], int]:
    """How many entries an array has that has some (bits) of the axes with these numbers of states."""
    if all(size == 2 for size in sizes):
        return lambda mask: 1 << mask.bit_count()
    return cache(lambda mask: prod([size for at, size in enumerate(sizes) if mask >> at & 1]))


def _pack(draft: _Draft, entries: Callable[[int], int]) -> None:
    """Sort what bears on a clique into cells, the largest first, each where the cell grows least."""
    bit = {one: 1 << at for at, one in enumerate(draft.scope)}.__getitem__
    draft.bearings.sort(key=lambda pair: -prod(pair[1].shape))
    masks: list[int] = []
    for _, bearing in draft.bearings:
        mine = sum(map(bit, bearing.scope))
        best, least = -1, _CELL + 1
        for number, mask in enumerate(masks):
            if mask | mine == mask:
                best = number
                break
            size = entries(mask | mine)
            if size < least:
                best, least = number, size
        if best < 0:
            best = len(masks)
            masks.append(mine)
            draft.wanted.append(bearing.read)
        else:
            masks[best] |= mine
            draft.wanted[best] |= bearing.read
        draft.cell_of.append(best)
    draft.masks = masks


def _drafts(order: Sequence[int], later: dict[int, list[int]], bearings: Sequence[Bearing]) -> list[_Draft]:
    drafts = [_Draft(own, [own[0], *later[own[0]]]) for own in _joined(order, later)]
    of = {one: number for number, draft in enumerate(drafts) for one in draft.own}
    for number, bearing in enumerate(bearings):
        drafts[of[bearing.bucket]].bearings.append((number, bearing))
    for number, draft in enumerate(drafts):
        above = later[draft.own[-1]]
        if above:
            drafts[of[above[0]]].children.append(number)
            drafts[of[above[0]]].below.append(above)
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
def pattern(shape: tuple[int, ...], small: tuple[int, ...], axes: tuple[int, ...]) -> Ints:
    """For every entry of a table of `shape`, which entry of a `small` one over its `axes` it meets."""
    order = sorted(range(len(axes)), key=axes.__getitem__)
    seen = np.arange(prod(small), dtype=np.int64).reshape(small).transpose(order)
    spread = seen.reshape([size if axis in axes else 1 for axis, size in enumerate(shape)])
    return np.ascontiguousarray(np.broadcast_to(spread, shape)).reshape(-1)


def _recipe(masks: list[int], wanted: list[bool], sizes: list[int], entries: Callable[[int], int]) -> tuple[Step, ...]:
    """Multiply arrays (bits: which axes each has) till one is left: the smallest with what makes it grow least."""
    masks, wanted = list(masks), list(wanted)
    size = [entries(mask) for mask in masks]
    left = list(range(len(masks)))
    steps = []
    while len(left) > 1:
        first = min(left, key=size.__getitem__)
        left.remove(first)
        mine = masks[first]
        _, _, second = min([(entries(masks[at] | mine), size[at], at) for at in left])
        left.remove(second)
        steps.append(_step(first, second, masks, wanted, sizes))
        left.append(len(masks))
        masks.append(mine | masks[second])
        wanted.append(wanted[first] or wanted[second])
        size.append(entries(masks[-1]))
    return tuple(steps)


def _step(first: int, second: int, masks: list[int], wanted: list[bool], sizes: list[int]) -> Step:
    one, two = masks[first], masks[second]
    whole: list[int] = []
    kinds: list[int] = []
    for at, size in enumerate(sizes):
        kind = (one >> at & 1) + 2 * (two >> at & 1)
        if not kind:
            continue
        if kinds and kinds[-1] == kind:
            whole[-1] *= size
        else:
            whole.append(size)
            kinds.append(kind)
    seen = [tuple([size if kind & side else 1 for size, kind in zip(whole, kinds, strict=True)]) for side in (1, 2)]
    # outermost first: the runs that are added up are the longest, and half is gone before the short ones come
    gone = [tuple([at for at, kind in enumerate(kinds) if not kind & side]) for side in (1, 2)]
    return Step(
        first, second, tuple(whole), seen[0], seen[1],
        gone[0] if wanted[first] else None, gone[1] if wanted[second] else None,
    )  # fmt: skip
