"""Treatments and quarantines: begun, noted, ended, corrected, and said before two animals are put together."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from coilbook.operations.animals import delete_animal
from coilbook.operations.asks import Asks
from coilbook.operations.departures import sell
from coilbook.operations.entries import edit_entry, remove_entry
from coilbook.operations.health import (
    CourseDetails,
    begin_quarantine,
    begin_treatment,
    correct_course,
    end_course,
    note_course,
)
from coilbook.operations.moving import move_animal
from coilbook.operations.settings import settings_of
from coilbook.operations.stays import enter_stay
from coilbook.operations.undo import RestsOn, undo_act, undo_last
from coilbook.operations.weighing import weigh
from coilbook.reads.history import HistoryFilter, history
from coilbook.records.ids import CourseId
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass
from coilbook.records.when import PartialDate
from coilbook.storage.check import check
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.operations.conftest import Room

ORDERED = CourseDetails(what_for="noisy breathing", done="course as the vet wrote it", new_person="Ash Rill")
APART = CourseDetails(what_for="new here", planned_until=PartialDate(dt.date(2026, 6, 27)))


def begun(room: Room) -> CourseId:
    return begin_treatment(room.book, animal=room.female, details=ORDERED).value


def newest(room: Room) -> str:
    (row,) = history(room.book, HistoryFilter(), limit=1)
    return render(row.told, Style(settings_of(room.book)))


def test_a_course_is_kept_in_the_words_it_was_written_in(room: Room) -> None:
    due = PartialDate(dt.date(2026, 4, 2))
    details = CourseDetails(what_for=" noisy breathing ", done="two lines\nas ordered", next_due=due, person=None)
    begin_treatment(room.book, animal=room.female, details=details)
    assert newest(room) == "F-014: treatment begun, noisy breathing"
    assert room.book.read("SELECT kind, what_for, done, person_id, next_due, planned_until FROM health_course") == [
        ("treatment", "noisy breathing", "two lines\nas ordered", None, "2026-04-02", None)
    ]


def test_a_course_without_words_is_refused(room: Room) -> None:
    for details in (CourseDetails(what_for="wheeze"), CourseDetails(done="as ordered")):
        with pytest.raises(Refusal, match="what it is for and what is done"):
            begin_treatment(room.book, animal=room.female, details=details)
    with pytest.raises(Refusal, match="its reason"):
        begin_quarantine(room.book, animal=room.female, details=CourseDetails(done="apart"))
    course = begun(room)
    with pytest.raises(Refusal, match="in words"):
        note_course(room.book, course=course, words="  ")
    with pytest.raises(Refusal, match="how it ended"):
        end_course(room.book, course=course, words="")


def test_a_new_name_becomes_a_person_and_a_known_one_is_found(room: Room) -> None:
    begun(room)
    begin_treatment(room.book, animal=room.male, details=CourseDetails(what_for="x", done="y", new_person="ash rill"))
    assert room.book.read("SELECT name, role FROM person ORDER BY id") == [("Wren", "keeper"), ("Ash Rill", "other")]
    assert room.book.read("SELECT person_id FROM health_course ORDER BY id") == [(2,), (2,)]


def test_what_is_noted_sets_the_next_day_and_the_end_clears_it(room: Room) -> None:
    course = begun(room)
    room.clock.pass_(days=3)
    note_course(room.book, course=course, words="second visit", next_due=PartialDate(dt.date(2026, 4, 8)))
    assert room.book.read("SELECT next_due FROM health_course") == [("2026-04-08",)]
    room.clock.pass_(days=3)
    with pytest.raises(Refusal, match="no earlier"):
        end_course(room.book, course=course, words="well", at=dt.datetime(2026, 3, 30, 12))
    end_course(room.book, course=course, words="well again, seen by the vet")
    assert newest(room) == "F-014: treatment ended, well again, seen by the vet"
    assert room.book.read("SELECT next_due FROM health_course") == [(None,)]
    assert room.book.read("SELECT animal_id, kind, words FROM course_step ORDER BY id") == [
        (room.female, "noted", "second visit"), (room.female, "ended", "well again, seen by the vet"),
    ]  # fmt: skip
    with pytest.raises(Refusal, match="treatment of F-014 has ended already"):
        note_course(room.book, course=course, words="late")
    undo_last(room.book)
    assert room.book.read("SELECT next_due FROM health_course") == [("2026-04-08",)]
    note_course(room.book, course=course, words="third visit")
    assert room.book.read("SELECT next_due FROM health_course") == [(None,)]
    assert check(room.book).findings == ()


def test_nothing_is_noted_of_a_course_before_it_began(room: Room) -> None:
    course = begun(room)
    with pytest.raises(Refusal, match="The course began on"):
        note_course(room.book, course=course, words="early", at=dt.datetime(2026, 3, 1, 9))
    with pytest.raises(Refusal, match="lies before the entry"):
        note_course(room.book, course=course, words="x", next_due=PartialDate(dt.date(2026, 3, 1)))


def test_one_quarantine_at_a_time_and_several_treatments(room: Room) -> None:
    begin_quarantine(room.book, animal=room.female, details=APART)
    with pytest.raises(Refusal, match=r"in quarantine since .* already"):
        begin_quarantine(room.book, animal=room.female, details=APART)
    begun(room)
    begun(room)
    assert room.book.read("SELECT count(*) FROM health_course") == [(3,)]


def test_a_course_is_corrected_and_its_old_words_stay_in_the_journal(room: Room) -> None:
    course = begun(room)
    correct_course(
        room.book, course=course, values={"what_for": "mouth", "new_person": "Wren", "person": None, "done": "as said"}
    )
    assert room.book.read("SELECT what_for, done, person_id FROM health_course") == [("mouth", "as said", 1)]
    assert room.book.read("SELECT before ->> '$.what_for' FROM change WHERE tbl = 'health_course' AND op = 'U'") == [
        ("noisy breathing",)
    ]
    with pytest.raises(Refusal, match="cannot be left empty"):
        correct_course(room.book, course=course, values={"done": " "})
    room.clock.pass_(days=2)
    note_course(room.book, course=course, words="seen")
    with pytest.raises(Refusal, match="it began no later"):
        correct_course(room.book, course=course, values={"at": dt.datetime(2026, 3, 31, 23)})


def test_an_entry_of_a_course_is_corrected_within_it(room: Room) -> None:
    course = begun(room)
    room.clock.pass_(days=2)
    step = note_course(room.book, course=course, words="seen").value
    room.clock.pass_(days=2)
    end_course(room.book, course=course, words="well")
    edit_entry(room.book, table="course_step", row=step, values={"words": "looked at"})
    with pytest.raises(Refusal, match="needs words"):
        edit_entry(room.book, table="course_step", row=step, values={"words": ""})
    with pytest.raises(Refusal, match="The course ended on"):
        edit_entry(room.book, table="course_step", row=step, values={"at": dt.datetime(2026, 4, 2, 21)})
    with pytest.raises(Refusal, match="The course began on"):
        edit_entry(room.book, table="course_step", row=step, values={"at": dt.datetime(2026, 3, 2, 21)})
    with pytest.raises(Refusal, match="no earlier"):
        edit_entry(room.book, table="course_step", row=step + 1, values={"at": dt.datetime(2026, 3, 30, 12)})
    with pytest.raises(Refusal, match="linked to it"):
        remove_entry(room.book, table="health_course", row=course)
    remove_entry(room.book, table="course_step", row=step + 1)
    note_course(room.book, course=course, words="goes on after all")
    assert check(room.book).findings == ()


def test_the_days_of_a_course_are_not_corrected_to_before_it_began(room: Room) -> None:
    due = PartialDate(room.clock().date() + dt.timedelta(3))
    course = begin_quarantine(room.book, animal=room.female, details=replace(APART, next_due=due)).value
    early = PartialDate(room.clock().date() - dt.timedelta(1))
    for name in ("next_due", "planned_until"):
        with pytest.raises(Refusal, match="lies before the entry itself"):
            correct_course(room.book, course=course, values={name: early})
    before = room.clock() - dt.timedelta(2)
    correct_course(room.book, course=course, values={"at": before, "next_due": early})
    room.clock.pass_(days=2)
    with pytest.raises(Refusal, match="lies before the entry itself"):
        correct_course(room.book, course=course, values={"at": room.clock()})
    correct_course(room.book, course=course, values={"at": room.clock(), "next_due": None})
    assert room.book.read("SELECT next_due, planned_until FROM health_course") == [(None, "2026-06-27")]


def test_the_end_of_a_quarantine_stays_while_the_next_one_goes_on(room: Room) -> None:
    first = begin_quarantine(room.book, animal=room.female, details=APART).value
    end_course(room.book, course=first, words="clean")
    ((end,),) = room.book.read("SELECT id FROM course_step")
    second = begin_quarantine(room.book, animal=room.female, details=APART).value
    with pytest.raises(Refusal, match="another quarantine since"):
        remove_entry(room.book, table="course_step", row=end)
    room.clock.pass_(days=1)
    end_course(room.book, course=second, words="clean again")
    remove_entry(room.book, table="course_step", row=end)
    assert room.book.read("SELECT course_id FROM course_step") == [(second,)]


def going_on(room: Room) -> list[tuple[object, ...]]:
    sql = "SELECT id FROM health_course WHERE id NOT IN (SELECT course_id FROM course_step WHERE kind = 'ended')"
    return room.book.read(sql)


def test_no_undo_leaves_an_animal_in_two_quarantines(room: Room) -> None:
    first = begin_quarantine(room.book, animal=room.female, details=APART).value
    ended = end_course(room.book, course=first, words="clean").changes.act
    assert ended is not None
    room.clock.pass_(days=1)
    second = begin_quarantine(room.book, animal=room.female, details=APART)
    begin_quarantine(room.book, animal=room.male, details=APART)
    with pytest.raises(Refusal, match="two quarantines at once") as refused:
        undo_act(room.book, act=ended)
    assert "F-014" in str(refused.value) and not isinstance(refused.value, RestsOn)
    assert going_on(room) == [(second.value,), (3,)]
    assert second.changes.act is not None
    undo_act(room.book, act=second.changes.act)
    undo_act(room.book, act=ended)
    assert going_on(room) == [(first,), (3,)]
    # what was undone does not come back beside it either
    again = room.book.read("SELECT id FROM act WHERE kind = 'undo' ORDER BY id")[0][0]
    with pytest.raises(Refusal, match="two quarantines at once"):
        undo_act(room.book, act=again)
    assert check(room.book).findings == ()


def test_nothing_is_due_of_a_course_that_has_ended(room: Room) -> None:
    course = begun(room)
    due = PartialDate(room.clock().date() + dt.timedelta(9))
    correct_course(room.book, course=course, values={"next_due": due})
    ((undone,),) = room.book.read("SELECT max(id) FROM act")
    undo_last(room.book)
    ((undo,),) = room.book.read("SELECT max(id) FROM act")
    assert undone != undo
    end_course(room.book, course=course, words="well")
    with pytest.raises(Refusal, match="nothing is due of it"):
        correct_course(room.book, course=course, values={"next_due": due})
    correct_course(room.book, course=course, values={"next_due": None, "note": "all told"})
    with pytest.raises(RestsOn):
        undo_act(room.book, act=undo)
    assert room.book.read("SELECT next_due, note FROM health_course") == [(None, "all told")]


def test_a_course_with_entries_is_undone_together_with_them(room: Room) -> None:
    course = begun(room)
    note_course(room.book, course=course, words="seen")
    act = room.book.read("SELECT id FROM act WHERE kind = 'begin_treatment'")[0][0]
    with pytest.raises(RestsOn):
        undo_act(room.book, act=act)
    undo_act(room.book, act=act, together=True)
    assert room.book.read("SELECT (SELECT count(*) FROM health_course) + (SELECT count(*) FROM course_step)") == [(0,)]
    assert check(room.book).findings == ()


def test_an_animal_under_treatment_has_a_history(room: Room) -> None:
    begun(room)
    with pytest.raises(Refusal, match="has a history"):
        delete_animal(room.book, animal=room.female)


def test_a_treatment_of_either_is_said_before_a_stay_and_the_reason_is_logged(room: Room) -> None:
    weigh(room.book, animal=room.male, mass=Mass(9_000), sure=True)
    begin_treatment(room.book, animal=room.male, details=ORDERED)
    begin_quarantine(room.book, animal=room.female, details=APART)
    with pytest.raises(Asks) as asked:
        enter_stay(room.book, female=room.female, male=room.male)
    said = render(asked.value.message, Style(settings_of(room.book)))
    assert said == (
        "F-014 has been in quarantine since 29 Mar 2026: new here. M-03 has been under treatment since 29 Mar 2026: "
        "noisy breathing. Put them together all the same? Say why in a line, or choose."
    )
    assert room.book.read("SELECT count(*) FROM stay") == [(0,)]
    enter_stay(room.book, female=room.female, male=room.male, in_spite="the vet cleared both")
    assert room.book.read("SELECT in_spite FROM stay") == [("the vet cleared both",)]
    assert newest(room) == (
        "M-03 put with F-014 all the same, the vet cleared both. F-014 has been in quarantine since 29 Mar 2026: "
        "new here. M-03 has been under treatment since 29 Mar 2026: noisy breathing."
    )


def test_an_ended_course_stands_in_the_way_of_nothing(room: Room) -> None:
    weigh(room.book, animal=room.male, mass=Mass(9_000), sure=True)
    course = begun(room)
    end_course(room.book, course=course, words="well again")
    enter_stay(room.book, female=room.female, male=room.male)
    assert newest(room) == "M-03 put with F-014"


def test_a_quarantine_that_goes_on_is_told_of_a_move_and_of_a_sale(room: Room) -> None:
    begin_quarantine(room.book, animal=room.female, details=APART)
    moved = move_animal(room.book, animal=room.female, place=room.slots["R2-B1"])
    assert [str(w) for w in moved.warnings] == [
        "F-014 has been in quarantine since 2026-03-29 by the book, and R2-B1 is no place of quarantine."
    ]
    sold = sell(room.book, animal=room.female)
    assert "has no end on record" in str(sold.warnings[0])
