"""Taking a move or a departure out of the book, with what hangs on it; Undo or the history brings it back."""

from __future__ import annotations

from coilbook.operations.at_hand import AnimalAtHand, animal_at_hand
from coilbook.operations.corrections import (
    ENTRY_GONE,
    MoveRow,
    move_out,
    move_row,
    moves_beside,
    refuse_part_of_departure,
)
from coilbook.operations.departures import warn_of_namesake
from coilbook.operations.moving import leaves_quarantine, others_in_slot
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, DepartureKind, MoveReason, Status
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Animal, Departure, Move


def remove_move(collection: Collection, *, move: int, shared: MoveReason | None = None) -> Outcome[int]:
    """Take out a move that never was: the one after it then starts where this one did, else the animal is there again.

    Refused for the move that belongs to a departure, and where the next one led back to where this one began; a slot
    others live in by now raises `Asks`, as a move does.
    """
    with collection.act(Act.REMOVE_ENTRY) as act:
        row = move_row(act, move)
        animal = animal_at_hand(act, row.animal)
        refuse_part_of_departure(act, row)
        _, after = moves_beside(act, row)
        if after is not None:
            _start_earlier(act, row, after)
        else:
            if leaves_quarantine(act, row.went_to, row.came_from):
                told = "That would take {animal} out of quarantine. Move it, and say in the note why it may leave."
                raise Refusal(say(told, animal=animal.keeper_id))
            _put_back(act, animal, row.came_from, shared)
        act.delete(Move, move)
        act.tell(say("entry of {animal} taken out", animal=animal.keeper_id))
    return act.outcome(Act.REMOVE_ENTRY, move)


def _start_earlier(act: ActInHand, row: MoveRow, after: MoveRow) -> None:
    if after.went_to == row.came_from:
        raise Refusal(say("The next move led back to where this one began. Take that one out first."))
    act.update(Move, after.id, from_place_id=row.came_from)


def _put_back(act: ActInHand, animal: AnimalAtHand, place: PlaceId | None, shared: MoveReason | None) -> None:
    if place is not None:
        if animal.status is not Status.HERE:
            raise Refusal(say("{animal} is not here, so it lives in no slot.", animal=animal.keeper_id))
        others_in_slot(act, animal, place, shared)
    act.update(Animal, animal.id, place_id=place)


def remove_departure(collection: Collection, *, departure: int, shared: MoveReason | None = None) -> Outcome[int]:
    """Take out the newest turn of an animal (sold, died, on loan, lost, returned): it is what and where it was before.

    A slot others live in by now raises `Asks`, as a move does.
    """
    with collection.act(Act.REMOVE_ENTRY) as act:
        sql = "SELECT animal_id, at, kind, status_before FROM departure WHERE id = ?"
        rows = act.rows(sql, (departure,))
        if not rows:
            raise Refusal(ENTRY_GONE)
        animal, at, before = animal_at_hand(act, AnimalId(rows[0][0])), str(rows[0][1]), Status(rows[0][3])
        _refuse_unless_newest(act, animal, departure)
        if DepartureKind(rows[0][2]) is DepartureKind.RETURNED and animal.place is not None:
            raise Refusal(say("{animal} has a place since it came back. Take it out of there first.",
                animal=animal.keeper_id))  # fmt: skip
        act.update(Animal, animal.id, status=before.value)
        if before is Status.HERE:
            warn_of_namesake(act, animal)
        _take_out_its_move(act, animal.id, at, shared)
        act.delete(Departure, departure)
        act.tell(say("entry of {animal} taken out", animal=animal.keeper_id))
    return act.outcome(Act.REMOVE_ENTRY, departure)


def _refuse_unless_newest(act: ActInHand, animal: AnimalAtHand, departure: int) -> None:
    ((newest,),) = act.rows(
        "SELECT id FROM departure WHERE animal_id = ? ORDER BY at DESC, id DESC LIMIT 1", (animal.id,)
    )
    if newest != departure:
        raise Refusal(say("Something became of {animal} after that. Take that out first.", animal=animal.keeper_id))


def _take_out_its_move(act: ActInHand, animal: AnimalId, at: str, shared: MoveReason | None) -> None:
    """The move out of its place that the departure brought along: the animal is back in its slot."""
    move = move_out(act, animal, at)
    if move is not None:
        row = move_row(act, move)
        if moves_beside(act, row)[1] is None:
            _put_back(act, animal_at_hand(act, animal), row.came_from, shared)
            act.delete(Move, move)
