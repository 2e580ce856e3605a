"""The bounded method for families too tangled to be summed exactly: blocked Gibbs sampling, with error bars.

Some variables are held fast, all others drawn at once and exactly given these; then others are held fast, so that each
is free in some block. What is averaged are not the draws but the exact laws given what is held fast. Independent chains
run side by side from starts that are legal by construction (impossible combinations are made ever less likely until
none is left), each with softened chains beside it that lead from one part of the possible to another (`ladder`). How
far the chains disagree is the error (`spread`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.genetics.inference.draws import BlockDraw, Tangle
from coilbook.genetics.inference.ladder import LADDERS, Exchange, Thaw, softened
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.inference.network import Network
from coilbook.genetics.inference.spread import standard_errors, unseen
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats

#: sweeps over all blocks: at most, thrown away at first, and to find a legal start
_SWEEPS, _BURN_IN, _START = 240, 30, 200
#: the error wanted of any one chance, and the share that may be missed; fewer sweeps are made where both are reached
_WANTED, _MISSED = 0.003, 0.005
_CHECK_EVERY = 30
#: how soft the laws are at first, nearly flat, and how much less with each sweep, as logarithms: where the warmest laws
#: still hold what is kept apart, what comes down from them is not new, and errors are told too small
_SOFTEST, _STEP = 1.0, -0.25


@dataclass(frozen=True)
class Sampled:
    """`chains` (2, ladders, entries): marginals, zero outside the families sampled, of both halves of every chain.

    NaN for a family for which no possible genotypes were found. `arrived`: how many times values came down a ladder, at
    the family where it were fewest.
    """

    chains: Floats
    arrived: int


def sample(network: Network, logs: Floats, watch: Watch, seed: int = 1) -> Sampled:
    """Marginals of the factors of every family that is too wide."""
    chance = np.random.default_rng(seed)
    total = np.zeros((2, LADDERS, len(network.base)))
    arrived = []
    for family in network.elimination.too_wide:
        tangle = Tangle(network, sorted(family))
        chains = _Chains(tangle, logs[tangle.where], chance)
        if chains.start(watch):
            total[..., tangle.where] = chains.averaged(watch)
            arrived.append(chains.arrived)
        else:
            total += unknown(network, family)
    return Sampled(total, min(arrived, default=0))


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
    """All chains of one family: ladders side by side, the cold chains first."""

    def __init__(self, tangle: Tangle, logs: Floats, chance: np.random.Generator) -> None:
        self.tangle, self.logs, self.chance = tangle, logs, chance
        self.tops = tangle.tops(logs)
        self.arrived = 0
        self._blocks = tangle.blocks()
        self._cold = [BlockDraw(tangle, block, np.zeros(LADDERS, dtype=np.int64)) for block in self._blocks]
        self._laws = logs[None]
        #: (rungs, ladders, count)
        self._values: Ints = np.ascontiguousarray(chance.integers(0, tangle.sizes, (1, LADDERS, tangle.count)))

    def legal(self) -> Bools:
        """(ladders,) whose cold values are possible."""
        return np.asarray(np.isfinite(self.logs[self.tangle.at(self._values[0])]).all(axis=1))

    def start(self, watch: Watch) -> bool:
        """Bring every cold chain to possible values and warm the others; False where a chain finds none."""
        thaw = Thaw(self.tangle, self.logs, self.tops)
        cold = self._values[0]
        for sweep in range(_START):
            watch.look(2, 4)
            share = _SOFTEST + _STEP * sweep
            laws = softened(self.logs, self.tops, share)
            for block in self._cold:
                block.load(laws)
                block.draw(cold, self.chance)
            thaw.add(share, cold)
            good = self.legal()
            if good.all() or (sweep > _START // 2 and good.any()):
                # a chain that found none goes on from one that did
                wrong = np.flatnonzero(~good)
                cold[wrong] = cold[self.chance.choice(np.flatnonzero(good), len(wrong))]
                self._warm(thaw)
                return True
        return False

    def _warm(self, thaw: Thaw) -> None:
        steps = thaw.rungs(self._values[0])
        self._values = np.stack([self._values[0], *(thaw.values[step] for step in steps)])
        warm = [softened(self.logs, self.tops, thaw.shares[step]) for step in steps]
        self._laws = np.stack([self.logs, *warm])

    def averaged(self, watch: Watch) -> Floats:
        """(2, ladders, entries) mean of the exact marginals given what each block holds fast, in both halves."""
        entries = self.tangle.entries
        warm = self._warm_blocks(watch)
        exchange = Exchange(self.tangle, self._laws, self.chance)
        parts: list[Floats] = []
        for sweep in range(-_BURN_IN, _SWEEPS):
            watch.look(2, 4)
            if sweep == 0:
                exchange.arrived = 0
            if sweep >= 0 and sweep % _CHECK_EVERY == 0:
                if unseen(exchange.arrived) < _MISSED and self._enough(parts):
                    break
                parts.append(np.zeros((LADDERS, entries)))
            for block in self._cold:
                block.draw(self._values[0], self.chance, parts[-1] if parts else None)
            for block in warm:
                block.draw(self._values[1:], self.chance)
            exchange.run(self._values)
        self.arrived = exchange.arrived
        return self._halves(parts)

    def _warm_blocks(self, watch: Watch) -> list[BlockDraw]:
        """The blocks of all softened chains; those of the cold ones are given the true laws."""
        for block in self._cold:
            block.load(self.logs)
        found = []
        shift = np.repeat(np.arange(len(self._laws) - 1) * self.tangle.entries, LADDERS)
        for one in self._blocks:
            watch.look(2, 4)
            found.append(BlockDraw(self.tangle, one, shift))
            found[-1].load(self._laws[1:].reshape(-1))
        return found

    def _enough(self, parts: list[Floats]) -> bool:
        """Whether the error wanted is reached, after as many sweeps for either half."""
        if not parts or len(parts) % 2:
            return False
        return bool(standard_errors(self._halves(parts)).max() < _WANTED)

    def _halves(self, parts: list[Floats]) -> Floats:
        """(2, ladders, entries) means of the sums over runs of sweeps."""
        half = len(parts) // 2
        done = half * _CHECK_EVERY * len(self._blocks)
        return np.stack([np.sum(parts[:half], axis=0), np.sum(parts[half:], axis=0)]) / done
