"""What is logged and corrected of a treatment or a quarantine: what each form asks, and the act it becomes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from coilbook.operations.health import CourseDetails, begin_quarantine, begin_treatment, end_course, note_course
from coilbook.reads.animal_rows import AnimalPage
from coilbook.reads.health_now import course_words
from coilbook.reads.people import people
from coilbook.records.health_vocabulary import CourseKind, StepKind
from coilbook.records.when import moment_from
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask, Call, Values, when
from coilbook.ui.animal.log_kinds import LogKind, note, options
from coilbook.ui.desk import Desk
from coilbook.wording.language import translated
from coilbook.wording.texts import render

#: letters of what a course is for, where one of several is chosen
_SHORT = 32
#: how long a quarantine lasts at least with many keepers; some take twice that (common practice)
_USUAL_DAYS = "60\u201390 d: common practice"


def _who(desk: Desk, start: str = "", *, gone: bool = False) -> Ask:
    names = tuple((p.name, p.id) for p in people(desk.collection, gone=gone))
    return Ask("person", translated("Ordered by"), "person", start, hint=translated("the vet, or who decided"),
               known=names)  # fmt: skip


def _day(name: str, head: str, start: str = "", hint: str = "not said") -> Ask:
    return Ask(name, head, "later", start, hint=translated(hint))


def _done(start: str = "") -> Ask:
    needed = translated("A treatment needs what is done, in the words of whoever ordered it.")
    hint = translated("word for word as it was ordered; Ctrl Enter keeps it")
    return Ask("done", translated("What is done"), "long", start, span=3, hint=hint, required=needed)


def _treatment_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    needed = translated("A treatment needs what it is for.")
    return (
        Ask("what_for", translated("What for"), span=2, hint=translated("in your words"), required=needed),
        _who(desk),
        _done(),
        when(),
        _day("next_due", translated("Next due")),
        _day("planned_until", translated("Until")),
        note(3),
    )


def _treatment(page: AnimalPage, v: Values) -> Call:
    name, person = v["person"]
    details = CourseDetails(
        what_for=v["what_for"],
        done=v["done"],
        at=v["at"],
        person=person,
        new_person=name,
        next_due=v["next_due"],
        planned_until=v["planned_until"],
        note=v["note"],
    )
    return Call(begin_treatment, {"animal": page.who.id, "details": details})


def _quarantine_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    needed = translated("A quarantine needs its reason.")
    return (
        Ask("what_for", translated("Why"), span=2, hint=translated("new here, mites next door"), required=needed),
        _day("planned_until", translated("Until"), hint=_USUAL_DAYS),
        when(),
        note(),
    )


def _quarantine(page: AnimalPage, v: Values) -> Call:
    details = CourseDetails(what_for=v["what_for"], at=v["at"], planned_until=v["planned_until"], note=v["note"])
    return Call(begin_quarantine, {"animal": page.who.id, "details": details})


def _course_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    courses = tuple(Option(render(course_words(c, most=_SHORT), desk.style), c.id) for c in page.courses)
    start = courses[0].value if courses else None
    due = page.courses[0].next_due if len(page.courses) == 1 else None
    # a day still to come stays unless the keeper says otherwise; one that is here is being answered
    ahead = desk.style.date(due) if due is not None and due > desk.clock().date() else ""
    none = translated("No treatment or quarantine goes on; begin one first.")
    said = translated("Say it in words.")
    return (
        Ask("course", translated("Of"), "choice", start, span=3, options=courses, required=none),
        Ask("what", translated("What"), "choice", StepKind.NOTED, span=1, options=options(*StepKind, keys="NE")),
        Ask("words", translated("In words"), span=2, hint=translated("done, found, or how it ended"), required=said),
        when(),
        Ask("next_due", translated("Next due"), "later", ahead, hint=translated("nothing more is due"),
            only_with="what", only_for=frozenset({StepKind.NOTED})),
    )  # fmt: skip


def _course(page: AnimalPage, v: Values) -> Call:
    arguments: dict[str, Any] = {"course": v["course"], "words": v["words"], "at": v["at"]}
    if v["what"] is StepKind.ENDED:
        return Call(end_course, arguments)
    return Call(note_course, {**arguments, "next_due": v["next_due"]})


HEALTH_KINDS: dict[str, LogKind] = {
    kind.name: kind
    for kind in (
        LogKind("T", "treatment", "Treatment", _treatment_asks, _treatment),
        LogKind("Q", "quarantine", "Quarantine", _quarantine_asks, _quarantine),
        LogKind("K", "course", "Course note", _course_asks, _course),
    )
}


def course_edit(row: Mapping[str, Any], desk: Desk) -> tuple[Ask, ...]:
    """The form that corrects how a course was begun."""

    def day(name: str) -> str:
        return desk.style.date(moment_from(row[name]).date()) if row[name] else ""

    moment = Ask("at", translated("From"), "moment", desk.style.moment(row["at"]),
                 required=translated("An entry needs its time."))  # fmt: skip
    until, rest = _day("planned_until", translated("Until"), day("planned_until")), row["note"]
    if row["kind"] == CourseKind.QUARANTINE:
        why = Ask("what_for", translated("Why"), start=row["what_for"], span=2)
        return why, until, moment, Ask("note", translated("Note"), start=rest, span=2)
    return (
        Ask("what_for", translated("What for"), start=row["what_for"], span=2),
        _who(desk, row["person"] or "", gone=True),
        _done(row["done"]),
        moment,
        _day("next_due", translated("Next due"), day("next_due")),
        until,
        Ask("note", translated("Note"), start=rest, span=3),
    )


def step_edit(row: Mapping[str, Any], desk: Desk) -> tuple[Ask, ...]:
    """The form that corrects an entry of a course."""
    needed = translated("An entry needs its time.")
    return (
        Ask("words", translated("In words"), start=row["words"], span=2),
        Ask("at", translated("When"), "moment", desk.style.moment(row["at"]), required=needed),
    )
