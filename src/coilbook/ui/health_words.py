"""What goes on of an animal's health, for a margin that is about something else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from coilbook.reads.health_now import HealthNow, course_words, is_due
from coilbook.records.ids import AnimalId
from coilbook.ui.margin_content import Evidence, MarginSection
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

#: letters of what a course is for; the page of the animal has the whole
_MOST = 60


def health_sections(health: HealthNow | None, today: dt.date, style: Style, whose: str = "") -> list[MarginSection]:
    """Its courses that go on, a triangle at one that asks for something now; nothing without any."""
    if health is None or not (health.courses or health.apart_in):
        return []
    rows = [
        Evidence(shape="triangle" if is_due(course, today) else "dot",
                 word=render(course_words(course, today, _MOST), style))
        for course in health.courses
    ]  # fmt: skip
    if health.apart_in and health.quarantine is None:
        rows.append(Evidence(shape="dot", word=translated("in quarantine, {place}").format(place=health.apart_in)))
    heading = translated("Health, {animal}").format(animal=whose) if whose else translated("Health")
    return [MarginSection(heading, tuple(rows))]


def health_shapes(health: Mapping[AnimalId, HealthNow], today: dt.date) -> dict[AnimalId, str]:
    """The shape of each animal with a course that goes on: a triangle where something is due, a circle else."""
    return {
        animal: "triangle" if any(is_due(course, today) for course in now.courses) else "circle"
        for animal, now in health.items()
        if now.courses
    }
