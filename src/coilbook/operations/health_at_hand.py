"""The health courses of an animal that go on, read inside an act, and the sentences that say so."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId, CourseId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.when import moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.health_tables import GOES_ON


@dataclass(frozen=True, slots=True)
class OpenCourse:
    """A course that goes on: `since` a stored moment, `what_for` as it was written."""

    id: CourseId
    kind: CourseKind
    since: str
    what_for: str


def open_courses(act: ActInHand, animal: AnimalId, until: str) -> list[OpenCourse]:
    """Courses of an animal that go on and were begun by `until` (a stored moment), quarantine before treatments."""
    sql = f"""SELECT c.id, c.kind, c.at, c.what_for FROM health_course c
        WHERE c.animal_id = ? AND c.at <= ? AND {GOES_ON} ORDER BY c.kind, c.at, c.id"""
    return [OpenCourse(CourseId(i), CourseKind(k), at, w) for i, k, at, w in act.rows(sql, (animal, until))]


def course_sentence(keeper_id: str, course: OpenCourse) -> Message:
    """One sentence that says a course goes on."""
    values = {"animal": keeper_id, "day": moment_from(course.since).date(), "what": course.what_for}
    if course.kind is CourseKind.QUARANTINE:
        return say("{animal} has been in quarantine since {day}: {what}.", None, **values)
    return say("{animal} has been under treatment since {day}: {what}.", None, **values)


def refuse_two_quarantines(act: ActInHand) -> None:
    """Refuse an undo that leaves an animal in two quarantines.

    An act that began the other quarantine touches no row of this one, so nothing else holds them apart.
    """
    touched = f"""SELECT row FROM change WHERE act = {int(act.id)} AND tbl = 'health_course' UNION
        SELECT s.course_id FROM course_step s JOIN change d ON d.row = s.id
        WHERE d.act = {int(act.id)} AND d.tbl = 'course_step' UNION
        SELECT before ->> '$.course_id' FROM change WHERE act = {int(act.id)} AND tbl = 'course_step' AND op <> 'I'"""
    two = f"""SELECT a.keeper_id, max(c.at) FROM health_course c JOIN animal a ON a.id = c.animal_id
        WHERE c.kind = 'quarantine' AND {GOES_ON} AND c.animal_id IN (
            SELECT o.animal_id FROM health_course o WHERE o.kind = 'quarantine' AND o.id IN ({touched}))
        GROUP BY c.animal_id HAVING count(*) > 1"""
    for keeper_id, since in act.rows(two):
        told = (
            "{animal} would be in two quarantines at once; the later has gone on since {day}. Take that one back first."
        )
        raise Refusal(say(told, animal=keeper_id, day=moment_from(since).date()))


def refuse_past_the_end(act: ActInHand) -> None:
    """Refuse an undo that ends a course twice, or leaves something noted of it after its end."""
    sql = """SELECT a.keeper_id, e.at FROM change c JOIN course_step mine ON mine.id = c.row
        JOIN course_step e ON e.course_id = mine.course_id AND e.kind = 'ended'
        JOIN course_step o ON o.course_id = e.course_id AND o.id <> e.id AND (o.kind = 'ended' OR o.at > e.at)
        JOIN animal a ON a.id = e.animal_id
        WHERE c.act = ? AND c.tbl = 'course_step' AND c.op <> 'D' ORDER BY e.at LIMIT 1"""
    for keeper_id, at in act.rows(sql, (act.id,)):
        told = "That course of {animal} has ended on {day}. Take that end out first."
        raise Refusal(say(told, animal=keeper_id, day=moment_from(at).date()))
