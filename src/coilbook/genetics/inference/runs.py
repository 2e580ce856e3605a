"""The numbers of one network under one body of evidence; families that new evidence does not touch keep theirs."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.inference.layout import Layout
from coilbook.genetics.inference.network import Network
from coilbook.genetics.inference.sampler import Sampled, sample, unknown
from coilbook.genetics.inference.tree import Kept, run_again, run_kept
from coilbook.genetics.states import Bools, Floats

#: entries of the large tables of a locus that are kept for the next finding, at most: 6 MB with what they share
MOST_KEPT = 500_000


@dataclass(frozen=True)
class Numbers:
    """`logs` (entries,) went in; `marginals` (entries,) and `family`, the log of the chance of the evidence, came out.

    `sampled`: the marginals of all factors by chain, where a family had to be sampled.
    """

    logs: Floats
    marginals: Floats
    family: Floats
    sampled: Sampled | None
    #: by layout of the network, what the next run can begin with
    kept: tuple[Kept | None, ...] = ()


def numbers_of(network: Network, logs: Floats, before: Numbers | None, watch: Watch, sampling: bool) -> Numbers:
    """Run the network. `before` are numbers of the same network under other evidence."""
    marginals = np.zeros(len(logs))
    family = np.full(len(network.sizes), np.nan)
    changed = None if before is None else logs != before.logs
    left: list[Kept | None] = []
    room = MOST_KEPT if sampling else 0
    for number, layout in enumerate(network.layouts):
        kept = before.kept[number] if before is not None and before.kept else None
        if before is not None and changed is not None and not layout.touched(changed):
            mine = layout.owned()
            marginals[mine] = before.marginals[mine]
            family[layout.members] = before.family[layout.members]
        else:
            keep = layout.cliques is not None and layout.cliques.entries <= room
            part, chances, kept = _run(layout, logs, changed, kept, keep=keep)
            marginals += part
            family[layout.members] = chances[layout.members]
        left.append(kept)
        if kept is not None and layout.cliques is not None:
            room -= layout.cliques.entries
    if not network.elimination.too_wide:
        return Numbers(logs, marginals, family, None, tuple(left))
    wide = unknown(network)
    if not sampling:
        return Numbers(logs, marginals + wide, family, None)
    if before is not None and before.sampled is not None and changed is not None and not changed[np.isnan(wide)].any():
        earlier = before.sampled
        found = replace(earlier, chains=np.where(np.isnan(wide), earlier.chains, 0.0))
    else:
        found = sample(network, logs, watch)
    found = replace(found, chains=found.chains + marginals)
    return Numbers(logs, found.chains.mean(axis=(0, 1)), family, found, tuple(left))


def _run(
    layout: Layout, logs: Floats, changed: Bools | None, kept: Kept | None, *, keep: bool
) -> tuple[Floats, Floats, Kept | None]:
    """Run one layout, from what an earlier run left where that serves."""
    if kept is not None and changed is not None:
        again = run_again(layout, logs, changed, kept)
        if again is not None:
            return again
    return run_kept(layout, logs, keep=keep)
