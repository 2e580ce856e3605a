"""The bounded method for families too tangled to be summed exactly: blocked Gibbs sampling, with error bars.

Some variables are held fast, all others drawn at once and exactly given these; then others are held fast, so that each
is free in some block. What is averaged are not the draws but the exact laws given what is held fast. Independent chains
run side by side from starts that are legal by construction (impossible combinations are made ever less likely until
none is left); how far the chains disagree is the error.
"""

from __future__ import annotations

import numpy as np

from coilbook.genetics.inference.blocks import Block, blocks_of
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.inference.layout import FactorGroup, Factors, Layout
from coilbook.genetics.inference.network import Network
from coilbook.genetics.inference.order import Elimination, neighbours
from coilbook.genetics.inference.tree import downward, upward
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats

CHAINS = 16
#: sweeps over all blocks: at most, thrown away at first, and to find a legal start
_SWEEPS, _BURN_IN, _START = 400, 30, 200
#: the error wanted of any one chance; fewer sweeps are made where it is reached
_WANTED = 0.003
_CHECK_EVERY = 30


def sample(network: Network, logs: Floats, watch: Watch, seed: int = 1) -> Floats:
    """(chains, entries) marginals of the factors of every family that is too wide, zero elsewhere.

    NaN for a family for which no possible genotypes were found: nothing is claimed of it.
    """
    chance = np.random.default_rng(seed)
    total = np.zeros((CHAINS, len(network.base)))
    for family in network.elimination.too_wide:
        chains = _Chains(network, logs, sorted(family), chance)
        total += chains.averaged(watch) if chains.start(watch) else unknown(network, family)
    return total


def unknown(network: Network, family: list[int] | None = None) -> Floats:
    """(entries,) NaN at the factors of one family, or of all that are too wide; zero elsewhere."""
    of = np.zeros(len(network.sizes), dtype=np.bool_)
    for members in network.elimination.too_wide if family is None else [family]:
        of[members] = True
    found = np.zeros(len(network.base))
    for group in network.groups:
        if group.scope.shape[1]:
            at = group.bases()[of[group.scope[:, 0]]][:, None] + np.arange(group.entries)
            found[at] = np.nan
    return found


class _Chains:
    """All chains of one family. Variables are numbered within the family, chain after chain."""

    def __init__(self, network: Network, logs: Floats, family: list[int], chance: np.random.Generator) -> None:
        self.logs, self.chance = logs, chance
        self.count, self.entries = len(family), len(network.base)
        own = np.full(len(network.sizes), -1, dtype=np.int64)
        own[family] = np.arange(self.count)
        self.sizes = network.sizes[family]
        self.scopes: list[tuple[Ints, tuple[int, ...], Ints, Ints]] = []
        for group in network.groups:
            if not group.scope.shape[1]:
                continue
            mine = np.flatnonzero(own[group.scope[:, 0]] >= 0)
            if len(mine):
                strides = np.array(group.strides(), dtype=np.int64)
                self.scopes.append((own[group.scope[mine]], group.shape, group.bases()[mine], strides))
        near = neighbours(self.count, [row for scope, *_ in self.scopes for row in scope.tolist()])
        self.values = np.ascontiguousarray(chance.integers(0, self.sizes, (CHAINS, self.count)))
        self.blocks = [
            _BlockRun(self, block) for block in blocks_of(list(range(self.count)), near, self.sizes.tolist())
        ]

    def legal(self) -> Bools:
        """(chains,) whose present values are possible."""
        found = np.ones(CHAINS, dtype=np.bool_)
        for scope, _, base, strides in self.scopes:
            at = base + (self.values[:, scope] * strides).sum(axis=2)
            found &= np.isfinite(self.logs[at]).all(axis=1)
        return found

    def start(self, watch: Watch) -> bool:
        """Bring every chain to possible values; False where some chain finds none."""
        top = self._tops()
        for sweep in range(_START):
            watch.look(2, 4)
            soft = np.logaddexp(self.logs, top - 2.0 - 0.25 * sweep)
            for block in self.blocks:
                block.draw(soft)
            good = self.legal()
            if good.all():
                return True
            if sweep > _START // 2 and good.any():
                # a chain that found none goes on from one that did
                wrong = np.flatnonzero(~good)
                self.values[wrong] = self.values[self.chance.choice(np.flatnonzero(good), len(wrong))]
                return True
        return False

    def _tops(self) -> Floats:
        """(entries,) the largest entry of each factor of the family, at all its entries."""
        top = np.zeros(self.entries)
        for _, shape, base, _ in self.scopes:
            at = base[:, None] + np.arange(int(np.prod(shape)))
            top[at] = self.logs[at].max(axis=1, keepdims=True)
        return top

    def averaged(self, watch: Watch) -> Floats:
        """(chains, entries) mean of the exact marginals given what each block holds fast."""
        total = np.zeros((CHAINS, self.entries))
        done = 0
        for sweep in range(_SWEEPS + _BURN_IN):
            watch.look(2, 4)
            for block in self.blocks:
                found = block.draw(self.logs, wanted=sweep >= _BURN_IN)
                if found is not None:
                    total += found
                    done += 1
            if sweep > _BURN_IN and sweep % _CHECK_EVERY == 0:
                spread = (total / done).std(axis=0, ddof=1).max() / np.sqrt(CHAINS)
                if spread < _WANTED:
                    break
        return total / done


