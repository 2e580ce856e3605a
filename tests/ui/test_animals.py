"""The list of animals in the real window: filter, focus and selection, the margin, the forms, copy and layout."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QLineEdit, QMenu
from pytestqt.qtbot import QtBot

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.care import record_shed
from coilbook.operations.feeding import offer_feeding
from coilbook.operations.places import rename_rack
from coilbook.operations.settings import save_view
from coilbook.operations.undo import undo_last
from coilbook.reads import herd as herd_module
from coilbook.records.changes import Changes, Outcome
from coilbook.records.ids import AnimalId
from coilbook.records.message import say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Act, FeedingResult, Sex, ShedKind
from coilbook.records.when import UNDATED
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Animal, Weight
from coilbook.ui.animals.columns import BY_KEY, COLUMNS
from coilbook.ui.animals.forms import AddForm, EditForm, MoveForm
from coilbook.ui.animals.layout import Layout, kept_layout
from coilbook.ui.main_window import MainWindow
from coilbook.ui.models.animal_table import CSV_TYPE
from coilbook.ui.screens.animals import MANY, AnimalsScreen
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow
from tests.ui.frame_screens import PageScreen

KEYS = [column.key for column in COLUMNS]


@pytest.fixture
def filled(room: Room) -> Room:
    """Twelve animals: the room's two, and ten young in no place."""
    for number in range(10):
        details = AnimalDetails(keeper_id=f"J-{number + 20}", sex=Sex.UNSEXED, genetics="Enchi" if number < 4 else "")
        add_animal(room.book, details=details, weight=Mass(600 + number))
    return room


@pytest.fixture
def list_window(filled: Room, make_window: MakeWindow) -> MainWindow:
    return make_window(AnimalsScreen)


@pytest.fixture
def screen(list_window: MainWindow) -> AnimalsScreen:
    opened = list_window.screen_open
    assert isinstance(opened, AnimalsScreen)
    opened.table.setFocus()
    return opened


def shown(screen: AnimalsScreen) -> list[str]:
    rows = [screen.model.row(number) for number in range(screen.model.rowCount())]
    return [row.keeper_id for row in rows if row is not None]


def press(qtbot: QtBot, screen: AnimalsScreen, *keys: Qt.Key) -> None:
    for key in keys:
        qtbot.keyClick(screen.table, key)


def type_line(qtbot: QtBot, window: MainWindow, text: str) -> None:
    window.search.begin()
    window.search.field.clear()
    qtbot.keyClicks(window.search.field, text)


def fill(form: object, **texts: str) -> None:
    for name, text in texts.items():
        editor = form.rows[name].editor  # type: ignore[attr-defined]
        assert isinstance(editor, QLineEdit)
        editor.setText(text)


def test_typing_in_the_line_narrows_the_list_and_tells_what_each_term_left(
    qtbot: QtBot, list_window: MainWindow, screen: AnimalsScreen
) -> None:
    assert len(shown(screen)) == 12
    type_line(qtbot, list_window, "unsexed enchi")
    assert shown(screen) == ["J-20", "J-21", "J-22", "J-23"]
    assert screen.strong.text() == "4 of 12"
    assert screen.rest.text() == "unsexed leaves 10, enchi leaves 4"
    spans = [(span.start, span.length, span.understood) for span in screen.terms("unsexed enchi")]
    assert spans == [(0, 7, True)]


def test_tab_takes_what_the_line_offers(qtbot: QtBot, list_window: MainWindow, screen: AnimalsScreen) -> None:
    type_line(qtbot, list_window, "fem")
    assert len(shown(screen)) == 12
    qtbot.keyClick(list_window.search.field, Qt.Key.Key_Tab)
    assert list_window.search.field.text() == "female"
    assert shown(screen) == ["F-014"]


def test_nothing_found_says_why_and_esc_brings_all_back(
    qtbot: QtBot, list_window: MainWindow, screen: AnimalsScreen
) -> None:
    type_line(qtbot, list_window, "female in R7")
    assert screen.places.currentWidget() is screen.nothing
    assert "R7 is not a place here; nearest R2." in screen.nothing.sentence.text()
    qtbot.keyClick(list_window.search.field, Qt.Key.Key_Escape)
    assert screen.places.currentWidget() is screen.table
    assert len(shown(screen)) == 12


