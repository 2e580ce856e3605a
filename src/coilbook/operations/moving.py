"""Moving animals between places."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from coilbook.operations.asks import Asks, Choice
from coilbook.operations.at_hand import AnimalAtHand, happened, living_here, place_at_hand
from coilbook.operations.health_at_hand import open_courses
from coilbook.records.changes import Outcome
from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, MoveReason, PlaceKind, Status
from coilbook.records.when import PartialDate, moment_from, whole_day
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Animal, Move


def move_animal(
    collection: Collection,
    *,
    animal: AnimalId,
    place: PlaceId | None,
    at: dt.datetime | None = None,
    reason: MoveReason = MoveReason.UNSAID,
    shared: MoveReason | None = None,
    return_by: PartialDate | None = None,
    note: str = "",
    from_quarantine: bool = False,
) -> Outcome[AnimalId]:
    """Move one animal (to no place with `None`). A taken slot raises `Asks`: pairing, temporary or a mistake.

    Out of a quarantine place into another needs `from_quarantine` and a note that says why.
    """
    with collection.act(Act.MOVE_ANIMAL) as act:
        found = living_here(act, animal)
        check_quarantine(act, found, place, from_quarantine, note)
        moment = happened(act, at)
        if at is not None:
            _check_is_latest(act, found, moment)
        back = whole_day(return_by)
        put_in_place(act, found, place, moment, reason=reason, shared=shared, return_by=back, note=note)
        if place is None:
            act.tell(say("{animal} taken out of its place", animal=found.keeper_id))
        else:
            label = place_at_hand(act, place).label
            act.tell(say("{animal} moved to {place}", animal=found.keeper_id, place=label))
            _warn_still_apart(act, found, place)
    return act.outcome(Act.MOVE_ANIMAL, animal)


def _check_is_latest(act: ActInHand, animal: AnimalAtHand, moment: str) -> None:
    """Refuse a move written up late that a later one has overtaken: it would put the animal where she no longer is."""
    rows = act.rows(
        "SELECT m.at FROM move m WHERE m.animal_id = ? AND m.at > ? ORDER BY m.at DESC, m.id DESC LIMIT 1",
        (animal.id, moment),
    )
    if rows:
        raise Refusal(
            say(
                "{animal} was moved again on {date}, so an earlier move no longer says where she is. Write a note.",
                animal=animal.keeper_id,
                date=moment_from(rows[0][0]).date(),
            )
        )


def move_animals(
    collection: Collection,
    *,
    moves: Mapping[AnimalId, PlaceId | None],
    reason: MoveReason = MoveReason.UNSAID,
    shared: MoveReason | None = None,
    note: str = "",
    from_quarantine: bool = False,
) -> Outcome[int]:
    """Several moves in one act; the slots are looked at after all of them, so two animals may change places.

    Asks as `move_animal` does; an answer in `shared` counts for those who find their slot taken, the note for all;
    who lives there already is left alone.
    """
    with collection.act(Act.MOVE_ANIMALS) as act:
        known = [living_here(act, animal) for animal in moves]
        before = [found for found in known if moves[found.id] != found.place]
        for found in before:
            check_quarantine(act, found, moves[found.id], from_quarantine, note)
        for found in before:
            act.update(Animal, found.id, place_id=None)
        for found in before:
            put_in_place(act, found, moves[found.id], act.now_text, reason=reason, shared=shared, note=note)
            _warn_still_apart(act, found, moves[found.id])
        act.tell(say("{n} animal moved", "{n} animals moved", n=len(before)))
    return act.outcome(Act.MOVE_ANIMALS, len(before))


def put_in_place(
    act: ActInHand,
    animal: AnimalAtHand,
    place: PlaceId | None,
    moment: str,
    *,
    reason: MoveReason,
    shared: MoveReason | None = None,
    return_by: str | None = None,
    note: str = "",
) -> None:
    """The rows of a move, inside an act; a place that is no slot, or a slot already lived in, is refused or asked.

    An animal that is not here lives in no slot.
    """
    if place is not None and animal.status is not Status.HERE:
        raise Refusal(say("{animal} is not here, so it lives in no slot.", animal=animal.keeper_id))
    if place is None and animal.place is None:
        raise Refusal(say("{animal} has no place to be taken out of.", animal=animal.keeper_id))
    if place is not None and place == animal.place:
        told = "{animal} lives in {place} already."
        raise Refusal(say(told, animal=animal.keeper_id, place=place_at_hand(act, place).label))
    if place is not None and others_in_slot(act, animal, place, shared) and shared is not None:
        reason = shared
    act.update(Animal, animal.id, place_id=place)
    act.insert(
        Move,
        animal_id=animal.id,
        at=moment,
        from_place_id=animal.place,
        to_place_id=place,
        reason=reason.value,
        return_by=return_by,
        note=note,
    )


def others_in_slot(act: ActInHand, animal: AnimalAtHand, place: PlaceId, shared: MoveReason | None) -> bool:
    """True when others live in the slot, which is asked unless `shared` answers it; refused for what is no slot."""
    target = place_at_hand(act, place)
    if target.kind is not PlaceKind.SLOT:
        raise Refusal(say("{place} is a {kind}; an animal lives in a slot.", place=target.label, kind=target.kind))
    others = _others_in(act, place, animal.id)
    if others and shared is None:
        raise _asks_sharing(animal.keeper_id, target.label, others)
    return bool(others)


def _others_in(act: ActInHand, place: PlaceId, animal: AnimalId) -> list[str]:
    rows = act.rows("SELECT keeper_id FROM animal WHERE place_id = ? AND id <> ? ORDER BY id", (place, animal))
    return [str(k) for (k,) in rows]


def _asks_sharing(keeper_id: str, label: str, others: list[str]) -> Asks:
    return Asks(
        say("{place} holds {others}. Put {animal} there too?", place=label, others=", ".join(others), animal=keeper_id),
        (
            Choice(say("Pairing"), {"shared": MoveReason.PAIRING}),
            Choice(say("Temporary"), {"shared": MoveReason.TEMPORARY}),
        ),
    )


def check_quarantine(act: ActInHand, animal: AnimalAtHand, place: PlaceId | None, allowed: bool, note: str) -> None:
    """Refuse a move out of quarantine that was not allowed with a reason."""
    if not leaves_quarantine(act, animal.place, place) or (allowed and note.strip()):
        return
    raise Asks(
        say("{animal} is in quarantine. Say in the note why it may leave.", animal=animal.keeper_id),
        (Choice(say("Move with the reason"), {"from_quarantine": True}),),
    )


def _warn_still_apart(act: ActInHand, animal: AnimalAtHand, place: PlaceId | None) -> None:
    """Say that a quarantine of the animal goes on by the book where its new place is none of quarantine."""
    if place is None or place_at_hand(act, place).quarantine:
        return
    for course in open_courses(act, animal.id, act.now_text):
        if course.kind is CourseKind.QUARANTINE:
            told = "{animal} has been in quarantine since {day} by the book, and {place} is no place of quarantine."
            since = moment_from(course.since).date()
            act.warn(say(told, animal=animal.keeper_id, day=since, place=place_at_hand(act, place).label))


def refuse_leaving_quarantine(
    act: ActInHand, keeper_id: str, came_from: PlaceId | None, place: PlaceId | None, note: str
) -> None:
    """Refuse a correction that leads out of quarantine without a note that says why."""
    if leaves_quarantine(act, came_from, place) and not note.strip():
        raise Refusal(say("{animal} is in quarantine. Say in the note why it may leave.", animal=keeper_id))


def leaves_quarantine(act: ActInHand, came_from: PlaceId | None, place: PlaceId | None) -> bool:
    """Whether a way from one place to another leads out of quarantine."""
    if came_from is None or place is None or not place_at_hand(act, came_from).quarantine:
        return False
    return not place_at_hand(act, place).quarantine


def refuse_elsewhere(act: ActInHand) -> None:
    """Refuse an undo after which the newest move of an animal leads elsewhere than where it is.

    Days of moves and of departures are corrected one by one: taken back one by one they could pass each other.
    """
    sql = """SELECT a.keeper_id FROM (SELECT DISTINCT animal FROM change WHERE act = ? AND tbl = 'move') c
        JOIN animal a ON a.id = c.animal WHERE EXISTS (SELECT 1 FROM move m WHERE m.animal_id = a.id) AND a.place_id
        IS NOT (SELECT m.to_place_id FROM move m WHERE m.animal_id = a.id ORDER BY m.at DESC, m.id DESC LIMIT 1)"""
    for (keeper_id,) in act.rows(sql, (act.id,)):
        told = "{animal} would not be where its newest move leads. Take the later corrections of its days back first."
        raise Refusal(say(told, animal=keeper_id))
