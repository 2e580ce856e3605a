"""The page of an animal in the real window, by keyboard: log each kind, correct, take out, undo, answer, travel."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QWidget
from pytestqt.qtbot import QtBot

from coilbook.operations.animals import AnimalDetails, add_animal, set_parents
from coilbook.operations.care import write_note
from coilbook.operations.departures import DepartureDetails, sell
from coilbook.operations.feeding import offer_feeding
from coilbook.operations.weighing import weigh
from coilbook.reads.animal_rows import Meal
from coilbook.records.ids import AnimalId, FeedingId
from coilbook.records.quantities import Mass, Money
from coilbook.records.vocabulary import FeedingResult, PreyState, Sex, Status
from coilbook.ui.animal.among import Among
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.log_kinds import (
    ANGLES,
    MOVE_REASONS,
    PREY_STATES,
    REASONS,
    RESULTS,
    SHED_KINDS,
    SIGNS,
    TAGS,
    TURN_KINDS,
)
from coilbook.ui.animal.words import prey_words, strip
from coilbook.ui.desk import Desk
from coilbook.ui.main_window import MainWindow
from coilbook.ui.notices import NoticeKind
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.wording.style import Style
from tests.ui.conftest import MakeWindow, Room

Key = Qt.Key


@pytest.fixture
def window(make_window: MakeWindow, room: Room) -> MainWindow:
    from coilbook.ui.screens.history import HistoryScreen

    return make_window(HistoryScreen, AnimalScreen)


@pytest.fixture
def page(window: MainWindow, room: Room) -> AnimalScreen:
    window.desk.go_animal(room.female)
    screen = window.screen_open
    assert isinstance(screen, AnimalScreen)
    QApplication.processEvents()
    return screen


@pytest.fixture
def press(qtbot: QtBot) -> Callable[..., None]:
    """Press a key where the keyboard is."""

    def pressed(key: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        qtbot.keyClick(_focus(), key, modifiers)
        QApplication.processEvents()

    return pressed


def _focus() -> QWidget:
    widget = QApplication.focusWidget()
    assert widget is not None
    return widget


def _type(qtbot: QtBot, text: str) -> None:
    qtbot.keyClicks(_focus(), text)


def _editor(page: AnimalScreen, name: str) -> QWidget:
    form = page.body.log.form or page.body.editing.form
    assert form is not None
    return form.rows[name].editor


def _fill(page: AnimalScreen, qtbot: QtBot, name: str, text: str) -> None:
    editor = _editor(page, name)
    editor.setFocus()
    if isinstance(editor, QLineEdit):
        editor.selectAll()
    qtbot.keyClicks(editor, text)


def _rows(page: AnimalScreen, table: str) -> list[tuple[object, ...]]:
    found: list[tuple[object, ...]] = page.desk.collection.read(f"SELECT * FROM {table} ORDER BY id")
    return found


# --- the head and the facts -----------------------------------------------------------------------------------


def test_the_page_says_who_it_is_and_where(page: AnimalScreen) -> None:
    head, strip = page.body.head, page.facts()
    assert head.keeper_id.value == "F-014"
    assert head.sex.value == "\u2640 F"
    assert "parents not known" in head.origin.text()
    assert strip["place"].value == "R2-A1" and strip["place"].lines[1] == "alone"
    assert strip["weight"].value == "2,140 g"
    assert strip["meal"].value == "never offered"
    assert page.window().column is not None


def test_the_margin_explains_what_is_in_focus(page: AnimalScreen, press: Callable[..., None]) -> None:
    margin = page.desk.margin
    assert margin is not None and margin.content.whose == "F-014"
    page.body.strip.go("weight")
    assert margin.content.verdict == "2,140 g"
    press(Key.Key_Right)
    press(Key.Key_Right)
    assert page.body.strip.name == "fast" and "fast" in margin.content.heading
    page.body.timeline.to_list()
    assert margin.content.heading == "Entry in focus" and ("entered by", "Wren") in [
        (f.name, f.value) for f in margin.content.facts
    ]


# --- logging --------------------------------------------------------------------------------------------------


def test_enter_opens_the_panel_and_a_letter_the_form(page: AnimalScreen, press: Callable[..., None]) -> None:
    press(Key.Key_Return)
    assert page.body.log.isVisible() and page.body.log.form is None
    press(Key.Key_W)
    assert page.body.log.kind == "weight"
    press(Key.Key_Escape)
    assert not page.body.log.isVisible() and _rows(page, "weight") == _rows(page, "weight")[:1]


def test_a_weight_is_logged_by_keys_alone(page: AnimalScreen, press: Callable[..., None], qtbot: QtBot) -> None:
    press(Key.Key_Return)
    press(Key.Key_W)
    _type(qtbot, "2.19 kg")
    press(Key.Key_Tab)
    _type(qtbot, "yesterday 21:00")
    press(Key.Key_Return)
    newest = page.desk.collection.read_one("SELECT mass_dg, at FROM weight ORDER BY id DESC LIMIT 1")
    assert newest == (21_900, "2026-03-28T21:00")
    assert not page.body.log.isVisible()
    assert [e.table for e in page.body.timeline.shown][-1] == "weight"
    assert page.desk.notices.current is not None and page.desk.notices.current.act is not None


@pytest.mark.parametrize(
    ("letter", "choose", "typed", "table", "column", "value"),
    [
        (Key.Key_F, [Key.Key_R], {}, "feeding", "result", "refused"),
        (Key.Key_S, [Key.Key_B], {"note": "milky eyes"}, "shed", "kind", "blue"),
        (Key.Key_G, [Key.Key_Right], {"note": "at the door"}, "sign_seen", "sign", "glow"),
        (Key.Key_C, [Key.Key_F], {"product": "soap"}, "cleaning", "extent", "full"),
        (Key.Key_B, [], {"note": "whole"}, "regurgitation", "note", "whole"),
        (Key.Key_M, [], {"place": "R2-B3"}, "move", "to_place_id", None),
        (Key.Key_D, [Key.Key_L], {"person": "Teo"}, "departure", "kind", "loaned"),
    ],
)
def test_each_kind_is_logged(
    page: AnimalScreen,
    press: Callable[..., None],
    qtbot: QtBot,
    letter: Qt.Key,
    choose: list[Qt.Key],
    typed: dict[str, str],
    table: str,
    column: str,
    value: object,
) -> None:
    before = len(_rows(page, table))
    press(Key.Key_Return)
    press(letter)
    for key in choose:
        press(key)
    for name, text in typed.items():
        _fill(page, qtbot, name, text)
    press(Key.Key_Return)
    assert len(_rows(page, table)) == before + 1, page.desk.notices.lines
    (stored,) = page.desk.collection.read_one(f"SELECT {column} FROM {table} ORDER BY id DESC LIMIT 1") or (None,)
    if table == "move":
        (stored,) = page.desk.collection.read_one("SELECT label FROM place WHERE id = ?", (stored,)) or (None,)
        value = "R2-B3"
    assert stored == value
    assert any(e.table == table for e in page.body.timeline.shown)


def test_a_note_of_several_lines(page: AnimalScreen, press: Callable[..., None], qtbot: QtBot) -> None:
    page.log("note")
    _type(qtbot, "Pushes her bowl over.")
    press(Key.Key_Return)
    _type(qtbot, "Every night.")
    assert isinstance(_focus(), QPlainTextEdit)
    press(Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert page.desk.collection.read_one("SELECT text FROM note") == ("Pushes her bowl over.\nEvery night.",)


def test_why_not_is_asked_only_of_a_meal_that_was_not_taken(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    page.log("feeding")
    form = page.body.log.form
    assert form is not None and not form.rows["reason"].isVisible()
    press(Key.Key_R)
    assert form.rows["reason"].isVisible()
    form.rows["reason"].editor.setFocus()
    press(Key.Key_G)
    form.rows["result"].editor.setFocus()
    press(Key.Key_T)
    assert not form.rows["reason"].isVisible()
    press(Key.Key_Return)
    assert page.desk.collection.read("SELECT result, reason FROM feeding") == [("taken", "")]
    feeding = next(e for e in page.body.timeline.shown if e.table == "feeding")
    page.correct(feeding)
    form = page.body.editing.form
    assert form is not None and not form.rows["reason"].isVisible()
    press(Key.Key_R)
    form.rows["reason"].editor.setFocus()
    press(Key.Key_B)
    press(Key.Key_Return)
    assert page.desk.collection.read("SELECT result, reason FROM feeding") == [("refused", "blue")]


def test_a_sign_is_logged_by_the_letter_it_has_in_a_round(page: AnimalScreen, press: Callable[..., None]) -> None:
    page.log("sign")
    press(Key.Key_Z)
    press(Key.Key_Return)
    assert page.desk.collection.read("SELECT sign FROM sign_seen") == [("wheeze",)]


@pytest.mark.parametrize(
    "choices", [SIGNS, REASONS, TAGS, ANGLES, MOVE_REASONS, PREY_STATES, RESULTS, TURN_KINDS, SHED_KINDS]
)
def test_every_choice_of_a_form_has_a_letter_of_its_own(choices: tuple[Option, ...]) -> None:
    letters = [option.key for option in choices]
    assert all(letters) and len(set(letters)) == len(letters)


def test_a_new_buyer_goes_into_the_book_with_the_sale(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    page.log("turn")
    press(Key.Key_S)
    _fill(page, qtbot, "person", "Greta")
    _fill(page, qtbot, "price", "250")
    press(Key.Key_Return)
    sold = page.desk.collection.read_one(
        "SELECT d.kind, p.name, d.price_minor, d.currency FROM departure d JOIN person p ON p.id = d.person_id"
    )
    assert sold == ("sold", "Greta", 25_000, "EUR")
    assert page.desk.collection.read("SELECT kind FROM act ORDER BY id DESC LIMIT 2") == [("sell",), ("add_animal",)]
    assert page.page is not None and page.page.who.status is Status.SOLD
    assert page.body.head.status.text() == "Sold 29 Mar 2026, Greta"
    assert "250" not in " ".join(str(part) for e in page.page.entries for part in (*e.said, *e.inside))


def test_what_was_typed_stays_when_it_cannot_be_read(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    page.log("weight")
    _type(qtbot, "heavy")
    press(Key.Key_Return)
    editor = _editor(page, "mass")
    assert isinstance(editor, QLineEdit) and editor.text() == "heavy" and editor.property("bad")
    assert len(_rows(page, "weight")) == 1


def test_what_was_typed_stays_when_the_book_refuses(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    page.log("turn")
    press(Key.Key_R)
    _fill(page, qtbot, "note", "she was never away")
    press(Key.Key_Return)
    editor = _editor(page, "note")
    assert isinstance(editor, QLineEdit) and editor.text() == "she was never away"
    assert page.body.log.isVisible() and _rows(page, "departure") == []


def test_a_question_is_asked_in_place_and_answered_by_a_digit(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    page.log("weight")
    _type(qtbot, "214")
    press(Key.Key_Return)
    question = page.body.log.room.question
    assert question is not None and "2,140 g" in question.accessibleName() and len(_rows(page, "weight")) == 1
    press(Key.Key_2)
    assert page.desk.collection.read_one("SELECT mass_dg, doubted FROM weight ORDER BY id DESC") == (2_140, 1)
    assert page.facts()["weight"].value == "2,140 g" and page.body.log.room.question is None


def test_a_question_can_be_left_without_losing_what_was_typed(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    page.log("weight")
    _type(qtbot, "214")
    press(Key.Key_Return)
    press(Key.Key_Escape)
    editor = _editor(page, "mass")
    assert isinstance(editor, QLineEdit) and editor.text() == "214" and editor.isVisible()
    assert len(_rows(page, "weight")) == 1 and not page.may_leave()


def test_a_taken_slot_asks_whether_they_share_it(page: AnimalScreen, press: Callable[..., None], qtbot: QtBot) -> None:
    page.log("move")
    _fill(page, qtbot, "place", "R2-A2")
    press(Key.Key_Return)
    assert page.body.log.room.question is not None
    press(Key.Key_1)
    assert page.facts()["place"].value == "R2-A2" and page.facts()["place"].lines[1] == "with M-03"


def test_half_typed_words_wait_for_their_animal(page: AnimalScreen, room: Room, qtbot: QtBot) -> None:
    page.log("weight")
    _type(qtbot, "21")
    page.desk.go_animal(room.male)
    assert page.page is not None and page.page.who.keeper_id == "M-03" and not page.body.log.isVisible()
    page.desk.go_animal(room.female)
    editor = _editor(page, "mass")
    assert page.body.log.isVisible() and isinstance(editor, QLineEdit) and editor.text() == "21"


# --- correcting, taking out, undo -----------------------------------------------------------------------------


def test_an_entry_is_corrected_where_it_stands(page: AnimalScreen, press: Callable[..., None], qtbot: QtBot) -> None:
    page.body.timeline.to_list()
    assert page.body.timeline.focus_entry("weight", 1)
    press(Key.Key_Return)
    _fill(page, qtbot, "mass_dg", "2 150")
    press(Key.Key_Return)
    assert page.desk.collection.read_one("SELECT mass_dg, at FROM weight") == (21_500, "2026-03-29T20:14")
    assert page.facts()["weight"].value == "2,150 g" and not page.body.editing.isVisible()


def test_only_what_was_changed_is_written(page: AnimalScreen, press: Callable[..., None]) -> None:
    acts = len(_rows(page, "act"))
    page.body.timeline.focus_entry("weight", 1)
    page.correct(page.body.timeline.shown[0])
    page.body.timeline.focus_entry("weight", 1)
    entry = page.body.timeline.entry
    assert entry is not None
    page.correct(entry)
    press(Key.Key_Return)
    assert len(_rows(page, "act")) == acts and not page.body.editing.isVisible()


def test_del_takes_an_entry_out_and_undo_brings_it_back(page: AnimalScreen, press: Callable[..., None]) -> None:
    page.body.timeline.to_list()
    assert page.body.timeline.focus_entry("weight", 1)
    press(Key.Key_Delete)
    assert _rows(page, "weight") == [] and page.facts()["weight"].value == "not weighed"
    press(Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert page.facts()["weight"].value == "2,140 g"
    assert any(e.table == "weight" and e.who == "Wren" for e in page.body.timeline.shown)


def test_a_move_is_taken_out_and_corrected_where_it_stands(
    page: AnimalScreen, room: Room, press: Callable[..., None], qtbot: QtBot
) -> None:
    page.body.timeline.to_list()
    move = next(e for e in page.body.timeline.shown if e.table == "move")
    page.body.timeline.focus_entry("move", move.row)
    press(Key.Key_Delete)
    assert len(_rows(page, "move")) == len(_rows(page, "animal")) - 1
    assert page.facts()["place"].value != "R2-A1"
    press(Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert len(_rows(page, "move")) == len(_rows(page, "animal"))
    page.body.timeline.to_list()
    page.body.timeline.focus_entry("move", move.row)
    press(Key.Key_Return)
    _fill(page, qtbot, "place", "R2-A2")
    press(Key.Key_Return)
    assert page.body.editing.question is not None
    press(Key.Key_Escape)
    _fill(page, qtbot, "place", "r2-b1")
    _fill(page, qtbot, "note", "mistyped")
    press(Key.Key_Return)
    assert not page.body.editing.isVisible()
    assert page.facts()["place"].value == "R2-B1"
    assert any("mistyped" in str(part) for e in page.body.timeline.shown for part in e.said)
    press(Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert page.facts()["place"].value == "R2-A1"


def test_a_sale_is_corrected_with_its_buyer_price_and_day(
    page: AnimalScreen, room: Room, press: Callable[..., None], qtbot: QtBot
) -> None:
    room.clock.pass_(days=4)
    sell(room.book, animal=room.female, details=DepartureDetails(price=Money(120_000, "EUR")))
    page.read(room.female)
    page.body.timeline.to_list()
    sale = next(e for e in page.body.timeline.shown if e.table == "departure")
    page.body.timeline.focus_entry("departure", sale.row)
    press(Key.Key_Return)
    form = page.body.editing.form
    assert form is not None and form.rows["price"].editor.text() == "1200.00 EUR"  # type: ignore[attr-defined]
    _fill(page, qtbot, "person", "Greta")
    _fill(page, qtbot, "at", "31 Mar 2026 18:00")
    press(Key.Key_Return)
    assert not page.body.editing.isVisible()
    sql = "SELECT d.at, p.name, p.role, d.price_minor FROM departure d JOIN person p ON p.id = d.person_id"
    assert room.book.read(sql) == [("2026-03-31T18:00", "Greta", "buyer", 120_000)]
    assert page.body.head.status.text() == "Sold 31 Mar 2026, Greta"
    page.desk.undo()
    assert room.book.read("SELECT at, person_id FROM departure") == [("2026-04-02T20:14", None)]
    assert room.book.read("SELECT name FROM person WHERE role = 'buyer'") == []


def test_typing_a_word_on_the_page_narrows_the_timeline(
    page: AnimalScreen, room: Room, press: Callable[..., None], qtbot: QtBot
) -> None:
    write_note(room.book, animal=room.female, text="Bowl changed")
    write_note(room.book, animal=room.female, text="Shy tonight")
    page.read(room.female)
    page.setFocus()
    _type(qtbot, "b")
    _type(qtbot, "owl")
    assert page.body.timeline.narrow.text() == "bowl"
    assert [str(e.said[0]) for e in page.body.timeline.shown] == ["Bowl changed"]
    press(Key.Key_Escape)
    assert len(page.body.timeline.shown) > 2


# --- lines of the page ----------------------------------------------------------------------------------------


def _correct_without_enter(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot, line: QWidget, text: str
) -> None:
    line.setFocus()
    press(Key.Key_F2)
    field = _focus()
    assert isinstance(field, QLineEdit)
    field.selectAll()
    qtbot.keyClicks(field, text)


def _correct(page: AnimalScreen, press: Callable[..., None], qtbot: QtBot, line: QWidget, text: str) -> None:
    _correct_without_enter(page, press, qtbot, line, text)
    press(Key.Key_Return)


@pytest.mark.parametrize(
    ("name", "typed", "columns", "stored"),
    [
        ("hatched", "14.6.2020", "hatched, hatched_precision", ("2020-06-14", "day")),
        ("hatched", "May 2021", "hatched, hatched_precision", ("2021-05-01", "month")),
        ("hatched", "2021", "hatched, hatched_precision", ("2021-01-01", "year")),
        ("interval", "7", "interval_days", (7,)),
        ("prey", "small rat, live", "prey_kind, prey_state", ("small rat", "live")),
        ("name", "Sorrel", "name", ("Sorrel",)),
        ("came", "bought", "origin", ("bought",)),
        ("temperament", "calm", "temperament", ("calm",)),
        ("microchip", "9000", "microchip", ("9000",)),
    ],
)
def test_a_line_is_corrected_in_place(
    page: AnimalScreen,
    press: Callable[..., None],
    qtbot: QtBot,
    name: str,
    typed: str,
    columns: str,
    stored: tuple[object, ...],
) -> None:
    _correct(page, press, qtbot, page.body.details.lines[name], typed)
    assert page.page is not None
    assert page.desk.collection.read_one(f"SELECT {columns} FROM animal WHERE id = ?", (page.page.who.id,)) == stored
    assert not page.body.details.lines[name].editing


def test_id_sex_and_genetics_are_corrected_in_the_head(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    head = page.body.head
    _correct(page, press, qtbot, head.keeper_id, "F-114")
    _correct(page, press, qtbot, head.sex, "F? 80% popped")
    _correct(page, press, qtbot, head.genetics, "Pastel Enchi het clown")
    who = page.page.who if page.page else None
    assert who is not None
    assert (who.keeper_id, who.sex, who.sex_percent, who.genetics) == (
        "F-114",
        Sex.FEMALE,
        80,
        "Pastel Enchi het clown",
    )
    assert head.sex.value == "\u2640? F?" and head.sure.text() == "80%: popped"


def test_an_id_that_is_taken_is_refused_with_what_was_typed(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    line = page.body.head.keeper_id
    _correct(page, press, qtbot, line, "M-03")
    assert line.editing and line.field is not None and line.field.text() == "M-03"
    press(Key.Key_Escape)
    assert not line.editing and line.value == "F-014"


def test_a_word_that_is_no_date_is_said_at_its_line(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    line = page.body.details.lines["hatched"]
    _correct(page, press, qtbot, line, "long ago")
    assert line.editing and line.field is not None and "not a date" in line.field.accessibleDescription()


def test_tags_are_a_list_and_claims_are_kept_word_for_word(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    lines = page.body.details.lines
    _correct(page, press, qtbot, lines["tags"], "holdback, shy feeder")
    _correct(page, press, qtbot, lines["tags"], "shy feeder, gravid")
    lines["claim"].edit()
    _type(qtbot, "66% het clown; seller")
    press(Key.Key_Return)
    assert page.page is not None and page.page.tags == ("gravid", "shy feeder")
    assert [(c.text, c.source) for c in page.page.claims] == [("66% het clown", "seller")]
    assert page.page.who.genetics == ""


def test_parents_by_id_and_an_unknown_one_kept_as_somebody_elses(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    lines = page.body.details.lines
    _correct(page, press, qtbot, lines["sires"], "M-03")
    _correct(page, press, qtbot, lines["dam"], "X-20")
    assert page.body.asking.question is not None
    press(Key.Key_1)
    family = page.page.family if page.page else None
    assert family is not None and family.dam is not None
    assert (family.dam.keeper_id, family.dam.status, family.dam.sex) == ("X-20", Status.OUTSIDE, Sex.FEMALE)
    assert [(s.keeper_id, s.percent) for s in family.sires] == [("M-03", 100)]
    assert "X-20 \u00d7 M-03" in page.body.head.origin.text() and not lines["dam"].editing


def test_a_begun_id_of_a_parent_goes_on_in_the_field(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    line = page.body.details.lines["sires"]
    _correct_without_enter(page, press, qtbot, line, "m-0")
    assert line.field is not None and line.field.text() == "m-03" and line.field.selectedText() == "3"
    press(Key.Key_Return)
    assert page.page is not None and [s.keeper_id for s in page.page.family.sires] == ["M-03"]


def test_possible_sires_with_their_percent(page: AnimalScreen, press: Callable[..., None], qtbot: QtBot) -> None:
    line = page.body.details.lines["sires"]
    _correct(page, press, qtbot, line, "M-03, X-9")
    press(Key.Key_1)
    assert line.editing and line.field is _focus() and "percent" in line.field.accessibleDescription()
    press(Key.Key_Escape)
    _correct(page, press, qtbot, line, "M-03 70, X-9 30%")
    assert page.page is not None
    assert [(s.keeper_id, s.percent) for s in page.page.family.sires] == [("M-03", 70), ("X-9", 30)]


# --- travel ---------------------------------------------------------------------------------------------------


def test_enter_on_a_parent_travels_and_back_returns(
    window: MainWindow, page: AnimalScreen, room: Room, press: Callable[..., None]
) -> None:
    set_parents(room.book, animal=room.female, dam=None, sires={room.male: 100})
    page.read(room.female)
    relatives = page.body.family
    relatives.list.setFocus(Qt.FocusReason.OtherFocusReason)
    relatives.list.setCurrentIndex(relatives.model.index(1, 1))
    assert relatives.relative is not None and relatives.relative.id == room.male
    press(Key.Key_Return)
    assert page.page is not None and page.page.who.keeper_id == "M-03"
    assert [y.keeper_id for y in page.page.family.young] == ["F-014"]
    window.go_back()
    assert page.page.who.keeper_id == "F-014"


def test_page_keys_walk_along_the_list_it_came_from_and_back_remembers(
    window: MainWindow, room: Room, press: Callable[..., None]
) -> None:
    among = Among([room.female, room.male], room.female)
    window.desk.go("animal", animal=room.female, among=among)
    page = window.screen_open
    assert isinstance(page, AnimalScreen) and page.page is not None
    press(Key.Key_PageDown)
    assert page.page.who.id == room.male and "2 of 2" in page.foot_hint()
    press(Key.Key_PageDown)
    assert page.page.who.id == room.male
    page.history()
    window.go_back()
    assert window.screen_open is page and page.page.who.id == room.male
    press(Key.Key_PageUp)
    assert page.page.who.id == room.female


def test_page_keys_do_nothing_while_something_is_typed(
    window: MainWindow, room: Room, press: Callable[..., None]
) -> None:
    window.desk.go("animal", animal=room.female, among=(room.female, room.male))
    page = window.screen_open
    assert isinstance(page, AnimalScreen)
    page.log("weight")
    press(Key.Key_PageDown)
    assert page.page is not None and page.page.who.id == room.female


def test_escape_goes_back_and_typed_words_hold_the_page(
    window: MainWindow, page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    page.log("note")
    _type(qtbot, "half")
    assert not window.open_screen("history")
    notice = page.desk.notices.current
    assert notice is not None and notice.kind is NoticeKind.WARNING
    press(Key.Key_Escape)
    press(Key.Key_Escape)
    assert window.screen_open is not page


def test_history_of_this_animal(window: MainWindow, page: AnimalScreen) -> None:
    page.history()
    assert window.screen_open is not None and window.screen_open.key == "history"
    assert window.screen_open.animal.text() == "F-014"  # type: ignore[attr-defined]


def test_a_scan_of_another_card_tells_what_stood_half_typed(
    page: AnimalScreen, room: Room, press: Callable[..., None], qtbot: QtBot
) -> None:
    _correct_without_enter(page, press, qtbot, page.body.head.genetics, "Pastel")
    assert not page.may_leave()
    page.desk.go_animal(room.male)
    notice = page.desk.notices.current
    assert notice is not None and "F-014" in str(notice.message) and "Pastel" in str(notice.message)
    assert page.page is not None and page.page.who.keeper_id == "M-03" and page.may_leave()


def test_enter_twice_keeps_once_while_the_act_is_on_its_way(qtbot: QtBot, room: Room) -> None:
    from coilbook.ui.background import Background
    from coilbook.ui.desk import DeskParts

    desk = Desk(DeskParts(room.book, Background()))
    window = MainWindow(desk, [AnimalScreen])
    qtbot.addWidget(window)
    window.show()
    try:
        desk.go_animal(room.female)
        page = window.screen_open
        assert isinstance(page, AnimalScreen)
        page.log("weight")
        page.body.log.form.set_text("mass", "2150")  # type: ignore[union-attr]
        page.body.log.keep()
        page.body.log.keep()
        page.body.head.genetics.edit()
        field = page.body.head.genetics.field
        assert field is not None
        field.setText("Pastel")
        qtbot.keyClick(field, Key.Key_Return)
        qtbot.keyClick(field, Key.Key_Return)
        qtbot.waitUntil(lambda: not desk.background.busy)
        assert room.book.read_one("SELECT count(*) FROM weight") == (2,)
        assert room.book.read_one("SELECT count(*) FROM act WHERE kind = 'edit_animal'") == (1,)
        assert page.body.head.genetics.value == "Pastel" and not page.body.log.isVisible()
    finally:
        desk.background.close()
        desk.deleteLater()


# --- photos ---------------------------------------------------------------------------------------------------


def _picture(path: Path, colour: str) -> Path:
    Image.new("RGB", (640, 480), colour).save(path)
    return path


def test_a_dropped_picture_becomes_her_photo_and_undo_takes_it_off(
    window: MainWindow, page: AnimalScreen, tmp_path: Path, press: Callable[..., None]
) -> None:
    assert page.body.photo.picture is None
    window.take_files([_picture(tmp_path / "top.png", "#806030")])
    assert page.page is not None and len(page.page.pictures) == 1 and page.body.photo.ready
    window.take_files([_picture(tmp_path / "side.png", "#304050")])
    assert page.body.photo.caption().endswith("2 of 2")
    page.body.photo.setFocus()
    press(Key.Key_Left)
    assert page.body.photo.caption().endswith("1 of 2")
    press(Key.Key_Delete)
    assert len(page.page.pictures) == 1
    press(Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert len(page.page.pictures) == 2


def test_the_page_opens_with_the_photo_chosen_for_it(
    window: MainWindow, page: AnimalScreen, room: Room, tmp_path: Path, press: Callable[..., None]
) -> None:
    for name in ("first.png", "second.png"):
        window.take_files([_picture(tmp_path / name, "#806030" if name == "first.png" else "#304050")])
    page.body.photo.step(-1)
    page.photos.open_with()
    page.desk.go_animal(room.male)
    page.desk.go_animal(room.female)
    assert page.body.photo.caption().endswith("1 of 2")
    assert page.page is not None and page.page.who.cover_photo == page.page.pictures[0].row


def test_the_clipboards_picture_is_pasted(page: AnimalScreen, press: Callable[..., None]) -> None:
    image = QImage(32, 24, QImage.Format.Format_RGB32)
    image.fill(0x405060)
    QGuiApplication.clipboard().setImage(image)
    press(Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    QGuiApplication.clipboard().clear()
    assert page.page is not None and [p.ending for p in page.page.pictures] == ["png"]


def test_what_is_no_picture_is_refused_in_a_sentence(window: MainWindow, page: AnimalScreen, tmp_path: Path) -> None:
    false = tmp_path / "false.png"
    false.write_bytes(b"not a picture")
    window.take_files([false])
    notice = page.desk.notices.current
    assert notice is not None and notice.kind is NoticeKind.REFUSED
    assert page.page is not None and page.page.pictures == ()


def test_a_photo_whose_file_is_gone_says_so_in_its_place(page: AnimalScreen, tmp_path: Path, room: Room) -> None:
    from coilbook.operations.photos import add_photo

    add_photo(room.book, animal=room.female, picture=_picture(tmp_path / "a.png", "red"))
    for file in (room.book.folder / "photos").rglob("*.png"):
        file.unlink()
    page.read(room.female)
    assert not page.body.photo.ready


# --- states ---------------------------------------------------------------------------------------------------


def test_an_animal_taken_back_by_undo_is_said_plainly(page: AnimalScreen, room: Room) -> None:
    from coilbook.operations.animals import AnimalDetails, add_animal

    outcome = add_animal(room.book, details=AnimalDetails(keeper_id="J-22"))
    page.desk.go_animal(outcome.value)
    assert page.page is not None
    page.desk.undo(outcome.changes.act)
    assert page.page is None and "no longer in the book" in page.body._gone.text()
    page.desk.go_animal(room.female)
    assert page.page.who.keeper_id == "F-014"


def test_the_fast_of_a_sold_animal_stands_still(page: AnimalScreen, room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    room.clock.pass_(days=12)
    offer_feeding(room.book, animal=room.female, result=FeedingResult.REFUSED)
    sell(room.book, animal=room.female)
    room.clock.pass_(days=400)
    page.read(room.female)
    assert page.facts()["fast"].value == "12 d, 1 refused" and "ago" not in page.facts()["meal"].value


def test_the_curve_walks_by_arrows_and_zooms(page: AnimalScreen, room: Room, press: Callable[..., None]) -> None:
    for day, grams in ((20, 2_150), (40, 2_200), (60, 2_180)):
        weigh(room.book, animal=room.female, mass=Mass(grams * 10), at=dt.datetime(2026, 1, 1) + dt.timedelta(days=day))
    page.read(room.female)
    chart = page.body.chart
    chart.setFocus()
    press(Key.Key_Left)
    press(Key.Key_Left)
    entry = page.body.timeline.entry
    assert entry is not None and str(entry.said[0]) == "weighed Mass(decigrams=21800)"
    whole = chart.view
    press(Key.Key_Plus)
    assert chart.view.days < whole.days
    press(Key.Key_0)
    assert chart.view == whole


def test_the_sheet_is_a_page_with_her_code_and_without_people_or_prices(
    page: AnimalScreen, press: Callable[..., None], qtbot: QtBot
) -> None:
    import pypdfium2
    import zxingcpp

    page.log("turn")
    press(Key.Key_S)
    _fill(page, qtbot, "person", "Greta")
    _fill(page, qtbot, "price", "250")
    press(Key.Key_Return)
    press(Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    (file,) = (page.desk.collection.folder / "papers").glob("*.pdf")
    document = pypdfium2.PdfDocument(file)
    assert len(document) == 1
    text = document[0].get_textpage().get_text_range()
    assert "F-014" in text and "2,140 g" in text and "Greta" not in text and "250" not in text
    picture = document[0].render(scale=3).to_pil()
    document.close()
    (code,) = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    assert page.page is not None and page.page.code is not None and code.text == page.page.code.text


def test_every_control_has_a_name_and_every_command_words(page: AnimalScreen, desk: Desk) -> None:
    nameless = [
        type(w).__name__
        for w in page.findChildren(QWidget)
        if w.focusPolicy() & Qt.FocusPolicy.TabFocus and w.isVisible() and not w.accessibleName()
    ]
    assert nameless == []
    assert all(command.words and command.screen == "animal" for command in page.commands())


# --- a record made by mistake ---------------------------------------------------------------------------------


def test_a_mistaken_record_is_deleted_from_the_command_list_and_one_with_a_history_stays(
    make_window: MakeWindow, room: Room, qtbot: QtBot
) -> None:
    from coilbook.ui.screens.animals import AnimalsScreen

    window = make_window(AnimalsScreen, AnimalScreen)
    mistaken = "Delete this mistaken record"
    slip = add_animal(room.book, details=AnimalDetails(keeper_id="F-0144")).value

    def delete(animal: AnimalId) -> None:
        window.desk.go_animal(animal)
        qtbot.keyClick(window, Key.Key_K, Qt.KeyboardModifier.ControlModifier)
        qtbot.keyClicks(window.search.field, "mistaken")
        qtbot.keyClick(window.search.field, Qt.Key.Key_Return)
        QApplication.processEvents()

    window.desk.go_animal(room.female)
    assert window.screen_open is not None
    assert mistaken not in [link.words for link in window.screen_open.margin_content().links]
    window.desk.go_animal(slip)
    assert mistaken in [link.words for link in window.screen_open.margin_content().links]
    delete(slip)
    assert room.book.read("SELECT 1 FROM animal WHERE id = ?", (slip,)) == []
    assert isinstance(window.screen_open, AnimalsScreen)
    window.desk.undo()
    assert room.book.read("SELECT keeper_id FROM animal WHERE id = ?", (slip,)) == [("F-0144",)]
    delete(room.female)
    assert room.book.read("SELECT keeper_id FROM animal WHERE id = ?", (room.female,)) == [("F-014",)]
    told = window.desk.notices.current
    assert told is not None and "has a history, so it stays" in window.desk.render(told.message)


def test_a_fast_her_stage_explains_is_expected_and_a_season_is_logged_here(room: Room, page: AnimalScreen) -> None:
    offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    room.clock.pass_(days=20)
    offer_feeding(room.book, animal=room.female, result=FeedingResult.REFUSED)
    page.read(room.female)
    today, style = room.clock.now.date(), page.desk.style
    assert page.page is not None
    assert strip(page.page, today, style)["fast"].shape == "refused"
    page.log("ovulation")
    page.body.log.keep()
    assert room.book.read("SELECT certainty FROM ovulation") == [("seen",)]
    assert page.page.season is not None
    fast = strip(page.page, today, style)["fast"]
    assert (fast.lines[0], fast.shape) == ("expected: gravid", "gravid")
    assert "ovulation" in {entry.table for entry in page.page.entries}
    page.log("stay")
    form = page.body.log.form
    assert form is not None
    male = form.rows["male"].editor
    assert isinstance(male, QLineEdit)
    male.setText("M-03")
    page.body.log.keep()
    assert "stay" in {entry.table for entry in page.page.entries}


def test_of_a_meal_without_prey_nothing_is_said_of_how_it_was_given() -> None:
    def told(prey: str, state: PreyState) -> str:
        meal = Meal(FeedingId(1), "2026-03-01T20:00", FeedingResult.TAKEN, None, prey, state, None, 1, "", True)
        return prey_words(meal, Style())

    assert told("", PreyState.FROZEN_THAWED) == ""
    assert told("", PreyState.LIVE) == "live"
    assert told("small rat", PreyState.FROZEN_THAWED) == "small rat, f/t"
