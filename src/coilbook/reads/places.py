"""Rooms, racks and slots as screens and papers want them."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.vocabulary import PlaceKind
from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One place; `dwellers` are (id, keeper's id) of who lives there now, for a slot."""

    id: PlaceId
    kind: PlaceKind
    label: str
    name: str
    parent: PlaceId | None
    walk: int
    quarantine: bool
    note: str
    dwellers: tuple[tuple[AnimalId, str], ...] = ()


def all_places(collection: Collection) -> list[PlaceRow]:
    """Every place in walking order: racks by their own place in the walk, slots within their rack."""
    dwellers: dict[int, list[tuple[AnimalId, str]]] = {}
    for place, animal, keeper_id in collection.read(
        "SELECT place_id, id, keeper_id FROM animal WHERE place_id IS NOT NULL ORDER BY id"
    ):
        dwellers.setdefault(place, []).append((AnimalId(animal), str(keeper_id)))
    rows = collection.read(
        "SELECT id, kind, label, name, parent_id, walk, quarantine, note FROM place ORDER BY walk, id"
    )
    return [
        PlaceRow(PlaceId(i), PlaceKind(k), label, name, parent, walk, bool(q), note, tuple(dwellers.get(i, ())))
        for i, k, label, name, parent, walk, q, note in rows
    ]


def racks(collection: Collection) -> list[PlaceRow]:
    """The racks in walking order."""
    return [p for p in all_places(collection) if p.kind is PlaceKind.RACK]


def place_labelled(collection: Collection, label: str) -> PlaceId | None:
    """The place with this label, however its letters are written."""
    row = collection.read_one("SELECT id FROM place WHERE label = ? COLLATE NOCASE", (" ".join(label.split()),))
    return PlaceId(row[0]) if row else None
