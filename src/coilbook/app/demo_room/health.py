"""The demo's treatments and quarantines as acts, in the neutral words of the recipe."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence

from coilbook.app.demo_room.cast import Creature
from coilbook.app.demo_room.deeds import Book
from coilbook.app.demo_room.eggs import Doing
from coilbook.app.demo_room.recipe import Line, Recipe
from coilbook.operations.health import CourseDetails, begin_quarantine, begin_treatment, end_course, note_course
from coilbook.records.ids import AnimalId, CourseId, PersonId
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection

_Do = Callable[[Collection], object]
_HOUR = dt.time(18, 20)


def courses(recipe: Recipe, creatures: Sequence[Creature], book: Book) -> Iterator[Doing]:
    """Every entry of every course; a course is found again by its animal, which has one at a time here."""
    animals = {c.keeper_id: AnimalId(book.animal(c)) for c in creatures}
    for line in recipe.listed("courses"):
        animal = animals[line["id"]]
        yield Doing(_at(line["at"]), recipe.lines["keeper"], _begin(line, animal, book))
        for text in line.get("noted", ()):
            day, _, words = text.partition(" ")
            yield Doing(_at(dt.date.fromisoformat(day)), recipe.lines["keeper"], _note(line, animal, words))
        if "ended" in line:
            day, _, words = line["ended"].partition(" ")
            yield Doing(_at(dt.date.fromisoformat(day)), recipe.lines["keeper"], _end(animal, words))


def _at(day: dt.date) -> dt.datetime:
    return dt.datetime.combine(day, _HOUR)


def _begin(line: Line, animal: AnimalId, book: Book) -> _Do:
    details = CourseDetails(
        what_for=line["for"],
        done=line.get("done", ""),
        person=PersonId(book.people[line["by"]]) if "by" in line else None,
        next_due=PartialDate(line["due"]) if "due" in line else None,
        planned_until=PartialDate(line["until"]) if "until" in line else None,
    )
    begin = begin_quarantine if line["kind"] == "quarantine" else begin_treatment
    return lambda collection: begin(collection, animal=animal, details=details)


def _note(line: Line, animal: AnimalId, words: str) -> _Do:
    due = PartialDate(line["due"]) if "due" in line else None
    return lambda collection: note_course(collection, course=_course(collection, animal), words=words, next_due=due)


def _end(animal: AnimalId, words: str) -> _Do:
    return lambda collection: end_course(collection, course=_course(collection, animal), words=words)


def _course(collection: Collection, animal: AnimalId) -> CourseId:
    sql = "SELECT max(id) FROM health_course WHERE animal_id = ?"
    ((row,),) = collection.read(sql, (animal,))
    return CourseId(row)
