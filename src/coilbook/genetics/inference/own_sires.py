"""Eggs that each have a sire of their own, where none of the young has young: their doubts fall apart once the dam and
the possible sires are known. So the parents are held fast in every state they can have, and each egg is weighed alone:
27 runs at most for two males over one female at a locus of three genotypes, however many eggs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np

from coilbook.genetics.inference.engine import Solved
from coilbook.genetics.inference.families import Brood
from coilbook.genetics.inference.laws import Laws
from coilbook.genetics.inference.network import Network
from coilbook.genetics.inference.selectors import LiveFamily, Selectors
from coilbook.genetics.problem import NONE
from coilbook.genetics.states import Floats


@dataclass(frozen=True, eq=False)
class OwnYoung:
    """One young without young, of several possible sires of its own; `number` its selector.

    `chances` (options, G) of what is seen of it by its sire and what the parents held fast are; `laws` (options, G, S).
    """

    number: int
    animal: int
    chances: Floats
    laws: Floats


@dataclass(frozen=True, eq=False)
class Held:
    """Parents held fast: `animals` and the states of each; `young` who is weighed given these. G combinations."""

    animals: tuple[int, ...] = ()
    states: tuple[tuple[int, ...], ...] = ()
    young: tuple[OwnYoung, ...] = ()

    @property
    def count(self) -> int:
        """G, how many combinations of states there are."""
        return prod(len(states) for states in self.states)


def held_parents(answer: Solved, laws: Laws, family: LiveFamily, selectors: Selectors) -> Held:
    """Which parents of a live family are held fast rather than the sires of their young named one by one."""
    network = answer.structure.network
    families = network.families
    parents: dict[int, tuple[int, ...]] = {}
    chosen: list[tuple[Brood, list[int]]] = []
    for brood in families.broods:
        leaves = [one for one in brood.young if families.breeder_at[one] < 0]
        young = [one for one in leaves if selectors.of[one] in family.selectors]
        if brood.choice >= 0 or not young:
            continue
        mine = {one: _states(answer, network, one) for one in (brood.dam, *brood.sires) if one != NONE}
        fresh = {one: states for one, states in mine.items() if states and one not in parents}
        if prod(map(len, fresh.values())) < len(brood.sires) ** len(young):
            parents |= fresh
            chosen.append((brood, young))
    held = Held(tuple(parents), tuple(parents.values()))
    made = (_own(laws, held, network, brood, one, selectors.of[one]) for brood, young in chosen for one in young)
    return Held(held.animals, held.states, tuple(made))


def _states(answer: Solved, network: Network, animal: int) -> tuple[int, ...]:
    """The states an animal with young can have, () where it is settled."""
    place = int(network.families.breeder_at[animal])
    if network.variable_of[place] < 0:
        return ()
    if animal < network.families.recorded:
        return tuple(np.flatnonzero(answer.posterior(animal) > 0).tolist())
    return tuple(network.masks.members(int(network.slots.sets[place])).tolist())


def _own(laws: Laws, held: Held, network: Network, brood: Brood, young: int, number: int) -> OwnYoung:
    row = laws.evidence[laws.evidence_of[young]]
    places = {animal: at for at, animal in enumerate(held.animals)}
    found = np.zeros((len(brood.sires), held.count, len(row)))
    for at, states in enumerate(product(*held.states)):
        dam = _state(network, brood.dam, places, states)
        for option, sire in enumerate(brood.sires):
            if sire == NONE:
                found[option, at] = laws.without_sire(int(laws.absent_of[brood.first]))[dam]
            else:
                found[option, at] = laws.young[_state(network, sire, places, states), dam]
    found = found * row
    chances = found.sum(axis=2)
    laws_of_it = np.divide(found, chances[..., None], out=np.zeros_like(found), where=chances[..., None] > 0)
    return OwnYoung(number, young, chances, laws_of_it)


def _state(network: Network, animal: int, places: dict[int, int], states: Sequence[int]) -> int:
    if animal in places:
        return states[places[animal]]
    return int(network.masks.only[network.slots.sets[network.families.breeder_at[animal]]])
