"""Record tables of health: treatments and quarantines as courses, with what was noted on the way and how they ended.

All words are the keeper's or the veterinarian's as the keeper wrote them down; nothing here is looked up, worked out
or suggested. Whether a course goes on is in no column: it does until one of its entries ends it.
"""

from __future__ import annotations

from peewee import TextField

from coilbook.records.health_vocabulary import CourseKind, StepKind
from coilbook.storage.animal_tables import Animal, Person
from coilbook.storage.columns import Base, choice, to_row

#: that a course `c` of a query has no end on record
GOES_ON = "NOT EXISTS (SELECT 1 FROM course_step e WHERE e.course_id = c.id AND e.kind = 'ended')"


class HealthCourse(Base):
    """A course begun at `at`: what for (of a quarantine: why), what is done, by whom it was ordered.

    `next_due` is the day something is to be done again, `planned_until` the day it is meant to end; null when not said.
    """

    animal = to_row(Animal, index=False)
    kind = choice("kind", CourseKind, CourseKind.TREATMENT)
    at = TextField()
    what_for = TextField()
    done = TextField(default="")
    person = to_row(Person, null=True)
    next_due = TextField(null=True)
    planned_until = TextField(null=True)
    note = TextField(default="")

    class Meta:
        indexes = ((("animal", "at"), False),)


class CourseStep(Base):
    """What was noted of a course, or its end; `animal` is whose course it is, so that her history tells it."""

    course = to_row(HealthCourse)
    animal = to_row(Animal)
    at = TextField()
    kind = choice("kind", StepKind, StepKind.NOTED)
    words = TextField(default="")


HEALTH_TABLES: tuple[type[Base], ...] = (HealthCourse, CourseStep)
