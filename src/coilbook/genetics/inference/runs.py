"""The numbers of one network under one body of evidence; families that new evidence does not touch keep theirs."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.inference.network import Network
from coilbook.genetics.inference.sampler import Sampled, sample, unknown
from coilbook.genetics.inference.tree import run
from coilbook.genetics.states import Floats


@dataclass(frozen=True)
class Numbers:
    """`logs` (entries,) went in; `marginals` (entries,) and `family`, the log of the chance of the evidence, came out.

    `sampled`: the marginals of all factors by chain, where a family had to be sampled.
    """

    logs: Floats
    marginals: Floats
    family: Floats
    sampled: Sampled | None


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
            part, chances = run(layout, logs)
            marginals += part
            family[layout.members] = chances[layout.members]
    if not network.elimination.too_wide:
        return Numbers(logs, marginals, family, None)
    wide = unknown(network)
    if not sampling:
        return Numbers(logs, marginals + wide, family, None)
    if before is not None and before.sampled is not None and changed is not None and not changed[np.isnan(wide)].any():
        earlier = before.sampled
        found = replace(earlier, chains=np.where(np.isnan(wide), earlier.chains, 0.0))
    else:
        found = sample(network, logs, watch)
    found = replace(found, chains=found.chains + marginals)
    return Numbers(logs, found.chains.mean(axis=(0, 1)), family, found)
