"""How the tables of cliques meet: shapes to multiply and to sum by, worked out once for each layout."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import prod
from weakref import WeakKeyDictionary

import numpy as np

from coilbook.genetics.inference.clique_passes import summed
from coilbook.genetics.inference.cliques import Clique, Cliques, pattern
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Floats

Turned = tuple[tuple[int, ...], tuple[int, ...]]

#: cells are read from arrays of at most so many entries, as few as will do
_SMALL = 1024


@dataclass(frozen=True)
class Seen:
    """A table as `whole`, neighbouring axes taken as one, and an array over some of its axes seen `among` them.

    `gone`: the axes to sum away for the marginal of that array.
    """

    whole: tuple[int, ...]
    among: tuple[int, ...]
    gone: tuple[int, ...]

    def times(self, table: Floats, values: Floats) -> Floats:
        """(entries,) the table multiplied by such an array."""
        return (table.reshape(self.whole) * values.reshape(self.among)).reshape(-1)

    def marginal(self, table: Floats) -> Floats:
        """(entries of the array,) the sums of the table."""
        return summed(table.reshape(self.whole), self.gone).reshape(-1)


def seen(sizes: tuple[int, ...], table: int, array: int) -> Seen:
    """Sets of axes (bits of `sizes`): those of a table, and those of an array that has some of them."""
    whole: list[int] = []
    has: list[bool] = []
    for at, size in enumerate(sizes):
        if table >> at & 1:
            mine = bool(array >> at & 1)
            if has and has[-1] == mine:
                whole[-1] *= size
            else:
                whole.append(size)
                has.append(mine)
    among = tuple(size if mine else 1 for size, mine in zip(whole, has, strict=True))
    return Seen(tuple(whole), among, tuple(at for at, mine in enumerate(has) if not mine))


@dataclass(frozen=True)
class Plan:
    """One clique: how its table meets its cells and the messages of its `children` (number of the clique below).

    `turned` brings a child's message into the order of axes here, `back` what is said to the child into its own.
    `reads`: the small arrays its cells are read from, each a marginal of the table or, where True, of what it shares
    with the clique above.
    """

    cells: tuple[Seen, ...]
    children: dict[int, Seen]
    turned: dict[int, Turned | None]
    back: dict[int, Turned | None]
    reads: tuple[tuple[bool, Seen], ...]

    def from_child(self, child: int, values: Floats) -> Floats:
        """A child's array over what it shares, in the order of axes here."""
        return _in_order(values, self.turned[child])

    def to_child(self, child: int, table: Floats) -> Floats:
        """(entries,) what the table says to a child, in its order of axes."""
        return _in_order(self.children[child].marginal(table), self.back[child])


@dataclass(frozen=True)
class Plans:
    """The plans of all cliques; entry `source` of the arrays cells are read from, one by one, is added to `cell`."""

    each: tuple[Plan, ...]
    source: Ints
    cell: Ints

    def joint(self, tables: Sequence[Floats], shares: Sequence[Floats], size: int) -> Floats:
        """(entries of all cells,) the chances of the wanted cells, from tables that hold joint ones."""
        arrays = [
            how.marginal(share if shared else table)
            for plan, table, share in zip(self.each, tables, shares, strict=True)
            for shared, how in plan.reads
        ]
        flat = np.concatenate([*arrays, np.zeros(0)])
        return np.bincount(self.cell, weights=flat[self.source], minlength=size).astype(np.float64, copy=False)


def _in_order(values: Floats, turned: Turned | None) -> Floats:
    if turned is None:
        return values
    shape, axes = turned
    return values.reshape(shape).transpose(axes).reshape(-1)


_PLANS: WeakKeyDictionary[Cliques, Plans] = WeakKeyDictionary()


def plans_of(cliques: Cliques) -> Plans:
    """The plans of all cliques, worked out once."""
    known = _PLANS.get(cliques)
    if known is None:
        known = _PLANS[cliques] = _Maker().made(cliques)
    return known


class _Maker:
    """Where the arrays that cells are read from lie, one after the other, and what of them meets which cell."""

    def __init__(self) -> None:
        self._size = 0
        self._source: list[Ints] = [np.zeros(0, dtype=np.int64)]
        self._cell: list[Ints] = [np.zeros(0, dtype=np.int64)]

    def made(self, cliques: Cliques) -> Plans:
        each = tuple(map(self._plan, cliques.cliques))
        return Plans(each, np.concatenate(self._source), np.concatenate(self._cell))

    def _plan(self, clique: Clique) -> Plan:
        everything = (1 << len(clique.sizes)) - 1
        views = [seen(clique.sizes, everything, mask) for mask in clique.masks]
        count = len(clique.cells)
        back = [None if turned is None else _turned_back(*turned) for turned in clique.turned]
        return Plan(
            tuple(views[:count]),
            dict(zip(clique.children, views[count:], strict=True)),
            dict(zip(clique.children, clique.turned, strict=True)),
            dict(zip(clique.children, back, strict=True)),
            tuple(self._reads(clique, everything)),
        )

    def _reads(self, clique: Clique, everything: int) -> Iterator[tuple[bool, Seen]]:
        """From what to read the wanted cells: as few arrays as are still small."""
        sizes = clique.sizes
        upper = everything & ~((1 << _axes_of(sizes, clique.own)) - 1)
        wanted = [
            (mask, place)
            for mask, place, asked in zip(clique.masks, clique.cells, clique.wanted, strict=False)
            if asked
        ]
        arrays = _together({mask for mask, _ in wanted}, sizes, everything)
        for array in arrays:
            shared = not array & ~upper
            yield shared, seen(sizes, upper if shared else everything, array)
            axes = [at for at in range(len(sizes)) if array >> at & 1]
            shape = tuple(sizes[at] for at in axes)
            for mask, (low, _) in [one for one in wanted if not one[0] & ~array]:
                mine = [at for at in axes if mask >> at & 1]
                met = pattern(shape, tuple(sizes[at] for at in mine), tuple(axes.index(at) for at in mine))
                self._source.append(self._size + np.arange(len(met)))
                self._cell.append(low + met)
                wanted = [one for one in wanted if one[0] != mask or one[1][0] != low]
            self._size += prod(shape)


def _axes_of(sizes: Sequence[int], own: int) -> int:
    """How many of the first axes have so many states in all."""
    count, states = 0, 1
    while states < own:
        states *= sizes[count]
        count += 1
    return count


def _turned_back(shape: tuple[int, ...], axes: tuple[int, ...]) -> Turned:
    """What undoes the turning of an array of this shape."""
    return tuple(shape[axis] for axis in axes), tuple(np.argsort(axes).tolist())


def _together(masks: set[int], sizes: Sequence[int], everything: int) -> list[int]:
    """Sets of axes, each of the `masks` within one, joined as long as an array of them is small."""

    def entries(mask: int) -> int:
        return prod(size for at, size in enumerate(sizes) if mask >> at & 1)

    if masks and entries(everything) <= _SMALL:
        return [everything]
    while len(masks) > 1:
        least, one, two = min((entries(one | two), one, two) for one, two in combinations(sorted(masks), 2))
        if least > _SMALL:
            break
        masks = masks - {one, two} | {one | two}
    return sorted(masks)
