"""Turns in an animal's status: sold, died, on loan, lost, returned. History stays; nothing is deleted."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.operations.at_hand import AnimalAtHand, animal_at_hand, happened, living_here
from coilbook.operations.health_at_hand import open_courses
from coilbook.operations.people import person_named
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, PersonId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Money
from coilbook.records.vocabulary import STATUS_AFTER, Act, DepartureKind, PersonRole, Status
from coilbook.records.when import moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Animal, Departure, Move


@dataclass(frozen=True, slots=True, kw_only=True)
class DepartureDetails:
    at: dt.datetime | None = None
    person: PersonId | None = None
    #: the name of somebody who may not be in the book yet, in place of `person`; they go in within the same act
    new_person: str = ""
    price: Money | None = None
    reason: str = ""
    note: str = ""


_NONE = DepartureDetails()


def sell(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """The animal goes to a buyer."""
    return _leave(collection, animal, Act.SELL, DepartureKind.SOLD, "{animal} sold", details)


def die(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """The animal has died; the record stays."""
    return _leave(collection, animal, Act.DIE, DepartureKind.DIED, "{animal} entered as dead", details)


def lend(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """The animal goes out on a breeding loan; it stays in the keeper's care on paper."""
    return _leave(collection, animal, Act.LOAN, DepartureKind.LOANED, "{animal} out on loan", details)


def lose(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """The animal is missing."""
    return _leave(collection, animal, Act.LOSE, DepartureKind.LOST, "{animal} entered as lost", details)


def _leave(
    collection: Collection, animal: AnimalId, kind: Act, turn: DepartureKind, told: str, details: DepartureDetails
) -> Outcome[int]:
    with collection.act(kind) as act:
        found = living_here(act, animal)
        if turn is DepartureKind.LOANED:
            check_may_lend(found.keeper_id, found.status)
        row = write_turn(act, found, turn, STATUS_AFTER[turn], details)
        if turn is DepartureKind.SOLD:
            _warn_of_courses(act, found)
        act.tell(say(told, animal=found.keeper_id))
    return act.outcome(kind, row)


def _warn_of_courses(act: ActInHand, animal: AnimalAtHand) -> None:
    """Say of a sold animal that a treatment or quarantine of it goes on.

    In England an animal under treatment may not be sold in the course of business (SI 2018/486, schedule 3).
    """
    for course in open_courses(act, animal.id, act.now_text):
        told = (
            "{animal}: {kind} since {day} has no end on record. Your local law and the vet say whether it may be sold."
        )
        since = moment_from(course.since).date()
        act.warn(say(told, animal=animal.keeper_id, kind=course.kind, day=since))


def check_may_lend(keeper_id: str, status: str) -> None:
    """Refuse to lend what is out on loan."""
    if status == Status.LOAN:
        raise Refusal(say("{animal} is out on loan already.", animal=keeper_id))


def return_animal(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """A sold, lent or lost animal is back: the same record goes on."""
    with collection.act(Act.RETURN) as act:
        found = animal_at_hand(act, animal)
        if found.status not in (Status.SOLD, Status.LOAN, Status.LOST):
            raise Refusal(say("{animal} is not away, so it cannot return.", animal=found.keeper_id))
        warn_of_namesake(act, found)
        row = write_turn(act, found, DepartureKind.RETURNED, Status.HERE, details)
        act.tell(say("{animal} is back", animal=found.keeper_id))
    return act.outcome(Act.RETURN, row)


def warn_of_namesake(act: ActInHand, animal: AnimalAtHand) -> None:
    """Say so when an animal that is here again shares its id with another one."""
    same = "SELECT 1 FROM animal WHERE keeper_id = ? COLLATE NOCASE AND id <> ? AND status IN ('here', 'loan')"
    if act.rows(same, (animal.keeper_id, animal.id)):
        act.warn(say("There is another animal {id} here; give one of them another id.", id=animal.keeper_id))


def write_turn(
    act: ActInHand, animal: AnimalAtHand, kind: DepartureKind, status: Status, details: DepartureDetails = _NONE
) -> int:
    """The rows of a turn, inside an act: the animal leaves its place."""
    moment = _after_all(act, animal, happened(act, details.at), is_now=details.at is None)
    if animal.place is not None:
        act.insert(Move, animal_id=animal.id, at=moment, from_place_id=animal.place, to_place_id=None)
    act.update(Animal, animal.id, status=status.value, place_id=None)
    return act.insert(
        Departure,
        animal_id=animal.id,
        at=moment,
        kind=kind.value,
        status_before=animal.status.value,
        person_id=person_of(act, details.person, details.new_person, kind),
        price_minor=details.price.minor if details.price else None,
        currency=details.price.currency if details.price else "",
        reason=details.reason.strip(),
        note=details.note.strip(),
    )


def _after_all(act: ActInHand, animal: AnimalAtHand, moment: str, *, is_now: bool) -> str:
    """The moment of a turn, which nothing comes after: else it would not be what and where the animal is now.

    What is entered as of now comes last, were the clock set back. Where an animal was first put stands as of the day
    that was entered, so that a sale before it dates it back; any other later entry refuses the turn.
    """
    moves = act.rows("SELECT id, at, from_place_id FROM move WHERE animal_id = ? AND at > ?", (animal.id, moment))
    turns = act.rows("SELECT id, at FROM departure WHERE animal_id = ? AND at > ?", (animal.id, moment))
    later = [str(row[1]) for row in (*moves, *turns)]
    if later and is_now:
        return max(later)
    if len(later) == 1 and moves and moves[0][2] is None:
        act.update(Move, int(moves[0][0]), at=moment)
    elif later:
        told = "{animal} was moved, or left or came back, on {day}; what is entered of it now was no earlier."
        raise Refusal(say(told, animal=animal.keeper_id, day=moment_from(max(later)).date()))
    return moment


def person_of(act: ActInHand, person: PersonId | None, name: str, kind: DepartureKind) -> PersonId | None:
    """Who it went to, inside an act: somebody known by id or by name, else somebody new by that name."""
    role = PersonRole.BUYER if kind is DepartureKind.SOLD else PersonRole.OTHER
    return person_named(act, person, name, role)
