"""Two boxes simulated to the tenth of a gram, eggs taken out and moved to and fro: what is told is what happened."""

from __future__ import annotations

import random
from dataclasses import dataclass, field

import pytest

from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import FAR_DG, BoxDetails, BoxSeen, look_at_box, water_box
from coilbook.operations.eggs import do_to_eggs, move_eggs
from coilbook.operations.undo import undo_last
from coilbook.reads.box_water import WaterView
from coilbook.reads.egg_boxes import boxes
from coilbook.reads.egg_words import water_view
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import EggDeed
from coilbook.records.ids import EggBoxId, EggId
from coilbook.records.quantities import Mass
from tests.operations.conftest import Clock, Room, book, clock, room

__all__ = ["Clock", "Room", "book", "clock", "room"]


@dataclass
class Truth:
    """Totals, vapour lost and water poured by box, and where each egg lies, in tenths of a gram."""

    room: Room
    chance: random.Random
    total: dict[int, int] = field(default_factory=lambda: {1: 18_000, 2: 15_000})
    lost: dict[int, int] = field(default_factory=lambda: {1: 0, 2: 0})
    poured: dict[int, int] = field(default_factory=lambda: {1: 0, 2: 0})
    #: what was lost when it was last weighed
    weighed: dict[int, int] = field(default_factory=lambda: {1: 0, 2: 0})
    lies_in: dict[int, int] = field(default_factory=lambda: {egg: 1 if egg <= 6 else 2 for egg in range(1, 13)})

    def dry(self) -> None:
        for box in (1, 2):
            vapour = self.chance.randint(0, 60)
            self.total[box] -= vapour
            self.lost[box] += vapour

    def told(self, box: int) -> WaterView:
        (row,) = boxes(self.room.book, [EggBoxId(box)])
        found = water_view(row, {}, self.room.clock.now.date(), shipped_profile("ball_python"))
        assert found is not None
        return found

    def weigh(self) -> None:
        box = self.chance.choice((1, 2))
        # nothing but the vapour since the last weighing is unexpected
        far = self.lost[box] - self.weighed[box] > FAR_DG
        look_at_box(self.room.book, box=EggBoxId(box), seen=BoxSeen(total=Mass(self.total[box])), sure=far)
        self.weighed[box] = self.lost[box]
        view, due = self.told(box), self.lost[box] - self.poured[box]
        assert view.balance.lost_dg == self.lost[box]
        assert view.aim_dg == self.total[box] + due
        # less than a gram is not poured
        assert view.pour_dg == (due if due >= 10 else 0)
        if view.pour_dg and self.chance.random() < 0.6:
            self._pour(box, view.pour_dg)
            assert self.told(box).pour_dg == 0

    def pour(self) -> None:
        self._pour(self.chance.choice((1, 2)), self.chance.randint(10, 300))

    def _pour(self, box: int, water: int) -> None:
        water_box(self.room.book, box=EggBoxId(box), added=Mass(water))
        self.poured[box] += water
        self.total[box] += water

    def move(self) -> None:
        egg, mass = self.chance.choice(list(self.lies_in)), self.chance.randint(700, 900)
        out_of, into = self.lies_in[egg], 3 - self.lies_in[egg]
        move_eggs(self.room.book, eggs=[EggId(egg)], box=EggBoxId(into), away=Mass(mass))
        if self.chance.random() < 0.3:
            undo_last(self.room.book)
            return
        self.lies_in[egg] = into
        self.total[out_of] -= mass
        self.total[into] += mass

    def remove(self) -> None:
        if len(self.lies_in) < 8:
            return
        egg, mass = self.chance.choice(list(self.lies_in)), self.chance.randint(700, 900)
        do_to_eggs(self.room.book, eggs=[EggId(egg)], what=EggDeed.REMOVED, away=Mass(mass))
        self.total[self.lies_in.pop(egg)] -= mass


@pytest.mark.parametrize("seed", range(8))
def test_what_is_told_is_what_happened(room: Room, seed: int) -> None:
    for line, start in (("80 81 82 83 84 85", 18_000), ("70 71 72 73 74 75", 15_000)):
        box = BoxDetails(start=Mass(start), water=Mass(2_700))
        lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line(line), box=box))
    room.clock.pass_(days=1)
    truth = Truth(room, random.Random(seed))
    for _ in range(30):
        truth.dry()
        room.clock.pass_(minutes=truth.chance.choice((1, 400, 1500)))
        truth.chance.choice((truth.weigh, truth.weigh, truth.pour, truth.move, truth.remove))()
        room.clock.pass_(minutes=1)