def test_esc_in_the_list_lets_go_of_the_selection_first_and_then_of_the_line(
    qtbot: QtBot, list_window: MainWindow, screen: AnimalsScreen
) -> None:
    type_line(qtbot, list_window, "female")
    assert len(shown(screen)) < 12
    qtbot.keyClick(list_window.search.field, Qt.Key.Key_Down)
    press(qtbot, screen, Qt.Key.Key_Space, Qt.Key.Key_Escape)
    assert len(shown(screen)) < 12 and list_window.search.field.text() == "female"
    press(qtbot, screen, Qt.Key.Key_Escape)
    assert len(shown(screen)) == 12 and not list_window.search.field.text()


def test_a_sentence_for_the_list_is_answered_by_it_wherever_it_was_typed(
    qtbot: QtBot, filled: Room, make_window: MakeWindow
) -> None:
    window = make_window(AnimalsScreen, PageScreen)
    screen = window.screen_open
    assert isinstance(screen, AnimalsScreen)
    window.open_screen("animal")
    type_line(qtbot, window, "nobody by such a name")
    assert window.search.list.chosen is None or window.search.list.chosen.kind != "list"
    type_line(qtbot, window, "unsexed over 60.5 g")
    assert window.search.list.chosen is not None and window.search.list.chosen.kind == "list"
    qtbot.keyClick(window.search.field, Qt.Key.Key_Return)
    assert window.screen_open is screen and window.search.field.text() == "unsexed over 60.5 g"
    assert 0 < len(shown(screen)) < 10


def test_an_empty_book_invites_to_import_to_add_or_to_look(make_window: MakeWindow) -> None:
    window = make_window(AnimalsScreen)
    screen = window.screen_open
    assert isinstance(screen, AnimalsScreen)
    assert screen.places.currentWidget() is screen.empty


def test_focus_and_selection_stay_with_their_animals_when_the_list_changes(
    qtbot: QtBot, list_window: MainWindow, screen: AnimalsScreen
) -> None:
    screen.table.focus_animal(screen.model.animal_at(shown(screen).index("J-23")))
    type_line(qtbot, list_window, "enchi")
    assert shown(screen)[screen.table.current_row()] == "J-23"
    screen.table.setFocus()
    press(qtbot, screen, Qt.Key.Key_Space, Qt.Key.Key_Up, Qt.Key.Key_Up, Qt.Key.Key_Space)
    chosen = screen.table.selected()
    assert len(chosen) == 2
    screen.filter_text("")
    assert screen.table.selected() == chosen
    assert "2 selected" in screen.foot_hint()
    press(qtbot, screen, Qt.Key.Key_Escape)
    assert screen.table.count_selected() == 1


def test_a_press_on_a_head_sorts_and_a_second_turns_it_round(screen: AnimalsScreen) -> None:
    screen.table._sort_by(KEYS.index("weight"))
    assert shown(screen)[0] == "F-014"
    screen.table._sort_by(KEYS.index("weight"))
    assert shown(screen)[0] == "J-20"
    assert shown(screen)[-1] == "M-03"
    screen.table._sort_by(KEYS.index("animal"))
    assert shown(screen)[:2] == ["F-014", "J-20"]


def test_columns_their_order_width_and_sorting_are_remembered(
    screen: AnimalsScreen, make_window: MakeWindow, filled: Room
) -> None:
    table, head = screen.table, screen.table.horizontalHeader()
    table.show_column("name", True)
    table.show_column("curve", False)
    head.moveSection(head.visualIndex(KEYS.index("weight")), 1)
    head.resizeSection(KEYS.index("state"), 200)
    table._sort_by(KEYS.index("hatched"))
    kept = kept_layout(filled.book.folder)
    assert "name" in kept.shown and "curve" not in kept.shown
    assert kept.shown[1] == "weight"
    assert (kept.widths["state"], kept.sort) == (200, "hatched")
    again = make_window(AnimalsScreen).screen_open
    assert isinstance(again, AnimalsScreen)
    assert [column.key for column in again.table.shown_columns()] == list(kept.shown)


