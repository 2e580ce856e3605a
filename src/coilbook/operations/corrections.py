"""Correcting a move or a departure after the fact, with what hangs on it; the journal keeps what stood before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from coilbook.operations.at_hand import AnimalAtHand, animal_at_hand, happened
from coilbook.operations.departures import check_may_lend, person_of
from coilbook.operations.moving import others_in_slot, refuse_leaving_quarantine
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, PersonId, PlaceId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Money
from coilbook.records.vocabulary import STATUS_AFTER, Act, DepartureKind, MoveReason, Status
from coilbook.records.when import PartialDate, moment_from, whole_day
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Animal, Departure, Move

ENTRY_GONE = say("That entry is no longer in the book; it may have been undone.")


@dataclass(frozen=True, slots=True)
class MoveRow:
    """One move as stored; `came_from` and `went_to` are None for no place."""

    id: int
    animal: AnimalId
    at: str
    came_from: PlaceId | None
    went_to: PlaceId | None
    note: str


def correct_move(
    collection: Collection, *, move: int, values: Mapping[str, object], shared: MoveReason | None = None
) -> Outcome[int]:
    """Change `at`, `place` (None: taken out), `reason`, `return_by` or `note` of a move.

    The move after it then starts where this one led, and the newest move says where the animal is now. Refused when
    it would change places with another move in time; a slot lived in by others raises `Asks` as a move does.
    """
    with collection.act(Act.EDIT_ENTRY) as act:
        row = move_row(act, move)
        animal = animal_at_hand(act, row.animal)
        refuse_part_of_departure(act, row)
        before, after = moves_beside(act, row)
        plain: dict[str, object] = {}
        if isinstance(values.get("at"), dt.datetime):
            plain["at"] = _between(act, values["at"], before.at if before else None, after.at if after else None)
        if "reason" in values:
            plain["reason"] = MoveReason(str(values["reason"])).value
        if "return_by" in values:
            back = values["return_by"]
            plain["return_by"] = whole_day(back if isinstance(back, PartialDate) else None)
        if "note" in values:
            plain["note"] = str(values["note"]).strip()
        if "place" in values:
            place = values["place"]
            target = PlaceId(place) if isinstance(place, int) else None
            plain |= _lead_to(act, row, animal, target, after, shared)
            refuse_leaving_quarantine(act, animal.keeper_id, row.came_from, target, str(plain.get("note", row.note)))
        if plain:
            act.update(Move, move, **plain)
        act.tell(say("entry of {animal} corrected", animal=animal.keeper_id))
    return act.outcome(Act.EDIT_ENTRY, move)


def _lead_to(
    act: ActInHand,
    row: MoveRow,
    animal: AnimalAtHand,
    place: PlaceId | None,
    after: MoveRow | None,
    shared: MoveReason | None,
) -> dict[str, object]:
    """The columns of a move that leads elsewhere; the animal, or the move after it, follows."""
    if place == row.came_from:
        raise Refusal(say("A move leads elsewhere; take this entry out if there was none."))
    if after is None:
        if place is not None and animal.status is not Status.HERE:
            raise Refusal(say("{animal} is not here, so it lives in no slot.", animal=animal.keeper_id))
        lived_in = place is not None and others_in_slot(act, animal, place, shared)
        act.update(Animal, animal.id, place_id=place)
        reason = {"reason": shared.value} if lived_in and shared is not None else {}
        return {"to_place_id": place, **reason}
    if place == after.went_to:
        raise Refusal(say("The next move led there. Take that one out first."))
    if place is not None:
        others_in_slot(act, animal, place, MoveReason.UNSAID)
    act.update(Move, after.id, from_place_id=place)
    return {"to_place_id": place}


def move_row(act: ActInHand, move: int) -> MoveRow:
    """A move as it stands; raises `Refusal` when it is not in the book."""
    rows = act.rows("SELECT id, animal_id, at, from_place_id, to_place_id, note FROM move WHERE id = ?", (move,))
    if not rows:
        raise Refusal(ENTRY_GONE)
    return MoveRow(*rows[0])


def moves_beside(act: ActInHand, row: MoveRow) -> tuple[MoveRow | None, MoveRow | None]:
    """The moves of the animal just before and just after this one."""
    sql = "SELECT id, animal_id, at, from_place_id, to_place_id, note FROM move WHERE animal_id = ? ORDER BY at, id"
    moves = [MoveRow(*found) for found in act.rows(sql, (row.animal,))]
    here = moves.index(row)
    return (moves[here - 1] if here else None), (moves[here + 1] if here + 1 < len(moves) else None)


def refuse_part_of_departure(act: ActInHand, row: MoveRow) -> None:
    """Refuse to touch the move out of its place that a departure brought along."""
    sql = "SELECT 1 FROM departure WHERE animal_id = ? AND at = ? AND kind <> 'returned'"
    if row.went_to is None and act.rows(sql, (row.animal, row.at)):
        raise Refusal(say("This belongs to the departure of that moment; correct the departure."))


def _between(act: ActInHand, moment: object, before: str | None, after: str | None) -> str:
    """The moment as stored; refused when it would change places with the entry before or after."""
    at = happened(act, moment if isinstance(moment, dt.datetime) else None)
    if before is not None and at < before:
        raise Refusal(say("The entry before it is of {moment}; it cannot be earlier.", moment=moment_from(before)))
    if after is not None and at > after:
        raise Refusal(say("The entry after it is of {moment}; it cannot be later.", moment=moment_from(after)))
    return at


def correct_departure(collection: Collection, *, departure: int, values: Mapping[str, object]) -> Outcome[int]:
    """Change `at`, `kind`, `person` (an id or None), `new_person` (a name), `price`, `reason` or `note` of a departure.

    The kind only of the newest one, and not to or from a return; the animal's status and the move out of its place
    follow.
    """
    with collection.act(Act.EDIT_ENTRY) as act:
        rows = act.rows("SELECT animal_id, at, kind FROM departure WHERE id = ?", (departure,))
        if not rows:
            raise Refusal(ENTRY_GONE)
        animal, at, kind = animal_at_hand(act, AnimalId(rows[0][0])), str(rows[0][1]), DepartureKind(rows[0][2])
        before, after = _departures_beside(act, animal.id, departure)
        plain: dict[str, object] = {}
        if isinstance(values.get("at"), dt.datetime):
            plain["at"] = _between(act, values["at"], before, after)
            _take_move_along(act, animal.id, at, str(plain["at"]))
        if "kind" in values:
            kind_now = DepartureKind(str(values["kind"]))
            plain["kind"] = _other_kind(act, animal, departure, kind, kind_now, newest=after is None)
            kind = kind_now
        if "person" in values or "new_person" in values:
            person = values.get("person")
            known = PersonId(person) if isinstance(person, int) else None
            plain["person_id"] = person_of(act, known, str(values.get("new_person", "")), kind)
        if "price" in values:
            price = values["price"]
            stored = (price.minor, price.currency) if isinstance(price, Money) else (None, "")
            plain["price_minor"], plain["currency"] = stored
        plain |= {name: str(values[name]).strip() for name in ("reason", "note") if name in values}
        if plain:
            act.update(Departure, departure, **plain)
        act.tell(say("entry of {animal} corrected", animal=animal.keeper_id))
    return act.outcome(Act.EDIT_ENTRY, departure)


def _departures_beside(act: ActInHand, animal: AnimalId, departure: int) -> tuple[str | None, str | None]:
    """When the departures just before and just after this one were."""
    rows = act.rows("SELECT id, at FROM departure WHERE animal_id = ? ORDER BY at, id", (animal,))
    here = [row for row, _ in rows].index(departure)
    return (rows[here - 1][1] if here else None), (rows[here + 1][1] if here + 1 < len(rows) else None)


def _take_move_along(act: ActInHand, animal: AnimalId, at: str, moment: str) -> None:
    """The move out of its place is of the same moment as the departure."""
    move = move_out(act, animal, at)
    if move is not None:
        before, after = moves_beside(act, move_row(act, move))
        _between(act, moment_from(moment), before.at if before else None, after.at if after else None)
        act.update(Move, move, at=moment)


def move_out(act: ActInHand, animal: AnimalId, at: str) -> int | None:
    """The row of the move out of its place that a departure of this moment brought along."""
    sql = "SELECT id FROM move WHERE animal_id = ? AND at = ? AND to_place_id IS NULL ORDER BY id DESC LIMIT 1"
    return next((int(move) for (move,) in act.rows(sql, (animal, at))), None)


def _other_kind(
    act: ActInHand, animal: AnimalAtHand, departure: int, kind: DepartureKind, now: DepartureKind, *, newest: bool
) -> str:
    if kind is now:
        return now.value
    if DepartureKind.RETURNED in (kind, now) or not newest:
        raise Refusal(say("What became of {animal} then is changed through History.", animal=animal.keeper_id))
    if now is DepartureKind.LOANED:
        ((before,),) = act.rows("SELECT status_before FROM departure WHERE id = ?", (departure,))
        check_may_lend(animal.keeper_id, str(before))
    act.update(Animal, animal.id, status=STATUS_AFTER[now].value)
    return now.value
