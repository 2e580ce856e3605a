"""Small look-ups by id that several screens share."""

from __future__ import annotations

from coilbook.records.composed import cases, composed, seen
from coilbook.records.ids import ActId, AnimalId
from coilbook.storage.collection import Collection


def animal_with_id(collection: Collection, keeper_id: str) -> AnimalId | None:
    """The animal with this id of the keeper, however its letters are written; the present one before a gone one."""
    spellings = cases(composed(seen(keeper_id)))
    row = collection.read_one(
        f"SELECT id FROM animal WHERE keeper_id COLLATE NOCASE IN ({', '.join('?' * len(spellings))})"
        " ORDER BY status = 'here' DESC, id DESC LIMIT 1",
        spellings,
    )
    return AnimalId(row[0]) if row else None


def animal_called(collection: Collection, typed: str) -> AnimalId | None:
    """The animal a keeper means by a typed word: its id, else its name where only one is called so.

    Of several of that name the only one present is meant; two present ones are nobody in particular.
    """
    found = animal_with_id(collection, typed)
    name = " ".join(typed.split())
    if found is not None or not name:
        return found
    rows = collection.read("SELECT id, status = 'here' FROM animal WHERE name = ? COLLATE NOCASE", (name,))
    meant = [row for row, here in rows if here] or [row for row, _ in rows]
    return AnimalId(meant[0]) if len(meant) == 1 else None


def keeper_id_of(collection: Collection, animal: AnimalId) -> str:
    """The keeper's id of an animal; empty when it is no longer in the book."""
    row = collection.read_one("SELECT keeper_id FROM animal WHERE id = ?", (animal,))
    return str(row[0]) if row else ""


def first_animal_of(collection: Collection, act: ActId) -> AnimalId | None:
    """An animal an act was about that is still in the book."""
    row = collection.read_one(
        "SELECT c.animal FROM change c JOIN animal a ON a.id = c.animal WHERE c.act = ? ORDER BY c.id LIMIT 1", (act,)
    )
    return AnimalId(row[0]) if row else None


def busiest_animal(collection: Collection) -> AnimalId | None:
    """The animal with the most entries in the journal."""
    row = collection.read_one(
        "SELECT c.animal FROM change c JOIN animal a ON a.id = c.animal"
        " GROUP BY c.animal ORDER BY count(*) DESC LIMIT 1"
    )
    return AnimalId(row[0]) if row else None


def animal_count(collection: Collection) -> int:
    """How many animals the book has, gone and outside ones included."""
    row = collection.read_one("SELECT count(*) FROM animal")
    return int(row[0]) if row else 0
