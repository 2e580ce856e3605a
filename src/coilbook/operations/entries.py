"""Correcting or taking back one entry of a timeline; the journal keeps what stood before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from enum import Enum

from coilbook.operations.at_hand import animal_at_hand, happened
from coilbook.operations.feeding import check_meal, check_reason
from coilbook.operations.health import check_goes_on_again, check_step
from coilbook.operations.weighing import check_mass
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import SHED_RESULTS, TAKEN_RESULTS, Act, FeedingResult, RefusalReason, ShedKind
from coilbook.records.when import UNDATED
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.columns import Base
from coilbook.storage.health_tables import CourseStep, HealthCourse
from coilbook.storage.season_tables import Follicle, LockSeen, Ovulation, SeasonOutcome, Stay
from coilbook.storage.tables import (
    Acquisition,
    Claim,
    Cleaning,
    Feeding,
    Note,
    Regurgitation,
    Shed,
    ShedMark,
    SignSeen,
    Weight,
    table_name,
)

#: entries a keeper may correct, with the columns each offers
EDITABLE: dict[type[Base], frozenset[str]] = {
    Feeding: frozenset({"at", "result", "reason", "prey", "prey_state", "prey_dg", "pieces", "note"}),
    Weight: frozenset({"at", "mass_dg", "tag", "doubted", "note"}),
    Shed: frozenset({"at", "kind", "note"}),
    SignSeen: frozenset({"at", "sign", "note"}),
    Cleaning: frozenset({"at", "extent", "product", "note"}),
    Note: frozenset({"at", "text"}),
    Regurgitation: frozenset({"at", "note"}),
    Claim: frozenset({"text", "source"}),
    Acquisition: frozenset({"country", "papers", "feeding_claim", "note"}),
    Stay: frozenset({"at", "until", "in_spite", "note"}),
    LockSeen: frozenset({"at", "certainty", "note"}),
    Follicle: frozenset({"at", "note"}),
    Ovulation: frozenset({"at", "certainty", "doubt_days", "note"}),
    SeasonOutcome: frozenset({"at", "outcome", "note"}),
    CourseStep: frozenset({"at", "words"}),
    #: corrected by `health.correct_course`, which knows its days and people
    HealthCourse: frozenset(),
}
#: whose entry it is, where that is not its own column `animal_id`
_OWNER = {"stay": "female_id", "lock_seen": "(SELECT s.female_id FROM stay s WHERE s.id = stay_id)"}
_BY_NAME = {table_name(model): model for model in EDITABLE}


def edit_entry(collection: Collection, *, table: str, row: int, values: Mapping[str, object]) -> Outcome[int]:
    """Change columns of one entry: enums, `Mass` and moments as such; refused for a column that is not offered."""
    with collection.act(Act.EDIT_ENTRY) as act:
        model, name = _entry(act, table, row)
        plain = {column: _plain(act, column, value) for column, value in values.items()}
        unknown = set(plain) - EDITABLE[model]
        if unknown:
            raise Refusal(say("{columns} cannot be changed here.", columns=", ".join(sorted(unknown))))
        if model is Feeding:
            mass = plain.get("prey_dg")
            check_meal(_number(plain.get("pieces", 1)), None if mass is None else _number(mass))
            plain |= _following(act, row, plain)
        elif model is Regurgitation and "at" in plain:
            _check_after_meal(act, row, str(plain["at"]))
        elif model is Weight:
            check_mass(_number(plain.get("mass_dg", 1)))
            plain |= _dated(act, row, plain)
        elif model is Stay:
            _check_stay(act, row, plain)
        elif model is CourseStep:
            _check_step(act, row, plain)
        elif model is Note and not str(plain.get("text", "x")).strip():
            raise Refusal(say("A note needs words."))
        elif model is Shed and plain.get("kind", ShedKind.COMPLETE) not in SHED_RESULTS:
            _unmark(act, row)
        if plain:
            act.update(model, row, **plain)
        act.tell(say("entry of {animal} corrected", animal=name))
    return act.outcome(Act.EDIT_ENTRY, row)


def _dated(act: ActInHand, row: int, plain: Mapping[str, object]) -> dict[str, object]:
    """A weight whose day was not on record has one from when it is given one."""
    at, note = act.rows("SELECT at, note FROM weight WHERE id = ?", (row,))[0]
    given = note == UNDATED and plain.get("note", note) == note and str(plain.get("at", at)) != at
    return {"note": ""} if given else {}


def _unmark(act: ActInHand, shed: int) -> None:
    """What a shed was goes with it, when it is taken out or was none."""
    for (mark,) in act.rows("SELECT id FROM shed_mark WHERE shed_id = ?", (shed,)):
        act.delete(ShedMark, mark)


def remove_entry(collection: Collection, *, table: str, row: int) -> Outcome[int]:
    """Take one entry out of the book; Undo or the history brings it back. Refused while another entry rests on it."""
    with collection.act(Act.REMOVE_ENTRY) as act:
        model, name = _entry(act, table, row)
        if model is Feeding and act.rows("SELECT 1 FROM regurgitation WHERE feeding_id = ?", (row,)):
            raise Refusal(say("A meal that came back is linked to this one; take that out first."))
        if model is Stay and act.rows("SELECT 1 FROM lock_seen WHERE stay_id = ?", (row,)):
            raise Refusal(say("What was seen of the pair is linked to this stay; take that out first."))
        if model is HealthCourse and act.rows("SELECT 1 FROM course_step WHERE course_id = ?", (row,)):
            raise Refusal(say("What was noted of this course is linked to it; take that out first."))
        if model is CourseStep:
            check_goes_on_again(act, row)
        if model is Shed:
            _unmark(act, row)
        act.delete(model, row)
        act.tell(say("entry of {animal} taken out", animal=name))
    return act.outcome(Act.REMOVE_ENTRY, row)


def _following(act: ActInHand, row: int, plain: Mapping[str, object]) -> dict[str, object]:
    """What a correction of an offer takes along: the reason of a refusal that was none, and when it was closed."""
    at, result, reason, closed = act.rows("SELECT at, result, reason, closed_at FROM feeding WHERE id = ?", (row,))[0]
    moment, now = str(plain.get("at", at)), FeedingResult(str(plain.get("result", result)))
    _check_came_back(act, row, moment, now)
    why = RefusalReason(str(plain["reason"])) if plain.get("reason") else None
    check_reason(now, why)
    more: dict[str, object] = {}
    if reason and "reason" not in plain and now in (*TAKEN_RESULTS, FeedingResult.PENDING):
        more["reason"] = ""
    if now is FeedingResult.PENDING:
        _check_only_open(act, row)
        return {**more, "closed_at": None}
    # a correction says what was the case when it was closed; only an open offer is closed by it now
    return {**more, "closed_at": max(moment, str(closed or act.now_text))}


def _check_only_open(act: ActInHand, row: int) -> None:
    sql = """SELECT a.keeper_id FROM feeding f JOIN feeding o ON o.animal_id = f.animal_id AND o.id <> f.id
        JOIN animal a ON a.id = f.animal_id WHERE f.id = ? AND o.result = 'pending'"""
    for (keeper_id,) in act.rows(sql, (row,)):
        raise Refusal(say("{animal} has a meal left in already; say first how it ended.", animal=keeper_id))


def _check_came_back(act: ActInHand, row: int, moment: str, result: FeedingResult) -> None:
    for (back,) in act.rows("SELECT at FROM regurgitation WHERE feeding_id = ?", (row,)):
        if result not in TAKEN_RESULTS:
            raise Refusal(say("This meal came back later, so it was taken. Take that entry out first."))
        if moment > back:
            raise Refusal(say("This meal came back before that moment; correct that entry first."))


def _check_after_meal(act: ActInHand, row: int, moment: str) -> None:
    sql = "SELECT 1 FROM regurgitation r JOIN feeding f ON f.id = r.feeding_id WHERE r.id = ? AND f.at > ?"
    if act.rows(sql, (row, moment)):
        raise Refusal(say("A meal cannot come back before it was eaten; correct the meal first."))


def _check_stay(act: ActInHand, row: int, plain: Mapping[str, object]) -> None:
    at, until = act.rows("SELECT at, until FROM stay WHERE id = ?", (row,))[0]
    first, last = str(plain.get("at", at)), plain.get("until", until)
    if last is not None and str(last) < first:
        raise Refusal(say("He cannot be out before he is in."))


def _check_step(act: ActInHand, row: int, plain: Mapping[str, object]) -> None:
    at, words = act.rows("SELECT at, words FROM course_step WHERE id = ?", (row,))[0]
    check_step(act, row, str(plain.get("at", at)), str(plain.get("words", words)))


def _entry(act: ActInHand, table: str, row: int) -> tuple[type[Base], str]:
    model = _BY_NAME.get(table)
    if model is None:
        raise Refusal(say("Entries of this kind are not corrected here."))
    owner = _OWNER.get(table, "animal_id")
    rows = act.rows(f'SELECT {owner} FROM "{table}" WHERE id = ?', (row,))
    if not rows:
        raise Refusal(say("That entry is no longer in the book; it may have been undone."))
    animal = rows[0][0]
    return model, animal_at_hand(act, AnimalId(animal)).keeper_id if animal is not None else ""


def _plain(act: ActInHand, column: str, value: object) -> object:
    if isinstance(value, dt.datetime) and column in ("at", "until"):
        return happened(act, value)
    if isinstance(value, Mass):
        return value.decigrams
    if isinstance(value, Enum):
        return value.value
    return int(value) if isinstance(value, bool) else value


def _number(value: object) -> int:
    return value if isinstance(value, int) else 0
