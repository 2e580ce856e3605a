"""What goes on of an animal's health, for a margin that is about something else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from coilbook.reads.health_now import Course, course_words, is_due
from coilbook.records.ids import AnimalId
from coilbook.ui.margin_content import Evidence, MarginSection
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

#: letters of what a course is for; the page of the animal has the whole
_MOST = 60
#: courses that go on, by animal
Courses = Mapping[AnimalId, Sequence[Course]]


def health_sections(courses: Sequence[Course], today: dt.date, style: Style, whose: str = "") -> list[MarginSection]:
    """Courses that go on, a triangle at one that asks for something now; nothing without any."""
    if not courses:
        return []
    rows = tuple(
        Evidence(shape="triangle" if is_due(course, today) else "dot",
                 word=render(course_words(course, today, _MOST), style))
        for course in courses
    )  # fmt: skip
    heading = translated("Health, {animal}").format(animal=whose) if whose else translated("Health")
    return [MarginSection(heading, rows)]


def health_shapes(courses: Courses, today: dt.date) -> dict[AnimalId, str]:
    """The shape of each animal with a course that goes on: a triangle where something is due, a circle else."""
    return {
        animal: "triangle" if any(is_due(course, today) for course in its) else "circle"
        for animal, its in courses.items()
        if its
    }
