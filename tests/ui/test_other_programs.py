"""What the window does when another program writes to its collection."""

from __future__ import annotations

from coilbook.operations.weighing import weigh
from coilbook.records.changes import Changes
from coilbook.records.quantities import Mass
from coilbook.storage.collection import Collection
from coilbook.ui.desk import Desk
from coilbook.ui.other_programs import OtherPrograms
from tests.operations.conftest import Clock, Room


def test_acts_of_another_program_are_noticed_once(desk: Desk, room: Room, clock: Clock) -> None:
    heard: list[Changes] = []
    desk.bus.changed.connect(lambda changes, _origin: heard.append(changes))
    others = OtherPrograms(desk)
    others.begin()
    desk.run(weigh, animal=room.female, mass=Mass(21_000))
    others.look()
    assert [changes.everything for changes in heard] == [False], "its own acts are not another program's"
    with Collection.open(room.book.folder, clock) as other:
        weigh(other, animal=room.male, mass=Mass(8_000))
    others.look()
    others.look()
    assert [changes.everything for changes in heard] == [False, True]
    others.end()
