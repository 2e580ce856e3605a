"""Softened laws, so that chains of a sampled family reach every possible combination of genotypes.

Where alleles are several, or a finding is nearly sure, the possible combinations fall into parts that no redrawing of a
block leads between (Sheehan and Thomas 1993, from memory: a sampler on a pedigree need not be irreducible). So each
cold chain, which has the true laws, stands at the foot of a ladder of chains under softened ones: a small share of the
largest entry of its table is added to every entry, which makes the impossible unlikely instead. Neighbouring rungs
exchange their values at times, with the chance that leaves the laws of both as they are (Geyer 1991, from memory).
"""

from __future__ import annotations

import numpy as np

from coilbook.genetics.inference.draws import Tangle
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats

#: ladders, each of which is a sample of its own, and softened rungs of each at most
LADDERS, WARM = 12, 4
#: how often neighbours should exchange, at least, when the rungs are chosen
_EXCHANGED = 0.3


def softened(logs: Floats, tops: Floats, share: float) -> Floats:
    """(entries,) with `share`, as a logarithm, of the largest entry of the table added to each."""
    return np.logaddexp(logs, tops + share)


class Thaw:
    """Values seen on the way from the warmest laws to the true ones, and how warm a rung may be above another."""

    def __init__(self, tangle: Tangle, logs: Floats, tops: Floats) -> None:
        self._tangle, self._logs, self._tops = tangle, logs, tops
        self.shares: list[float] = []
        self.values: list[Ints] = []

    def add(self, share: float, values: Ints) -> None:
        """Values (ladders, count) drawn under laws softened by `share`."""
        self.shares.append(share)
        self.values.append(values.copy())

    def rungs(self, cold: Ints) -> list[int]:
        """Which of the values added to begin the warm rungs with, the coldest first; `cold` have the true laws."""
        found: list[int] = []
        below, laws = self._tangle.at(cold), self._logs
        most = len(self.shares) - 1
        while most >= 0 and len(found) < WARM:
            low, high = 0, most
            while low < high:
                # the warmest that still exchanges with the rung below often enough
                middle = (low + high) // 2
                if self._exchange(middle, below, laws) >= _EXCHANGED:
                    high = middle
                else:
                    low = middle + 1
            found.append(low)
            below, laws = self._tangle.at(self.values[low]), softened(self._logs, self._tops, self.shares[low])
            most = low - 1
        return found

    def _exchange(self, step: int, below: Ints, laws: Floats) -> float:
        own, above = softened(self._logs, self._tops, self.shares[step]), self._tangle.at(self.values[step])
        gained = own[below].sum(axis=1) - laws[below].sum(axis=1)
        lost = laws[above].sum(axis=1)[:, None] - own[above].sum(axis=1)[:, None]
        return float(np.exp(np.minimum(lost + gained, 0.0)).mean())


class Exchange:
    """Exchanges between the rungs of all ladders. Values are (rungs, ladders, count), the true laws in rung 0."""

    def __init__(self, tangle: Tangle, laws: Floats, chance: np.random.Generator) -> None:
        """`laws` (rungs, entries)."""
        self._tangle, self._laws, self._chance = tangle, laws, chance
        self._from_top: Bools = np.zeros((len(laws), LADDERS), dtype=np.bool_)
        #: how many times values came down from the top of a ladder to its foot
        self.arrived = 0
        self._odd = False

    def run(self, values: Ints) -> None:
        """Offer every second pair of neighbours an exchange, in place."""
        rungs = len(self._laws)
        self._from_top[-1] = True
        low = np.arange(int(self._odd), rungs - 1, 2)
        self._odd = not self._odd and rungs > 2
        if len(low):
            at = self._tangle.at(values.reshape(rungs * LADDERS, -1)).reshape(rungs, LADDERS, -1)
            for rung in low.tolist():
                self._offer(rung, at, values)
        self.arrived += int(self._from_top[0].sum())
        self._from_top[0] = False

    def _offer(self, rung: int, at: Ints, values: Ints) -> None:
        cold, warm = self._laws[rung], self._laws[rung + 1]
        gained = cold[at[rung + 1]].sum(axis=1) - cold[at[rung]].sum(axis=1)
        gained += warm[at[rung]].sum(axis=1) - warm[at[rung + 1]].sum(axis=1)
        taken = np.flatnonzero(np.log(self._chance.random(LADDERS)) < gained)
        for array in (values, self._from_top):
            array[rung, taken], array[rung + 1, taken] = array[rung + 1, taken], array[rung, taken]
