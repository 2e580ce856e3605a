"""What goes on of each animal's health, as the page, the list, the filter, the round, the card and the sheet say it."""

from __future__ import annotations

import datetime as dt
from io import BytesIO

import pypdfium2
import pytest

from coilbook.operations.departures import sell
from coilbook.operations.entries import remove_entry
from coilbook.operations.health import CourseDetails, begin_quarantine, begin_treatment, end_course, note_course
from coilbook.operations.undo import undo_last
from coilbook.printing.animal_sheet import sheet_pdf
from coilbook.reads.animal_page import animal_page
from coilbook.reads.animal_sheet import animal_sheet
from coilbook.reads.filter import filtered
from coilbook.reads.filter_next import completions
from coilbook.reads.health_now import course_words, courses_now, short_words
from coilbook.reads.herd import Herd, load
from coilbook.reads.herd_snapshot import keep, kept_herd
from coilbook.reads.history import HistoryFilter, history
from coilbook.reads.label_rows import cage_card_rows
from coilbook.reads.round import RoundTime, tubs_of_round
from coilbook.reads.standing import STATES, State, states
from coilbook.reads.timeline import timeline
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message
from coilbook.records.when import PartialDate
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.operations.conftest import Room, book, clock, room

__all__ = ["book", "clock", "room"]

TODAY = dt.date(2026, 3, 29)
DUE = PartialDate(dt.date(2026, 4, 2))
ORDERED = CourseDetails(what_for="noisy  breathing", done="As the vet wrote it.", new_person="Ash Rill", next_due=DUE)
APART = CourseDetails(what_for="new here", planned_until=PartialDate(dt.date(2026, 6, 27)))


def said(message: Message | None) -> str:
    assert message is not None
    return render(message, Style())


def left(herd: Herd, text: str, today: dt.date = TODAY) -> list[int]:
    return [int(herd.ids[row]) for row in filtered(herd, text, today).mask.nonzero()[0]]


def told(room: Room, animal: AnimalId) -> list[str]:
    return [", ".join(render(part, Style()) for part in (*e.said, *e.inside)) for e in timeline(room.book, animal)]


def test_what_goes_on_and_when_it_is_due(room: Room) -> None:
    begin_treatment(room.book, animal=room.female, details=ORDERED)
    (course,) = courses_now(room.book, [room.female, room.male])[room.female]
    assert (course.by, course.done, course.next_due) == ("Ash Rill", "As the vet wrote it.", DUE.first)
    assert said(course_words(course)) == "under treatment since 29 Mar: noisy breathing"
    assert said(course_words(course, TODAY)) == "under treatment since 29 Mar, next due 2 Apr: noisy breathing"
    assert said(course_words(course, most=6)) == "under treatment since 29 Mar: noisy\u2026"
    assert said(short_words(course, TODAY)) == "under treatment"
    assert said(short_words(course, DUE.first)) == "under treatment, due today"
    assert said(short_words(course, dt.date(2026, 4, 5))) == "under treatment, due since 2 Apr"


def test_a_quarantine_past_its_planned_end_says_so(room: Room) -> None:
    begin_quarantine(room.book, animal=room.female, details=APART)
    (course,) = courses_now(room.book, [room.female])[room.female]
    assert said(course_words(course, TODAY)) == "in quarantine since 29 Mar, meant until 27 Jun: new here"
    assert said(short_words(course, dt.date(2026, 6, 27))) == "in quarantine"
    assert said(short_words(course, dt.date(2026, 6, 28))) == "in quarantine, was meant to end 27 Jun"


def test_courses_that_go_on_stand_quarantine_first_and_an_animal_that_is_gone_has_none(room: Room) -> None:
    assert courses_now(room.book, [room.female, room.male]) == {}
    begin_treatment(room.book, animal=room.male, details=ORDERED)
    begin_quarantine(room.book, animal=room.male, details=APART)
    begin_treatment(room.book, animal=room.female, details=ORDERED)
    found = courses_now(room.book, [room.female, room.male])
    assert [said(course_words(one)) for one in found[room.male]] == [
        "in quarantine since 29 Mar: new here",
        "under treatment since 29 Mar: noisy breathing",
    ]
    assert len(found[room.female]) == 1
    sell(room.book, animal=room.male)
    assert courses_now(room.book, [room.female, room.male]).keys() == {room.female} == courses_now(room.book).keys()
    assert courses_now(room.book, []) == {}


def test_the_timeline_tells_beginning_steps_and_end_with_who_entered_them(room: Room) -> None:
    room.clock.pass_(minutes=5)
    course = begin_treatment(room.book, animal=room.female, details=ORDERED).value
    room.clock.pass_(days=3)
    note_course(room.book, course=course, words="seen again.")
    room.clock.pass_(days=3)
    end_course(room.book, course=course, words="well")
    assert told(room, room.female)[:3] == [
        "treatment ended (noisy breathing): well",
        "in treatment: seen again",
        "treatment begun: noisy breathing, As the vet wrote it, by Ash Rill",
    ]
    assert {e.who for e in timeline(room.book, room.female)[:3]} == {"Wren"}
    assert [row.kind.value for row in history(room.book, HistoryFilter(animal=room.female), limit=3)] == [
        "end_course", "note_course", "begin_treatment",
    ]  # fmt: skip


