"""How far sampled numbers may be off: by how much independent chains disagree, and by what none of them saw."""

from __future__ import annotations

import numpy as np

from coilbook.genetics.inference.ladder import LADDERS
from coilbook.genetics.states import Floats

#: 97.5% points of Student's t by the number of chains, with one degree of freedom less (any table of the distribution)
_T_POINTS = {8: 2.365, 10: 2.262, 12: 2.201, 16: 2.131, 20: 2.093, 24: 2.069}
#: by how much a few chains, which know their own spread only roughly, widen it: t over the same point of the normal law
_T = _T_POINTS[LADDERS] / 1.960
#: chains that lie apart this many times as much, as a variance, as their own two halves make likely do not mix
_APART = 4.0


def standard_errors(halves: Floats) -> Floats:
    """(...) standard errors of the mean of chains: `halves` (2, chains, ...) are the means of both halves of each.

    Chains that mix differ as their halves do, and their mean is off by less the more there are. What they lie apart
    beyond that is where they began, and is no better known for there being many: it is counted whole.
    """
    chains = halves.mean(axis=0)
    between = chains.var(axis=0, ddof=1)
    within = ((halves[0] - halves[1]) ** 2).mean(axis=0) / 4
    return np.asarray(np.sqrt(_T**2 * between / len(chains) + np.maximum(between - _APART * within, 0.0)))


def unseen(arrived: int) -> float:
    """The share of the possible that may have been missed when this many arrivals from elsewhere showed nothing of it.

    The mean of a share that was drawn so often and never seen, under Jeffreys' prior, a Beta law of 1/2 and 1/2.
    """
    return 0.5 / (1.0 + arrived)
