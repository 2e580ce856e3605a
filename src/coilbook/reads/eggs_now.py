"""The incubators as they stand on a day: boxes by shelf, what each needs, windows of hatching, doubts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from coilbook.derived.season_profile import profile_now
from coilbook.husbandry.profile import Profile
from coilbook.reads.box_water import WaterView
from coilbook.reads.clutch_story import in_order
from coilbook.reads.egg_boxes import boxes, boxes_in_use, boxes_of_clutches, clutches, doubts, incubators
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, IncubatorNow, OpenDoubt
from coilbook.reads.egg_words import BoxWord, NextLook, box_word, next_looks, water_view
from coilbook.reads.hatch_windows import HatchWindow, hatch_windows
from coilbook.reads.incubator_readings import last_at_shelf
from coilbook.reads.outages import HeatSeen, OutageSeen, recent_heat, recent_outages
from coilbook.reads.sire_odds import SireOdds
from coilbook.records.egg_vocabulary import EggState
from coilbook.records.ids import ClutchId, EggBoxId, IncubatorId
from coilbook.storage.collection import Collection


@dataclass(frozen=True)
class EggsNow:
    """Everything the screen of eggs shows. `windows`, `outages`, `heats`, `sires` are empty until they are worked out.

    `profile` what it is counted with; `at_shelf` holds tenths of a degree and when, by incubator and shelf; `with_dam`
    clutches left with their dam.
    """

    today: dt.date
    profile: Profile
    incubators: tuple[IncubatorNow, ...] = ()
    boxes: tuple[BoxNowRow, ...] = ()
    with_dam: tuple[ClutchNow, ...] = ()
    at_shelf: Mapping[tuple[IncubatorId, int], tuple[int, str]] = field(default_factory=dict)
    windows: Mapping[ClutchId, HatchWindow] = field(default_factory=dict)
    outages: tuple[OutageSeen, ...] = ()
    heats: tuple[HeatSeen, ...] = ()
    #: boxes in use no more in which eggs of a clutch that is shown lay
    former: tuple[BoxNowRow, ...] = ()
    #: every open doubt of the collection, the one to look at first on top
    doubts: tuple[OpenDoubt, ...] = ()
    sires: Mapping[ClutchId, SireOdds] = field(default_factory=dict)
    #: another object for each time it was read
    read: object = None

    def box(self, box: EggBoxId | None) -> BoxNowRow | None:
        """A box by its id."""
        return next((one for one in self.boxes if one.id == box), None)

    def boxes_of(self, clutch: ClutchNow) -> tuple[BoxNowRow, ...]:
        """Every box in which eggs of a clutch lie or lay, the first one first."""
        return tuple(in_order(clutch, (*self.former, *self.boxes)))

    def word(self, box: BoxNowRow) -> BoxWord:
        """The one line of a box on its shelf."""
        return self._words[box.id]

    @cached_property
    def _words(self) -> dict[EggBoxId, BoxWord]:
        return {box.id: box_word(box, self.windows, self.today, self.profile) for box in self.boxes}

    def water(self, box: BoxNowRow) -> WaterView | None:
        """The water of a box."""
        return self._waters[box.id]

    @cached_property
    def _waters(self) -> dict[EggBoxId, WaterView | None]:
        return {box.id: water_view(box, self.windows, self.today, self.profile) for box in self.boxes}

    @cached_property
    def looks(self) -> tuple[NextLook, ...]:
        """Looks to come."""
        return next_looks(self.boxes, self.windows, self.today, self.profile)

    def with_worked_out(
        self,
        windows: Mapping[ClutchId, HatchWindow],
        outages: tuple[OutageSeen, ...],
        heats: tuple[HeatSeen, ...] = (),
    ) -> EggsNow:
        """The same with its windows, outages and times too warm worked out."""
        return replace(self, windows=windows, outages=outages, heats=heats)

    def with_sires(self, sires: Mapping[ClutchId, SireOdds]) -> EggsNow:
        """The same with the sires of clutches weighed by what hatched."""
        return replace(self, sires=sires)

    @property
    def clutches(self) -> tuple[ClutchNow, ...]:
        """Every clutch shown, each once."""
        held = {clutch.id: clutch for box in self.boxes for clutch in box.clutches}
        return tuple({**held, **{clutch.id: clutch for clutch in self.with_dam}}.values())

    @cached_property
    def counts(self) -> tuple[int, int, int, int]:
        """Boxes with eggs, eggs waited for, slugs, boxes that need the keeper."""
        held = [box for box in self.boxes if box.eggs]
        eggs = [egg for box in held for egg in box.eggs if egg.in_the_box]
        slugs = sum(egg.state is EggState.SLUG for egg in eggs)
        return len(held), len(eggs) - slugs, slugs, sum(self.word(box).needs_you for box in held)


def with_dam_id(clutch: ClutchNow) -> EggBoxId:
    """What stands for a box where a clutch was left with its dam: no box has a number below nought."""
    return EggBoxId(-clutch.id)


def eggs_now(collection: Collection, moment: dt.datetime) -> EggsNow:
    """Everything but the windows and the outages, in a few queries."""
    today = moment.date()
    there = incubators(collection)
    at_shelf = {(one.id, shelf): seen for one in there for shelf, seen in last_at_shelf(collection, one.id).items()}
    hers = collection.read("SELECT id FROM clutch c WHERE maternal = 1 AND laid >= ? ORDER BY laid",
                           ((today - dt.timedelta(120)).isoformat(),))  # fmt: skip
    with_dam = clutches(collection, [ClutchId(row) for (row,) in hers])
    profile = profile_now(collection.read)
    held, asked = boxes_in_use(collection), doubts(collection)
    shown = {clutch.id for box in held for clutch in box.clutches} | {clutch.id for clutch in with_dam}
    in_use = {box.id for box in held}
    left = [box for box in boxes_of_clutches(collection, sorted(shown)) if box not in in_use]
    former = boxes(collection, left)
    return EggsNow(today, profile, there, held, with_dam, at_shelf, former=former, doubts=asked, read=object())


def windows_of(collection: Collection, now: EggsNow) -> dict[ClutchId, HatchWindow]:
    """The windows of every clutch shown; some milliseconds each."""
    return hatch_windows(collection, now.boxes, now.today, now.with_dam)


def outages_of(collection: Collection, now: EggsNow, moment: dt.datetime) -> tuple[OutageSeen, ...]:
    """Outages of the last days, newest first, from every reading of them: worked out beside the window."""
    return recent_outages(collection, now.incubators, moment)


def heats_of(collection: Collection, now: EggsNow, moment: dt.datetime) -> tuple[HeatSeen, ...]:
    """Times too warm in the last days, newest first, from every reading of them: worked out beside the window."""
    return recent_heat(collection, now.incubators, moment, now.profile)
