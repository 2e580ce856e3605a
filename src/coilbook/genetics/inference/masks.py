"""Which genotypes each animal can still have: sets of states, pushed up and down the pedigree to a fixed point.

Every set of states met is numbered, so that a step for a hundred thousand animals is one look-up in a small table.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from threading import Lock

import numpy as np
import numpy.typing as npt

from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats, LocusStates

#: what a table of `Masks` answers
MEET, YOUNG, SIRE, DAM = range(4)
_WORD = 64


class Masks:
    """Numbered sets of states of one locus, and what follows from two of them.

    Number 0 is the empty set, 1 the full one. Tables: MEET (both), YOUNG (of sire set, dam set), SIRE and DAM (the
    parents possible for a set of young and a set of the other parent).
    """

    def __init__(self, law: Floats) -> None:
        self.states = law.shape[0]
        self._can = law > 0
        self._words = -(-self.states // _WORD)
        self._lock = Lock()
        self._number: dict[bytes, int] = {}
        self._capacity = 16
        self.sets: Bools = np.zeros((self._capacity, self.states), dtype=np.bool_)
        self.words = np.zeros((self._capacity, self._words), dtype=np.uint64)
        self.sizes: Ints = np.zeros(self._capacity, dtype=np.int64)
        self.only: Ints = np.zeros(self._capacity, dtype=np.int64)
        self._tables = np.full((4, self._capacity, self._capacity), -1, dtype=np.int32)
        self.number(np.zeros((1, self.states), dtype=np.bool_))
        self.number(np.ones((1, self.states), dtype=np.bool_))

    def number(self, sets: Bools) -> Ints:
        """(k,) the numbers of sets (k, S)."""
        return self.number_words(self._packed(sets))

    def number_words(self, words: npt.NDArray[np.uint64]) -> Ints:
        """(k,) the numbers of sets given as words (k, W) of 64 states each."""
        if self._words == 1:
            distinct, places = np.unique(words[:, 0], return_inverse=True)
            distinct = distinct[:, None]
        else:
            distinct, places = np.unique(words, axis=0, return_inverse=True)
        with self._lock:
            numbers = np.array([self._intern(row) for row in distinct], dtype=np.int64)
        return numbers[places.reshape(-1)] if len(numbers) else np.zeros(0, dtype=np.int64)

    def look(self, table: int, first: Ints, second: Ints) -> Ints:
        """(k,) one table read at many places; what is not there yet is worked out."""
        got = self._tables[table, first, second]
        if got.size and got.min() < 0:
            with self._lock:
                missing = np.flatnonzero(got < 0)
                pairs = set(zip(first[missing].tolist(), second[missing].tolist(), strict=True))
                for one, two in sorted(pairs):
                    self._fill(table, one, two)
            got = self._tables[table, first, second]
        return np.asarray(got, dtype=np.int64)

    def members(self, number: int) -> Ints:
        """The states of one set."""
        return np.flatnonzero(self.sets[number])

    def _packed(self, sets: Bools) -> npt.NDArray[np.uint64]:
        packed = np.zeros((len(sets), self._words * 8), dtype=np.uint8)
        bits = np.packbits(sets, axis=1, bitorder="little")
        packed[:, : bits.shape[1]] = bits
        return packed.view("<u8").astype(np.uint64)

    def _intern(self, words: npt.NDArray[np.uint64]) -> int:
        key = words.tobytes()
        known = self._number.get(key)
        if known is not None:
            return known
        place = len(self._number)
        if place == self._capacity:
            self._grow()
        bits = np.unpackbits(words.astype("<u8").view(np.uint8), bitorder="little")[: self.states]
        self.sets[place], self.words[place] = bits, words
        self.sizes[place] = bits.sum()
        self.only[place] = bits.argmax() if bits.any() else 0
        self._number[key] = place
        return place

    def _grow(self) -> None:
        old, self._capacity = self._capacity, self._capacity * 2
        tables = np.full((4, self._capacity, self._capacity), -1, dtype=np.int32)
        tables[:, :old, :old] = self._tables
        self.sets = np.concatenate([self.sets, np.zeros_like(self.sets)])
        self.words = np.concatenate([self.words, np.zeros_like(self.words)])
        self.sizes = np.concatenate([self.sizes, np.zeros_like(self.sizes)])
        self.only = np.concatenate([self.only, np.zeros_like(self.only)])
        self._tables = tables

    def _fill(self, table: int, one: int, two: int) -> None:
        if self._tables[table, one, two] >= 0:
            return
        first, second = self.sets[one], self.sets[two]
        if table == MEET:
            found = first & second
        elif table == YOUNG:
            found = self._can[first][:, second].any(axis=(0, 1))
        elif table == SIRE:
            found = self._can[:, second][:, :, first].any(axis=(1, 2))
        else:
            found = self._can[second][:, :, first].any(axis=(0, 2))
        place = self._intern(self._packed(found[None, :])[0])
        self._tables[table, one, two] = place


@lru_cache(maxsize=256)
def masks_of(states: LocusStates) -> Masks:
    """The sets of one locus, kept between questions."""
    return Masks(states.transmission)


@dataclass(frozen=True)
class Ties:
    """What binds sets together: (k,) slots of a sire, a dam and a young; and broods with several possible sires.

    Slots from `movable` on never change (what was seen of leaves, laws of parents not recorded).
    """

    sire: Ints
    dam: Ints
    young: Ints
    broods: tuple[tuple[tuple[int, ...], int, int], ...]
    movable: int


def settle(masks: Masks, slots: Ints, ties: Ties) -> Ints:
    """The largest sets within `slots` that every tie allows.

    Stops at the first empty set, which shows a contradiction near its animal.
    """
    slots = slots.copy()
    words = masks.words[slots[: ties.movable]]
    act = np.arange(len(ties.sire))
    broods = list(ties.broods)
    while len(act) or broods:
        targets, found = _narrowed(masks, slots, ties, act)
        for brood in broods:
            _narrow_brood(masks, slots, ties.movable, brood, targets, found)
        where = np.concatenate(targets) if targets else np.zeros(0, dtype=np.int64)
        if not len(where):
            break
        narrower = masks.words[np.concatenate(found)]
        for column in range(words.shape[1]):
            np.bitwise_and.at(words[:, column], where, narrower[:, column])
        changed = np.zeros(len(slots), dtype=np.bool_)
        changed[where] = True
        moved = np.flatnonzero(changed)
        slots[moved] = masks.number_words(words[moved])
        if not slots[moved].all():
            break
        act = np.flatnonzero(changed[ties.sire] | changed[ties.dam] | changed[ties.young])
        broods = [b for b in ties.broods if changed[b[1]] or changed[b[2]] or any(changed[s] for s in b[0])]
    return slots


def _narrowed(masks: Masks, slots: Ints, ties: Ties, act: Ints) -> tuple[list[Ints], list[Ints]]:
    """Slots that become smaller through the ties in `act`, and the sets they must lie in."""
    targets: list[Ints] = []
    found: list[Ints] = []
    where = (ties.sire[act], ties.dam[act], ties.young[act])
    sire, dam, young = (slots[place] for place in where)
    for place, now, table, one, two in (
        (where[2], young, YOUNG, sire, dam),
        (where[0], sire, SIRE, young, dam),
        (where[1], dam, DAM, young, sire),
    ):
        then = masks.look(MEET, now, masks.look(table, one, two))
        hit = (then != now) & (place < ties.movable)
        if hit.any():
            targets.append(place[hit])
            found.append(then[hit])
    return targets, found


def _narrow_brood(
    masks: Masks,
    slots: Ints,
    movable: int,
    brood: tuple[tuple[int, ...], int, int],
    targets: list[Ints],
    found: list[Ints],
) -> None:
    """The same for one young with several possible sires: any of them may be it."""
    sires, dam, young = brood
    fathers = slots[list(sires)]
    many = np.full(len(sires), slots[dam]), np.full(len(sires), slots[young])
    for place, table, one, two in ((young, YOUNG, fathers, many[0]), (dam, DAM, many[1], fathers)):
        if place >= movable:
            continue
        either = masks.look(table, one, two)
        can = masks.sets[either].any(axis=0) & masks.sets[slots[place]]
        then = masks.number(can[None, :])
        if then[0] != slots[place]:
            targets.append(np.array([place]))
            found.append(then)
