"""From a pedigree to a small network: who is settled, which animals stay variables, which tables bind them.

A `Network` depends on the pedigree and on which genotypes are possible at all, not on how likely they are; it is kept,
and new evidence within those limits only runs new numbers through it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from coilbook.genetics.inference.broods import BroodPart, brood_parts
from coilbook.genetics.inference.builder import Builder
from coilbook.genetics.inference.families import Families
from coilbook.genetics.inference.laws import Laws, logarithms
from coilbook.genetics.inference.layout import FactorGroup, Factors, Layout
from coilbook.genetics.inference.masks import MEET, Masks, Ties, settle
from coilbook.genetics.inference.order import Elimination, eliminate
from coilbook.genetics.problem import NONE, Ints
from coilbook.genetics.states import Bools, Floats


@dataclass(frozen=True)
class Slots:
    """Sets of states: breeders first, then rows of evidence, then unrecorded sires and dams by row."""

    sets: Ints
    breeders: int
    classes: int
    absents: int

    def of_class(self, rows: Ints) -> Ints:
        """Slots of rows of evidence."""
        return self.breeders + rows

    def of_sire(self, rows: Ints) -> Ints:
        """Slots of unrecorded sires."""
        return self.breeders + self.classes + rows

    def of_dam(self, rows: Ints) -> Ints:
        """Slots of unrecorded dams."""
        return self.breeders + self.classes + self.absents + rows


@dataclass(frozen=True)
class Pairs:
    """Leaves that share a mating and a row of evidence are computed once: (P,) mating, row, how many.

    `leaves` are all animals without young that come from a mating, `of` the pair of each.
    """

    mating: Ints
    row: Ints
    count: Ints
    leaves: Ints
    of: Ints


def pairs_of(families: Families, laws: Laws) -> Pairs:
    """Group the leaves, ordered by mating."""
    leaves = np.flatnonzero((families.breeder_at < 0) & (families.mating_of >= 0))
    key = families.mating_of[leaves] * laws.classes + laws.evidence_of[leaves]
    room = len(families.mating_sire) * laws.classes
    if room <= 8 * len(leaves) + 64:
        counts = np.bincount(key, minlength=room)
        keys = np.flatnonzero(counts)
        place = np.zeros(room, dtype=np.int64)
        place[keys] = np.arange(len(keys))
        count, of = counts[keys], place[key]
    else:
        keys, of, count = np.unique(key, return_inverse=True, return_counts=True)
    return Pairs(keys // laws.classes, keys % laws.classes, count, leaves, of)


def first_slots(families: Families, laws: Laws, masks: Masks) -> Slots:
    """What each breeder can be by its own findings and prior, nothing being known of its relatives."""
    of_class, of_prior = masks.number(laws.evidence > 0), masks.number(laws.prior > 0)
    breeders = families.breeders
    own = masks.look(MEET, of_class[laws.evidence_of[breeders]], of_prior[laws.prior_of[breeders]])
    absent = of_prior[laws.founder_rows : laws.founder_rows + 2 * laws.absent_rows]
    return Slots(np.concatenate([own, of_class, absent]), len(breeders), laws.classes, laws.absent_rows)


def parent_slots(families: Families, laws: Laws, slots: Slots) -> tuple[Ints, Ints]:
    """(matings,) the slots of sire and dam."""
    row = laws.absent_of[families.mating_only]
    sire = np.where(families.mating_sire == NONE, slots.of_sire(row), families.breeder_at[families.mating_sire])
    dam = np.where(families.mating_dam == NONE, slots.of_dam(row), families.breeder_at[families.mating_dam])
    return sire, dam


def ties_of(families: Families, laws: Laws, slots: Slots, pairs: Pairs) -> Ties:
    """What binds the slots together."""
    sire, dam = parent_slots(families, laws, slots)
    young = families.breeders[families.mating_of[families.breeders] >= 0]
    mating = np.concatenate([pairs.mating, families.mating_of[young]])
    slot = np.concatenate([slots.of_class(pairs.row), families.breeder_at[young]])
    broods = []
    for brood in families.broods:
        unknown = int(slots.of_sire(laws.absent_of[brood.first]))
        for one in brood.young:
            at = families.breeder_at[one]
            mine = int(at if at >= 0 else slots.of_class(laws.evidence_of[one]))
            sires = tuple(unknown if father == NONE else int(families.breeder_at[father]) for father in brood.sires)
            broods.append((sires, int(families.breeder_at[brood.dam]), mine))
    return Ties(sire[mating], dam[mating], slot, tuple(broods), slots.breeders)


@dataclass(frozen=True)
class Kin:
    """Matings whose parents can be the same sets of states, with one law of their young.

    `law` (a, b, S), an axis of 1 where a parent is settled or not recorded; `matings` (N,) in order. `folded_at` (N,)
    is the row of each in `factor`, the table of its folded young, -1 where there are none; `factor` is None where both
    parents are settled. `still` (rows, a*b): what settled young that breed say, as logarithms.
    """

    law: Floats
    matings: Ints
    folded_at: Ints
    factor: FactorGroup | None
    still: Floats


@dataclass(frozen=True)
class Network:
    """Variables, factors and their layout. Variable v is the animal `animals[v]`, or after these a choice of sires."""

    families: Families
    masks: Masks
    slots: Slots
    #: (breeders,) the variable of each, -1 where settled
    variable_of: Ints
    animals: Ints
    #: evidence and prior of the variables, by set of states: (set number, variables, factors)
    own: tuple[tuple[int, Ints, FactorGroup], ...]
    kin: tuple[Kin, ...]
    kin_of: Ints
    #: (matings,) place of each in its `Kin`
    place_of: Ints
    broods: tuple[BroodPart, ...]
    #: (entries,) logarithms of all factors, those that evidence does not change filled in
    base: Floats
    elimination: Elimination
    layouts: tuple[Layout, ...] = field(repr=False)
    groups: tuple[FactorGroup, ...] = field(repr=False)

    @property
    def sizes(self) -> Ints:
        """How many states each variable has."""
        return self.layouts[0].sizes

    @cached_property
    def entries(self) -> int:
        """Entries of all tables."""
        return sum(int(layout.table.sum()) for layout in self.layouts)

    def kinds_of(self, animals: Iterable[int]) -> set[int]:
        """The kinds of mating that these animals come from."""
        matings = [int(self.families.mating_of[animal]) for animal in animals]
        return {int(self.kin_of[mating]) for mating in matings if mating >= 0}

    @property
    def widest(self) -> int:
        """Entries of the largest table, 0 where nothing is left open."""
        return max(int(layout.table.max(initial=0)) for layout in self.layouts)


def settled_slots(families: Families, laws: Laws, masks: Masks, pairs: Pairs) -> Slots:
    """The sets of all breeders at the fixed point; an empty one shows a contradiction."""
    first = first_slots(families, laws, masks)
    sets = settle(masks, first.sets, ties_of(families, laws, first, pairs))
    return Slots(sets, first.breeders, first.classes, first.absents)


def network_of(
    families: Families, laws: Laws, masks: Masks, slots: Slots, pairs: Pairs, limit: int, *, again: bool = True
) -> Network:
    """Build the network for sets without an empty one. `limit`, `again`: see `eliminate`."""
    sets = slots.sets[: slots.breeders]
    free = masks.sizes[sets] > 1
    variable_of = np.where(free, np.cumsum(free) - 1, -1)
    builder = Builder(masks.sizes[sets[free]].tolist())
    own = []
    for number in np.unique(sets[free]).tolist():
        variables = np.flatnonzero(sets[free] == number)
        own.append((number, variables, builder.add(variables[:, None], (int(masks.sizes[number]),))))
    kin, kin_of, place_of = _KinMaker(families, laws, masks, slots, variable_of, builder).made(pairs)
    broods = brood_parts(families, laws, masks, sets, variable_of, builder)
    groups = tuple(builder.groups)
    scopes = [scope for group in groups if group.scope.shape[1] > 1 for scope in group.scope.tolist()]
    elimination = eliminate(builder.sizes, scopes, limit, again=again)
    sizes = np.array(builder.sizes, dtype=np.int64)
    factors = Factors(groups)
    layouts = tuple(Layout(sizes, one, factors, builder.entries) for one in (elimination, *elimination.apart))
    return Network(
        families, masks, slots, variable_of, families.breeders[free], tuple(own), kin, kin_of, place_of, broods,
        builder.base(), elimination, layouts, groups,
    )  # fmt: skip


@dataclass
class _KinMaker:
    """Sorts the matings by what their parents can be, and makes the tables of their young."""

    families: Families
    laws: Laws
    masks: Masks
    slots: Slots
    variable_of: Ints
    builder: Builder

    def made(self, pairs: Pairs) -> tuple[tuple[Kin, ...], Ints, Ints]:
        """(kinds of matings, kind of each mating, its place in it)."""
        families, masks = self.families, self.masks
        width = len(masks.sets)
        keys, kin_of, sides = self._keys(width)
        by_kin = np.argsort(kin_of, kind="stable")
        cuts = np.searchsorted(kin_of[by_kin], np.arange(len(keys) + 1))
        place_of = np.zeros(len(kin_of), dtype=np.int64)
        place_of[by_kin] = np.arange(len(kin_of)) - cuts[kin_of[by_kin]]
        young = families.breeders[families.mating_of[families.breeders] >= 0]
        mating = families.mating_of[young]
        sets = self.slots.sets[families.breeder_at[young]]
        settled = masks.sizes[sets] == 1
        folds = np.zeros(len(kin_of), dtype=np.bool_)
        folds[pairs.mating] = True
        folds[mating[settled]] = True
        kin: list[Kin] = []
        for number, key in enumerate(keys.tolist()):
            matings = by_kin[cuts[number] : cuts[number + 1]]
            law = self._law(key // width // width, key // width % width, key % width)
            made = self._fold(law, matings, folds, sides)
            kin.append(made)
            mine = kin_of[mating] == number
            still, free = np.flatnonzero(mine & settled), np.flatnonzero(mine & ~settled)
            if made.factor is not None and len(still):
                logs = logarithms(law).reshape(-1, law.shape[2])[:, masks.only[sets[still]]].T
                np.add.at(made.still, made.folded_at[place_of[mating[still]]], logs)
            for one in np.unique(sets[free]).tolist():
                some = free[sets[free] == one]
                own = self.variable_of[families.breeder_at[young[some]]]
                scope = np.concatenate([sides[mating[some]], own[:, None]], axis=1)
                self.builder.add_fixed(scope, logarithms(law[:, :, masks.members(one)]))
        return tuple(kin), kin_of, place_of

    def _keys(self, width: int) -> tuple[Ints, Ints, Ints]:
        """(keys of the kinds, kind of each mating, (matings, 2) the variables of the parents, -1 for none)."""
        families, laws, slots = self.families, self.laws, self.slots
        sire_at, dam_at = parent_slots(families, laws, slots)
        no_sire, no_dam = families.mating_sire == NONE, families.mating_dam == NONE
        row = laws.absent_of[families.mating_only]
        kind = np.where(no_sire, 1 + row, np.where(no_dam, 1 + laws.absent_rows + row, 0))
        first = np.where(no_sire, 0, slots.sets[sire_at])
        second = np.where(no_dam, 0, slots.sets[dam_at])
        keys, kin_of = _sorted_out((kind * width + first) * width + second)
        variables = np.append(self.variable_of, -1)
        sides = [variables[np.where(no_sire, -1, sire_at)], variables[np.where(no_dam, -1, dam_at)]]
        return keys, kin_of, np.stack(sides, axis=1)

    def _law(self, kind: int, first: int, second: int) -> Floats:
        laws, masks = self.laws, self.masks
        if kind == 0:
            return np.asarray(laws.young[np.ix_(masks.members(first), masks.members(second))])
        if kind <= laws.absent_rows:
            return np.asarray(laws.without_sire(kind - 1)[None, masks.members(second)])
        return np.asarray(laws.without_dam(kind - 1 - laws.absent_rows)[masks.members(first)][:, None])

    def _fold(self, law: Floats, matings: Ints, folds: Bools, sides: Ints) -> Kin:
        places = np.flatnonzero(folds[matings])
        at = np.full(len(matings), -1, dtype=np.int64)
        at[places] = np.arange(len(places))
        factor = None
        if law.shape[:2] != (1, 1) and len(places):
            factor = self.builder.add(sides[matings[places]], law.shape[:2])
        return Kin(law, matings, at, factor, np.zeros((len(places), law.shape[0] * law.shape[1])))


def _sorted_out(keys: Ints) -> tuple[Ints, Ints]:
    """(distinct keys, place of each among them), as `np.unique` finds them."""
    room = int(keys.max(initial=0)) + 1
    if room > 8 * len(keys) + 64:
        distinct, place = np.unique(keys, return_inverse=True)
        return distinct, place.reshape(-1)
    found = np.zeros(room, dtype=np.bool_)
    found[keys] = True
    distinct = np.flatnonzero(found)
    place = np.zeros(room, dtype=np.int64)
    place[distinct] = np.arange(len(distinct))
    return distinct, place[keys]