def test_places_that_come_with_many_animals_at_once_have_room_for_their_names(
    screen: AnimalsScreen, filled: Room
) -> None:
    table, place = screen.table, KEYS.index("place")
    before = table.columnWidth(place)
    rename_rack(filled.book, rack=filled.rack, name="Rack by the door")
    details = [AnimalDetails(keeper_id=f"Z-{number:02d}") for number in range(MANY)]
    screen.desk.run(add_animals_in_one_act, rows=details)
    assert len(shown(screen)) == 12 + MANY
    assert table.columnWidth(place) > before


def add_animals_in_one_act(collection: Collection, *, rows: list[AnimalDetails]) -> Outcome[int]:
    """Many animals in one act, as an import writes them."""
    with collection.act(Act.IMPORT) as act:
        for row in rows:
            act.insert(Animal, keeper_id=row.keeper_id)
        act.tell(say("{n} animals", n=len(rows)))
        return act.outcome(Act.IMPORT, len(rows))


def test_the_margin_folds_before_the_last_column_is_cut_off(list_window: MainWindow, screen: AnimalsScreen) -> None:
    list_window.resize(1440, 900)
    list_window.desk.theme.follow(replace(list_window.desk.settings, text_scale_percent=150))
    list_window.settle()
    QApplication.processEvents()
    table = screen.table
    assert table.horizontalHeader().length() <= table.viewport().width()


def test_a_weight_whose_day_is_not_on_record_has_none(screen: AnimalsScreen, filled: Room) -> None:
    with filled.book.act(Act.IMPORT) as act:
        at = act.now_text
        act.insert(Weight, animal_id=filled.female, at=at, mass_dg=20_000, note=UNDATED)
        act.tell(say("{n} animals", n=1))
        act.outcome(Act.IMPORT, 1)
    screen.refresh(Changes(everything=True))
    screen._apply()
    screen.table.focus_row(shown(screen).index("F-014"), KEYS.index("weight"))
    content = screen.margin_content()
    assert (content.verdict, content.why) == ("2,000 g", "Weighed on a day that is not on record.")
    assert content.evidence[0].date == "day not said" and content.evidence[1].date != "day not said"
    assert "Last change" not in [fact.name for fact in content.facts]


@pytest.mark.parametrize("text", ["", "{", "[]", '{"shown": 3}', '{"shown": ["x"], "widths": {}, "sort": 1}'])
def test_a_layout_that_is_not_understood_keeps_the_usual_one(text: str) -> None:
    assert Layout.from_stored(text).shown == Layout().shown


def test_the_margin_answers_for_each_cell(screen: AnimalsScreen, filled: Room) -> None:
    book, female = filled.book, filled.female
    long_ago = filled.clock.pass_(days=45)
    offer_feeding(book, animal=female, result=FeedingResult.TAKEN, at=long_ago.replace(month=3, day=30))
    offer_feeding(book, animal=female, result=FeedingResult.REFUSED)
    record_shed(book, animal=female, kind=ShedKind.BLUE)
    screen.refresh(Changes(everything=True))
    screen._apply()
    row = shown(screen).index("F-014")
    said = {}
    for key in KEYS:
        screen.table.focus_row(row, KEYS.index(key))
        content = screen.margin_content()
        assert content.whose == "F-014" and content.sex == ("♀", "F")
        said[key] = content.verdict
    assert said["meal"] == "44 days since a meal taken"
    assert said["weight"] == "2,140 g"
    assert said["place"] == "R2-A1"
    assert said["state"] == "In blue"
    assert said["hatched"] == "Hatch date not known"
    assert len(set(said.values())) >= 7


def test_enter_opens_the_page_of_the_animal(qtbot: QtBot, list_window: MainWindow, screen: AnimalsScreen) -> None:
    with qtbot.waitSignal(list_window.desk.going) as gone:
        press(qtbot, screen, Qt.Key.Key_Return)
    assert gone.args is not None
    assert (gone.args[0], gone.args[1]["animal"]) == ("animal", screen.table.focused())
    screen.filter_text("f-014")
    with qtbot.waitSignal(list_window.desk.going):
        assert screen.line_entered("f-014")


