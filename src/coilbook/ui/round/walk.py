"""Where the round is: which rack, which tub, which animal, and what comes next. No widgets here.

What the keeper has pressed counts at once (`mark`), before the worker has written it; a refusal takes the mark away.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from coilbook.reads.round import (
    Group,
    RackRound,
    RoundAnimal,
    RoundState,
    RoundTime,
    Tub,
    animals_waiting,
    place_of,
    rack_of_round,
    rack_of_slot,
    tubs_of_round,
)
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.when import moment_text
from coilbook.ui.round.rack_counts import Mode, RackCounts, in_mode, todo_of, total_of, wanted

#: so many animals are looked up one by one; more are counted again together
_FEW = 100


class Walk:
    """The walk through the racks. `tubs` are those of the rack at hand that this mode goes past."""

    def __init__(self, collection: Any, clock: Callable[[], dt.datetime], interval: Callable[[], int]) -> None:
        self._collection, self._clock, self._interval = collection, clock, interval
        self.mode = Mode.DUE
        self.time = RoundTime.at(clock())
        self._begun_at = ""
        self.counts = RackCounts([], self.time)
        self.tubs: list[Tub] = []
        self._all_tubs: list[Tub] = []
        self._rack = 0
        self._tub = 0
        self._chosen: AnimalId | None = None
        self._marks: dict[AnimalId, RoundState] = {}
        self.separated: PlaceId | None = None
        #: an animal brought to hand that this mode would pass by (a scan of one who is not due)
        self._guest: AnimalId | None = None

    # --- loading --------------------------------------------------------------------------------------------
    def count(self) -> RackCounts:
        """Every rack counted as it stands now."""
        return RackCounts.read(self._collection, RoundTime.at(self._clock()))

    def begin(self, mode: Mode | None = None, counts: RackCounts | None = None) -> None:
        """Stand at the first tub with something to do; morning close first when there is one."""
        self.counts = counts if counts is not None else self.count()
        self.time, self._begun_at = self.counts.time, moment_text(self._clock())
        self._marks.clear()
        waiting = any(g.state is RoundState.OPEN for g in self.groups())
        self.mode = mode if mode is not None else (Mode.CLOSE if waiting else Mode.DUE)
        first = next((i for i, rack in enumerate(self.racks) if self.rack_todo(rack)), 0)
        self._enter(first)
        self._to_first_todo()

    def reread(self) -> None:
        """Read the rack at hand again, keeping the place; other racks keep their counts."""
        here = self.tub
        if self.racks:
            self.counts.put(self._rack, rack_of_round(self._collection, self.time, self.racks[self._rack]))
        self._load()
        self._stand_at(here.slot if here else None, here.animals[0].id if here else None)

    def follow(self, animals: frozenset[int]) -> bool:
        """Something changed with these animals: count their racks again, and no others.

        False when they are too many for that, or live where nobody lived before: then all has to be counted again.
        """
        if len(animals) > _FEW:
            return False
        places = [place_of(self._collection, AnimalId(animal)) for animal in sorted(animals)]
        touched = {place[0] for place in places if place is not None}
        for index, rack in enumerate(self.racks):
            if rack.id in touched and index != self._rack:
                self.counts.put(index, rack_of_round(self._collection, self.time, rack))
        if not self.racks or touched - {rack.id for rack in self.racks}:
            return False
        if self.racks[self._rack].id in touched:
            self.reread()
        return True

    def recount(self, counts: RackCounts | None = None) -> None:
        """Something changed in other racks too: take all of them as counted again, keep the place."""
        here, rack = self.tub, self.rack
        self.counts = counts if counts is not None else RackCounts.read(self._collection, self.time)
        found = [i for i, one in enumerate(self.racks) if rack is not None and one.id == rack.id]
        self._rack = found[0] if found else 0
        self._load()
        self._stand_at(here.slot if here else None, here.animals[0].id if here else None)

    def _enter(self, rack: int) -> None:
        self._rack, self._tub, self._chosen, self._guest, self.separated = rack, 0, None, None, None
        self._load()

    def _load(self) -> None:
        if self.racks:
            rack = self.racks[self._rack].id
            self._all_tubs = tubs_of_round(self._collection, self.time, rack, self._interval())
        else:
            self._all_tubs = []
        self.tubs = [tub for tub in self._all_tubs if self._walked(tub)]
        self._tub = min(self._tub, max(len(self.tubs) - 1, 0))

    def _walked(self, tub: Tub) -> bool:
        if self.mode is Mode.ALL:
            return True
        return any(in_mode(self.mode, a.state, closing=a.closing) or a.id == self._guest for a in tub.animals)

    # --- where we are ---------------------------------------------------------------------------------------
    @property
    def racks(self) -> Sequence[RackRound]:
        """Every rack with animals in it, in walking order."""
        return self.counts.racks

    @property
    def rack(self) -> RackRound | None:
        return self.racks[self._rack] if self.racks else None

    @property
    def rack_index(self) -> int:
        return self._rack

    @property
    def tub_index(self) -> int:
        return self._tub

    @property
    def tub(self) -> Tub | None:
        return self.tubs[self._tub] if self.tubs else None

    @property
    def animal(self) -> RoundAnimal | None:
        """The animal at hand; None in a slot of two until one is chosen."""
        tub = self.tub
        if tub is None:
            return None
        if len(tub.animals) == 1:
            return tub.animals[0]
        return next((a for a in tub.animals if a.id == self._chosen), None)

    @property
    def is_guest(self) -> bool:
        """True while somebody is at hand whom this mode would pass by."""
        return self._guest is not None

    def is_over(self, now: dt.datetime) -> bool:
        """True when the clock has left this round behind: another day, or hours without a look."""
        return RoundTime.at(now).day != self.time.day or RoundTime.at(now).since > self._begun_at

    @property
    def must_separate(self) -> bool:
        """True while results are closed because several animals are in the slot."""
        tub = self.tub
        return tub is not None and len(tub.animals) > 1 and self.separated != tub.slot

    def state_of(self, animal: RoundAnimal) -> RoundState:
        """Where she stands, what was just pressed included."""
        return self._marks.get(animal.id, animal.state)

    def is_todo(self, animal: RoundAnimal) -> bool:
        """True while this mode still wants something of her."""
        state = self.state_of(animal)
        return state is wanted(self.mode)

    def tub_todo(self, tub: Tub) -> bool:
        """True while somebody in the tub is to do."""
        return any(self.is_todo(a) for a in tub.animals)

    # --- counts ---------------------------------------------------------------------------------------------
    def groups(self) -> Iterator[Group]:
        """How many animals of all racks share state, prey and hold."""
        return self.counts.groups()

    def rack_todo(self, rack: RackRound) -> int:
        """How many of a rack are to do in this mode."""
        return todo_of(self.mode, rack)

    def rack_total(self, rack: RackRound) -> int:
        """How many of a rack this mode goes past."""
        return total_of(self.mode, rack)

    def todo(self) -> int:
        """How many of all racks are to do in this mode."""
        return self.counts.todo(self.mode)

    def results(self) -> Counter[RoundState]:
        """Animals by what was written, in this mode."""
        found: Counter[RoundState] = Counter()
        for group in self.groups():
            done = group.state not in (RoundState.TODO, RoundState.NOT_DUE, RoundState.OPEN)
            if done and group.closing == (self.mode is Mode.CLOSE):
                found[group.state] += group.count
        return found

    def prey(self, states: tuple[RoundState, ...], *, held: bool | None = None) -> Counter[str]:
        """How many of each prey stand in these states; `held` narrows to those held back or not."""
        found: Counter[str] = Counter()
        for group in self.groups():
            fits = group.state in states and (
                group.closing == (self.mode is Mode.CLOSE) or group.state is RoundState.TODO
            )
            if fits and (held is None or group.held == held):
                found[group.prey] += group.count
        return found

    def total(self) -> int:
        """How many animals this mode goes past."""
        return self.counts.total(self.mode)

    def number(self) -> int:
        """The place of the tub at hand in the whole walk, from 1."""
        before = self.counts.before(self.mode, self._rack)
        return before + sum(len(tub.animals) for tub in self.tubs[: self._tub]) + 1

    @property
    def finished(self) -> bool:
        """True when nobody is to do any more in this mode."""
        todo = self.todo()
        here = self.rack_todo(self.racks[self._rack]) if self.racks else 0
        return todo == 0 or (todo == here and not any(self.tub_todo(tub) for tub in self.tubs))

    def waiting(self) -> list[RoundAnimal]:
        """Who "all offered" (or, in the close, "the rest taken") of the rack at hand would take in."""
        if self.mode is Mode.CLOSE:
            return [a for tub in self._all_tubs for a in tub.animals if self.state_of(a) is RoundState.OPEN]
        return [a for a in animals_waiting(self._all_tubs) if self.is_todo(a)]

    # --- walking --------------------------------------------------------------------------------------------
    def step(self, by: int) -> None:
        """Go to the next or previous tub, over the ends of the rack."""
        target = self._tub + by
        if 0 <= target < len(self.tubs):
            self._go(target)
        elif by > 0 and self._rack + 1 < len(self.racks):
            self.to_rack_index(self._rack + 1)
        elif by < 0 and self._rack > 0:
            self.to_rack_index(self._rack - 1)
            self._go(max(len(self.tubs) - 1, 0))

    def next_todo(self) -> None:
        """Go to the next tub with something to do, along the walk and round its end; stay when there is none."""
        tub = self.tub
        if tub is not None and self.tub_todo(tub):
            rest = [a for a in tub.animals if self.is_todo(a)]
            self._chosen = rest[0].id if self.separated == tub.slot else None
            return
        order = [*range(self._tub + 1, len(self.tubs))]
        found = next((i for i in order if self.tub_todo(self.tubs[i])), None)
        if found is not None:
            self._go(found)
            return
        racks = [*range(self._rack + 1, len(self.racks)), *range(self._rack)]
        other = next((i for i in racks if self.rack_todo(self.racks[i])), None)
        if other is not None:
            self._enter(other)
        self._to_first_todo()

    def to_rack_index(self, rack: int) -> None:
        """Stand at the first tub of another rack with something to do."""
        if 0 <= rack < len(self.racks):
            self._enter(rack)
            self._to_first_todo()

    def to_rack(self, rack: PlaceId) -> bool:
        """Start at a rack; False when nobody lives in it."""
        found = next((i for i, one in enumerate(self.racks) if one.id == rack), None)
        if found is None:
            return False
        self.to_rack_index(found)
        return True

    def to_tub(self, index: int) -> None:
        """Stand at a tub of the rack at hand."""
        if 0 <= index < len(self.tubs):
            self._go(index)

    def to_animal(self, animal: AnimalId) -> bool:
        """Bring one animal to hand, due or not; False when it is not here."""
        place = place_of(self._collection, animal)
        if place is None:
            return False
        found = next((i for i, one in enumerate(self.racks) if one.id == place[0]), None)
        if found is None:
            return False
        self._enter(found)
        self._guest = animal
        self._load()
        self._stand_at(place[1], animal)
        tub = self.tub
        self._chosen = animal if tub is not None and len(tub.animals) > 1 else None
        return tub is not None and any(a.id == animal for a in tub.animals)

    def back_at(self, animals: frozenset[int]) -> None:
        """After an undo: the animal it was about at hand, or the start of the rack when it was about many."""
        if animals and self.to_animal(AnimalId(min(animals))) and len(animals) > 1:
            self.to_rack_index(self._rack)

    def to_slot(self, slot: PlaceId, dwellers: list[AnimalId]) -> bool:
        """Bring whoever lives in a slot to hand; with two the page asks which. False for an empty slot."""
        rack = rack_of_slot(self._collection, slot)
        if rack is None or not dwellers or not self.to_animal(dwellers[0]):
            return False
        if len(dwellers) > 1:
            self._chosen = None
        return True

    def choose(self, index: int) -> None:
        """Choose one of those in the slot."""
        tub = self.tub
        if tub is not None and len(tub.animals) > 1 and index < len(tub.animals):
            self._chosen = tub.animals[index].id

    def separate(self) -> None:
        """The keeper says that those in the slot sit apart."""
        tub = self.tub
        if tub is not None:
            self.separated = tub.slot

    # --- what was pressed -----------------------------------------------------------------------------------
    def mark(self, animal: AnimalId, state: RoundState) -> None:
        """Count a result as done before it is written."""
        self._marks[animal] = state

    def unmark(self, animal: AnimalId) -> None:
        """The act is written, or was refused: what is stored counts."""
        self._marks.pop(animal, None)

    def shown(self, tub: Tub) -> Tub:
        """The tub with what was just pressed in it."""
        animals = tuple(replace(a, state=self._marks[a.id]) if a.id in self._marks else a for a in tub.animals)
        return replace(tub, animals=animals)

    def then(self) -> Tub | None:
        """The next tub with something to do after this one, in this rack."""
        return next((tub for tub in self.tubs[self._tub + 1 :] if self.tub_todo(tub)), None)

    def _go(self, index: int) -> None:
        self._tub, self._chosen, self.separated = index, None, None
        tub = self.tub
        if self._guest is not None and tub is not None and all(a.id != self._guest for a in tub.animals):
            self._guest = None

    def _to_first_todo(self) -> None:
        found = next((i for i, tub in enumerate(self.tubs) if self.tub_todo(tub)), None)
        self._go(found if found is not None else self._tub)

    def _stand_at(self, slot: PlaceId | None, animal: AnimalId | None) -> None:
        for index, tub in enumerate(self.tubs):
            same = tub.slot == slot if slot is not None else any(a.id == animal for a in tub.animals)
            if same:
                self._tub = index
                return
