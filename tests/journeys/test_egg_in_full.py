"""Everything a keeper can see of one egg is entered by keyboard, and stands in its history; so is its box corrected."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from coilbook.operations.undo import undo_last
from coilbook.records.egg_vocabulary import Dents, Medium, Veins, Verdict
from coilbook.records.ids import EggId
from coilbook.storage.check import check
from coilbook.storage.collection import Collection
from coilbook.ui.animal.choice_strip import ChoiceStrip
from coilbook.ui.eggs import egg_entries
from coilbook.ui.eggs.entries import IN_NONE
from coilbook.ui.margin_content import Evidence, Fact, MarginSection
from tests.journeys.eggs_keeper import ENTER, SPACE, TAB, Keeper, keeper, lay, texts_of

__all__ = ["keeper"]
RIGHT = Qt.Key.Key_Right


def section(keeper: Keeper, heading: str) -> MarginSection:
    return next(s for s in keeper.screen.margin_content().sections if s.heading == heading)


def with_modifier(keeper: Keeper, key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
    QTest.keyClick(QApplication.focusWidget() or keeper.window, key, modifier)
    QApplication.processEvents()


def test_a_look_in_full_and_its_history(keeper: Keeper) -> None:
    lay(keeper)
    keeper.day(6)
    keeper.press("5", "v", RIGHT, RIGHT, TAB, RIGHT, RIGHT, RIGHT, TAB, RIGHT, RIGHT, RIGHT)
    keeper.press(TAB, RIGHT, RIGHT, TAB, RIGHT, TAB, RIGHT, TAB, RIGHT, RIGHT, TAB, "53", TAB, TAB, "soft end", ENTER)
    look = keeper.box().eggs[4].looks[-1]
    assert (look.verdict, look.veins, look.dents) == (Verdict.DOUBTFUL, Veins.NONE, Dents.DEEP)
    assert (look.thin_shell, look.wet, look.mould, look.turned) == (True, False, False, True)
    assert (look.mass_dg, look.note) == (530, "soft end")
    rows = [row.word for row in section(keeper, "Egg 5").rows if isinstance(row, Evidence)]
    assert rows == ["doubtful, 54 g", "no veins, doubtful, dent, window, turned, 53 g, soft end"]
    assert "no veins, doubtful +3" in texts_of(keeper.screen.page.table, 6)
    story = keeper.screen.page.story.accessibleDescription()
    assert "egg 5: no veins, doubtful, dent, window, turned, 53 g; soft end" in story


def test_a_look_that_says_nothing_is_asked_what_was_looked_at(keeper: Keeper) -> None:
    lay(keeper)
    keeper.press("5", "v", ENTER)
    assert keeper.screen.room.form is not None and len(keeper.box().eggs[4].looks) == 1


def test_not_looked_at_differs_from_looked_and_nothing(keeper: Keeper) -> None:
    lay(keeper)
    keeper.day(9)
    keeper.press("c", ".", SPACE, "u", "k", "g", ".", ENTER)
    looks = [egg.looks[1:] for egg in keeper.box().eggs[:4]]
    assert [len(one) for one in looks] == [1, 0, 1, 1]
    assert (looks[0][0].mould, looks[0][0].wet, looks[0][0].dents) == (False, False, Dents.NONE)
    assert (looks[2][0].mould, looks[2][0].wet, looks[2][0].verdict) == (True, True, Verdict.GOOD)
    assert sorted(texts_of(keeper.screen.page.table, 9)) == ["fine", "fine", "veins, mould +1"]


def test_an_egg_is_corrected_by_key(keeper: Keeper) -> None:
    lay(keeper)
    keeper.press("4")
    with_modifier(keeper, Qt.Key.Key_F2, Qt.KeyboardModifier.ShiftModifier)
    keeper.press(TAB, "58", TAB, "41", TAB, RIGHT, RIGHT, TAB, RIGHT, TAB, TAB, "ridge", ENTER)
    sql = "SELECT number, mass_dg, length_mm, width_mm, up_mark, twin_suspected, note FROM egg WHERE number = 4"
    assert keeper.book.read(sql) == [(4, 790, 58, 41, 1, 1, "ridge")]
    facts = {row.name: row.value for row in section(keeper, "Egg 4").rows if isinstance(row, Fact)}
    assert facts == {
        "Weight when laid": "79 g", "Size": "58 \u00d7 41 mm", "Its top is marked": "yes", "May hold twins": "yes",
    }  # fmt: skip
    assert {row.name: row.value for row in section_of(keeper, 1)}["Its top is marked"] == "not said"
    undo_last(keeper.book)
    assert keeper.book.read("SELECT up_mark, length_mm FROM egg WHERE number = 4") == [(None, None)]


def section_of(keeper: Keeper, number: int) -> list[Fact]:
    keeper.screen.choose_egg(EggId(number))
    return [row for row in section(keeper, f"Egg {number}").rows if isinstance(row, Fact)]


def test_a_box_is_corrected_and_put_elsewhere_by_key(keeper: Keeper) -> None:
    lay(keeper)
    with_modifier(keeper, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    form = keeper.screen.room.form
    assert form is not None
    form.set_text("shelf", "2")
    form.set_text("start", "1,864 g")
    keeper.press(ENTER)
    box = keeper.box()
    assert (box.label, box.shelf, box.spot, box.start_dg) == ("EB-01", 2, 1, 18_640)


def choose(keeper: Keeper, name: str, value: object) -> None:
    form = keeper.screen.room.form
    assert form is not None
    strip = form.rows[name].editor
    assert isinstance(strip, ChoiceStrip)
    strip.choose(value)


def test_what_is_emptied_in_a_correction_is_taken_away(keeper: Keeper) -> None:
    lay(keeper)
    keeper.press("4")
    with_modifier(keeper, Qt.Key.Key_F2, Qt.KeyboardModifier.ShiftModifier)
    keeper.press(TAB, "58", TAB, "41", TAB, RIGHT, RIGHT, ENTER)
    sql = "SELECT mass_dg, length_mm, width_mm, up_mark FROM egg WHERE number = 4"
    assert keeper.book.read(sql) == [(790, 58, 41, 1)]
    with_modifier(keeper, Qt.Key.Key_F2, Qt.KeyboardModifier.ShiftModifier)
    form = keeper.screen.room.form
    assert form is not None
    form.set_text("mass", "")
    form.set_text("width_mm", "")
    choose(keeper, "up_mark", None)
    keeper.press(ENTER)
    assert keeper.book.read(sql) == [(None, 58, None, None)]
    undo_last(keeper.book)
    assert keeper.book.read(sql) == [(790, 58, 41, 1)]


def test_the_day_a_clutch_was_laid_is_corrected_and_never_emptied(keeper: Keeper) -> None:
    lay(keeper)
    ((laid,),) = keeper.book.read("SELECT laid FROM clutch")
    keeper.press(Qt.Key.Key_F2)
    form = keeper.screen.room.form
    assert form is not None
    form.set_text("laid", "")
    form.set_text("note", "found late")
    keeper.press(ENTER)
    assert keeper.screen.room.form is form
    assert keeper.book.read("SELECT laid, note FROM clutch") == [(laid, "")]
    form.set_text("laid", "2 Jan 2026")
    keeper.press(ENTER)
    assert keeper.book.read("SELECT laid, note FROM clutch") == [("2026-01-02", "found late")]


def test_a_box_that_stands_in_none_is_corrected_there_and_one_is_taken_out(keeper: Keeper) -> None:
    lay(keeper)
    where = "SELECT incubator_id, shelf, spot, dry_dg FROM egg_box"
    with_modifier(keeper, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    form = keeper.screen.room.form
    assert form is not None
    form.set_text("dry", "300 g")
    choose(keeper, "incubator", IN_NONE)
    keeper.press(ENTER)
    assert keeper.book.read(where) == [(None, None, None, 3_000)]
    with_modifier(keeper, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    form = keeper.screen.room.form
    assert form is not None
    form.set_text("dry", "")
    keeper.press(ENTER)
    assert keeper.book.read(where) == [(None, None, None, None)]


def test_a_photo_before_stays_linked_with_what_was_done(
    keeper: Keeper, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, book: Collection
) -> None:
    lay(keeper)
    file = tmp_path / "mould.png"
    Image.new("RGB", (64, 48), (140, 100, 60)).save(file)
    monkeypatch.setattr(egg_entries, "chosen_picture", lambda _parent: file)
    keeper.press("2", "o", TAB, "dry swab", TAB, "mould", TAB, TAB, RIGHT, RIGHT, ENTER)
    (photo,) = keeper.box().eggs[1].photos
    (deed,) = keeper.box().deeds
    assert photo.before == deed.id and deed.how == "dry swab"
    assert "(photo before)" in keeper.screen.page.story.accessibleDescription()
    # the next one means the same picture by "the newest": it is kept once
    keeper.press("o", TAB, TAB, TAB, TAB, RIGHT, ENTER)
    (photo,) = keeper.box().eggs[1].photos
    assert photo.before == keeper.box().deeds[1].id != deed.id
    for _ in range(2):
        undo_last(book)
    assert keeper.book.read("SELECT (SELECT count(*) FROM photo), (SELECT count(*) FROM egg_done)") == [(0, 0)]
    assert check(book).clean


def test_a_photo_is_pasted_to_the_egg_in_focus(keeper: Keeper) -> None:
    lay(keeper)
    stream = io.BytesIO()
    Image.new("RGB", (32, 24), (140, 100, 60)).save(stream, "PNG")
    image = QImage()
    image.loadFromData(stream.getvalue())
    QGuiApplication.clipboard().setImage(image)
    keeper.press("3")
    with_modifier(keeper, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert [len(egg.photos) for egg in keeper.box().eggs][:4] == [0, 0, 1, 0]
    QGuiApplication.clipboard().clear()
    QTest.keyClick(keeper.screen, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    notice = keeper.window.desk.notices.current
    assert notice is not None and "no picture in the clipboard" in keeper.window.desk.render(notice.message)


def test_the_start_of_a_box_is_corrected_undone_and_kept_in_the_journal(keeper: Keeper, book: Collection) -> None:
    """A total typed seventy grams too high asks for water that was never lost, until it is corrected by key."""
    keeper.press("n", "F-014", TAB, "78 84", TAB, TAB, "1834", ENTER)
    keeper.day(7)
    keeper.press("l", "1758", ENTER)
    water = keeper.screen.at.now.water(keeper.box())
    assert water is not None and water.pour_dg == 760
    with_modifier(keeper, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    form = keeper.screen.room.form
    assert form is not None
    form.set_text("start", "1764")
    form.set_text("water", "450")
    strip = form.rows["medium"].editor
    assert isinstance(strip, ChoiceStrip)
    strip.choose(Medium.PERLITE)
    keeper.press(ENTER)
    box = keeper.box()
    assert (box.start_dg, box.water_dg, box.medium) == (17_640, 4_500, Medium.PERLITE)
    water = keeper.screen.at.now.water(box)
    assert water is not None and water.pour_dg == 60
    (before,) = book.read("SELECT before FROM change WHERE tbl = 'egg_box' AND op = 'U' ORDER BY id DESC LIMIT 1")
    kept = json.loads(before[0])
    assert (kept["start_dg"], kept["medium"]) == (18_340, "vermiculite")
    undo_last(book)
    assert (keeper.box().start_dg, keeper.box().medium) == (18_340, Medium.VERMICULITE)
    assert check(book).clean


def test_a_smell_belongs_to_the_box_until_it_is_traced_to_an_egg(keeper: Keeper) -> None:
    lay(keeper)
    keeper.day(9)
    keeper.press("l", TAB, TAB, TAB, TAB, RIGHT, RIGHT, ENTER)
    assert [(d.about, d.kind.value) for d in keeper.box().doubts if d.egg is None] == [("EB-01", "smell")]
    keeper.press("z", RIGHT, TAB, "egg 3", TAB, "smelt alone", ENTER)
    assert [d.about for d in keeper.box().doubts] == ["C26-01-5"]
    story = keeper.screen.page.story.accessibleDescription()
    assert "the box: an off smell; " in story and "settled of the box: which egg smells? egg 3, by smelt alone" in story


def test_two_clutches_in_a_box_are_told_apart_by_key(keeper: Keeper) -> None:
    keeper.press("n", "F-014", TAB, "80 81", TAB, TAB, "1800", ENTER)
    keeper.press("n", TAB, "82 83", TAB, "EB-01", ENTER)
    assert [clutch.label for clutch in keeper.box().clutches] == ["C26-01", "C26-02"]
    labels = []
    for _ in range(2):
        assert keeper.screen.at.clutch is not None
        labels.append(keeper.screen.at.clutch.label)
        keeper.press("q")
    assert sorted(labels) == ["C26-01", "C26-02"]
    keeper.day(6)
    keeper.press("c", "gg", ENTER, "q", "1", "d")
    assert [[look.verdict.value for look in egg.looks[1:]] for egg in keeper.box().eggs] == [
        ["good"], ["good"], ["doubtful"], [],
    ]  # fmt: skip
