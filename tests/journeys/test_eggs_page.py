"""The page of eggs: no word cut off, thumbs in the room, the incubator asked where there are several, loaded beside."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QAbstractButton, QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.operations.eggs import EggSeen, do_to_eggs, look_at_eggs
from coilbook.operations.hatching import OfEgg, hatch_eggs
from coilbook.operations.incubators import IncubatorDetails, add_incubator
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import Dents, EggDeed, HatchEvent, Veins, Verdict
from coilbook.records.ids import EggBoxId, EggId, IncubatorId
from coilbook.records.settings import Theme
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.ui.animal.choice_strip import ChoiceStrip
from coilbook.ui.eggs.entries import IN_NONE
from coilbook.ui.main_window import MainWindow
from coilbook.ui.margin_body import MarginBody
from coilbook.ui.screens.eggs import EggsScreen
from coilbook.ui.theme import TARGET
from tests.journeys.eggs_keeper import texts_of

LOOKS = (
    EggSeen(verdict=Verdict.DEAD, veins=Veins.NONE, dents=Dents.DEEP),
    EggSeen(verdict=Verdict.DOUBTFUL, veins=Veins.FAINT, mould=True),
    EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR),
)


def incubator(book: Collection, name: str) -> IncubatorId:
    return add_incubator(book, details=IncubatorDetails(name=name, shelves=("top",))).value


def page(window: MainWindow, book: Collection) -> EggsScreen:
    """A clutch of three with long words, in the only incubator."""
    first = incubator(book, "Incubator 1")
    lay_clutch(book, laying=Laying(dam=None, eggs=read_egg_line("78 84 78"), box=BoxDetails(incubator=first)))
    ids = [EggId(row) for (row,) in book.read("SELECT id FROM egg ORDER BY number")]
    look_at_eggs(book, looks=dict(zip(ids, LOOKS)))
    window.open_screen("eggs")
    screen = window.screen_open
    assert isinstance(screen, EggsScreen)
    return screen


@pytest.mark.parametrize("size", [(1440, 900), (1280, 800)])
@pytest.mark.parametrize("theme", [Theme.LIGHT, Theme.DIM])
def test_no_word_is_cut_off_in_the_table(
    window: MainWindow, book: Collection, size: tuple[int, int], theme: Theme
) -> None:
    screen = page(window, book)
    window.resize(*size)
    screen.desk.theme.follow(replace(screen.desk.settings, theme=theme))
    window.settle()
    QApplication.processEvents()
    table = screen.page.table
    columns = table.columns()
    assert columns
    bold = QFontMetrics(screen.desk.theme.font(bold=True))
    for day, _left, width in columns:
        texts = texts_of(table, day)
        assert texts and all(bold.horizontalAdvance(text) <= width for text in texts), (day, texts, width)
    assert "no veins, dead +1" in texts_of(table, columns[-1][0])


def test_in_the_room_everything_is_a_thumb_high(window: MainWindow, book: Collection) -> None:
    screen = page(window, book)
    screen.desk.theme.follow(replace(screen.desk.settings, theme=Theme.DIM))
    window.settle()
    QApplication.processEvents()
    least = screen.desk.theme.px(TARGET)
    buttons = [b for b in screen.findChildren(QAbstractButton) if b.isVisible()]
    assert len(buttons) >= 3 and all(button.height() >= least for button in buttons)
    assert screen.page.table.height() >= 4 * least


def test_in_the_room_a_small_egg_is_pressed_with_a_thumb(window: MainWindow, book: Collection) -> None:
    """Fourteen eggs lie smaller than a thumb: a press beside one still means it, at the desk only one on it."""
    screen = page(window, book)
    lay_clutch(book, laying=Laying(dam=None, eggs=read_egg_line("36s " * 14), box=BoxDetails(label="Full")))
    screen.desk_eggs.read()
    screen.desk_eggs.choose_box(next(box.id for box in screen.desk_eggs.now.boxes if box.label == "Full"))
    screen.show_now()
    view = screen.page.open_box
    first = screen.at.eggs[0]
    area = view._area(first)
    above = QPointF(area.center().x(), area.top() - 3)
    assert area.height() < TARGET and view.egg_at(above) is None and view.egg_at(area.center()) == first
    screen.desk.theme.follow(replace(screen.desk.settings, theme=Theme.DIM))
    window.settle()
    QApplication.processEvents()
    area = view._area(first)
    assert view.egg_at(QPointF(area.center().x(), area.top() - 3)) == first


def test_a_new_box_goes_to_the_incubator_chosen_or_to_none(window: MainWindow, book: Collection) -> None:
    screen = page(window, book)
    screen.begin("box")
    form = screen.room.form
    assert form is not None
    strip = form.rows["incubator"].editor
    assert isinstance(strip, ChoiceStrip) and strip.value == 1
    strip.choose(IN_NONE)
    form.saved.emit()
    assert book.read("SELECT incubator_id FROM egg_box ORDER BY id") == [(1,), (None,)]
    assert [box.incubator for box in screen.at.now.boxes if box.id == 2] == [None]
    screen.desk.undo()
    screen.desk_eggs.choose_box(EggBoxId(1))
    second = incubator(book, "Incubator 2")
    screen.desk_eggs.read()
    screen.begin("box")
    form = screen.room.form
    assert form is not None
    strip = form.rows["incubator"].editor
    assert isinstance(strip, ChoiceStrip) and strip.value == 1  # that of the box in focus
    strip.choose(second)
    form.saved.emit()
    assert book.read("SELECT incubator_id FROM egg_box ORDER BY id") == [(1,), (second,)]


def test_the_incubator_at_hand_is_corrected_by_key(window: MainWindow, book: Collection, qtbot: QtBot) -> None:
    screen = page(window, book)
    qtbot.keyClick(window, Qt.Key.Key_F2, Qt.KeyboardModifier.ControlModifier)
    form = screen.room.form
    assert form is not None
    typed = {name: row.editor.text() for name, row in form.rows.items() if isinstance(row.editor, QLineEdit)}
    assert typed == {"name": "Incubator 1", "set": "", "shelves": "top", "per_shelf": "3", "note": ""}
    for name, text in (("name", "Warm one"), ("set", "31.5"), ("shelves", "top, low"), ("per_shelf", "4")):
        form.set_text(name, text)
    form.saved.emit()
    sql = "SELECT name, set_tenths, shelves, per_shelf FROM incubator"
    assert book.read(sql) == [("Warm one", 315, "top\nlow", 4)]
    assert screen.room.form is None and screen.at.incubator is not None and screen.at.incubator.name == "Warm one"
    screen.begin("correct_incubator")
    again = screen.room.form
    assert again is not None and "31.5" in str(again.rows["set"].editor.text())  # type: ignore[attr-defined]
    again.set_text("set", "")
    again.saved.emit()
    assert book.read(sql) == [("Warm one", None, "top\nlow", 4)]


def test_a_long_name_widens_neither_the_shelves_nor_the_margin(window: MainWindow, book: Collection) -> None:
    screen = page(window, book)
    long = "SNOWDROP-2019-EAST-ROOM-F7"
    dam = add_animal(book, details=AnimalDetails(keeper_id=long, sex=Sex.FEMALE)).value
    box = BoxDetails(label="East room box 2026 number 12", incubator=IncubatorId(1))
    lay_clutch(book, laying=Laying(dam=dam, eggs=read_egg_line("78 84? 36s " * 4), box=box))
    window.resize(1440, 900)
    window.open_screen("eggs", box=2)
    QApplication.processEvents()
    shelves = screen.page._shelf_side
    inside = shelves.widget()
    assert inside is not None and inside.minimumSizeHint().width() <= shelves.viewport().width()
    window.open_screen("season", animal=dam)
    QApplication.processEvents()
    for body in window.margin.findChildren(MarginBody):
        assert body.minimumSizeHint().width() <= window.margin.width()


def test_an_entry_dated_before_the_laying_is_refused_in_words_and_stays_typed(
    window: MainWindow, book: Collection
) -> None:
    screen = page(window, book)
    screen.choose_egg(EggId(1))
    looks = book.read("SELECT count(*) FROM egg_look")
    screen.begin("egg_look")
    form = screen.room.form
    assert form is not None
    form.set_text("at", "2020-03-01 10:00")
    form.set_text("note", "a dent near the top")
    form.saved.emit()
    assert screen.room.form is form and "before that" in form._wrong.text()
    typed = {name: form.rows[name].editor.text() for name in ("note", "at")}  # type: ignore[attr-defined]
    assert typed == {"note": "a dent near the top", "at": "2020-03-01 10:00"}
    assert book.read("SELECT count(*) FROM egg_look") == looks
    form.set_text("at", "")
    form.saved.emit()
    assert screen.room.form is None
    assert book.read("SELECT note FROM egg_look ORDER BY id DESC LIMIT 1") == [("a dent near the top",)]


def test_what_a_candling_saw_is_not_lost_when_it_cannot_be_written(window: MainWindow, book: Collection) -> None:
    screen = page(window, book)
    screen.candle()
    screen.judge("G")
    assert screen.candling is not None and screen.candling.seen
    seen = dict(screen.candling.seen)
    do_to_eggs(book, eggs=list(seen), what=EggDeed.REMOVED)
    screen.keep_candling()
    assert screen.candling is not None and screen.candling.seen == seen
    notice = window.desk.notices.current
    assert notice is not None and "taken out" in window.desk.render(notice.message)


def test_on_a_laptop_in_large_type_nothing_is_scrolled_sideways_and_what_hatched_is_whole(
    window: MainWindow, book: Collection
) -> None:
    screen = page(window, book)
    do_to_eggs(book, eggs=[EggId(2)], what=EggDeed.DAMP_COVER, how="moss")
    hatch_eggs(book, eggs=[OfEgg(EggId(2))], event=HatchEvent.DEAD_IN_SHELL)
    do_to_eggs(book, eggs=[EggId(1), EggId(3)], what=EggDeed.DAMP_COVER, how="moss")
    window.resize(1280, 800)
    window.desk.theme.follow(replace(window.desk.settings, text_scale_percent=150))
    window.settle()
    window.open_screen("animals")
    window.open_screen("eggs")
    for part in ("eggs", "story", "doubts", "helped"):
        if part == "story":
            screen.story()
        elif part != "eggs":
            screen.turn_to(part)
        for _ in range(3):
            QApplication.processEvents()
        assert window._holders["eggs"].horizontalScrollBar().maximum() == 0, part
    table = screen.overall.helped
    column = next(c for c in range(6) if "Hatched" in str(table.rows.headerData(c, Qt.Orientation.Horizontal)))
    words = str(table.rows.index(0, column).data(Qt.ItemDataRole.DisplayRole))
    assert words == "0 of 2, 0\u201357%; 1 to come"
    assert QFontMetrics(table.font()).horizontalAdvance(words) + 24 <= table.columnWidth(column)
