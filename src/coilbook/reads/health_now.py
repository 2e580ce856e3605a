"""What goes on of each animal's health: open treatments and quarantines, and what is due.

Words are the keeper's or the veterinarian's as written. Animals that are gone have nothing that goes on.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId, CourseId
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import Status
from coilbook.records.when import ShortDate, moment_from
from coilbook.storage.collection import Collection
from coilbook.storage.health_tables import GOES_ON

_OPEN = f"""SELECT c.animal_id, c.id, c.kind, c.at, c.what_for, c.done, coalesce(p.name, ''), c.next_due,
    c.planned_until FROM health_course c JOIN animal a ON a.id = c.animal_id LEFT JOIN person p ON p.id = c.person_id
    WHERE a.status IN ('{Status.HERE}', '{Status.LOAN}') AND {GOES_ON}"""
_IN_ORDER = "ORDER BY c.kind, c.at, c.id"
_OPEN_OF_ALL = f"{_OPEN} {_IN_ORDER}"
_OPEN_OF_SOME = f"{_OPEN} AND c.animal_id IN (SELECT value FROM json_each(?)) {_IN_ORDER}"
_GOES_ON = {
    CourseKind.TREATMENT: "under treatment since {day}: {what}",
    CourseKind.QUARANTINE: "in quarantine since {day}: {what}",
}
_GOES_ON_DUE = {
    CourseKind.TREATMENT: "under treatment since {day}, {due}: {what}",
    CourseKind.QUARANTINE: "in quarantine since {day}, {due}: {what}",
}


@dataclass(frozen=True, slots=True)
class Course:
    """A course that goes on. `by` who ordered it, empty when not said; `next_due`, `planned_until` days, or None."""

    id: CourseId
    kind: CourseKind
    since: dt.date
    what_for: str
    done: str
    by: str
    next_due: dt.date | None
    planned_until: dt.date | None


def courses_now(
    collection: Collection, animals: Iterable[int] | None = None
) -> Mapping[AnimalId, tuple[Course, ...]]:  # fmt: skip
    """The courses that go on of these animals or, when none are named, of all; quarantine first.

    Animals without one are not in it.
    """
    found: dict[AnimalId, tuple[Course, ...]] = {}
    if animals is None:
        rows = collection.read(_OPEN_OF_ALL)
    else:
        # in a statement of its own: one for both walks through every course there is
        rows = collection.read(_OPEN_OF_SOME, (json.dumps([int(a) for a in animals]),))
    for animal, row, kind, at, what_for, done, by, due, until in rows:
        since = moment_from(at).date()
        course = Course(CourseId(row), CourseKind(kind), since, what_for, done, by, _day(due), _day(until))
        found[AnimalId(animal)] = (*found.get(AnimalId(animal), ()), course)
    return found


def course_words(course: Course, today: dt.date | None = None, most: int = 0) -> Message:
    """A course that goes on in a few words: "under treatment since 3 Mar, next due 9 Mar: noisy breathing".

    What is due is told when `today` is given; what it is for comes last and is cut to `most` letters, 0 for whole.
    """
    what = " ".join(course.what_for.split())
    if most and len(what) > most:
        what = what[: most - 1].rstrip() + "\u2026"
    due = due_words(course, today) if today is not None else None
    kind = _GOES_ON[course.kind] if due is None else _GOES_ON_DUE[course.kind]
    return say(kind, None, day=ShortDate(course.since), what=what, **({} if due is None else {"due": due}))


def short_words(course: Course, today: dt.date) -> Message:
    """A course that goes on in two words or so, and what is due of it now."""
    said = say("in quarantine") if course.kind is CourseKind.QUARANTINE else say("under treatment")
    due = due_words(course, today) if is_due(course, today) else None
    return said if due is None else say("{what}, {due}", what=said, due=due)


def due_words(course: Course, today: dt.date) -> Message | None:
    """When something is to be done next, or when it was meant to end; None when neither was said."""
    if course.next_due is not None:
        if course.next_due <= today:
            late = (today - course.next_due).days
            return say("due since {day}", day=ShortDate(course.next_due)) if late else say("due today")
        return say("next due {day}", day=ShortDate(course.next_due))
    if course.planned_until is not None:
        if course.planned_until < today:
            return say("was meant to end {day}", day=ShortDate(course.planned_until))
        return say("meant until {day}", day=ShortDate(course.planned_until))
    return None


def is_due(course: Course, today: dt.date) -> bool:
    """True when something was to be done by today, or the course was meant to be over."""
    return (course.next_due is not None and course.next_due <= today) or (
        course.next_due is None and course.planned_until is not None and course.planned_until < today
    )


def _day(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None
