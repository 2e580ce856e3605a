"""History, places and settings, driven through the real window by keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from threading import current_thread
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import QApplication

from coilbook.husbandry.figures import FigureKey, Mark
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.care import write_note
from coilbook.operations.feeding import Prey, close_feedings, offer_feeding
from coilbook.operations.places import add_rack, add_room, edit_place
from coilbook.operations.settings import settings_of
from coilbook.operations.weighing import weigh
from coilbook.reads.codes import code_of
from coilbook.reads.export import ExportFormat
from coilbook.reads.people import people
from coilbook.reads.species_numbers import profile_of_collection
from coilbook.records.quantities import Mass, MassUnit
from coilbook.records.vocabulary import Act, CodeKind, FeedingResult, RefusalReason
from coilbook.storage.collection import Collection
from coilbook.ui.background import Background
from coilbook.ui.desk import Desk, DeskParts
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens import places as places_module
from coilbook.ui.screens.backups import BackupsScreen
from coilbook.ui.screens.history import HistoryScreen
from coilbook.ui.screens.places import PlacesScreen
from coilbook.ui.screens.settings import SettingsScreen
from tests.operations.conftest import Clock

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from tests.operations.conftest import Room

MakeWindow = Callable[..., MainWindow]


@pytest.fixture
def window(room: Room, make_window: MakeWindow) -> MainWindow:
    return make_window(PlacesScreen, HistoryScreen, BackupsScreen, SettingsScreen)


def _history(window: MainWindow) -> HistoryScreen:
    window.open_screen("history")
    screen = window.screen_open
    assert isinstance(screen, HistoryScreen)
    return screen


def _told(screen: HistoryScreen) -> list[str]:
    return [str(screen.model.index(n, 2).data()) for n in range(screen.model.rowCount())]


def test_history_tells_acts_newest_first_on_the_keepers_clock(room: Room, window: MainWindow) -> None:
    screen = _history(window)
    assert _told(screen) == ["M-03 added", "F-014 added", "rack R2 added with 6 slots", "Wren added"]
    assert str(screen.model.index(0, 0).data()) == "Sun 29 Mar 2026, 20:14"


def test_the_history_of_a_new_book_does_not_speak_of_a_filter(
    tmp_path: Path, make_desk: Callable[..., Desk], qtbot: QtBot
) -> None:
    with Collection.create(tmp_path / "new", Clock()) as collection:
        screen = HistoryScreen(make_desk(collection))
        qtbot.addWidget(screen)
        assert screen.margin_content().verdict == "Nothing was done yet"


def test_history_narrows_by_animal_act_person_and_date(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    room.clock.pass_(days=2)
    weigh(room.book, animal=room.female, mass=Mass(21_000))
    screen = _history(window)
    qtbot.keyClicks(screen.animal, "f-014")
    assert _told(screen) == ["F-014 weighed 2,100 g", "F-014 added"]
    screen.act.setCurrentIndex(screen.act.findData(Act.WEIGH.value))
    assert _told(screen) == ["F-014 weighed 2,100 g"]
    screen.act.setCurrentIndex(0)
    qtbot.keyClicks(screen.until, "29 Mar 2026")
    assert _told(screen) == ["F-014 added"]
    screen.person.setCurrentIndex(screen.person.findData("Wren"))
    assert _told(screen) == ["F-014 added"]


def test_what_is_wrong_with_a_filter_can_be_read_in_large_type(window: MainWindow, qtbot: QtBot) -> None:
    from dataclasses import replace

    window.resize(1440, 900)
    window.desk.theme.follow(replace(window.desk.settings, text_scale_percent=150))
    screen = _history(window)
    window.settle()
    qtbot.keyClicks(screen.animal, "Z-999")
    QApplication.processEvents()
    wrong = screen.fields[0]._wrong
    assert wrong.isVisible() and wrong.height() >= wrong.heightForWidth(wrong.width())
    assert wrong.geometry().top() >= screen.animal.geometry().bottom()


def test_a_filter_that_cannot_be_read_says_so_and_keeps_the_list(window: MainWindow, qtbot: QtBot) -> None:
    screen = _history(window)
    before = _told(screen)
    qtbot.keyClicks(screen.animal, "Z-1")
    assert _told(screen) == before
    assert screen.animal.property("bad") is True
    screen.animal.clear()
    qtbot.keyClicks(screen.since, "soon")
    assert screen.since.property("bad") is True


def test_history_takes_an_act_back_and_shows_it_undone(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    note = write_note(room.book, animal=room.female, text="calm")
    assert note.value
    screen = _history(window)
    screen.read()
    screen.table.setFocus()
    qtbot.keyClick(screen.table, Qt.Key.Key_Backspace, Qt.KeyboardModifier.ControlModifier)
    assert room.book.read("SELECT count(*) FROM note") == [(0,)]
    assert str(screen.model.index(0, 2).data()) == "undone: note on F-014 written"
    assert str(screen.model.index(1, 4).data()) == "undone"


def test_the_margin_says_what_stood_before(room: Room, window: MainWindow) -> None:
    from coilbook.operations.animals import edit_animal

    edit_animal(room.book, animal=room.female, details=AnimalDetails(name="Moss"))
    screen = _history(window)
    content = screen.margin_content()
    assert content.verdict == "F-014 corrected"
    assert content.sections[0].rows[0].value == "– → Moss"  # type: ignore[union-attr]


def test_a_long_history_is_fetched_as_the_keeper_walks(room: Room, window: MainWindow) -> None:
    for number in range(230):
        room.clock.pass_(minutes=1)
        write_note(room.book, animal=room.female, text=str(number))
    screen = _history(window)
    assert screen.model.rowCount() == 200
    from PySide6.QtCore import QModelIndex

    screen.model.fetchMore(QModelIndex())
    assert screen.model.rowCount() == 234
    assert screen.model.whole


def _places(window: MainWindow) -> PlacesScreen:
    window.open_screen("places")
    screen = window.screen_open
    assert isinstance(screen, PlacesScreen)
    return screen


def test_a_rack_is_added_by_keys_and_walked_with_the_arrows(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    screen = _places(window)
    qtbot.keyClick(screen.map, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    form = screen.forms.form
    assert form is not None
    for name, text in (("name", "R3"), ("rows", "A-B"), ("columns", "2")):
        qtbot.keyClicks(form.rows[name].editor, text)
    qtbot.keyClick(form.rows["columns"].editor, Qt.Key.Key_Return)
    assert screen.forms.form is None
    assert room.book.read("SELECT label FROM place WHERE label LIKE 'R3%' ORDER BY id") == [
        ("R3",), ("R3-A1",), ("R3-A2",), ("R3-B1",), ("R3-B2",),
    ]  # fmt: skip
    qtbot.keyClick(screen.map, Qt.Key.Key_Right)
    assert screen.map.place is not None and screen.map.place.label == "R2-A2"
    qtbot.keyClick(screen.map, Qt.Key.Key_Down)
    assert screen.map.place.label == "R2-B2"
    qtbot.keyClick(screen.map, Qt.Key.Key_Down)
    assert screen.map.place.label == "R3-A2"


def test_a_rack_that_cannot_be_keeps_what_was_typed(window: MainWindow, qtbot: QtBot) -> None:
    screen = _places(window)
    screen.ask_rack()
    form = screen.forms.form
    assert form is not None
    qtbot.keyClicks(form.rows["name"].editor, "R2")
    qtbot.keyClicks(form.rows["rows"].editor, "A-D")
    qtbot.keyClicks(form.rows["columns"].editor, "x")
    form.saved.emit()
    assert "number from 1 to 40" in form._wrong.text()
    form.rows["columns"].editor.clear()  # type: ignore[attr-defined]
    qtbot.keyClicks(form.rows["columns"].editor, "4")
    form.saved.emit()
    assert "place R2 already" in form._wrong.text()
    assert form.rows["rows"].editor.text() == "A-D"  # type: ignore[attr-defined]


def test_an_animal_is_moved_in_and_a_taken_slot_is_asked(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    screen = _places(window)
    screen.map.focus_on(room.slots["R2-B1"])
    screen.ask_animal()
    assert screen.forms.form is not None
    qtbot.keyClicks(screen.forms.form.rows["line"].editor, "m-03")
    screen.forms.form.saved.emit()
    assert room.book.read_one("SELECT place_id FROM animal WHERE id = ?", (room.male,)) == (room.slots["R2-B1"],)
    screen.map.focus_on(room.slots["R2-A1"])
    screen.ask_animal()
    qtbot.keyClicks(screen.forms.form.rows["line"].editor, "M-03")
    screen.forms.form.saved.emit()
    window.foot.choose(0)
    assert room.book.read_one("SELECT place_id FROM animal WHERE id = ?", (room.male,)) == (room.slots["R2-A1"],)


def test_rack_commands_work_by_key(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    screen = _places(window)
    screen.map.setFocus()
    qtbot.keyClick(screen.map, Qt.Key.Key_C)
    assert room.book.read("SELECT count(*) FROM cleaning") == [(6,)]
    qtbot.keyClick(screen.map, Qt.Key.Key_Q)
    assert room.book.read("SELECT count(*) FROM place WHERE quarantine = 1") == [(7,)]
    qtbot.keyClick(screen.map, Qt.Key.Key_F2)
    form = screen.forms.form
    assert form is not None
    editor = form.rows["line"].editor
    editor.clear()  # type: ignore[attr-defined]
    qtbot.keyClicks(editor, "R8")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    assert room.book.read_one("SELECT label FROM place WHERE id = ?", (room.slots["R2-A1"],)) == ("R8-A1",)


def test_a_slot_more_is_added_to_the_rack_in_focus_with_its_code(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    screen = _places(window)
    screen.map.focus_on(room.slots["R2-A1"])
    screen.map.setFocus()
    qtbot.keyClick(screen.map, Qt.Key.Key_A)
    form = screen.forms.form
    assert form is not None
    editor = form.rows["line"].editor
    assert editor.text() == "B4"  # type: ignore[attr-defined]
    editor.setText("a3")  # type: ignore[attr-defined]
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    assert "place R2-a3 already" in form._wrong.text()
    editor.setText("B4")  # type: ignore[attr-defined]
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    assert screen.forms.form is None and screen.map.place is not None and screen.map.place.label == "R2-B4"
    assert code_of(room.book, CodeKind.SLOT, screen.map.place.id) is not None
    window.desk.undo()
    assert room.book.read("SELECT count(*) FROM place WHERE kind = 'slot'") == [(6,)]


def test_settings_are_kept_at_once_and_undone(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    window.open_screen("settings")
    screen = window.screen_open
    assert isinstance(screen, SettingsScreen)
    screen.mass.setCurrentIndex(screen.mass.findData(MassUnit.OUNCE))
    screen.mass.activated.emit(screen.mass.currentIndex())
    assert settings_of(room.book).mass_unit is MassUnit.OUNCE
    window.desk.undo()
    assert settings_of(room.book).mass_unit is MassUnit.GRAM
    assert screen.mass.currentData() == MassUnit.GRAM


@pytest.mark.parametrize(
    ("field", "typed", "name", "kept"),
    [
        ("interval", "0", "default_interval_days", 10),
        ("currency", "euro", "currency", "EUR"),
        ("inbred", "12.55", "inbreeding_limit_tenths", 125),
        ("inbred", "101", "inbreeding_limit_tenths", 125),
        ("prefix", "http://x.example/", "code_prefix", ""),
        ("his_floor", "heavy", "male_floor_g", 0),
    ],
)
def test_a_setting_that_cannot_be_is_refused_in_place(
    room: Room, window: MainWindow, qtbot: QtBot, field: str, typed: str, name: str, kept: object
) -> None:
    window.open_screen("settings")
    screen = window.screen_open
    edit = getattr(screen, field)
    edit.clear()
    qtbot.keyClicks(edit, typed)
    edit.editingFinished.emit()
    assert edit.property("bad") is True
    assert edit.text() == typed
    assert getattr(settings_of(room.book), name) == kept


def test_without_a_weight_of_the_keepers_the_one_of_the_species_stands_in_its_place(
    room: Room, window: MainWindow, qtbot: QtBot
) -> None:
    window.open_screen("settings")
    screen = window.screen_open
    assert isinstance(screen, SettingsScreen)
    field = screen.her_floor
    assert field.text() == "" and field.placeholderText() == "1500, as of the species (common practice)"
    qtbot.keyClicks(field, "1700")
    field.editingFinished.emit()
    her = FigureKey.FEMALE_BREEDING_MASS_G
    assert profile_of_collection(room.book).value(her) == 1700 and field.text() == "1700"
    window.desk.undo()
    assert profile_of_collection(room.book).value(her) != 1700 and field.text() == ""
    # what an older release kept among the settings counts until another is set
    window.desk.change_settings(replace(window.desk.settings, female_floor_g=1650))
    assert field.text() == "1650"
    field.setText("1720")
    field.editingFinished.emit()
    assert profile_of_collection(room.book).value(her) == 1720 and settings_of(room.book).female_floor_g == 0
    field.clear()
    field.editingFinished.emit()
    assert field.text() == "" and profile_of_collection(room.book)[her].provenance.mark is not Mark.KEEPERS_OWN


def test_people_are_added_and_taken_off_the_lists(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    window.open_screen("settings")
    screen = window.screen_open
    assert isinstance(screen, SettingsScreen)
    screen.ask_person()
    assert screen.forms.form is not None
    screen.forms.form.saved.emit()
    assert screen.forms.form.name.property("bad") is True
    qtbot.keyClicks(screen.forms.form.name, "Teo")
    qtbot.keyClick(screen.forms.form.name, Qt.Key.Key_Return)
    assert [p.name for p in window.desk.people] == ["Wren", "Teo"]
    assert room.book.read("SELECT role FROM person WHERE name = 'Teo'") == [("helper",)]


def test_a_person_is_forgotten_only_after_saying_so(room: Room, window: MainWindow) -> None:
    from coilbook.operations.people import add_person

    window.desk.receive(add_person(room.book, name="Anselm"))
    window.open_screen("settings")
    screen = window.screen_open
    assert isinstance(screen, SettingsScreen)
    person = next(p for p in people(room.book) if p.name == "Anselm")
    screen.ask_forget(person)
    assert room.book.read("SELECT count(*) FROM person WHERE name = 'Anselm'") == [(1,)]
    window.foot.choose(0)
    assert room.book.read("SELECT count(*) FROM person WHERE name = 'Anselm'") == [(0,)]


def test_backups_are_made_restored_and_everything_goes_out(room: Room, window: MainWindow, tmp_path: Path) -> None:
    window.open_screen("backups")
    screen = window.screen_open
    assert isinstance(screen, BackupsScreen)
    assert screen.stack.currentIndex() == 1
    screen.back_up()
    assert screen.model.rowCount() == 1
    room.clock.pass_(hours=1)
    write_note(room.book, animal=room.female, text="later")
    screen.restore()
    assert room.book.read("SELECT count(*) FROM note") == [(0,)]
    window.desk.undo()
    assert room.book.read("SELECT count(*) FROM note") == [(1,)]
    screen.export(ExportFormat.XLSX, tmp_path / "all.xlsx")
    assert (tmp_path / "all.xlsx").stat().st_size > 1000


def test_new_animals_show_up_in_their_slot(room: Room, window: MainWindow) -> None:
    screen = _places(window)
    outcome = add_animal(room.book, details=AnimalDetails(keeper_id="J-01"), place=room.slots["R2-B2"])
    window.desk.receive(outcome)
    place = screen._page.places[room.slots["R2-B2"]]  # type: ignore[index]
    assert place.dwellers[0][1] == "J-01"


def test_an_open_form_has_the_only_filled_button(room: Room, window: MainWindow, qtbot: QtBot) -> None:
    screen = _places(window)
    assert screen.add_button.filled
    screen.ask_rack()
    form = screen.forms.form
    assert form is not None
    assert form.save.filled and not screen.add_button.filled
    _history(window)
    assert screen.add_button.filled, "the form is out of sight with its page"
    window.open_screen("places")
    assert not screen.add_button.filled
    screen.leave_form()
    qtbot.waitUntil(lambda: screen.add_button.filled)


def test_history_says_what_changed_in_the_keepers_words(room: Room, window: MainWindow) -> None:
    left_in = offer_feeding(room.book, animal=room.female, result=FeedingResult.PENDING, prey=Prey(kind="medium rat"))
    close_feedings(room.book, results={left_in.value: (FeedingResult.REFUSED, RefusalReason.UNKNOWN)})
    content = _history(window).margin_content()
    said = [row.value for row in content.sections[0].rows]  # type: ignore[union-attr]
    assert said == ["left in → refused, – → not known why"]


def test_slot_labels_can_be_pressed_as_soon_as_a_place_is_in_focus(room: Room, window: MainWindow) -> None:
    screen = window.made("places")
    assert isinstance(screen, PlacesScreen)
    window.open_screen("places")
    assert screen.map.place is not None and screen.labels.isEnabled()


def test_a_rack_is_of_quarantine_by_the_room_it_stands_in(room: Room, window: MainWindow) -> None:
    """The slot shows it, the margin says by what, and the mark is taken off where it is."""
    cellar = add_room(room.book, name="Cellar", quarantine=True).value
    rack = add_rack(room.book, name="R9", rows="A", columns=2, room=cellar).value
    edit_place(room.book, place=rack, quarantine=False)
    screen = _places(window)
    slot = next(place for place in screen._page.places.values() if place.label == "R9-A2")
    assert not slot.quarantine and slot.apart_by == "Cellar"
    screen.map.focus_on(slot.id)
    assert ("Quarantine", "as all of Cellar") in [(f.name, f.value) for f in screen.margin_content().facts]
    box = screen.map._map.box_of(slot.id)
    assert box is not None
    strip = QRect(box.x + box.width - 16, box.y + 4, 14, box.height - 8)
    screen.map.focus_on(room.slots["R2-A1"])
    hatched = screen.map.grab().toImage().copy(strip)
    screen.map.focus_on(slot.id)
    screen.toggle_quarantine()
    notice = window.desk.notices.current
    assert notice is not None and "as all of Cellar" in window.desk.render(notice.message)
    window.foot.choose(0)
    assert room.book.read("SELECT count(*) FROM place WHERE quarantine = 1") == [(0,)]
    screen.map.focus_on(room.slots["R2-A1"])
    assert screen._page.places[slot.id].apart_by == "" and screen.map.grab().toImage().copy(strip) != hatched
    window.desk.undo()
    assert screen._page.places[slot.id].apart_by == "Cellar"


def test_the_map_of_places_is_read_beside_the_window(room: Room, qtbot: QtBot) -> None:
    desk = Desk(DeskParts(room.book, Background()))
    threads: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        real = places_module.places_page
        patch.setattr(places_module, "places_page", lambda book: threads.append(current_thread().name) or real(book))
        screen = PlacesScreen(desk)
        qtbot.addWidget(screen)
        screen.open(place=room.slots["R2-B1"])
        qtbot.waitUntil(lambda: not desk.background.busy)
    assert threads == ["coilbook-read_0"]
    assert screen.map.place is not None and screen.map.place.label == "R2-B1"
    desk.background.close()