def test_the_page_shows_what_goes_on_and_no_more_once_it_ended(room: Room) -> None:
    course = begin_quarantine(room.book, animal=room.female, details=APART).value
    assert [c.what_for for c in animal_page(room.book, room.female).courses] == ["new here"]
    end_course(room.book, course=course, words="two clear samples")
    assert animal_page(room.book, room.female).courses == ()
    undo_last(room.book)
    assert len(animal_page(room.book, room.female).courses) == 1


@pytest.mark.parametrize("ends", [True, False])
def test_the_filter_finds_them_and_the_list_keeps_up(room: Room, ends: bool) -> None:
    herd = load(room.book)
    keep(room.book, herd)
    treatment = begin_treatment(room.book, animal=room.female, details=ORDERED).value
    begin_quarantine(room.book, animal=room.male, details=APART)
    kept = kept_herd(room.book)
    assert kept is not None
    herd.advance(room.book)
    for one in (herd, kept, load(room.book)):
        assert left(one, "under treatment") == [room.female]
        assert left(one, "in quarantine") == [room.male]
        assert left(one, "not under treatment") == [room.male]
        assert [STATES[s] for s in states(one, TODAY)] == [State.TREATMENT, State.QUARANTINE]
        assert left(one, "treatment due") == [] and left(one, "treatment due", DUE.first) == [room.female]
        assert left(one, "quarantine due", dt.date(2026, 6, 27)) == []
        assert left(one, "quarantine due", dt.date(2026, 6, 28)) == [room.male]
        assert left(one, "breathing") == [room.female]
    if ends:
        end_course(room.book, course=treatment, words="well")
    else:
        remove_entry(room.book, table="health_course", row=treatment)
    herd.advance(room.book)
    assert left(herd, "under treatment") == [] and left(herd, "treatment due", DUE.first) == []
    assert completions(herd, "under tr", TODAY) == ("under treatment",)


def test_the_round_has_it_at_the_animal_at_hand(room: Room) -> None:
    begin_treatment(room.book, animal=room.female, details=ORDERED)
    tubs = tubs_of_round(room.book, RoundTime.at(room.clock()), room.rack, 10)
    assert {a.keeper_id: [c.what_for for c in a.courses] for tub in tubs for a in tub.animals} == {
        "F-014": ["noisy  breathing"], "M-03": [],
    }  # fmt: skip


def test_a_cage_card_says_quarantine_of_an_animal_wherever_it_lives(room: Room) -> None:
    begin_quarantine(room.book, animal=room.female, details=APART)
    cards = {row.animal: str(row.content) for row in cage_card_rows(room.book, [room.female, room.male])}
    assert "QUARANTINE" in cards[room.female] and "QUARANTINE" not in cards[room.male]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_of_an_animal_has_its_treatments_without_people(room: Room, paper: str) -> None:
    course = begin_treatment(room.book, animal=room.female, details=ORDERED).value
    note_course(room.book, course=course, words="seen again")
    end_course(room.book, course=course, words="well")
    begin_treatment(room.book, animal=room.female, details=CourseDetails(what_for="x", done="word " * 400))
    (text,) = pages(room, room.female, paper)
    assert "Treatments and quarantine" in text and "the rest stands in the book" in text and "Ash Rill" not in text
    remove_entry(room.book, table="health_course", row=course + 1)
    (text,) = pages(room, room.female, paper)
    plain = " ".join(text.split())
    assert "treatment begun: noisy breathing; As the vet wrote it" in plain and "Ash Rill" not in plain
    assert "treatment ended (noisy breathing): well" in plain and "Notes and signs" in plain
    assert "Treatments and quarantine" not in pages(room, room.male, paper)[0]


def test_what_goes_on_is_on_the_sheet_however_much_was_noted_of_it(room: Room) -> None:
    course = begin_treatment(room.book, animal=room.female, details=ORDERED).value
    for day in range(12):
        room.clock.pass_(days=1)
        note_course(room.book, course=course, words=f"seen on day {day}")
    (text,) = pages(room, room.female, "A4")
    plain = " ".join(text.split())
    assert "treatment begun: noisy breathing; As the vet wrote it" in plain and "seen on day 11" in plain
    assert "seen on day 0" not in plain and "the rest stands in the book" in plain


def pages(room: Room, animal: AnimalId, paper: str) -> list[str]:
    sheet = animal_sheet(animal_page(room.book, animal), TODAY)
    document = pypdfium2.PdfDocument(BytesIO(sheet_pdf(sheet, Style(), paper)))
    try:
        return [page.get_textpage().get_text_range() for page in document]
    finally:
        document.close()
