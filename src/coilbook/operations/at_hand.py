"""The animal or place an act is about, read inside the act, with the refusals common to many acts."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import PlaceKind, PreyState, Sex, Status
from coilbook.records.when import PartialDate, moment_from, moment_text, must_have_happened
from coilbook.storage.act import ActInHand
from coilbook.storage.animal_tables import PLACE_IS_APART

_GONE = {
    Status.SOLD: "{animal} was sold; nothing was written. Take the sale back first if that is wrong.",
    Status.DEAD: "{animal} is entered as dead; nothing was written. Undo that first if it is wrong.",
    Status.LOST: "{animal} is entered as lost; enter the return first.",
    Status.OUTSIDE: "{animal} is somebody else's animal; only its parents and looks are kept.",
}


@dataclass(frozen=True, slots=True)
class AnimalAtHand:
    id: AnimalId
    keeper_id: str
    sex: Sex
    status: Status
    place: PlaceId | None
    prey_kind: str
    prey_state: PreyState


@dataclass(frozen=True, slots=True)
class PlaceAtHand:
    id: PlaceId
    kind: PlaceKind
    label: str
    name: str
    parent: PlaceId | None
    #: by its own mark, or by that of what it lies in
    quarantine: bool


def animal_at_hand(act: ActInHand, animal: AnimalId) -> AnimalAtHand:
    """The animal by its internal id; a refusal when there is none."""
    rows = act.rows(
        "SELECT id, keeper_id, sex, status, place_id, prey_kind, prey_state FROM animal WHERE id = ?", (animal,)
    )
    if not rows:
        raise Refusal(say("That animal is no longer in the book; it may have been undone."))
    row = rows[0]
    return AnimalAtHand(AnimalId(row[0]), row[1], Sex(row[2]), Status(row[3]), row[4], row[5], PreyState(row[6]))


def living_here(act: ActInHand, animal: AnimalId) -> AnimalAtHand:
    """The animal, refused unless it is in the keeper's care (here or out on loan)."""
    found = animal_at_hand(act, animal)
    if found.status in _GONE:
        raise Refusal(say(_GONE[found.status], animal=found.keeper_id))
    return found


def female_here(act: ActInHand, animal: AnimalId) -> AnimalAtHand:
    """The animal in the keeper's care, refused when it is entered as a male."""
    found = living_here(act, animal)
    if found.sex is Sex.MALE:
        raise Refusal(say("{animal} is entered as a male; correct the sex first.", animal=found.keeper_id))
    return found


def place_at_hand(act: ActInHand, place: PlaceId) -> PlaceAtHand:
    """The place by its internal id; a refusal when there is none."""
    sql = f"SELECT p.id, p.kind, p.label, p.name, p.parent_id, {PLACE_IS_APART} FROM place p WHERE p.id = ?"
    rows = act.rows(sql, (place,))
    if not rows:
        raise Refusal(say("That place is no longer in the book; it may have been undone."))
    row = rows[0]
    return PlaceAtHand(PlaceId(row[0]), PlaceKind(row[1]), row[2], row[3], row[4], bool(row[5]))


def happened(act: ActInHand, at: dt.datetime | None) -> str:
    """Stored moment of an entry: as given (refused when it lies ahead), else now."""
    if at is None:
        return act.now_text
    must_have_happened(at, moment_from(act.now_text))
    return moment_text(at)


def must_be_born(act: ActInHand, animal: AnimalId, day: PartialDate) -> None:
    """Refuse a day, all of which lies before the animal can have hatched."""
    keeper_id, hatched = act.rows("SELECT keeper_id, hatched FROM animal WHERE id = ?", (animal,))[0]
    if hatched and day.last < dt.date.fromisoformat(hatched[:10]):
        told = "{animal} hatched on {born}; {day} is before that. Correct this date, or first the day of hatching."
        raise Refusal(say(told, animal=str(keeper_id), born=dt.date.fromisoformat(hatched[:10]), day=day))