def test_a_new_animal_is_added_and_stands_in_focus(screen: AnimalsScreen, filled: Room) -> None:
    screen.acts.begin_add()
    form = screen.acts.form
    assert isinstance(form, AddForm)
    fill(form, keeper_id="F-060", sex="F? 80%", genetics="Gravel", hatched="May 2024", weight="812", place="r2-b1")
    fill(form, dam="F-014", sire="M-03")
    form.saved.emit()
    row = screen.model.row(screen.table.current_row())
    assert row is not None
    assert (row.keeper_id, row.sex, row.sex_percent, row.place, row.weight_dg) == (
        "F-060",
        Sex.FEMALE,
        80,
        "R2-B1",
        8120,
    )
    assert form.rows["keeper_id"].editor.text() == ""  # type: ignore[attr-defined]
    undo_last(filled.book)
    screen.refresh(Changes(everything=True))
    assert "F-060" not in shown(screen)


@pytest.mark.parametrize(
    ("field", "typed"), [("sex", "purple"), ("hatched", "soon"), ("weight", "heavy"), ("place", "R9"), ("dam", "Z-1")]
)
def test_what_is_not_understood_is_told_at_its_field_and_nothing_is_lost(
    screen: AnimalsScreen, field: str, typed: str
) -> None:
    screen.acts.begin_add()
    form = screen.acts.form
    assert isinstance(form, AddForm)
    fill(form, keeper_id="F-061", genetics="Gravel", **{field: typed})
    form.saved.emit()
    assert typed in form.rows[field]._wrong.text()
    assert form.rows[field].editor.text() == typed  # type: ignore[attr-defined]
    assert len(shown(screen)) == 12


def test_an_id_given_twice_is_refused_in_the_form(screen: AnimalsScreen) -> None:
    screen.acts.begin_add()
    form = screen.acts.form
    assert isinstance(form, AddForm)
    fill(form, keeper_id="f-014")
    form.saved.emit()
    assert "here already" in form._wrong.text()
    assert screen.acts.form is form


def test_several_are_edited_in_one_act_that_undo_takes_back(
    qtbot: QtBot, list_window: MainWindow, screen: AnimalsScreen, filled: Room
) -> None:
    type_line(qtbot, list_window, "enchi")
    screen.table.setFocus()
    screen.table.selectAll()
    screen.acts.begin_edit()
    form = screen.acts.form
    assert isinstance(form, EditForm) and len(form.animals) == 4
    form.saved.emit()
    assert "Nothing is filled in" in form._wrong.text()
    fill(form, interval="0")
    form.saved.emit()
    assert "1 to 400" in form.rows["interval"]._wrong.text()
    fill(form, interval="7", prey="fuzzy mouse", tags="show, keep back")
    form.saved.emit()
    assert screen.acts.form is None
    sql = "SELECT count(*) FROM animal WHERE interval_days = 7 AND prey_kind = 'fuzzy mouse'"
    assert filled.book.read_one(sql) == (4,)
    screen.filter_text("tag keep back")
    assert len(shown(screen)) == 4
    list_window.desk.undo()
    assert filled.book.read_one(sql) == (0,)
    assert filled.book.read_one("SELECT count(*) FROM tag") == (0,)


def test_copied_rows_are_text_with_tabs_and_csv_a_spreadsheet_never_runs(screen: AnimalsScreen, filled: Room) -> None:
    details = AnimalDetails(keeper_id="=1+1", genetics='Clown, "line 2"')
    add_animal(filled.book, details=details)
    screen.refresh(Changes(everything=True))
    screen.filter_text("line 2")
    screen.acts.copy()
    data = QGuiApplication.clipboard().mimeData()
    assert data is not None
    lines = [line.split("\t") for line in data.text().split("\n")]
    assert lines[1][:2] == ["=1+1 unsexed", 'Clown, "line 2"']
    rows = list(csv.reader(io.StringIO(bytes(data.data(CSV_TYPE).data()).decode())))
    assert rows[0][0] == "Animal" and rows[1][:2] == ["'=1+1 unsexed", 'Clown, "line 2"']
    QGuiApplication.clipboard().clear()


def test_dragging_carries_the_same_rows(screen: AnimalsScreen) -> None:
    indexes = [screen.model.index(row, column) for row in (0, 1) for column in range(3)]
    data = screen.model.mimeData(indexes)
    assert len(data.text().split("\n")) == 3
    assert data.hasFormat(CSV_TYPE)


def test_labels_are_asked_for_the_selected_animals(
    qtbot: QtBot, list_window: MainWindow, screen: AnimalsScreen
) -> None:
    screen.filter_text("enchi")
    screen.table.selectAll()
    with qtbot.waitSignal(list_window.desk.going) as gone:
        screen.acts.go_labels()
    assert gone.args is not None
    assert gone.args[0] == "labels" and len(gone.args[1]["animals"]) == 4


