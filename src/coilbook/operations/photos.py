"""Photos of animals, eggs and boxes: kept byte for byte, named by what they hold, never lost while journaled."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path

from coilbook.operations.at_hand import animal_at_hand, happened
from coilbook.operations.eggs_at_hand import box_at_hand, eggs_at_hand
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, EggBoxId, EggId, PhotoId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, PhotoAngle
from coilbook.storage import photos
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Animal, Photo


def add_photo(
    collection: Collection,
    *,
    animal: AnimalId,
    picture: Path | bytes,
    at: dt.datetime | None = None,
    angle: PhotoAngle = PhotoAngle.UNSAID,
    caption: str = "",
) -> Outcome[PhotoId]:
    """Add a picture to an animal; the file is on the disk before the row names it.

    Refused when it is no picture that can be kept, or when she has this very picture already.
    """
    name = picture.name if isinstance(picture, Path) else ""
    stored = photos.store(collection.folder, picture)
    with collection.act(Act.ADD_PHOTO) as act:
        found = animal_at_hand(act, animal)
        if act.rows("SELECT 1 FROM photo WHERE animal_id = ? AND sha256 = ?", (animal, stored.sha256)):
            raise Refusal(say("{animal} has this very photo already.", animal=found.keeper_id))
        row = act.insert(
            Photo,
            animal_id=animal,
            at=happened(act, at),
            sha256=stored.sha256,
            ending=stored.ending,
            angle=angle.value,
            caption=caption.strip(),
            original_name=name,
        )
        act.tell(say("photo of {animal} added", animal=found.keeper_id))
    return act.outcome(Act.ADD_PHOTO, PhotoId(row))


def add_egg_photo(
    collection: Collection,
    *,
    picture: Path | bytes,
    egg: EggId | None = None,
    box: EggBoxId | None = None,
    at: dt.datetime | None = None,
    caption: str = "",
) -> Outcome[PhotoId]:
    """Add a picture to an egg, else to its box; it stays with it whatever is done after."""
    taken = kept_picture(collection, picture)
    with collection.act(Act.ADD_PHOTO) as act:
        if egg is not None:
            about, box = eggs_at_hand(act, [egg])[0].name, None
        elif box is not None:
            about = box_at_hand(act, box).label
        else:
            raise Refusal(say("Put an egg or a box in focus first."))
        sql = "SELECT 1 FROM photo WHERE egg_id IS ? AND box_id IS ? AND sha256 = ?"
        if act.rows(sql, (egg, box, taken["sha256"])):
            raise Refusal(say("{animal} has this very photo already.", animal=about))
        values = {"egg_id": egg, "box_id": box, "caption": caption.strip()}
        row = act.insert(Photo, at=happened(act, at), **values, **taken)
        act.tell(say("photo of {animal} added", animal=about))
    return act.outcome(Act.ADD_PHOTO, PhotoId(row))


def kept_picture(collection: Collection, picture: Path | bytes) -> dict[str, str]:
    """Keep the file of a picture and give the columns that name it; to be called before the act begins."""
    stored = photos.store(collection.folder, picture)
    name = picture.name if isinstance(picture, Path) else ""
    return {"sha256": stored.sha256, "ending": stored.ending, "original_name": name}


def write_photo_before(
    act: ActInHand, taken: Mapping[str, str], deed: int, *, egg: EggId | None, box: EggBoxId | None, at: str
) -> None:
    """The picture of an egg, else of its box, as it was before something was done, inside the act of doing it.

    A picture that the egg or box has already is the one meant.
    """
    box = None if egg is not None else box
    sql = "SELECT id FROM photo WHERE egg_id IS ? AND box_id IS ? AND sha256 = ?"
    there = act.rows(sql, (egg, box, taken["sha256"]))
    if there:
        act.update(Photo, there[0][0], before_id=deed)
    else:
        act.insert(Photo, egg_id=egg, box_id=box, at=at, before_id=deed, **taken)


def edit_photo(
    collection: Collection,
    *,
    photo: PhotoId,
    at: dt.datetime | None = None,
    angle: PhotoAngle | None = None,
    caption: str | None = None,
) -> Outcome[PhotoId]:
    """Correct when, from which side, or the words under a photo."""
    with collection.act(Act.EDIT_PHOTO) as act:
        keeper_id, _ = _photo(act, photo)
        values: dict[str, object] = {"at": happened(act, at)} if at is not None else {}
        values |= {"angle": angle.value} if angle is not None else {}
        values |= {"caption": caption.strip()} if caption is not None else {}
        if values:
            act.update(Photo, photo, **values)
        act.tell(say("photo of {animal} corrected", animal=keeper_id))
    return act.outcome(Act.EDIT_PHOTO, photo)


def remove_photo(collection: Collection, *, photo: PhotoId) -> Outcome[PhotoId]:
    """Take a photo off an animal; its file stays as long as an undo could want it."""
    with collection.act(Act.REMOVE_PHOTO) as act:
        keeper_id, animal = _photo(act, photo)
        covers = act.rows("SELECT 1 FROM animal WHERE id = ? AND cover_photo = ?", (animal, photo))
        if animal is not None and covers:
            act.update(Animal, animal, cover_photo=None)
        act.delete(Photo, photo)
        act.tell(say("photo of {animal} taken off", animal=keeper_id))
    return act.outcome(Act.REMOVE_PHOTO, photo)


def _photo(act: ActInHand, photo: PhotoId) -> tuple[str, AnimalId | None]:
    """The name of whom or what a photo shows, and the animal if it is one."""
    rows = act.rows(
        "SELECT p.animal_id, coalesce(a.keeper_id, c.label || '-' || e.number, b.label, '') FROM photo p"
        " LEFT JOIN animal a ON a.id = p.animal_id LEFT JOIN egg e ON e.id = p.egg_id"
        " LEFT JOIN clutch c ON c.id = e.clutch_id LEFT JOIN egg_box b ON b.id = p.box_id WHERE p.id = ?",
        (photo,),
    )
    if not rows:
        raise Refusal(say("That photo is no longer in the book; it may have been undone."))
    animal, name = rows[0]
    return str(name), AnimalId(animal) if animal is not None else None
