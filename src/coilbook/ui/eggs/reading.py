"""What the screen of eggs shows, read at once; windows of hatching and outages worked out beside the window."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from coilbook.reads.egg_rows import BoxNowRow, ClutchNow
from coilbook.reads.eggs_now import EggsNow, eggs_now, heats_of, outages_of, windows_of, with_dam_id
from coilbook.reads.hatch_windows import HatchWindow
from coilbook.reads.outages import HeatSeen, OutageSeen
from coilbook.reads.sire_odds import SireOdds, sire_odds
from coilbook.reads.species_numbers import profile_of_collection
from coilbook.records.egg_vocabulary import MAY_HATCH
from coilbook.records.ids import ClutchId, EggBoxId, EggId
from coilbook.records.message import CoilbookError
from coilbook.ui.background import Control, Job, Lane
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand

#: what is worked out beside the window
WorkedOut = tuple[dict[ClutchId, HatchWindow], tuple[OutageSeen, ...], tuple[HeatSeen, ...]]


class EggsAtDesk:
    """Holds what was read and what is in focus; `shown` is called when either changed."""

    def __init__(self, desk: Desk, shown: Callable[[], None]) -> None:
        self._desk, self._shown = desk, shown
        self._job: Job | None = None
        self.now = EggsNow(desk.clock().date(), profile_of_collection(desk.collection))
        self.box: EggBoxId | None = None
        self._clutch: ClutchId | None = None
        self._egg: EggId | None = None

    def read(self) -> None:
        """Read everything again; what was worked out before stays until the new is there."""
        before, moment = self.now, self._desk.clock()
        self.now = eggs_now(self._desk.collection, moment).with_worked_out(before.windows, before.outages, before.heats)
        self.now = self.now.with_sires(before.sires)
        if self.now.box(self.box) is None and self._with_dam() is None:
            held = [box for box in self.now.boxes if box.eggs] or list(self.now.boxes)
            # one that needs the keeper first, then one of which young may come
            held.sort(
                key=lambda box: (not self.now.word(box).needs_you, all(e.state not in MAY_HATCH for e in box.eggs))
            )
            left = [with_dam_id(clutch) for clutch in self.now.with_dam]
            self.box = held[0].id if held else next(iter(left), None)
        if self._job is not None:
            self._job.cancel()
        now, collection = self.now, self._desk.collection

        def work(_control: Control) -> WorkedOut:
            return (windows_of(collection, now), outages_of(collection, now, moment), heats_of(collection, now, moment))

        def arrived(found: WorkedOut) -> None:
            if (job is None or not job.stopped.is_set()) and self.now is now:
                self.now = now.with_worked_out(*found).with_sires(now.sires)
                self._shown()
                self._weigh_sires()

        def failed(error: CoilbookError) -> None:
            if (job is None or not job.stopped.is_set()) and self.now is now:
                self._desk.tell_failed(error)
                self._weigh_sires()

        job: Job | None = None
        job = self._desk.background.read_after_paint(work, arrived, failed)
        self._job = job

    def _weigh_sires(self) -> None:
        """Ask who sired each clutch with several sires and young: the genetics of the whole book, beside the window."""
        now, collection = self.now, self._desk.collection
        asked = [clutch.id for clutch in now.clutches]

        def work(control: Control) -> Mapping[ClutchId, SireOdds]:
            return sire_odds(collection, asked, control.cancelled)

        def arrived(found: Mapping[ClutchId, SireOdds]) -> None:
            if self.now is now and found != now.sires:
                self.now = now.with_sires(found)
                self._shown()

        def failed(error: CoilbookError) -> None:
            if self.now is now:
                self._desk.tell_failed(error)

        self._job = self._desk.background.read_after_paint(work, arrived, failed, lane=Lane.ODDS)

    def _after(self, box: BoxNowRow) -> tuple[bool, bool]:
        over = all(egg.state not in MAY_HATCH for egg in box.eggs)
        return not self.now.word(box).needs_you, over

    # --- focus ---------------------------------------------------------------------------------------------
    def choose_box(self, box: EggBoxId | None) -> None:
        """Another box; its first clutch and no egg."""
        if box != self.box:
            self.box, self._clutch, self._egg = box, None, None

    def choose_egg(self, egg: EggId | None) -> None:
        """Another egg, of whichever clutch it is."""
        self._egg = egg
        box = self.now.box(self.box)
        for clutch in box.clutches if box is not None else ():
            if any(one.id == egg for one in clutch.eggs):
                self._clutch = clutch.id

    def _with_dam(self) -> ClutchNow | None:
        """The clutch in focus that was left with its dam."""
        return next((clutch for clutch in self.now.with_dam if with_dam_id(clutch) == self.box), None)

    def next_clutch(self) -> None:
        """The other clutch in the same box."""
        at = self.at_hand
        if at.box is not None and at.clutch is not None:
            order = [clutch.id for clutch in at.box.clutches]
            self._clutch = order[(order.index(at.clutch.id) + 1) % len(order)]
            self._egg = None

    @property
    def at_hand(self) -> AtHand:
        """Box, clutch and egg in focus; a clutch left with its dam has no box."""
        box, left = self.now.box(self.box), self._with_dam()
        clutches = box.clutches if box is not None else (left,) if left is not None else ()
        clutch = next((c for c in clutches if c.id == self._clutch), clutches[0] if clutches else None)
        egg = next((e for e in clutch.eggs if e.id == self._egg), None) if clutch is not None else None
        return AtHand(self.now, box, clutch, egg)
