"""A pedigree made ready for inference: who breeds, which young share parents, which parents must be thought up.

Nothing here depends on a locus, so that one `Families` serves all loci of a collection.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from coilbook.genetics.problem import NONE, Ints, Litter, Pedigree
from coilbook.genetics.states import Bools


class BrokenPedigree(ValueError):
    """The pedigree cannot be one. `animals` are those at fault, by index."""

    def __init__(self, what: str, animals: tuple[int, ...]) -> None:
        super().__init__(f"{what}: {animals[:20]}")
        self.animals = animals


@dataclass(frozen=True, slots=True)
class Fresh:
    """A parent thought up for one animal or litter: a founder under the `absent` law of `of`."""

    of: int
    male: bool


@dataclass(frozen=True, slots=True)
class Brood:
    """The young of one dam in a litter with several possible sires.

    A sire of NONE is a fresh one for each egg (only where not shared), under the `absent` law of `first`. Where shared,
    `choice` numbers the common choice of the litter, and broods with one number have one sire.
    """

    young: tuple[int, ...]
    dam: int
    sires: tuple[int, ...]
    weights: tuple[float, ...]
    first: int
    choice: int = -1


@dataclass(frozen=True)
class Families:
    """Index arrays over animals 0..`count`-1, the recorded ones first, then the fresh parents.

    `mating_of[i]` is the mating animal i comes from, -1 for founders and the young of broods. An animal with one
    recorded parent has a mating of its own: its other parent is nobody else's.
    """

    recorded: int
    count: int
    sire: Ints
    dam: Ints
    fresh: tuple[Fresh, ...]
    broods: tuple[Brood, ...]
    choices: int
    founder: Bools
    #: animals with young, and the place of each animal among them (-1)
    breeders: Ints
    breeder_at: Ints
    mating_of: Ints
    mating_sire: Ints
    mating_dam: Ints
    #: (matings,) the animal whose `absent` law stands for the parent that is not recorded, -1 where both are
    mating_only: Ints
    #: (pairs of a parent and its young) for walks over the pedigree
    edge_parent: Ints = field(repr=False)
    edge_young: Ints = field(repr=False)

    @cached_property
    def needs_absent(self) -> Bools:
        """(recorded,) the animals whose `absent` law stands for a parent that is not recorded."""
        found = np.zeros(self.recorded, dtype=np.bool_)
        found[self.mating_only[self.mating_only >= 0]] = True
        found[[one.of for one in self.fresh] + [brood.first for brood in self.broods]] = True
        return found


def families_of(pedigree: Pedigree) -> Families:
    """Sort a pedigree into matings. Raises `BrokenPedigree` for one that cannot be."""
    n = pedigree.size
    sire, dam = _checked(pedigree)
    fresh: list[Fresh] = []
    broods: list[Brood] = []
    choices = 0
    like = np.arange(n)
    in_brood = np.zeros(n, dtype=np.bool_)
    dam_of = dam.copy()
    for litter in pedigree.litters:
        for animal in litter.young:
            if dam_of[animal] == NONE:
                dam_of[animal] = n + len(fresh)
                fresh.append(Fresh(animal, male=False))
        sires, weights = candidates(litter)
        if litter.shared and NONE in sires:
            sires[sires.index(NONE)] = n + len(fresh)
            fresh.append(Fresh(litter.young[0], male=True))
        if len(sires) == 1:
            sire[list(litter.young)] = sires[0]
            like[list(litter.young)] = litter.young[0]
            continue
        in_brood[list(litter.young)] = True
        for one_dam in dict.fromkeys(int(dam_of[animal]) for animal in litter.young):
            mine = tuple(animal for animal in litter.young if dam_of[animal] == one_dam)
            broods.append(
                Brood(mine, one_dam, tuple(sires), tuple(weights), litter.young[0], choices if litter.shared else -1)
            )
        choices += litter.shared
    pad = np.full(len(fresh), NONE, dtype=np.int64)
    whole = np.concatenate([in_brood, np.zeros(len(fresh), dtype=np.bool_)])
    parents = np.concatenate([sire, pad]), np.concatenate([dam_of, pad])
    return _sorted(parents, tuple(fresh), tuple(broods), choices, whole, like)


def check(pedigree: Pedigree) -> tuple[int, ...]:
    """The animals that are their own ancestors, or lie between two that are; () for a sound pedigree."""
    parents, young = [pedigree.sire, pedigree.dam], [np.arange(pedigree.size)] * 2
    for litter in pedigree.litters:
        for father in litter.sires:
            parents.append(np.full(len(litter.young), father, dtype=np.int64))
            young.append(np.array(litter.young, dtype=np.int64))
    parent, child = np.concatenate(parents), np.concatenate(young)
    parent, child = parent[parent != NONE], child[parent != NONE]
    on = np.ones(pedigree.size, dtype=np.bool_)
    for above, below in ((parent, child), (child, parent)):
        while on.any():
            held = np.zeros(pedigree.size, dtype=np.bool_)
            live = on[above] & on[below]
            held[below[live]] = True
            above, below = above[live], below[live]
            if (held == on).all():
                break
            on = held
    return tuple(np.flatnonzero(on).tolist())


def _checked(pedigree: Pedigree) -> tuple[Ints, Ints]:
    sire, dam = np.array(pedigree.sire, dtype=np.int64), np.array(pedigree.dam, dtype=np.int64)
    n = len(sire)
    if len(dam) != n or (n and (min(sire.min(), dam.min()) < NONE or max(sire.max(), dam.max()) >= n)):
        raise BrokenPedigree("a parent that is no animal of the pedigree", ())
    both = np.flatnonzero((sire == dam) & (sire != NONE))
    if len(both):
        raise BrokenPedigree("sire and dam are the same animal", tuple(both.tolist()))
    seen: set[int] = set()
    for litter in pedigree.litters:
        wrong = [animal for animal in litter.young if animal in seen or sire[animal] != NONE]
        if wrong:
            raise BrokenPedigree("young of a litter that have a sire or another litter", tuple(wrong))
        seen.update(litter.young)
        if set(litter.sires) & {int(dam[animal]) for animal in litter.young} - {NONE}:
            raise BrokenPedigree("a dam among the sires of her own litter", litter.young)
    circle = check(pedigree)
    if circle:
        raise BrokenPedigree("animals that are their own ancestors", circle)
    return sire, dam


def candidates(litter: Litter) -> tuple[list[int], list[float]]:
    """The sires that can be, each once, with weights that sum to 1."""
    if len(litter.sires) != len(litter.weights) or not litter.young or min(litter.weights, default=-1.0) < 0:
        raise BrokenPedigree("a litter needs young, and one weight for each sire", litter.young)
    chance: dict[int, float] = {}
    for sire, weight in zip(litter.sires, litter.weights, strict=True):
        if weight > 0:
            chance[sire] = chance.get(sire, 0.0) + weight
    total = sum(chance.values())
    if not abs(total - 1) < 1e-6:
        raise BrokenPedigree("the weights of a litter's sires do not sum to 1", litter.young)
    return list(chance), [weight / total for weight in chance.values()]


def _sorted(
    parents: tuple[Ints, Ints],
    fresh: tuple[Fresh, ...],
    broods: tuple[Brood, ...],
    choices: int,
    in_brood: Bools,
    like: Ints,
) -> Families:
    sire, dam = parents
    count = len(sire)
    everyone = np.arange(count)
    founder = (sire == NONE) & (dam == NONE) & ~in_brood
    ordinary = ~founder & ~in_brood
    whole = ordinary & (sire != NONE) & (dam != NONE)
    mating_of = np.full(count, -1, dtype=np.int64)
    keys, places = np.unique(sire[whole] * count + dam[whole], return_inverse=True)
    mating_of[whole] = places
    half = np.flatnonzero(ordinary & ~whole)
    mating_of[half] = len(keys) + np.arange(len(half))
    parent, young = [sire[ordinary], dam[ordinary]], [everyone[ordinary]] * 2
    for brood in broods:
        for one in (*brood.sires, brood.dam):
            parent.append(np.full(len(brood.young), one, dtype=np.int64))
            young.append(np.array(brood.young, dtype=np.int64))
    edge_parent, edge_young = np.concatenate(parent), np.concatenate(young)
    real = edge_parent != NONE
    breeds = np.zeros(count, dtype=np.bool_)
    breeds[edge_parent[real]] = True
    breeders = np.flatnonzero(breeds)
    breeder_at = np.full(count, -1, dtype=np.int64)
    breeder_at[breeders] = np.arange(len(breeders))
    return Families(
        recorded=count - len(fresh), count=count, sire=sire, dam=dam, fresh=fresh, broods=broods, choices=choices,
        founder=founder, breeders=breeders, breeder_at=breeder_at, mating_of=mating_of,
        mating_sire=np.concatenate([keys // max(count, 1), sire[half]]),
        mating_dam=np.concatenate([keys % max(count, 1), dam[half]]),
        mating_only=np.concatenate([np.full(len(keys), -1, dtype=np.int64), like[half]]),
        edge_parent=edge_parent[real], edge_young=edge_young[real],
    )  # fmt: skip
