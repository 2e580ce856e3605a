"""Treatments and quarantine in the real window, by keyboard: entered, noted, ended, corrected, undone, in a round."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from coilbook.operations.health import CourseDetails, begin_quarantine, begin_treatment
from coilbook.operations.stays import enter_stay
from coilbook.operations.weighing import weigh
from coilbook.reads.round import RoundTime, tubs_of_round
from coilbook.records.quantities import Mass
from coilbook.records.when import PartialDate
from coilbook.ui.desk import Desk
from coilbook.ui.round import telling
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.round import RoundScreen
from tests.ui.conftest import MakeWindow, Room
from tests.ui.test_animal_page import _editor, _fill, _type, page, press, window

__all__ = ["page", "press", "window"]

Key = Qt.Key
Press = Callable[..., None]
ORDERED = CourseDetails(
    what_for="noisy breathing", done="as the vet wrote it", new_person="Ash Rill",
    next_due=PartialDate(dt.date(2026, 3, 29)),
)  # fmt: skip


def lines(page: AnimalScreen) -> list[str]:
    return [line.text() for line in page.body.head.health if line.text()]


def test_a_treatment_is_entered_by_keys_alone(page: AnimalScreen, press: Press, qtbot: QtBot) -> None:
    press(Key.Key_Return)
    press(Key.Key_T)
    _type(qtbot, "noisy breathing")
    press(Key.Key_Tab)
    _type(qtbot, "Ash Rill")
    press(Key.Key_Tab)
    _type(qtbot, "first line")
    press(Key.Key_Return)
    _type(qtbot, "second line")
    press(Key.Key_Tab)
    _type(qtbot, "yesterday 18:00")
    press(Key.Key_Tab)
    _type(qtbot, "in 3 days")
    press(Key.Key_Return)
    (row,) = page.desk.collection.read("SELECT kind, at, what_for, done, next_due, planned_until FROM health_course")
    assert row == ("treatment", "2026-03-28T18:00", "noisy breathing", "first line\nsecond line", "2026-04-01", None)
    assert page.desk.collection.read("SELECT name FROM person WHERE id = 2") == [("Ash Rill",)]
    assert lines(page) == ["Under treatment since 28 Mar, next due 1 Apr: noisy breathing"]
    assert not page.body.log.isVisible()


def test_what_is_missing_is_said_in_the_form(page: AnimalScreen, press: Press, qtbot: QtBot) -> None:
    page.log("treatment")
    _type(qtbot, "noisy breathing")
    press(Key.Key_Return)
    editor = _editor(page, "done")
    assert editor.property("bad") and editor.hasFocus()
    assert page.desk.collection.read("SELECT count(*) FROM health_course") == [(0,)]
    page.log("course")
    press(Key.Key_Return)
    assert page.desk.collection.read("SELECT count(*) FROM course_step") == [(0,)] and page.body.log.isVisible()


def test_the_margin_says_once_who_decides(page: AnimalScreen, room: Room) -> None:
    begin_treatment(room.book, animal=room.female, details=ORDERED)
    page.read(room.female)
    margin = page.desk.margin
    assert margin is not None
    page.log("treatment")
    content = margin.content
    assert content.verdict == "Under treatment" and content.needs_you
    assert content.rests_on.count("veterinarian") == 1
    assert "as the vet wrote it" in content.sections[0].text


def test_a_course_is_noted_and_ended_by_keys_and_undone(page: AnimalScreen, press: Press, qtbot: QtBot) -> None:
    book = page.desk.collection
    page.log("quarantine")
    _type(qtbot, "new here")
    press(Key.Key_Tab)
    _type(qtbot, "27 Jun")
    press(Key.Key_Return)
    assert lines(page) == ["In quarantine since 29 Mar, meant until 27 Jun: new here"]
    page.log("course")
    _fill(page, qtbot, "words", "first sample sent")
    press(Key.Key_Return)
    assert book.read("SELECT kind, words FROM course_step") == [("noted", "first sample sent")]
    page.log("course")
    _editor(page, "what").setFocus()
    press(Key.Key_E)
    form = page.body.log.form
    assert form is not None and not form.rows["next_due"].isVisible()
    _fill(page, qtbot, "words", "two clear samples")
    press(Key.Key_Return)
    assert lines(page) == []
    assert [e.code for e in page.body.timeline.shown if e.table == "course_step"] == ["ended", "noted"]
    page.desk.undo()
    QApplication.processEvents()
    assert lines(page) == ["In quarantine since 29 Mar, meant until 27 Jun: new here"]


def test_a_note_before_the_next_day_keeps_that_day_and_one_on_it_asks_for_another(
    page: AnimalScreen, room: Room, press: Press, qtbot: QtBot
) -> None:
    begin_treatment(room.book, animal=room.female, details=replace(ORDERED, next_due=PartialDate(dt.date(2026, 4, 3))))
    page.open(animal=room.female)
    for due in ("2026-04-03", None):
        page.log("course")
        _fill(page, qtbot, "words", "quieter")
        press(Key.Key_Return)
        assert room.book.read("SELECT next_due FROM health_course") == [(due,)]
        room.clock.pass_(days=5)


def test_the_beginning_of_a_course_is_corrected_where_it_stands(
    page: AnimalScreen, room: Room, press: Press, qtbot: QtBot
) -> None:
    begin_treatment(room.book, animal=room.female, details=ORDERED)
    page.read(room.female)
    page.body.timeline.to_list()
    page.body.timeline.focus_entry("health_course", 1)
    press(Key.Key_Return)
    _fill(page, qtbot, "what_for", "noise when breathing")
    _fill(page, qtbot, "person", "Wren")
    _fill(page, qtbot, "next_due", "2 Apr")
    press(Key.Key_Return)
    assert room.book.read("SELECT what_for, done, person_id, next_due FROM health_course") == [
        ("noise when breathing", "as the vet wrote it", 1, "2026-04-02")
    ]
    press(Key.Key_Delete)
    assert room.book.read("SELECT count(*) FROM health_course") == [(0,)] and lines(page) == []


def test_an_entry_of_a_course_is_corrected_and_taken_out(
    page: AnimalScreen, room: Room, press: Press, qtbot: QtBot
) -> None:
    begin_treatment(room.book, animal=room.female, details=ORDERED)
    page.read(room.female)
    page.log("course")
    _fill(page, qtbot, "words", "seen")
    press(Key.Key_Return)
    page.body.timeline.to_list()
    page.body.timeline.focus_entry("course_step", 1)
    press(Key.Key_Return)
    _fill(page, qtbot, "words", "looked at")
    press(Key.Key_Return)
    assert room.book.read("SELECT words FROM course_step") == [("looked at",)]
    press(Key.Key_Delete)
    assert room.book.read("SELECT count(*) FROM course_step") == [(0,)]


def test_more_courses_than_lines_are_counted(page: AnimalScreen, room: Room) -> None:
    for _ in range(3):
        begin_treatment(room.book, animal=room.female, details=ORDERED)
    page.read(room.female)
    assert lines(page) == ["Under treatment since 29 Mar, due today: noisy breathing", "and 2 more courses"]


def test_a_pair_is_asked_about_in_the_form_and_the_reason_is_kept(
    page: AnimalScreen, room: Room, press: Press, qtbot: QtBot
) -> None:
    weigh(room.book, animal=room.male, mass=Mass(9_000), sure=True)
    begin_quarantine(room.book, animal=room.male, details=CourseDetails(what_for="new here"))
    page.log("stay")
    _fill(page, qtbot, "male", "M-03")
    press(Key.Key_Return)
    question = page.body.log.room.question
    assert question is not None
    assert "M-03 has been in quarantine since 29 Mar 2026: new here." in question.accessibleName()
    press(Key.Key_1)
    assert room.book.read("SELECT in_spite FROM stay") == [("looked at, fit",)]
    assert page.desk.notices.current is not None
    told = page.desk.render(page.desk.notices.current.message)
    assert told.startswith("M-03 put with F-014 all the same, looked at, fit. M-03 has been in quarantine")


@pytest.fixture
def walking(make_window: MakeWindow, room: Room) -> RoundScreen:
    begin_treatment(room.book, animal=room.female, details=ORDERED)
    opened = make_window(RoundScreen, AnimalScreen)
    opened.open_screen("round", animal=room.female)
    QApplication.processEvents()
    screen = opened.screen_open
    assert isinstance(screen, RoundScreen)
    return screen


def test_the_round_says_it_at_the_animal_at_hand(walking: RoundScreen, room: Room, desk: Desk) -> None:
    time = RoundTime.at(room.clock())
    tub = tubs_of_round(room.book, time, room.rack, 10)[0]
    assert telling.health_mark(tub, tub.animals[0], time, desk.style) == "under treatment, due today"
    told = "under treatment since 29 Mar, due today: noisy breathing"
    assert telling.health_words(tub.animals[0], time, desk.style) == told
    names = [w.accessibleName() for w in walking.findChildren(QWidget) if w.accessibleName()]
    assert any(told in name for name in names)


def test_a_stay_in_the_book_stays_as_it_was_when_a_treatment_begins_later(page: AnimalScreen, room: Room) -> None:
    weigh(room.book, animal=room.male, mass=Mass(9_000), sure=True)
    enter_stay(room.book, female=room.female, male=room.male)
    begin_treatment(room.book, animal=room.female, details=ORDERED)
    assert room.book.read("SELECT in_spite FROM stay") == [("",)]
