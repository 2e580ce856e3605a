"""What the page says of an animal's health: what goes on, what was entered of it, and who decides."""

from __future__ import annotations

import datetime as dt

from coilbook.reads.animal_rows import AnimalPage, Entry
from coilbook.reads.health_now import Course, course_words, is_due
from coilbook.records.health_vocabulary import CourseKind
from coilbook.ui.animal.words import entry_day, entry_words, shape_of
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginSection
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

#: lines the head of the page has room for
HEALTH_LINES = 2
#: entries shown of each course, and of those that are over
MOST = 6
#: letters of an entry in the margin; the whole of it stands in the timeline
_SHORT = 140


def health_lines(page: AnimalPage, today: dt.date, style: Style) -> list[tuple[str, bool]]:
    """What goes on, a line each for the head of the page, and whether something of it is due."""
    lines = [(_large(render(course_words(course, today), style)), is_due(course, today)) for course in page.courses]
    more = len(lines) - HEALTH_LINES
    if more > 0:
        due = any(late for _, late in lines[HEALTH_LINES - 1 :])
        told = translated_plural("and {n} more course", "and {n} more courses", more + 1)
        lines = [*lines[: HEALTH_LINES - 1], (told, due)]
    return lines


def health_facts(page: AnimalPage, style: Style) -> list[Fact]:
    """What goes on, for the margin that says who an animal is."""
    return [Fact(words(c.kind), translated("since {day}").format(day=style.date(c.since))) for c in page.courses]


def health_content(page: AnimalPage, today: dt.date, style: Style) -> MarginContent:
    """The margin while a treatment, a quarantine or an entry of one is logged."""
    sections = [_section(course, page, today, style) for course in page.courses]
    earlier = _earlier(page, today, style)
    if earlier:
        sections.append(MarginSection(translated("Over"), earlier))
    return MarginContent(
        heading=translated("Treatments and quarantine"),
        verdict=_verdict(page),
        sections=tuple(sections),
        needs_you=any(is_due(course, today) for course in page.courses),
        rests_on=translated(
            "Kept in the words of whoever ordered it; nothing is worked out here. What is given, how much and for how "
            "long is for a veterinarian to say."
        ),
    )


def _verdict(page: AnimalPage) -> str:
    kinds = {course.kind for course in page.courses}
    if len(kinds) == len(CourseKind):
        return translated("In quarantine, under treatment")
    if CourseKind.TREATMENT in kinds:
        return translated("Under treatment")
    return translated("In quarantine") if kinds else translated("Nothing goes on")


def _section(course: Course, page: AnimalPage, today: dt.date, style: Style) -> MarginSection:
    facts = [Fact(translated("since"), style.date(course.since))]
    facts += [Fact(translated("ordered by"), course.by)] if course.by else []
    due = is_due(course, today)
    if course.next_due is not None:
        facts.append(Fact(translated("next due"), style.date(course.next_due), strong=due))
    if course.planned_until is not None:
        facts.append(Fact(translated("meant until"), style.date(course.planned_until), strong=due))
    steps = [e for e in page.entries if e.table == "course_step" and (e.values or {}).get("course_id") == course.id]
    text = "\n".join(part for part in (course.what_for, course.done) if part)
    noted = [_evidence(entry, today, style) for entry in steps[:MOST]]
    rows: tuple[Evidence | Fact, ...] = (*facts, *noted)
    return MarginSection(words(course.kind), rows, text=text)


def _earlier(page: AnimalPage, today: dt.date, style: Style) -> tuple[Evidence, ...]:
    """Ends of the courses that are over; each names what it was for."""
    ends = [e for e in page.entries if e.table == "course_step" and e.code == "ended"]
    return tuple(_evidence(entry, today, style) for entry in ends[:MOST])


def _evidence(entry: Entry, today: dt.date, style: Style) -> Evidence:
    told = entry_words(entry, style)
    if len(told) > _SHORT:
        told = told[: _SHORT - 1].rstrip() + "\u2026"
    return Evidence(entry_day(entry, today, style), shape_of(entry), told)


def _large(text: str) -> str:
    return text[:1].upper() + text[1:]
