"""The calendar read by another library: what is expected no more is cancelled, and days of treatments stand in it."""

from __future__ import annotations

import datetime as dt

from icalendar import Calendar

from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.operations.health import CourseDetails, begin_quarantine, begin_treatment, end_course
from coilbook.operations.season_seen import see_ovulation
from coilbook.reads.season_calendar import season_calendar
from coilbook.records.egg_line import read_egg_line
from coilbook.records.settings import Settings
from coilbook.records.when import PartialDate
from tests.operations.conftest import Clock, Room, book, clock, room
from tests.operations.test_season import on

__all__ = ["Clock", "Room", "book", "clock", "room"]
D = dt.date


def test_what_was_exported_and_is_expected_no_more_is_cancelled(room: Room) -> None:
    """Read by another library: shed and laying go once she laid, under their names; the pip moves and stays."""
    on(room, 2026, 2, 20)
    see_ovulation(room.book, animal=room.female)
    before, _ = season_calendar(room.book, Settings(), room.clock())
    assert not any("STATUS" in event for event in Calendar.from_ical(before).walk("VEVENT"))
    on(room, 2026, 3, 8)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("6x"), box=BoxDetails()))
    after, expected = season_calendar(room.book, Settings(), room.clock(), before)
    events = {str(event["UID"]): event for event in Calendar.from_ical(after).walk("VEVENT")}
    assert _identifiers(before) == set(events) and expected == 1
    gone = {uid.split("-")[0] for uid, event in events.items() if str(event.get("STATUS")) == "CANCELLED"}
    assert gone == {"pre_lay_shed", "laying"}
    old = {str(event["UID"]): event for event in Calendar.from_ical(before).walk("VEVENT")}
    for uid, event in events.items():
        assert event["SEQUENCE"] > old[uid]["SEQUENCE"] and str(event["SUMMARY"]) == str(old[uid]["SUMMARY"])
        if str(event.get("STATUS")) == "CANCELLED":
            assert (event.decoded("DTSTART"), event.decoded("DTEND")) == (
                old[uid].decoded("DTSTART"), old[uid].decoded("DTEND"),
            )  # fmt: skip
            assert not event.walk("VALARM")
    # written again it is still cancelled; once its days are over it is left out; another book's events are none of ours
    again, _ = season_calendar(room.book, Settings(), room.clock(), after)
    assert again.count("STATUS:CANCELLED") == 2
    on(room, 2026, 5, 1)
    assert "CANCELLED" not in season_calendar(room.book, Settings(), room.clock(), again)[0]
    foreign = before.replace(".coilbook", ".other")
    assert "CANCELLED" not in season_calendar(room.book, Settings(), room.clock(), foreign)[0]


def test_days_of_treatments_and_quarantines_stand_in_the_calendar(room: Room) -> None:
    on(room, 2026, 3, 1)
    details = CourseDetails(
        what_for="noisy breathing; as the vet said", next_due=PartialDate(D(2026, 3, 6)), done="as ordered"
    )
    course = begin_treatment(room.book, animal=room.female, details=details).value
    begin_quarantine(
        room.book,
        animal=room.male,
        details=CourseDetails(what_for="new here", planned_until=PartialDate(D(2026, 5, 30))),
    )
    text, count = season_calendar(room.book, Settings(), room.clock())
    events = Calendar.from_ical(text).walk("VEVENT")
    names = [room.book.read_one("SELECT keeper_id FROM animal WHERE id = ?", (a,)) for a in (room.female, room.male)]
    female, male = (str(name[0]) for name in names if name is not None)
    found = {str(event["SUMMARY"]): event for event in events}
    assert count == 2 and set(found) == {f"{female}: treatment due", f"{male}: quarantine meant to end"}
    due = found[f"{female}: treatment due"]
    assert (due.decoded("DTSTART"), due.decoded("DTEND")) == (D(2026, 3, 6), D(2026, 3, 7))
    assert "noisy breathing; as the vet said" in str(due["DESCRIPTION"]) and "as ordered" not in text
    end_course(room.book, course=course, words="well again")
    after, _ = season_calendar(room.book, Settings(), room.clock(), text)
    gone = [e for e in Calendar.from_ical(after).walk("VEVENT") if str(e.get("STATUS")) == "CANCELLED"]
    assert [str(event["SUMMARY"]) for event in gone] == [f"{female}: treatment due"]


def _identifiers(text: str) -> set[str]:
    return {str(event["UID"]) for event in Calendar.from_ical(text).walk("VEVENT")}