def test_a_view_keeps_a_filter_with_its_layout(screen: AnimalsScreen, list_window: MainWindow) -> None:
    screen.filter_text("unsexed over 60 g")
    screen.table.show_column("name", True)
    screen.acts.begin_view()
    form = screen.acts.form
    assert form is not None
    form.saved.emit()
    assert screen.acts.form is form
    fill(form, name="Young")
    form.saved.emit()
    screen.filter_text("")
    screen.table.show_column("name", False)
    view = next(command for command in screen.commands() if command.words == "View: Young")
    view.run()
    assert list_window.search.field.text() == "unsexed over 60 g"
    assert "name" in [column.key for column in screen.table.shown_columns()]


def test_kept_views_stand_behind_a_button_of_their_own_and_can_be_taken_away(
    qtbot: QtBot, screen: AnimalsScreen, list_window: MainWindow, filled: Room
) -> None:
    assert not screen.kept.button.isVisible()
    save_view(filled.book, name="Young & small", query="unsexed")
    save_view(filled.book, name="Hers", query="female")
    screen.refresh(Changes(everything=True))
    assert screen.kept.button.isVisible()

    def opened() -> QMenu:
        qtbot.keyClick(screen.table, Qt.Key.Key_F3)
        menu = QApplication.activePopupWidget()
        assert isinstance(menu, QMenu)
        return menu

    menu = opened()
    assert [a.text() for a in menu.actions()[:2]] == ["&1  Hers: female", "&2  Young && small: unsexed"]
    qtbot.keyClick(menu, Qt.Key.Key_2)
    assert list_window.search.field.text() == "unsexed" and len(shown(screen)) == 10
    menu = opened()
    away = menu.actions()[-1].menu()
    assert isinstance(away, QMenu)
    away.actions()[0].trigger()
    menu.close()
    assert filled.book.read("SELECT name FROM saved_view") == [("Young & small",)]
    assert [v.name for v in screen.kept.views] == ["Young & small"]
    list_window.desk.undo()
    assert [v.name for v in screen.kept.views] == ["Hers", "Young & small"]


def test_a_place_and_an_animal_can_be_opened_from_elsewhere(
    list_window: MainWindow, screen: AnimalsScreen, filled: Room
) -> None:
    list_window.desk.go("animals", place=filled.rack)
    assert list_window.search.field.text() == "in R2"
    assert shown(screen) == ["F-014", "M-03"]
    list_window.desk.go("animals", text="", animal=int(filled.male))
    assert screen.table.focused() == AnimalId(filled.male)


def test_the_list_follows_units_and_the_day(screen: AnimalsScreen, filled: Room, list_window: MainWindow) -> None:
    from dataclasses import replace

    from coilbook.records.quantities import MassUnit

    weight = KEYS.index("weight")
    row = shown(screen).index("F-014")
    assert screen.model.cell(row, weight).text == "2,140"
    list_window.desk.change_settings(replace(list_window.desk.settings, mass_unit=MassUnit.KILOGRAM))
    assert screen.model.cell(row, weight).text == "2.140"
    assert screen.model.headerData(weight, Qt.Orientation.Horizontal) == "Now, kg"


def test_the_list_is_painted_in_every_theme_and_when_several_are_selected(screen: AnimalsScreen, filled: Room) -> None:
    """Every shape and every kind of cell is painted; a Qt warning would fail the test."""
    screen.table.selectAll()
    picture = screen.table.viewport().grab().toImage()
    seen = {picture.pixelColor(x, y).name() for x in range(0, picture.width(), 3) for y in range(0, 200, 3)}
    assert screen.desk.theme.colour("tint").name() in seen
    assert screen.desk.theme.colour("accent").name() in seen
    assert BY_KEY["animal"].write(screen.model.row(0), screen.model.writing).after  # type: ignore[arg-type]


