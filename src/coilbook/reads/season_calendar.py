"""Every expected event of the present season, and due days of treatments, as an iCalendar text (RFC 5545).

Of a treatment no more is written than its day and the keeper's own words of what it is for. The identifier of an event
is the same at every export, so that importing again moves it; the sequence number grows with the day of the export,
which a calendar needs to take the newer one.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from coilbook.husbandry.calendar_text import CalendarEntry, calendar_text, expected_entry, former_entries
from coilbook.husbandry.figures import Event
from coilbook.reads.health_now import course_words, courses_now
from coilbook.reads.season import season_page
from coilbook.reads.season_lines import SeasonPage
from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId
from coilbook.records.message import say
from coilbook.records.season_vocabulary import PlanState
from coilbook.records.settings import Settings
from coilbook.storage.collection import Collection
from coilbook.wording.style import Style
from coilbook.wording.texts import render

#: sequence numbers count days from here
_EPOCH = dt.date(2020, 1, 1)
#: events a keeper wants to be reminded of, days ahead
_REMIND = {Event.LAYING: 2, Event.PIP: 2}
#: a file larger than this is no calendar of ours
_LARGEST = 8_000_000
_DUE = {CourseKind.TREATMENT: "{animal}: treatment due", CourseKind.QUARANTINE: "{animal}: quarantine, look due"}
_ENDS = {
    CourseKind.TREATMENT: "{animal}: treatment meant to end",
    CourseKind.QUARANTINE: "{animal}: quarantine meant to end",
}


def season_calendar(collection: Collection, settings: Settings, now: dt.datetime, former: str = "") -> tuple[str, int]:
    """The text of the file, and how many events it expects; `now` with its zone.

    `former` is the text of the file it takes the place of: what that expected and nothing expects any more is written
    as cancelled, until its days have passed.
    """
    style, word = Style(settings), _collection_word(collection)
    page = season_page(collection, now.date(), settings)
    entries = [*_entries(page, style), *_due(collection, page.today, style)]
    gone = _cancelled(former_entries(former, word), entries, page.today, style)
    return calendar_text([*entries, *gone], word, now.astimezone(dt.UTC)), len(entries)


def former_text(file: Path) -> str:
    """The text of a calendar file that is to be written again; empty where there is none."""
    if not file.is_file() or file.stat().st_size > _LARGEST:
        return ""
    return file.read_bytes().decode("utf-8", "replace")


def _cancelled(
    former: Sequence[CalendarEntry], entries: Sequence[CalendarEntry], today: dt.date, style: Style
) -> list[CalendarEntry]:
    expected = {entry.key for entry in entries}
    told = render(say("Expected no more."), style)
    return [
        replace(one, detail=told, sequence=_sequence(today), cancelled=True)
        for one in former
        if one.key not in expected and one.last >= today
    ]


def _due(collection: Collection, today: dt.date, style: Style) -> list[CalendarEntry]:
    """Days at which a treatment or a quarantine asks for something, as recorded, one late too."""
    found = []
    for animal, courses in sorted(courses_now(collection).items()):
        row = collection.read_one("SELECT keeper_id FROM animal WHERE id = ?", (animal,))
        name = str(row[0]) if row is not None else "?"
        for course in courses:
            detail = render(course_words(course), style)
            for day, words, kind in ((course.next_due, _DUE, "due"), (course.planned_until, _ENDS, "end")):
                if day is not None:
                    title = render(say(words[course.kind], animal=name), style)
                    key = f"course-{course.id}-{kind}"
                    found.append(CalendarEntry(key, title, detail, day, day, _sequence(today), remind_days=0))
    return found


def _sequence(today: dt.date) -> int:
    return (today - _EPOCH).days


def _entries(page: SeasonPage, style: Style) -> list[CalendarEntry]:
    found: list[CalendarEntry] = []
    sequence = _sequence(page.today)
    for line in page.females:
        key = _season_key(line.id, line.counted_from or page.start, line.counted_round)
        for eggs in line.eggs:
            its = _season_key(line.id, eggs.start, eggs.round)
            entry = expected_entry(eggs.forecast, line.keeper_id, its, style, sequence)
            if entry is not None:
                found.append(_reminded(entry, eggs.forecast.event))
        for forecast in line.windows:
            entry = expected_entry(forecast, line.keeper_id, key, style, sequence)
            if entry is not None:
                found.append(_reminded(entry, forecast.event))
    for plan in page.plans:
        if plan.state is PlanState.OPEN and plan.day is not None and plan.day >= page.today:
            title = say("{female}: {male} planned", female=plan.female_name, male=plan.male_name)
            detail = plan.target + (f"\n{plan.reason}" if plan.reason else "")
            key = f"plan-{plan.id}"
            found.append(CalendarEntry(key, render(title, style), detail, plan.day, plan.day, sequence))
    return found


def _season_key(female: AnimalId, start: dt.date, number: int) -> str:
    """What stands for a female's clutch number `number` of a season in the identifiers of its events.

    Season and number of the clutch that is counted from, so that an event keeps its identifier when the season turns,
    when a further clutch begins, and when the clutch is given another name (RFC 5545, 3.8.4.7: persistent).
    """
    return f"{female}-{start.year}" + (f"-{number}" if number > 1 else "")


def _reminded(entry: CalendarEntry, event: Event) -> CalendarEntry:
    return replace(entry, remind_days=_REMIND.get(event))


def _collection_word(collection: Collection) -> str:
    """A word that is this collection's for good and says nothing of it: of the first act's moment."""
    row = collection.read_one("SELECT at, device FROM act ORDER BY id LIMIT 1")
    return hashlib.sha256(repr(row).encode()).hexdigest()[:12]
