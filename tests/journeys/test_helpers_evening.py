"""A helper's feeding round of 60 tubs and its close next morning, through the real window and by its keys alone."""

from __future__ import annotations

import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from coilbook.derived import summary
from coilbook.labels.code import LabelCode
from coilbook.operations.people import add_person
from coilbook.reads.codes import code_of
from coilbook.records.vocabulary import CodeKind, PersonRole
from coilbook.storage.collection import Collection
from coilbook.ui.background import InlineBackground
from coilbook.ui.desk import Desk, DeskParts
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.round import RoundScreen
from tests.journeys.evening_room import EVENING, EveningRoom, evening_room
from tests.operations.conftest import Clock

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

#: who refused, and the key of the reason the helper saw
REFUSED = {"F-003": "G", "F-014": "G", "F-021": "G", "M-07": "S", "M-09": "S", "J-15": "O", "J-22": "O"}


class Evening:
    """The window, its keys counted, and the round in it."""

    def __init__(self, book: Collection, clock: Clock, room: EveningRoom, window: MainWindow) -> None:
        self.book, self.clock, self.room, self.window = book, clock, room, window
        self.keys = self.scans = 0
        self.screen = window.made("round")
        assert isinstance(self.screen, RoundScreen)
        self.walk = self.screen.walk

    def press(self, *keys: str | Qt.Key) -> None:
        for key in keys:
            self.keys += 1
            if isinstance(key, str):
                QTest.keyClick(self.window, key.lower())
            else:
                QTest.keyClick(self.window, key)

    def scan(self, code: LabelCode | None) -> None:
        assert code is not None
        self.scans += 1
        self.window.scans.scanned(code.text)

    def at_hand(self) -> str:
        animal = self.walk.animal
        return animal.keeper_id if animal is not None else ""

    def head(self) -> str:
        return self.screen.head.sentence.text()

    def results(self) -> Counter[str]:
        evening = EVENING.strftime("%Y-%m-%d")
        rows = self.book.read("SELECT result, count(*) FROM feeding WHERE at >= ? GROUP BY result", (evening,))
        return Counter(dict(rows))

    def taken_at(self, keeper_id: str) -> str:
        row = self.book.read_one("SELECT taken_at FROM animal_now WHERE animal = ?", (self.room.animals[keeper_id],))
        assert row is not None
        return str(row[0])


@pytest.fixture(scope="session")
def room_folder(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, EveningRoom]:
    """The room, built once; every test works on its own copy."""
    folder, clock = tmp_path_factory.mktemp("evening") / "book", Clock()
    with Collection.create(folder, clock) as book:
        summary.attach(book)
        for name, role in (("Wren", PersonRole.KEEPER), ("Teo", PersonRole.HELPER)):
            add_person(book, name=name, role=role)
        return folder, evening_room(book, clock)


@pytest.fixture
def evening(room_folder: tuple[Path, EveningRoom], tmp_path: Path, clock: Clock, qtbot: QtBot) -> Iterator[Evening]:
    shutil.copytree(room_folder[0], tmp_path / "book")
    clock.now = EVENING
    with Collection.open(tmp_path / "book", clock) as book:
        summary.attach(book)
        desk = Desk(DeskParts(book, InlineBackground()))
        window = MainWindow(desk, [RoundScreen])
        qtbot.addWidget(window)
        window.show()
        qtbot.waitExposed(window)
        window.activateWindow()
        desk.sit_down(next(p for p in desk.people if p.name == "Teo"))
        yield Evening(book, clock, room_folder[1], window)
        window.close()
        desk.background.close()


def feed_the_room(evening: Evening) -> None:
    """One key a rack for those who get a meal, two for each who does not."""
    for _rack in range(3):
        evening.press("A")
        left_out = evening.walk.animal
        assert left_out is not None
        evening.press("N", "B" if left_out.held == "blue" else "O")


def test_pull_list_leaves_out_blue_and_rest(evening: Evening) -> None:
    assert evening.head() == "Tub 1 of 60.   0 offered.   Still on the tray: 23 medium, 9 small, 25 weaned."


def test_round_of_sixty_tubs_in_nine_keys(evening: Evening) -> None:
    feed_the_room(evening)
    assert evening.keys == 9
    assert evening.results() == {"pending": 57, "not_offered": 3}
    reasons = evening.book.read("SELECT reason, note FROM feeding WHERE result = 'not_offered' ORDER BY id")
    assert reasons == [("blue", ""), ("blue", ""), ("", "at rest after a meal that came back")]
    assert evening.walk.finished
    assert evening.screen.finished.isVisible()


def test_pending_offers_are_not_meals(evening: Evening) -> None:
    before = evening.taken_at("F-001")
    feed_the_room(evening)
    assert evening.taken_at("F-001") == before


def test_everything_stands_under_the_helpers_name(evening: Evening) -> None:
    feed_the_room(evening)
    newest = evening.book.read("SELECT DISTINCT person_name FROM act WHERE kind IN ('offer_rack', 'offer_feeding')"
                               " AND at >= '2026-03-29'")  # fmt: skip
    assert newest == [("Teo",)]


def close_the_morning(evening: Evening) -> None:
    """Scan the tubs with a meal left, say why; then one key a rack for the rest."""
    evening.clock.pass_(hours=11, minutes=50)
    evening.window.open_screen("round")
    for keeper_id, why in REFUSED.items():
        evening.scan(code_of(evening.book, CodeKind.ANIMAL, evening.room.animals[keeper_id]))
        assert evening.at_hand() == keeper_id
        evening.press("R", why)
    for rack in evening.room.racks:
        assert evening.walk.to_rack(rack)
        evening.screen.show_walk()
        evening.press("A")


def test_morning_close_by_scan_and_key(evening: Evening) -> None:
    feed_the_room(evening)
    evening.keys = 0
    close_the_morning(evening)
    assert evening.results() == {"taken": 50, "refused": 7, "not_offered": 3}
    assert (evening.scans, evening.keys) == (7, 17)
    assert evening.taken_at("F-001").startswith("2026-03-29T20:10")
    assert evening.taken_at("F-003").startswith("2026-03-19")
    assert evening.screen.finished.isVisible()
    assert "3 medium, 2 small, 2 weaned" in evening.screen.finished.back.text()


def test_morning_close_by_keys_alone_goes_tub_by_tub(evening: Evening) -> None:
    feed_the_room(evening)
    evening.clock.pass_(hours=12)
    evening.window.open_screen("round")
    evening.keys = 0
    for _tub in range(57):
        who = evening.at_hand()
        if who in REFUSED:
            evening.press("R", REFUSED[who])
        else:
            evening.press("L" if who == "F-002" else "T")
    assert evening.results() == {"taken": 49, "taken_late": 1, "refused": 7, "not_offered": 3}
    assert evening.keys == 50 + 14


def test_meal_intervals_start_at_the_offer(evening: Evening) -> None:
    feed_the_room(evening)
    close_the_morning(evening)
    due = evening.book.read_one("SELECT next_due FROM animal_now WHERE animal = ?", (evening.room.animals["F-001"],))
    assert due == ("2026-04-08",)


def test_one_undo_takes_a_whole_rack_back(evening: Evening) -> None:
    evening.press("A")
    assert evening.results()["pending"] == 19
    evening.press("U")
    assert evening.results()["pending"] == 0
    assert evening.head().startswith("Tub 1 of 60.   0 offered.")
