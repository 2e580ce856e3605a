"""What scans do in the window: records open, a move waits for its confirmation, unknown codes get their own answer."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from coilbook.labels.code import LabelCode, nth_body
from coilbook.labels.symbol import QUIET_MODULES, symbol
from coilbook.operations.departures import sell
from coilbook.operations.undo import undo_act
from coilbook.reads.codes import code_of
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.vocabulary import CodeKind
from coilbook.ui import scan_desk
from coilbook.ui.main_window import MainWindow
from coilbook.ui.notices import NoticeKind
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow
from tests.ui.frame_screens import ListScreen, PageScreen


class Ear:
    """Counts what would be heard."""

    def __init__(self) -> None:
        self.heard: list[str] = []

    def good(self) -> None:
        self.heard.append("good")

    def bad(self) -> None:
        self.heard.append("bad")


@pytest.fixture
def ear() -> Ear:
    return Ear()


@pytest.fixture
def scanning(make_window: MakeWindow, ear: Ear) -> MainWindow:
    return make_window(ListScreen, PageScreen, sounds=ear)


def _card(room: Room, animal: AnimalId) -> str:
    code = code_of(room.book, CodeKind.ANIMAL, animal)
    assert code is not None
    return code.text


def _slot(room: Room, place: PlaceId) -> str:
    code = code_of(room.book, CodeKind.SLOT, place)
    assert code is not None
    return code.text


def _said(window: MainWindow) -> str:
    notice = window.desk.notices.current
    return window.desk.render(notice.message) if notice is not None else ""


def test_an_animals_code_opens_her_record(scanning: MainWindow, room: Room, ear: Ear) -> None:
    scanning.scans.scanned(_card(room, room.female))
    page = scanning.screen_open
    assert isinstance(page, PageScreen) and page.animal == room.female
    assert ear.heard == ["good"]


def test_a_link_that_ends_in_the_code_opens_her_too(scanning: MainWindow, room: Room) -> None:
    scanning.take_words([f"HTTPS://EXAMPLE.ORG/A/{_card(room, room.male)}"])
    page = scanning.screen_open
    assert isinstance(page, PageScreen) and page.animal == room.male


def test_the_open_screen_may_take_a_scan(scanning: MainWindow, room: Room) -> None:
    scanning.open_screen("animal")
    page = scanning.screen_open
    assert isinstance(page, PageScreen)
    page.takes_scans = True
    scanning.scans.scanned(_card(room, room.female))
    assert [found.animal for found in page.scans] == [room.female] and page.animal is None


def test_a_slot_says_who_is_here(scanning: MainWindow, room: Room) -> None:
    scanning.scans.scanned(_slot(room, room.slots["R2-B3"]))
    assert _said(scanning) == "R2-B3 is empty."
    scanning.scans.scanned(_slot(room, room.slots["R2-A1"]))
    assert _said(scanning) == "R2-A1: F-014"


def test_animal_then_slot_offers_a_move_and_only_its_confirmation_moves(
    scanning: MainWindow, room: Room, qtbot: QtBot
) -> None:
    where = "SELECT place_id FROM animal WHERE id = ?"
    scanning.scans.scanned(_card(room, room.female))
    scanning.scans.scanned(_slot(room, room.slots["R2-B3"]))
    assert _said(scanning) == "F-014, then R2-B3: move?"
    assert room.book.read(where, (room.female,)) == [(room.slots["R2-A1"],)]
    scanning.foot.choose(0)
    assert room.book.read(where, (room.female,)) == [(room.slots["R2-B3"],)]
    scanning.foot.choose(0)
    scanning.desk.undo()
    assert room.book.read(where, (room.female,)) == [(room.slots["R2-A1"],)]


def test_the_offer_to_move_does_not_stand_for_ever(
    scanning: MainWindow, room: Room, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scan_desk, "OFFER_STANDS_MS", 30)
    scanning.scans.scanned(_card(room, room.female))
    scanning.scans.scanned(_slot(room, room.slots["R2-B3"]))
    assert scanning.desk.notices.current is not None
    qtbot.waitUntil(lambda: scanning.desk.notices.current is None)
    scanning.foot.choose(0)
    where = room.book.read("SELECT place_id FROM animal WHERE id = ?", (room.female,))
    assert where == [(room.slots["R2-A1"],)]


def test_an_animal_scanned_long_ago_is_not_moved(
    scanning: MainWindow, room: Room, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scan_desk, "OFFER_STANDS_MS", 1)
    scanning.scans.scanned(_card(room, room.female))
    qtbot.wait(30)
    scanning.scans.scanned(_slot(room, room.slots["R2-B3"]))
    assert _said(scanning) == "R2-B3 is empty."


def test_what_is_no_code_is_refused_with_the_bad_sound(scanning: MainWindow, ear: Ear) -> None:
    scanning.scans.scanned("HELLO")
    notice = scanning.desk.notices.current
    assert notice is not None and notice.kind is NoticeKind.REFUSED
    assert ear.heard == ["bad"]


def test_a_code_of_another_collection_says_so(scanning: MainWindow, room: Room) -> None:
    body = next(found for n in range(9000, 9100) if (found := nth_body(CodeKind.ANIMAL, n)) is not None)
    scanning.scans.scanned(LabelCode(CodeKind.ANIMAL, body).text)
    assert "another collection" in _said(scanning)


def test_a_sold_animal_opens_with_a_word_about_it(scanning: MainWindow, room: Room) -> None:
    sell(room.book, animal=room.female)
    scanning.scans.scanned(_card(room, room.female))
    page = scanning.screen_open
    assert isinstance(page, PageScreen) and page.animal == room.female
    assert _said(scanning).startswith("F-014 was sold (29 Mar 2026)")


def test_an_undone_animals_card_says_that_it_was_taken_back(scanning: MainWindow, room: Room) -> None:
    card = _card(room, room.male)
    added = room.book.read("SELECT act FROM change WHERE tbl = 'animal' AND row = ? AND op = 'I'", (room.male,))
    undo_act(room.book, act=added[0][0], together=True)
    scanning.scans.scanned(card)
    assert "taken back by an undo on 29 Mar 2026" in _said(scanning)


def _picture(text: str) -> Image.Image:
    drawn = symbol(text)
    side = drawn.modules_with_quiet
    picture = Image.new("RGB", (side * 6, side * 6), "white")
    pen = ImageDraw.Draw(picture)
    for run in drawn.dark:
        left, top = (run.x + QUIET_MODULES) * 6, (run.y + QUIET_MODULES) * 6
        pen.rectangle((left, top, left + run.width * 6 - 1, top + run.height * 6 - 1), fill="black")
    return picture


def test_a_dropped_picture_of_a_card_opens_her(scanning: MainWindow, room: Room, tmp_path: Path) -> None:
    _picture(_card(room, room.female)).save(tmp_path / "card.png")
    scanning.take_files([tmp_path / "card.png"])
    page = scanning.screen_open
    assert isinstance(page, PageScreen) and page.animal == room.female


def test_a_picture_without_a_code_says_so(scanning: MainWindow, tmp_path: Path) -> None:
    Image.new("RGB", (64, 64), "white").save(tmp_path / "blank.png")
    scanning.take_files([tmp_path / "blank.png"])
    assert _said(scanning) == "No code was found in blank.png."


def test_the_clipboard_is_read_as_picture_and_as_text(scanning: MainWindow, room: Room, tmp_path: Path) -> None:
    _picture(_card(room, room.male)).save(tmp_path / "card.png")
    QApplication.clipboard().setImage(QImage(str(tmp_path / "card.png")))
    scanning.pictures.read_clipboard()
    page = scanning.screen_open
    assert isinstance(page, PageScreen) and page.animal == room.male
    QApplication.clipboard().setText(_card(room, room.female))
    scanning.pictures.read_clipboard()
    assert page.animal == room.female
    QApplication.clipboard().clear()
    scanning.pictures.read_clipboard()
    assert "clipboard" in _said(scanning)


def test_two_sound_readings_are_asked_about(scanning: MainWindow, room: Room) -> None:
    scanning.scans.doubtful((_card(room, room.female), _card(room, room.male)))
    notice = scanning.desk.notices.current
    assert notice is not None and len(notice.choices) == 2
    scanning.foot.choose(1)
    page = scanning.screen_open
    assert isinstance(page, PageScreen) and page.animal == room.male
