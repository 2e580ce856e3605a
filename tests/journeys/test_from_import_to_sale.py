"""One animal from the old spreadsheet to its sale, in the real window and by its keys, and the way back from it all."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from coilbook.reads.lookup import animal_with_id
from coilbook.records.ids import AnimalId
from coilbook.storage.collection import Collection
from coilbook.ui.labels import making
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.backups import BackupsScreen
from coilbook.ui.screens.history import HistoryScreen
from coilbook.ui.screens.import_sheet import ImportScreen
from coilbook.ui.screens.registry import registered_screens
from coilbook.ui.screens.round import RoundScreen
from coilbook.wording.resources import demo_path
from tests.operations.conftest import Clock, content

if TYPE_CHECKING:
    from coilbook.ui.screen import Screen

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
WHO = "F-003"


class Keeper:
    """Somebody at the keyboard: types where the focus is, reads what stands in the foot."""

    def __init__(self, window: MainWindow, book: Collection, clock: Clock) -> None:
        self.window, self.book, self.clock = window, book, clock

    def press(self, *keys: Qt.Key | str, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        for key in keys:
            if isinstance(key, str):
                QTest.keyClicks(self.focus(), key, held)
            else:
                QTest.keyClick(self.focus(), key, held)
            QApplication.processEvents()

    @staticmethod
    def focus() -> QWidget:
        widget = QApplication.focusWidget()
        assert widget is not None, "the keyboard is nowhere"
        return widget

    def go(self, title: str) -> None:
        """To a screen by its place in the column; past the ninth, by its command."""
        column = [kind for kind in registered_screens() if kind.title]
        number = [kind.title for kind in column].index(title) + 1
        if number <= 9:
            QTest.keyClick(self.window, Qt.Key(Key.Key_0 + number), CTRL)
        else:
            self.window.open_screen(column[number - 1].key)
        QApplication.processEvents()

    def screen(self, kind: type[Screen]) -> Screen:
        shown = self.window.screen_open
        assert isinstance(shown, kind), f"{shown} is open"
        return shown

    def foot(self) -> str:
        told = self.window.desk.notices.current
        return self.window.desk.render(told.message) if told is not None else ""

    def undo(self) -> None:
        QTest.keyClick(self.window, Key.Key_Z, CTRL)
        QApplication.processEvents()

    def one(self, sql: str) -> object:
        row = self.book.read_one(sql, (self.animal,))
        return row[0] if row is not None else None

    @property
    def animal(self) -> AnimalId:
        found = animal_with_id(self.book, WHO)
        assert found is not None
        return found

    def page(self) -> AnimalScreen:
        """Find the animal in the line and open it."""
        QTest.keyClick(self.window, Key.Key_F, CTRL)
        field = self.focus()
        assert isinstance(field, QLineEdit)
        field.selectAll()
        self.press(WHO, Key.Key_Return)
        if not isinstance(self.window.screen_open, AnimalScreen):
            self.press(Key.Key_Return)
        shown = self.screen(AnimalScreen)
        assert isinstance(shown, AnimalScreen) and shown.page is not None
        assert shown.page.who.keeper_id == WHO
        return shown

    def log(self, letter: str, *keys: str) -> AnimalScreen:
        """Log a kind by its letter on the page; `keys` choose in the first strip."""
        page = self.screen(AnimalScreen)
        assert isinstance(page, AnimalScreen)
        self.press(Key.Key_Return, letter, *keys)
        return page

    def fill(self, name: str, text: str) -> None:
        page = self.screen(AnimalScreen)
        assert isinstance(page, AnimalScreen) and page.body.log.form is not None
        page.body.log.form.rows[name].editor.setFocus()
        self.press(text)


@pytest.fixture
def keeper(window: MainWindow, book: Collection, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Keeper:
    # the machine's own printers must not decide what a test sees
    monkeypatch.setattr(making, "printer_names", list)
    return Keeper(window, book, clock)


def bring_the_sheet(keeper: Keeper) -> None:
    """Import by key, every question answered with its first answer."""
    keeper.window.take_files([demo_path("old-records.xlsx")])
    screen = keeper.screen(ImportScreen)
    assert isinstance(screen, ImportScreen)
    asked = 0
    while screen.card.question is not None and screen.card.isVisible():
        asked += 1
        assert asked < 60, (screen.card.question, keeper.focus())
        keeper.press("1")
    assert asked > 5
    QTest.keyClick(keeper.window, Key.Key_Return, CTRL)
    QApplication.processEvents()


def make_a_rack_and_move_in(keeper: Keeper) -> None:
    keeper.go("Places")
    QTest.keyClick(keeper.window, Key.Key_N, CTRL)
    keeper.press("Q9", Key.Key_Tab, "A-B", Key.Key_Tab, "3", Key.Key_Return)
    page = keeper.page()
    keeper.log("M")
    keeper.fill("place", "Q9-B2")
    keeper.press(Key.Key_Return)
    assert page.facts()["place"].value == "Q9-B2"


def card_code(keeper: Keeper) -> str:
    """Print the cage card of the page to PDF and read it as a scanner would."""
    keeper.page()
    QTest.keyClick(keeper.window, Key.Key_L, CTRL)
    QTest.keyClick(keeper.window, Key.Key_S, CTRL)
    (paper,) = (keeper.book.folder / "papers").glob("*.pdf")
    document = pypdfium2.PdfDocument(paper)
    try:
        image = np.ascontiguousarray(document[0].render(scale=300 / 72).to_numpy()[:, :, :3])
    finally:
        document.close()
    texts = {read.text for read in zxingcpp.read_barcodes(image)}
    assert len(texts) == 1
    return texts.pop()


def test_from_the_old_sheet_to_the_sale_and_back(keeper: Keeper, tmp_path: Path) -> None:
    assert keeper.book.read_one("SELECT count(*) FROM animal") == (0,)
    bring_the_sheet(keeper)
    imported = keeper.one("SELECT count(*) FROM animal WHERE id <> ?1 OR id = ?1")
    assert isinstance(imported, int) and imported > 150
    make_a_rack_and_move_in(keeper)
    code = card_code(keeper)

    # that evening: the card brings her to hand in the round, one key logs the offer
    keeper.go("Round")
    keeper.window.scans.scanned(code)
    walk = keeper.screen(RoundScreen).walk  # type: ignore[attr-defined]
    assert walk.animal is not None and walk.animal.keeper_id == WHO
    keeper.press("L")
    assert keeper.one("SELECT result FROM feeding WHERE animal_id = ? ORDER BY id DESC LIMIT 1") == "pending"

    page = keeper.page()
    weigh_wrong_then_right(keeper, page)
    refuse_and_give_back(keeper)
    shed_note_and_photo(keeper, tmp_path)
    take_back_several(keeper)
    sell_and_scan(keeper, code)
    come_back(keeper)
    look_at_history_and_restore(keeper)


def weigh_wrong_then_right(keeper: Keeper, page: AnimalScreen) -> None:
    """A slip of a digit is asked about and can be typed again; nothing is written until then."""
    before = keeper.one("SELECT count(*) FROM weight WHERE animal_id = ?")
    last = keeper.one("SELECT mass_dg FROM weight WHERE animal_id = ? ORDER BY at DESC, id DESC LIMIT 1")
    assert isinstance(last, int)
    right = last // 10
    keeper.log("W")
    keeper.press(str(right // 10), Key.Key_Return)
    assert keeper.one("SELECT count(*) FROM weight WHERE animal_id = ?") == before
    assert page.body.log.room.question is not None
    keeper.press(Key.Key_Escape)
    form = page.body.log.form
    assert form is not None, "what was typed is still there"
    field = form.rows["mass"].editor
    assert isinstance(field, QLineEdit) and field.text() == str(right // 10)
    field.setFocus()
    field.selectAll()
    keeper.press(str(right), Key.Key_Return)
    newest = keeper.one("SELECT mass_dg FROM weight WHERE animal_id = ? ORDER BY id DESC LIMIT 1")
    assert newest == right * 10


def refuse_and_give_back(keeper: Keeper) -> None:
    keeper.clock.pass_(hours=30)
    keeper.log("F", "R")
    keeper.press(Key.Key_Return)
    assert keeper.one("SELECT result FROM feeding WHERE animal_id = ? ORDER BY id DESC LIMIT 1") == "refused"
    keeper.clock.pass_(hours=30)
    keeper.log("F", "T")
    keeper.fill("prey", "small rat")
    keeper.press(Key.Key_Return)
    keeper.clock.pass_(hours=40)
    keeper.log("B")
    keeper.press(Key.Key_Return)
    assert keeper.one("SELECT count(*) FROM regurgitation WHERE animal_id = ?") == 1
    assert "came back" in keeper.foot()


def shed_note_and_photo(keeper: Keeper, tmp_path: Path) -> None:
    keeper.log("S", "C")
    keeper.press(Key.Key_Return)
    page = keeper.log("N")
    keeper.press("Pushes her bowl over.")
    QTest.keyClick(keeper.focus(), Key.Key_Return, CTRL)
    assert keeper.one("SELECT text FROM note WHERE animal_id = ? ORDER BY id DESC LIMIT 1") == "Pushes her bowl over."
    Image.new("RGB", (640, 480), (180, 140, 90)).save(tmp_path / "top.jpg")
    keeper.window.take_files([tmp_path / "top.jpg"])
    assert keeper.one("SELECT count(*) FROM photo WHERE animal_id = ?") == 1
    # the newest entry is corrected where it stands; the old value stays in the journal
    entry = next(e for e in page.body.timeline.shown if e.table == "note")
    page.correct(entry)
    form = page.body.editing.form
    assert form is not None
    form.set_text("text", "")
    editor = form.rows["text"].editor
    editor.setFocus()
    QTest.keyClick(editor, Key.Key_A, CTRL)
    QTest.keyClicks(editor, "Pushes her hide over.")
    QTest.keyClick(editor, Key.Key_Return, CTRL)
    assert keeper.one("SELECT text FROM note WHERE animal_id = ? ORDER BY id DESC LIMIT 1") == "Pushes her hide over."


def take_back_several(keeper: Keeper) -> None:
    """Correction, photo and note go, newest first; then each is done again."""
    text = "SELECT text FROM note WHERE animal_id = ? ORDER BY id DESC LIMIT 1"
    whole = content(keeper.book)
    keeper.undo()
    assert keeper.one(text) == "Pushes her bowl over."
    keeper.undo()
    assert keeper.one("SELECT count(*) FROM photo WHERE animal_id = ?") == 0
    keeper.undo()
    assert keeper.one(text) != "Pushes her bowl over."
    for _ in range(3):
        QTest.keyClick(keeper.window, Key.Key_Z, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert content(keeper.book) == whole


def sell_and_scan(keeper: Keeper, code: str) -> None:
    keeper.page()
    keeper.log("D", "S")
    keeper.fill("person", "Greta")
    keeper.fill("price", "450")
    keeper.press(Key.Key_Return)
    assert keeper.one("SELECT status FROM animal WHERE id = ?") == "sold"
    keeper.go("Animals")
    keeper.window.scans.scanned(code)
    keeper.screen(AnimalScreen)
    assert "sold" in keeper.foot() and WHO in keeper.foot()


def come_back(keeper: Keeper) -> None:
    keeper.clock.pass_(hours=48)
    keeper.log("D")
    keeper.press(Key.Key_Return)
    assert keeper.one("SELECT status FROM animal WHERE id = ?") == "here"


def look_at_history_and_restore(keeper: Keeper) -> None:
    keeper.page()
    keeper.window.open_screen("history", animal=int(keeper.animal))
    history = keeper.screen(HistoryScreen)
    assert isinstance(history, HistoryScreen)
    told = [str(history.model.index(n, 2).data()) for n in range(history.model.rowCount())]
    assert any("sold" in line for line in told) and any("weighed" in line for line in told)
    keeper.go("Backups")
    QTest.keyClick(keeper.window, Key.Key_N, CTRL)
    backups = keeper.screen(BackupsScreen)
    assert isinstance(backups, BackupsScreen) and backups.model.rowCount() == 1
    saved = content(keeper.book)
    keeper.page()
    keeper.log("D", "D")
    keeper.press(Key.Key_Return)
    later = content(keeper.book)
    assert later != saved
    keeper.go("Backups")
    QTest.keyClick(keeper.window, Key.Key_R, CTRL)
    assert content(keeper.book) == saved
    assert keeper.one("SELECT status FROM animal WHERE id = ?") == "here"
    keeper.undo()
    assert content(keeper.book) == later
