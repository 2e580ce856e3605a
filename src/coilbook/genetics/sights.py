"""What a keeper's eye says of a hatchling, as evidence: how likely he would say this, were it so, were it not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.genetics.states import Bools, Floats, LocusStates


@dataclass(frozen=True, eq=False)
class Sight:
    """What was seen at one locus: `likelihood` (S,) of saying so for each state, on any positive scale.

    `plain`: nothing was noticed here. Where another look hides the gene, a plain sight says nothing about it; a
    sight that names the gene stands as it was said. `said`: the percentage the keeper gave, in his own words.
    """

    likelihood: Floats
    plain: bool = False
    said: float | None = None


def sure(states: LocusStates, look_keys: frozenset[str]) -> Sight:
    """One of these looks, for certain ("enchi yes": one or two doses). The wild look alone is a plain sight."""
    mask = np.array([look.key in look_keys for look in states.looks])
    return Sight(mask.astype(np.float64), plain=look_keys == frozenset({""}))


def lean(mask: Bools, percent: float) -> Sight:
    """ "60%": the keeper leans 60 : 40 towards the states of `mask` (S,), whatever the parents say.

    It is evidence, and is multiplied with the parents' odds: on even odds from the parents the answer is 60% again.
    """
    if not 0 < percent < 100:
        raise ValueError("a lean lies between 0 and 100%")
    return Sight(np.where(mask, percent, 100 - percent) / 100, said=percent)
