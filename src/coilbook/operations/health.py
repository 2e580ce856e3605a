"""Treatments and quarantines: begun, noted on the way, ended, corrected.

Every word of a course is the keeper's own or the veterinarian's as the keeper wrote it down: nothing is suggested,
worked out or looked up here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace

from coilbook.operations.at_hand import AnimalAtHand, animal_at_hand, happened, living_here
from coilbook.operations.health_at_hand import open_courses
from coilbook.operations.people import person_named
from coilbook.records.changes import Outcome
from coilbook.records.health_vocabulary import CourseKind, StepKind
from coilbook.records.ids import AnimalId, CourseId, PersonId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, PersonRole
from coilbook.records.when import PartialDate, moment_from, whole_day
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.health_tables import GOES_ON, CourseStep, HealthCourse

_GONE = say("That course is no longer in the book; it may have been undone.")


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseDetails:
    """A course as it is begun. `what_for` of a quarantine is why; `done` what is done, as it was ordered or decided."""

    what_for: str = ""
    done: str = ""
    at: dt.datetime | None = None
    person: PersonId | None = None
    #: the name of somebody who may not be in the book yet, in place of `person`; they go in within the same act
    new_person: str = ""
    next_due: PartialDate | None = None
    planned_until: PartialDate | None = None
    note: str = ""


def begin_treatment(collection: Collection, *, animal: AnimalId, details: CourseDetails) -> Outcome[CourseId]:
    """A treatment begins; several may go on at once. Refused without what it is for and what is done."""
    with collection.act(Act.BEGIN_TREATMENT) as act:
        found = living_here(act, animal)
        if not details.what_for.strip() or not details.done.strip():
            raise Refusal(say("A treatment needs what it is for and what is done, in your words or the vet's."))
        row = _write(act, found, CourseKind.TREATMENT, details)
        act.tell(say("{animal}: treatment begun, {what}", animal=found.keeper_id, what=_line(details.what_for)))
    return act.outcome(Act.BEGIN_TREATMENT, row)


def begin_quarantine(collection: Collection, *, animal: AnimalId, details: CourseDetails) -> Outcome[CourseId]:
    """An animal is kept apart from now on, wherever it lives; refused without a reason, or when it is already."""
    with collection.act(Act.BEGIN_QUARANTINE) as act:
        found = living_here(act, animal)
        if not details.what_for.strip():
            raise Refusal(say("A quarantine needs its reason."))
        for course in open_courses(act, animal, act.now_text):
            if course.kind is CourseKind.QUARANTINE:
                since = moment_from(course.since).date()
                told = "{animal} has been in quarantine since {day} already."
                raise Refusal(say(told, animal=found.keeper_id, day=since))
        row = _write(act, found, CourseKind.QUARANTINE, replace(details, done=""))
        act.tell(say("{animal}: quarantine begun, {what}", animal=found.keeper_id, what=_line(details.what_for)))
    return act.outcome(Act.BEGIN_QUARANTINE, row)


def note_course(
    collection: Collection,
    *,
    course: CourseId,
    words: str,
    at: dt.datetime | None = None,
    next_due: PartialDate | None = None,
) -> Outcome[int]:
    """What was done or found on the way, in words; `next_due` is the next day something is due, None for none said."""
    with collection.act(Act.NOTE_COURSE) as act:
        animal, moment = _going_on(act, course, at)
        if not words.strip():
            raise Refusal(say("Say in words what was done or found."))
        row = _step(act, course, animal, moment, StepKind.NOTED, words)
        act.update(HealthCourse, course, next_due=_day_after(next_due, moment))
        act.tell(say("{animal}: {what}", animal=animal.keeper_id, what=_line(words)))
    return act.outcome(Act.NOTE_COURSE, row)


def end_course(
    collection: Collection, *, course: CourseId, words: str, at: dt.datetime | None = None
) -> Outcome[CourseId]:
    """A course is over; `words` say what came of it, and nothing is due any more."""
    with collection.act(Act.END_COURSE) as act:
        animal, moment = _going_on(act, course, at)
        if not words.strip():
            raise Refusal(say("Say in words how it ended."))
        sql = "SELECT kind, (SELECT max(s.at) FROM course_step s WHERE s.course_id = c.id) FROM health_course c"
        kind, last = act.rows(f"{sql} WHERE c.id = ?", (course,))[0]
        if last is not None and last > moment:
            raise Refusal(say("Something was noted of it on {day}; it ended no earlier.", day=moment_from(last).date()))
        _step(act, course, animal, moment, StepKind.ENDED, words)
        act.update(HealthCourse, course, next_due=None)
        told = "{animal}: {kind} ended, {what}"
        act.tell(say(told, animal=animal.keeper_id, kind=CourseKind(kind), what=_line(words)))
    return act.outcome(Act.END_COURSE, course)


def correct_course(collection: Collection, *, course: CourseId, values: Mapping[str, object]) -> Outcome[CourseId]:
    """Change `at`, `what_for`, `done`, `person` (an id or None), `new_person`, `next_due`, `planned_until` or `note`.

    The journal keeps what stood before. It cannot begin after what was noted of it, or after a day that is to come.
    """
    with collection.act(Act.EDIT_ENTRY) as act:
        animal, kind = _course(act, course)
        plain: dict[str, object] = {}
        moment = values.get("at")
        if isinstance(moment, dt.datetime):
            plain["at"] = happened(act, moment)
            _check_before_steps(act, course, str(plain["at"]))
        for name in ("what_for", "done", "note"):
            if name in values:
                plain[name] = str(values[name]).strip()
        if not plain.get("what_for", "x") or (kind is CourseKind.TREATMENT and not plain.get("done", "x")):
            raise Refusal(say("What it is for and what is done cannot be left empty."))
        for name in ("next_due", "planned_until"):
            if name in values:
                day = values[name]
                plain[name] = whole_day(day if isinstance(day, PartialDate) else None)
        if "person" in values or "new_person" in values:
            known = values.get("person")
            plain["person_id"] = _person(act, PersonId(known) if isinstance(known, int) else None,
                                         str(values.get("new_person", "")))  # fmt: skip
        _check_days(act, course, plain)
        if plain:
            act.update(HealthCourse, course, **plain)
        act.tell(say("entry of {animal} corrected", animal=animal.keeper_id))
    return act.outcome(Act.EDIT_ENTRY, course)


def check_step(act: ActInHand, step: int, moment: str, words: str) -> None:
    """Refuse a corrected entry of a course that has no words, or that lies before its beginning or after its end."""
    if not words.strip():
        raise Refusal(say("An entry of a course needs words."))
    sql = """SELECT c.at, s.kind,
        (SELECT max(o.at) FROM course_step o WHERE o.course_id = c.id AND o.id <> s.id),
        (SELECT min(e.at) FROM course_step e WHERE e.course_id = c.id AND e.id <> s.id AND e.kind = 'ended')
        FROM course_step s JOIN health_course c ON c.id = s.course_id WHERE s.id = ?"""
    begun, kind, latest, ended = act.rows(sql, (step,))[0]
    if moment < begun:
        raise Refusal(say("The course began on {day}.", day=moment_from(begun).date()))
    if kind == StepKind.ENDED and latest is not None and moment < latest:
        raise Refusal(say("Something was noted of it on {day}; it ended no earlier.", day=moment_from(latest).date()))
    if ended is not None and moment > ended:
        raise Refusal(say("The course ended on {day}.", day=moment_from(ended).date()))


def _write(act: ActInHand, animal: AnimalAtHand, kind: CourseKind, details: CourseDetails) -> CourseId:
    moment = happened(act, details.at)
    row = act.insert(
        HealthCourse,
        animal_id=animal.id,
        kind=kind.value,
        at=moment,
        what_for=details.what_for.strip(),
        done=details.done.strip(),
        person_id=_person(act, details.person, details.new_person),
        next_due=_day_after(details.next_due, moment),
        planned_until=_day_after(details.planned_until, moment),
        note=details.note.strip(),
    )
    return CourseId(row)


def _person(act: ActInHand, person: PersonId | None, name: str) -> PersonId | None:
    """Who ordered it: known by id or by name, else somebody new by that name, whose role is not said."""
    return person_named(act, person, name, PersonRole.OTHER)


def _step(
    act: ActInHand, course: CourseId, animal: AnimalAtHand, moment: str, kind: StepKind, words: str
) -> int:  # fmt: skip
    values = {"at": moment, "kind": kind.value, "words": words.strip()}
    return act.insert(CourseStep, course_id=course, animal_id=animal.id, **values)


def _course(act: ActInHand, course: CourseId) -> tuple[AnimalAtHand, CourseKind]:
    rows = act.rows("SELECT animal_id, kind FROM health_course WHERE id = ?", (course,))
    if not rows:
        raise Refusal(_GONE)
    return animal_at_hand(act, AnimalId(rows[0][0])), CourseKind(rows[0][1])


def _going_on(act: ActInHand, course: CourseId, at: dt.datetime | None) -> tuple[AnimalAtHand, str]:
    """Whose course it is and the moment of an entry of it; refused once it has ended, or before it began."""
    animal, kind = _course(act, course)
    if not act.rows(f"SELECT 1 FROM health_course c WHERE c.id = ? AND {GOES_ON}", (course,)):
        raise Refusal(say("That {kind} of {animal} has ended already.", kind=kind, animal=animal.keeper_id))
    moment = happened(act, at)
    ((begun,),) = act.rows("SELECT at FROM health_course WHERE id = ?", (course,))
    if moment < begun:
        raise Refusal(say("The course began on {day}.", day=moment_from(begun).date()))
    return animal, moment


def _check_before_steps(act: ActInHand, course: CourseId, moment: str) -> None:
    ((first,),) = act.rows("SELECT min(at) FROM course_step WHERE course_id = ?", (course,))
    if first is not None and moment > first:
        raise Refusal(say("Something was noted of it on {day}; it began no later.", day=moment_from(first).date()))


def _check_days(act: ActInHand, course: CourseId, plain: Mapping[str, object]) -> None:
    """Refuse a correction that leaves a day before the beginning, or a next one on a course that has ended."""
    ended = "SELECT 1 FROM course_step WHERE course_id = ? AND kind = 'ended'"
    if plain.get("next_due") is not None and act.rows(ended, (course,)):
        raise Refusal(say("That course has ended: nothing is due of it any more."))
    ((begun, due, until),) = act.rows("SELECT at, next_due, planned_until FROM health_course WHERE id = ?", (course,))
    stored = {"at": begun, "next_due": due, "planned_until": until}
    if stored.keys() & plain.keys():
        now = stored | dict(plain)
        for name in ("next_due", "planned_until"):
            if now[name] is not None and str(now[name]) < str(now["at"])[:10]:
                raise Refusal(say("{day} lies before the entry itself.", day=dt.date.fromisoformat(str(now[name]))))


def check_goes_on_again(act: ActInHand, step: int) -> None:
    """Refuse to take out the end of a quarantine while the animal is in another: it is in one at a time."""
    sql = f"""SELECT c.at FROM course_step s JOIN health_course o ON o.id = s.course_id
        JOIN health_course c ON c.animal_id = o.animal_id AND c.kind = o.kind AND c.id <> o.id
        WHERE s.id = ? AND s.kind = 'ended' AND c.kind = 'quarantine' AND {GOES_ON}"""
    for (begun,) in act.rows(sql, (step,)):
        told = "It has been in another quarantine since {day}; that one goes on."
        raise Refusal(say(told, day=moment_from(begun).date()))


def _day_after(day: PartialDate | None, moment: str) -> str | None:
    """A day still to come as stored; refused when it lies before the entry it belongs to."""
    stored = whole_day(day)
    if stored is not None and stored < moment[:10]:
        raise Refusal(say("{day} lies before the entry itself.", day=day))
    return stored


def _line(text: str) -> str:
    """A text in one line, short enough for the sentence of an act."""
    plain = " ".join(text.split())
    return plain if len(plain) <= 80 else plain[:79].rstrip() + "\u2026"
