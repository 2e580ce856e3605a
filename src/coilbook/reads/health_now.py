"""What goes on of each animal's health: open treatments and quarantines, quarantine by place, and what is due.

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
    WHERE a.status IN ('{Status.HERE}', '{Status.LOAN}') AND {GOES_ON} {{which}} ORDER BY c.kind, c.at, c.id"""
_APART = """WITH RECURSIVE shut(id) AS (
        SELECT id FROM place WHERE quarantine UNION SELECT p.id FROM place p JOIN shut s ON p.parent_id = s.id)
    SELECT a.id, p.label FROM animal a JOIN place p ON p.id = a.place_id WHERE a.place_id IN (SELECT id FROM shut)"""

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


@dataclass(frozen=True, slots=True)
class HealthNow:
    """What goes on of one animal. `apart_in` the quarantine place it lives in, empty for none."""

    courses: tuple[Course, ...] = ()
    apart_in: str = ""

    @property
    def quarantine(self) -> Course | None:
        """The quarantine on record that goes on; an animal may also be apart by its place alone."""
        return next((c for c in self.courses if c.kind is CourseKind.QUARANTINE), None)

    @property
    def treatments(self) -> tuple[Course, ...]:
        """The treatments that go on, oldest first."""
        return tuple(c for c in self.courses if c.kind is CourseKind.TREATMENT)

    def said(self) -> tuple[Message, ...]:
        """Each thing that speaks against a pairing, in a few words: quarantine first, then each treatment."""
        told = [course_words(course) for course in self.courses]
        if self.apart_in and self.quarantine is None:
            told.insert(0, say("in quarantine, {place}", place=self.apart_in))
        return tuple(told)


def health_now(collection: Collection) -> Mapping[AnimalId, HealthNow]:
    """Everything that goes on, by animal; an animal that is not named has nothing. Two queries for the whole book."""
    courses = _courses(collection, _OPEN.format(which=""), ())
    apart = {AnimalId(i): str(label) for i, label in collection.read(_APART)}
    return {a: HealthNow(tuple(courses.get(a, ())), apart.get(a, "")) for a in {*courses, *apart}}


def courses_now(collection: Collection, animals: Iterable[int]) -> Mapping[AnimalId, tuple[Course, ...]]:
    """The courses that go on of these animals; those without one are not named."""
    sql = _OPEN.format(which="AND c.animal_id IN (SELECT value FROM json_each(?))")
    found = _courses(collection, sql, (json.dumps([int(a) for a in animals]),))
    return {animal: tuple(courses) for animal, courses in found.items()}


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


def _courses(collection: Collection, sql: str, values: tuple[object, ...]) -> dict[AnimalId, list[Course]]:
    found: dict[AnimalId, list[Course]] = {}
    for animal, row, kind, at, what_for, done, by, due, until in collection.read(sql, values):
        since = moment_from(at).date()
        course = Course(CourseId(row), CourseKind(kind), since, what_for, done, by, _day(due), _day(until))
        found.setdefault(AnimalId(animal), []).append(course)
    return found


def _day(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None