def test_several_fill_the_free_slots_of_a_rack_in_one_act(qtbot: QtBot, filled: Room, screen: AnimalsScreen) -> None:
    screen.filter_text("j-2")
    press(qtbot, screen, Qt.Key.Key_Space, Qt.Key.Key_Down, Qt.Key.Key_Space)
    qtbot.keyClick(screen.table, Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier)
    form = screen.acts.form
    assert isinstance(form, MoveForm)
    fill(form, to="R9")
    qtbot.keyClick(form.rows["to"].editor, Qt.Key.Key_Return)
    assert "R9 is not a place here" in form.rows["to"]._wrong.text()
    fill(form, to="r2")
    assert form.told.text() == "J-20 \u2192 R2-A3   J-21 \u2192 R2-B1"
    fill(form, note="nursery is full")
    qtbot.keyClick(form.rows["to"].editor, Qt.Key.Key_Return)
    assert screen.acts.form is None
    sql = "SELECT a.keeper_id, p.label, m.note FROM move m JOIN animal a ON a.id = m.animal_id"
    sql += " JOIN place p ON p.id = m.to_place_id WHERE a.keeper_id LIKE 'J%' ORDER BY 1"
    assert filled.book.read(sql) == [("J-20", "R2-A3", "nursery is full"), ("J-21", "R2-B1", "nursery is full")]
    screen.desk.undo()
    assert filled.book.read(sql) == []


def test_two_change_places_and_the_count_of_slots_must_fit(qtbot: QtBot, filled: Room, screen: AnimalsScreen) -> None:
    screen.filter_text("in R2")
    press(qtbot, screen, Qt.Key.Key_Space, Qt.Key.Key_Down, Qt.Key.Key_Space)
    screen.acts.begin_move()
    form = screen.acts.form
    assert isinstance(form, MoveForm)
    fill(form, to="R2-A2, R2-A1, R2-A3")
    form.saved.emit()
    assert form.rows["to"]._wrong.text() == "3 slots for 2 animals."
    fill(form, to="R2-A2, R2-A1")
    form.saved.emit()
    where = dict(filled.book.read("SELECT keeper_id, place_id FROM animal WHERE place_id IS NOT NULL"))
    assert where == {"F-014": filled.slots["R2-A2"], "M-03": filled.slots["R2-A1"]}


def test_only_who_finds_a_taken_slot_moves_for_the_reason_answered(
    qtbot: QtBot, filled: Room, list_window: MainWindow, screen: AnimalsScreen
) -> None:
    screen.filter_text("j-2")
    press(qtbot, screen, Qt.Key.Key_Space, Qt.Key.Key_Down, Qt.Key.Key_Space)
    screen.acts.begin_move()
    assert screen.acts.form is not None
    fill(screen.acts.form, to="R2-A1, R2-B1")
    screen.acts.form.saved.emit()
    list_window.foot.choose(1)
    assert screen.acts.form is None
    assert filled.book.read("SELECT reason FROM move ORDER BY id DESC LIMIT 2") == [("unsaid",), ("temporary",)]


def test_after_a_large_act_a_small_book_is_read_anew_without_looking_through_the_journal(
    screen: AnimalsScreen, filled: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Taking an import back leaves few animals and a journal whose reading would hold the window."""
    monkeypatch.setattr(herd_module, "MANY_ROWS", 3)
    for number in range(4):
        add_animal(filled.book, details=AnimalDetails(keeper_id=f"N-{number}"))
    reader = filled.book._readers.connection()
    asked: list[str] = []
    reader.set_trace_callback(asked.append)
    screen.refresh(Changes(everything=True))
    reader.set_trace_callback(None)
    assert asked
    assert not [sql for sql in asked if "FROM change" in sql]
    assert {"N-0", "N-3"} <= set(shown(screen))


def test_an_id_typed_in_full_opens_its_page_though_others_hold_it(
    qtbot: QtBot, filled: Room, make_window: MakeWindow
) -> None:
    for keeper_id, name in (("2", ""), ("23", "Briar")):
        add_animal(filled.book, details=AnimalDetails(keeper_id=keeper_id, name=name, sex=Sex.MALE))
    window = make_window(AnimalsScreen, PageScreen)
    screen = window.screen_open
    assert isinstance(screen, AnimalsScreen)
    for typed, meant in (("2", "2"), ("briar", "23")):
        type_line(qtbot, window, typed)
        qtbot.keyClick(window.search.field, Qt.Key.Key_Return)
        page = window.screen_open
        assert isinstance(page, PageScreen)
        assert filled.book.read("SELECT keeper_id FROM animal WHERE id = ?", (page.animal,)) == [(meant,)]
        window.open_screen("animals")