class _BlockRun:
    """One block for all chains at once: one layout over the free variables of every chain."""

    def __init__(self, chains: _Chains, block: Block) -> None:
        self.chains = chains
        count = chains.count
        self._first = np.arange(CHAINS, dtype=np.int64) * count
        self._held = np.zeros(count, dtype=np.bool_)
        self._held[list(block.held)] = True
        order = [one + first for first in self._first.tolist() for one in block.elimination.order]
        later = [
            [one + first for one in others] for first in self._first.tolist() for others in block.elimination.later
        ]
        groups = [self._tiled(*scope) for scope in chains.scopes]
        self._layout = Layout(np.tile(chains.sizes, CHAINS), Elimination(order, later), Factors(groups), chains.entries)
        rows = [np.repeat(np.arange(CHAINS), len(scope)) for scope, *_ in chains.scopes]
        self._row = self._layout.factor_row()
        self._chain_of = (np.concatenate(rows) * chains.entries)[self._row]
        self._layers = self._make_layers()

    def _tiled(self, scope: Ints, shape: tuple[int, ...], base: Ints, strides: Ints) -> FactorGroup:
        free = np.where(self._held[scope], -1, scope)
        tiled = np.concatenate([np.where(free >= 0, free + first, -1) for first in self._first])
        return FactorGroup(tiled, shape, 0, np.tile(base, CHAINS))

    def _make_layers(self) -> list[tuple[int, Ints, Ints, Ints]]:
        """From the top: (states, variables, (N, a) those above them, steps) of variables of one height and size."""
        layout = self._layout
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

    def draw(self, logs: Floats, wanted: bool = False) -> Floats | None:
        """Draw the free variables; (chains, entries) of exact marginals given the held ones where `wanted`."""
        chains, layout = self.chains, self._layout
        shifts, whole = [], np.zeros((CHAINS, chains.entries) if wanted else (0, 0))
        for scope, _, base, strides in chains.scopes:
            held = self._held[scope]
            shift = np.where(held, chains.values[:, scope] * strides, 0).sum(axis=2)
            shifts.append(shift.reshape(-1))
            if wanted and held.all(axis=1).any():
                rows = np.flatnonzero(held.all(axis=1))
                whole[np.arange(CHAINS)[:, None], base[rows] + shift[:, rows]] = 1.0
        source = layout.factor_source + np.concatenate(shifts)[self._row]
        tables, _ = upward(layout, logs, source)
        self._drawn(tables)
        if not wanted:
            return None
        downward(layout, tables)
        at = source + self._chain_of
        found = np.bincount(at, weights=tables[layout.factor_entry], minlength=whole.size)
        return whole + found.reshape(whole.shape)

    def _drawn(self, tables: Floats) -> None:
        values = self.chains.values.reshape(-1)
        for states, mine, above, steps in self._layers:
            at = self._layout.offset[mine] + (values[above] * steps).sum(axis=1)
            law = tables[at[:, None] + np.arange(states)].cumsum(axis=1)
            throw = self.chains.chance.random(len(mine)) * law[:, -1]
            values[mine] = np.minimum((throw[:, None] >= law).sum(axis=1), states - 1)
