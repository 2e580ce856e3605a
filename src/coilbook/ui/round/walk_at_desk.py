"""The walk at the desk: its racks are counted at once when that is quick, else by a worker; followed through every act.

While a worker counts, the round goes on with the counts before; only the first count has to be waited for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from coilbook.reads.codes import Found, who_is_in
from coilbook.reads.lookup import animal_count
from coilbook.reads.round import RoundTime
from coilbook.records.changes import Changes
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import CoilbookError, say
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk
from coilbook.ui.round.rack_counts import Mode, RackCounts
from coilbook.ui.round.walk import Walk

#: a book with fewer animals is counted at once
SMALL_BOOK = 5_000

Then = Callable[[RackCounts], None]


class WalkAtDesk:
    """Begins the walk, brings it where it is wanted and keeps its counts; `show` draws the page for where it is."""

    def __init__(self, desk: Desk, walk: Walk, show: Callable[[], None]) -> None:
        self._desk, self._walk, self._show = desk, walk, show
        self.begun = False
        #: where to go once there are racks to find it in
        self._target: Mapping[str, object] = {}
        self._asked = 0
        self._under_way = self._beginning = self._again = False
        #: animals touched since the count under way was asked for
        self._changed: set[int] = set()

    @property
    def waiting(self) -> bool:
        """True until the first count is there."""
        return self._beginning and not self._walk.racks

    # --- beginning ------------------------------------------------------------------------------------------
    def open(self, target: Mapping[str, object]) -> bool:
        """Start or go on, at the rack, slot or animal of the target; True when it is a new round."""
        anew = not self.begun or self._is_over()
        self._target = target
        if anew:
            self.begin(None)
        else:
            self._recount()
        self._go_to_target()
        return anew

    def begin(self, mode: Mode | None) -> None:
        """Begin anew in a mode, or in the one that is called for."""
        known = self._walk.counts if self.begun and not self._is_over() else None
        self.begun = True

        def counted(counts: RackCounts) -> None:
            self._beginning = False
            self._walk.begin(mode, counts)
            self._go_to_target()

        if self._is_large() and known is not None and known.racks:
            counted(known)
            self._recount()
            return
        self._beginning = True
        counts = self._count(counted)
        if counts is not None:
            counted(counts)

    def _is_over(self) -> bool:
        return self._walk.is_over(self._desk.clock())

    def _go_to_target(self) -> None:
        if self._beginning:
            return
        target, self._target = self._target, {}
        animal, slot, rack = target.get("animal"), target.get("slot"), target.get("rack")
        if isinstance(rack, int):
            self._walk.to_rack(PlaceId(rack))
        if isinstance(slot, int):
            self._to_slot(PlaceId(slot))
        if isinstance(animal, int):
            self._walk.to_animal(AnimalId(animal))

    def _to_slot(self, slot: PlaceId) -> bool:
        dwellers = [animal for animal, _ in who_is_in(self._desk.collection, slot)]
        return self._walk.to_slot(slot, dwellers)

    def scanned(self, found: Found) -> bool:
        """Bring whom a code names to hand; False when nobody of the round is meant."""
        if self._beginning:
            self._target = {"animal": found.animal, "slot": found.place if found.animal is None else None}
            return True
        if found.animal is not None:
            return self._walk.to_animal(found.animal)
        return found.place is not None and self._to_slot(found.place)

    # --- keeping up -----------------------------------------------------------------------------------------
    def follow(self, changes: Changes, *, undone: bool) -> None:
        """An act is committed: count the racks of its animals again, or all when it was not only about animals."""
        self._changed |= changes.animals
        wide = undone or changes.touches("animal", "place", "setting")
        if wide or not self._walk.follow(changes.animals):
            self._recount()
        if undone:
            self._walk.back_at(changes.animals)

    def _recount(self) -> None:
        """Count all racks; until a worker has done so, the rack at hand is read again."""
        counts = None
        if self._under_way:
            self._again = True
        else:
            counts = self._count(self._walk.recount)
        if counts is not None:
            self._walk.recount(counts)
        else:
            self._walk.reread()

    def _is_large(self) -> bool:
        return animal_count(self._desk.collection) >= SMALL_BOOK

    def _count(self, then: Then) -> RackCounts | None:
        """Count all racks; in a large book a worker does, and None says that `then` will have them."""
        self._asked += 1
        self._under_way = self._is_large()
        if not self._under_way:
            return self._walk.count()
        self._changed.clear()
        number, collection, time = self._asked, self._desk.collection, RoundTime.at(self._desk.clock())

        def done(counts: RackCounts) -> None:
            if number == self._asked:
                self._under_way = False
                then(counts)
                self._catch_up()
                self._show()

        def failed(error: CoilbookError) -> None:
            self._under_way = self._beginning = False
            self._desk.notices.refuse(error)
            self._show()

        def work(_control: Control) -> RackCounts:
            return RackCounts.read(collection, time)

        self._desk.background.read(work, done, failed, say("Counting the racks"))
        return None

    def _catch_up(self) -> None:
        """The count does not know what was written while it was under way."""
        changed, again = frozenset(self._changed), self._again
        self._changed.clear()
        self._again = False
        if again or (changed and not self._walk.follow(changed)):
            self._recount()
