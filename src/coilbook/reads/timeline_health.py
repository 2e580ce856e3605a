"""Entries of health courses on an animal's timeline: how they began, what was noted, how they ended."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from coilbook.records.health_vocabulary import CourseKind, StepKind
from coilbook.records.message import Message, say
from coilbook.records.when import moment_from

Row = Mapping[str, Any]
Told = tuple[str, tuple[Message, ...], tuple[Message, ...]]

#: table -> (stored columns, what is looked up beside them, joins, whose entries)
HEALTH_SOURCES: dict[str, tuple[str, Mapping[str, str], str, str]] = {
    "health_course": (
        "id at kind what_for done next_due planned_until note person_id",
        {"person": "p.name"},
        "LEFT JOIN person p ON p.id = e.person_id",
        "",
    ),
    "course_step": (
        "id at kind words course_id",
        {"course": "c.kind", "what_for": "c.what_for"},
        "JOIN health_course c ON c.id = e.course_id",
        "",
    ),
}


def _line(text: str) -> str:
    """A text in one line, without the stop at its end: more may follow it."""
    return " ".join(text.split()).rstrip(".")


def _course(row: Row) -> Told:
    kind = CourseKind(row["kind"])
    said = [say("{kind} begun: {what}", kind=kind, what=_line(row["what_for"]))]
    if row["done"]:
        said.append(say("{text}", text=_line(row["done"])))
    if row["planned_until"]:
        said.append(say("meant until {day}", day=moment_from(row["planned_until"]).date()))
    if row["next_due"]:
        said.append(say("next due {day}", day=moment_from(row["next_due"]).date()))
    if row["note"]:
        said.append(say("{text}", text=_line(row["note"])))
    person = (say("by {person}", person=row["person"]),) if row["person"] else ()
    return kind.value, tuple(said), person


def _step(row: Row) -> Told:
    course, words = CourseKind(row["course"]), _line(row["words"])
    if row["kind"] == StepKind.ENDED:
        told = "{kind} ended ({what}): {words}"
        return StepKind.ENDED.value, (say(told, kind=course, what=_line(row["what_for"]), words=words),), ()
    return StepKind.NOTED.value, (say("in {kind}: {words}", kind=course, words=words),), ()


HEALTH_TELL: dict[str, Callable[[Row], Told]] = {"health_course": _course, "course_step": _step}
