"""Acts through the desk: told in the foot, taken back, asked about; nothing typed is lost on a refusal."""

from __future__ import annotations

import threading
from collections.abc import Callable

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from coilbook.operations.feeding import offer_feeding
from coilbook.operations.moving import move_animal
from coilbook.operations.people import add_person
from coilbook.operations.undo import RestsOn
from coilbook.operations.weighing import weigh
from coilbook.records.changes import Changes, Outcome
from coilbook.records.ids import PersonId
from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import FeedingResult
from coilbook.storage.collection import Collection
from coilbook.ui.background import Background
from coilbook.ui.desk import Desk, DeskParts
from coilbook.ui.notices import NoticeKind
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow
from tests.ui.frame_screens import ListScreen, PageScreen

Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]


def _weights(room: Room) -> int:
    return int(room.book.read("SELECT count(*) FROM weight")[0][0])


def test_an_act_is_told_published_and_taken_back(desk: Desk, room: Room) -> None:
    heard: list[tuple[Changes, object]] = []
    desk.bus.changed.connect(lambda changes, origin: heard.append((changes, origin)))
    origin = object()
    desk.run(weigh, animal=room.female, mass=Mass(20_140), origin=origin)
    notice = desk.notices.current
    assert notice is not None and notice.kind is NoticeKind.DONE and notice.act is not None
    assert "F-014" in desk.render(notice.message)
    assert heard[0][0].animals == {room.female} and heard[0][1] is origin
    assert _weights(room) == 2
    desk.undo()
    assert _weights(room) == 1
    assert desk.notices.undoable is None, "what was taken back is not offered again"


def test_undo_after_a_restart_takes_the_latest_act_of_the_book(desk: Desk, room: Room) -> None:
    weigh(room.book, animal=room.female, mass=Mass(20_140))
    desk.undo()
    assert _weights(room) == 1


def test_a_refusal_is_one_sentence_and_the_screen_hears_of_it(desk: Desk) -> None:
    refused: list[CoilbookError] = []
    desk.run(add_person, name=" ", on_refused=refused.append)
    notice = desk.notices.current
    assert notice is not None and notice.kind is NoticeKind.REFUSED
    assert desk.render(notice.message) == "A person needs a name."
    assert isinstance(refused[0], Refusal)


def test_a_screen_may_tell_a_refusal_itself(desk: Desk) -> None:
    desk.run(add_person, name=" ", on_refused=lambda error: True)
    assert desk.notices.current is None


def test_a_question_is_answered_by_running_the_act_again(make_window: MakeWindow, room: Room, qtbot: QtBot) -> None:
    window = make_window(ListScreen, PageScreen)
    window.desk.run(move_animal, animal=room.male, place=room.slots["R2-A1"])
    notice = window.desk.notices.current
    assert notice is not None and len(notice.choices) >= 1
    assert room.book.read("SELECT place_id FROM animal WHERE id = ?", (room.male,)) == [(room.slots["R2-A2"],)]
    qtbot.keyClick(window, Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    assert room.book.read("SELECT place_id FROM animal WHERE id = ?", (room.male,)) == [(room.slots["R2-A1"],)]


def test_acts_that_rest_on_one_are_named_and_undone_together(desk: Desk, room: Room) -> None:
    desk.run(offer_feeding, animal=room.female, result=FeedingResult.PENDING)
    offered = desk.notices.undoable
    assert offered is not None
    desk.run(offer_feeding, animal=room.female, result=FeedingResult.TAKEN)
    desk.undo(offered)
    notice = desk.notices.current
    assert notice is not None and notice.kind is NoticeKind.REFUSED
    assert desk.render(notice.choices[0].words) == "Undo 2 together"
    notice.choices[0].run()
    assert room.book.read("SELECT count(*) FROM feeding") == [(0,)]


def test_an_act_behind_a_long_one_is_written_after_it_and_said_to_wait(book: Collection, qtbot: QtBot) -> None:
    desk = Desk(DeskParts(book, Background()))
    gate = threading.Event()

    def long_one(collection: Collection, *, progress: Progress, cancelled: Cancelled) -> Outcome[PersonId]:
        progress(1, 2)
        assert gate.wait(10)
        return add_person(collection, name="Teo")

    desk.run_long(long_one, say("Importing"))
    desk.run(add_person, name="Juno")
    notice = desk.notices.current
    assert notice is not None and "Importing" in desk.render(notice.message)
    assert book.read("SELECT count(*) FROM person WHERE name <> 'Wren'") == [(0,)]
    gate.set()
    qtbot.waitUntil(lambda: not desk.background.busy)
    assert book.read("SELECT name FROM person ORDER BY id") == [("Wren",), ("Teo",), ("Juno",)]
    desk.background.close()
    desk.deleteLater()


def test_rests_on_is_a_refusal() -> None:
    assert issubclass(RestsOn, Refusal)


def test_the_foot_shows_undo_only_for_what_can_be_undone(make_window: MakeWindow, room: Room, qtbot: QtBot) -> None:
    window = make_window(ListScreen)
    window.desk.run(weigh, animal=room.female, mass=Mass(20_140))
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert _weights(room) == 1
    window.desk.run(add_person, name="")
    shown = window.desk.notices.current
    assert shown is not None and shown.kind is NoticeKind.REFUSED
