"""Closed lists of a health course, stored by their stable code (`.value`)."""

from __future__ import annotations

from enum import StrEnum


class CourseKind(StrEnum):
    """What a course is: a treatment, in the words of whoever ordered it, or a time kept apart from the others."""

    TREATMENT = "treatment"
    QUARANTINE = "quarantine"


class StepKind(StrEnum):
    """An entry of a course: something noted on the way, or its end with what came of it."""

    NOTED = "noted"
    ENDED = "ended"
