"""Turns in an animal's status: sold, died, on loan, lost, returned. History stays; nothing is deleted."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.operations.at_hand import AnimalAtHand, animal_at_hand, happened, living_here
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, PersonId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Money
from coilbook.records.vocabulary import Act, DepartureKind, Status
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Animal, Departure, Move


@dataclass(frozen=True, slots=True, kw_only=True)
class DepartureDetails:
    at: dt.datetime | None = None
    person: PersonId | None = None
    price: Money | None = None
    reason: str = ""
    note: str = ""


_NONE = DepartureDetails()


def sell(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """The animal goes to a buyer."""
    with collection.act(Act.SELL) as act:
        found = living_here(act, animal)
        row = write_turn(act, found, DepartureKind.SOLD, Status.SOLD, details)
        act.tell(say("{animal} sold", animal=found.keeper_id))
    return act.outcome(Act.SELL, row)


def die(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """The animal has died; the record stays."""
    with collection.act(Act.DIE) as act:
        found = living_here(act, animal)
        row = write_turn(act, found, DepartureKind.DIED, Status.DEAD, details)
        act.tell(say("{animal} entered as dead", animal=found.keeper_id))
    return act.outcome(Act.DIE, row)


def lend(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """The animal goes out on a breeding loan; it stays in the keeper's care on paper."""
    with collection.act(Act.LOAN) as act:
        found = living_here(act, animal)
        if found.status is Status.LOAN:
            raise Refusal(say("{animal} is out on loan already.", animal=found.keeper_id))
        row = write_turn(act, found, DepartureKind.LOANED, Status.LOAN, details)
        act.tell(say("{animal} out on loan", animal=found.keeper_id))
    return act.outcome(Act.LOAN, row)


def lose(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """The animal is missing."""
    with collection.act(Act.LOSE) as act:
        found = living_here(act, animal)
        row = write_turn(act, found, DepartureKind.LOST, Status.LOST, details)
        act.tell(say("{animal} entered as lost", animal=found.keeper_id))
    return act.outcome(Act.LOSE, row)


def return_animal(collection: Collection, *, animal: AnimalId, details: DepartureDetails = _NONE) -> Outcome[int]:
    """A sold, lent or lost animal is back: the same record goes on."""
    with collection.act(Act.RETURN) as act:
        found = animal_at_hand(act, animal)
        if found.status not in (Status.SOLD, Status.LOAN, Status.LOST):
            raise Refusal(say("{animal} is not away, so it cannot return.", animal=found.keeper_id))
        _warn_of_namesake(act, found)
        row = write_turn(act, found, DepartureKind.RETURNED, Status.HERE, details)
        act.tell(say("{animal} is back", animal=found.keeper_id))
    return act.outcome(Act.RETURN, row)


def _warn_of_namesake(act: ActInHand, animal: AnimalAtHand) -> None:
    same = "SELECT 1 FROM animal WHERE keeper_id = ? COLLATE NOCASE AND id <> ? AND status IN ('here', 'loan')"
    if act.rows(same, (animal.keeper_id, animal.id)):
        act.warn(say("There is another animal {id} here; give one of them another id.", id=animal.keeper_id))


def write_turn(
    act: ActInHand, animal: AnimalAtHand, kind: DepartureKind, status: Status, details: DepartureDetails = _NONE
) -> int:
    """The rows of a turn, inside an act: the animal leaves its place."""
    moment = happened(act, details.at)
    if animal.place is not None:
        act.insert(Move, animal_id=animal.id, at=moment, from_place_id=animal.place, to_place_id=None)
    act.update(Animal, animal.id, status=status.value, place_id=None)
    return act.insert(
        Departure,
        animal_id=animal.id,
        at=moment,
        kind=kind.value,
        status_before=animal.status.value,
        person_id=details.person,
        price_minor=details.price.minor if details.price else None,
        currency=details.price.currency if details.price else "",
        reason=details.reason.strip(),
        note=details.note.strip(),
    )
