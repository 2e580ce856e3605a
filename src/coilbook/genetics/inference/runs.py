"""The numbers of one network under one body of evidence; families that new evidence does not touch keep theirs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.inference.network import Network
from coilbook.genetics.inference.sampler import sample, unknown
from coilbook.genetics.inference.tree import run
from coilbook.genetics.states import Floats


@dataclass(frozen=True)
class Numbers:
    """`logs` (entries,) went in; `marginals` (entries,) and `family`, the log of the chance of the evidence, came out.

    `chains` (chains, entries): marginals of each chain, where a family had to be sampled.
    """

    logs: Floats
    marginals: Floats
    family: Floats
    chains: Floats | None


def numbers_of(network: Network, logs: Floats, before: Numbers | None, watch: Watch, sampling: bool) -> Numbers:
    """Run the network. `before` are numbers of the same network under other evidence."""
    marginals = np.zeros(len(logs))
    family = np.full(len(network.sizes), np.nan)
    changed = None if before is None else logs != before.logs
    for layout in network.layouts:
        if before is not None and changed is not None and not layout.touched(changed):
            mine = layout.owned()
            marginals[mine] = before.marginals[mine]
            family[layout.members] = before.family[layout.members]
        else:
            found, chances = run(layout, logs)
            marginals += found
            family[layout.members] = chances[layout.members]
    if not network.elimination.too_wide:
        return Numbers(logs, marginals, family, None)
    wide = unknown(network)
    if not sampling:
        return Numbers(logs, marginals + wide, family, None)
    if before is not None and before.chains is not None and changed is not None and not changed[np.isnan(wide)].any():
        sampled = np.where(np.isnan(wide), before.chains, 0.0)
    else:
        sampled = sample(network, logs, watch)
    chains = sampled + marginals
    return Numbers(logs, chains.mean(axis=0), family, chains)
