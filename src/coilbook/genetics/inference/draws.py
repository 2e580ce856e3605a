"""One tangled family, and drawing the free variables of one block of it for many chains at once, exactly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.genetics.inference.blocks import Block, blocks_of
from coilbook.genetics.inference.layout import FactorGroup, Factors, Layout
from coilbook.genetics.inference.network import Network
from coilbook.genetics.inference.order import Elimination, neighbours
from coilbook.genetics.inference.tree import counted, downward, passed_up
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats


class Tangle:
    """A family: its variables numbered from 0, the entries of its factors one after the other.

    `where` (entries,) is the place of each entry among those of the network.
    """

    def __init__(self, network: Network, family: list[int]) -> None:
        own = np.full(len(network.sizes), -1, dtype=np.int64)
        own[family] = np.arange(len(family))
        self.count = len(family)
        self.sizes = network.sizes[family]
        #: the factors, of variables numbered here and tables that begin at `starts`
        self.groups: list[FactorGroup] = []
        where, low = [], 0
        for group in network.groups:
            if not group.scope.shape[1]:
                continue
            mine = np.flatnonzero(own[group.scope[:, 0]] >= 0)
            if not len(mine):
                continue
            where.append((group.bases()[mine][:, None] + np.arange(group.entries)).reshape(-1))
            starts = low + np.arange(len(mine), dtype=np.int64) * group.entries
            low += len(where[-1])
            self.groups.append(FactorGroup(own[group.scope[mine]], group.shape, 0, starts, group.read))
        self.where = np.concatenate(where)
        self.entries = low

    def blocks(self) -> list[Block]:
        """What to hold fast in turn."""
        near = neighbours(self.count, [row for group in self.groups for row in group.scope.tolist()])
        return blocks_of(list(range(self.count)), near, self.sizes.tolist())

    def at(self, values: Ints) -> Ints:
        """(k, factors) the entry of every factor that values (k, count) meet."""
        return np.concatenate(
            [group.bases() + (values[:, group.scope] * group.strides()).sum(axis=2) for group in self.groups], axis=1
        )

    def tops(self, logs: Floats) -> Floats:
        """(entries,) the largest entry of each factor, at all its entries."""
        found = np.empty(self.entries)
        for group in self.groups:
            at = group.bases()[:, None] + np.arange(group.entries)
            found[at] = logs[at].max(axis=1, keepdims=True)
        return found


@dataclass(frozen=True)
class _Held:
    """Factors (N,) with variables held fast: whose values shift them (N, a), by how much each (N, a)."""

    whose: Ints
    steps: Ints

    def shift(self, values: Ints) -> Ints:
        """(N,) how far on each is read, the values (all chains, one after the other) being these."""
        found = np.zeros(len(self.whose), dtype=np.int64)
        for axis in range(self.whose.shape[1]):
            found += values[self.whose[:, axis]] * self.steps[:, axis]
        return found


class BlockDraw:
    """One block for many chains: one layout over the free variables of every chain.

    `shift` (chains,): how far on in the array of logarithms each chain reads: chains can have laws of their own.
    """

    def __init__(self, tangle: Tangle, block: Block, shift: Ints) -> None:
        chains, count = len(shift), tangle.count
        first = (np.arange(chains, dtype=np.int64) * count).tolist()
        order = [one + start for start in first for one in block.elimination.order]
        later = [[one + start for one in others] for start in first for others in block.elimination.later]
        held = np.zeros(count * chains + 1, dtype=np.bool_)
        held[[one + start for start in first for one in block.held]] = True
        groups = [_tiled(group, first) for group in tangle.groups]
        # a factor's scope without those held, as the layout wants it, and with them
        free = [FactorGroup(np.where(held[g.scope], -1, g.scope), g.shape, 0, g.starts, g.read) for g in groups]
        every = Factors(groups)
        self._layout = Layout(np.tile(tangle.sizes, chains), Elimination(order, later), Factors(free), tangle.entries)
        chain = np.concatenate([np.repeat(np.arange(chains), len(group.scope)) for group in tangle.groups])
        self._sort_factors(every, held[every.scope], shift[chain], chain * tangle.entries)
        self._layers = _layers(self._layout)
        self._base = np.zeros(0)

    def _sort_factors(self, every: Factors, held: Bools, shift: Ints, chain_at: Ints) -> None:
        """Factors of free variables alone are read once, those also of held ones at every draw."""
        layout, known = self._layout, every.scope >= 0
        row = layout.factor_row()
        whole: Bools = np.asarray((held | ~known).all(axis=1))
        mixed: Bools = np.asarray(held.any(axis=1) & ~whole)
        number = np.cumsum(mixed) - 1
        self._mixed = _held(every, held, mixed)
        some = mixed[row]
        self._free_entry, self._mixed_entry = layout.factor_entry[~some], layout.factor_entry[some]
        at = layout.factor_source + shift[row]
        self._free_at, self._mixed_at = at[~some], at[some]
        self._mixed_of = number[row[some]]
        # marginals: where those of the free lie, and those to shift among them
        read = len(layout.read_entry)
        self._marginal_at = layout.read_source + chain_at[row[:read]]
        self._shifted = np.flatnonzero(some[:read])
        self._shifted_of = self._mixed_of[: len(self._shifted)]
        told = np.array([group.read for group in every.groups], dtype=np.bool_)[every.group]
        whole &= told
        self._whole, self._whole_at = _held(every, held, whole), (every.base + chain_at)[whole]

    def load(self, logs: Floats) -> None:
        """Draw under these laws from now on."""
        self._logs = logs
        self._base = counted(self._free_entry, logs[self._free_at], self._layout.size)

    def draw(self, values: Ints, chance: np.random.Generator, wanted: Floats | None = None) -> None:
        """Draw the free variables of `values` (chains, count) in place.

        Adds the exact marginals given the held ones to `wanted` (chains, entries), where it is given.
        """
        layout, flat = self._layout, values.reshape(-1)
        shift = self._mixed.shift(flat)
        weights = self._logs[self._mixed_at + shift[self._mixed_of]]
        tables = self._base + counted(self._mixed_entry, weights, layout.size)
        passed_up(layout, tables)
        if wanted is not None:
            wanted.reshape(-1)[self._whole_at + self._whole.shift(flat)] += 1.0
        self._draw(flat, tables, chance)
        if wanted is not None:
            downward(layout, tables)
            at = self._marginal_at.copy()
            at[self._shifted] += shift[self._shifted_of]
            found = counted(at, tables[layout.read_entry], wanted.size)
            wanted += found.reshape(wanted.shape)

    def _draw(self, values: Ints, tables: Floats, chance: np.random.Generator) -> None:
        for states, mine, above, steps in self._layers:
            at = self._layout.offset[mine]
            for axis in range(above.shape[1]):
                at += values[above[:, axis]] * steps[:, axis]
            # short of 1, so that rounding of the sums never draws a last state that cannot be
            throw = chance.random(len(mine)) * (1 - 1e-12)
            law, drawn = tables[at], np.zeros(len(mine), dtype=np.int64)
            for state in range(1, states):
                drawn += throw >= law
                if state < states - 1:
                    law += tables[at + state]
            values[mine] = drawn


def _tiled(group: FactorGroup, first: list[int]) -> FactorGroup:
    """The factors of every chain, whose variables begin at `first`."""
    scope = np.concatenate([group.scope + start for start in first])
    return FactorGroup(scope, group.shape, 0, np.tile(group.bases(), len(first)), group.read)


def _held(every: Factors, held: Bools, some: Bools) -> _Held:
    steps = np.where(held, every.steps, 0)[some]
    return _Held(np.where(held, every.scope, 0)[some], steps)


def _layers(layout: Layout) -> list[tuple[int, Ints, Ints, Ints]]:
    """From the top: (states, variables, (N, a) those above them, steps) of variables of one height and size."""
    layers = []
    known = layout.sorted
    for height in range(len(layout.levels) - 1, -1, -1):
        level = known[layout.height[known] == height]
        for states in np.unique(layout.sizes[level]).tolist():
            mine = level[layout.sizes[level] == states]
            width = max(len(layout.later[one]) for one in mine.tolist())
            above = np.zeros((len(mine), width), dtype=np.int64)
            steps = np.zeros_like(above)
            for row, one in enumerate(mine.tolist()):
                others = np.array(layout.later[one], dtype=np.int64)
                above[row, : len(others)] = others
                steps[row, : len(others)] = layout.step(np.full(len(others), one), others)
            layers.append((states, mine, above, steps))
    return layers
