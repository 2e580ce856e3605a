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
    return _places(collection, "1")


def racks(collection: Collection) -> list[PlaceRow]:
    """The racks in walking order."""
    return _places(collection, f"kind = '{PlaceKind.RACK}'")


def rack_labels(collection: Collection) -> list[tuple[PlaceId, str]]:
    """The racks by id and label in walking order, without who lives there."""
    rows = collection.read(f"SELECT id, label FROM place WHERE kind = '{PlaceKind.RACK}' ORDER BY walk, id")
    return [(PlaceId(rack), str(label)) for rack, label in rows]


def places_to_choose(collection: Collection, *kinds: PlaceKind) -> tuple[tuple[str, PlaceId], ...]:
    """Label and id of every place of these kinds in walking order, without who lives there."""
    marks = ", ".join("?" * len(kinds))
    sql = f"SELECT label, id FROM place WHERE kind IN ({marks}) ORDER BY walk, id"
    rows: list[tuple[str, PlaceId]] = collection.read(sql, tuple(kind.value for kind in kinds))
    return tuple(rows)


def _places(collection: Collection, which: str) -> list[PlaceRow]:
    dwellers: dict[int, list[tuple[AnimalId, str]]] = {}
    for place, animal, keeper_id in collection.read(
        "SELECT place_id, id, keeper_id FROM animal WHERE place_id IS NOT NULL"
        f" AND place_id IN (SELECT id FROM place WHERE {which}) ORDER BY id"
    ):
        dwellers.setdefault(place, []).append((AnimalId(animal), str(keeper_id)))
    rows = collection.read(
        f"SELECT id, kind, label, name, parent_id, walk, quarantine, note FROM place WHERE {which} ORDER BY walk, id"
    )
    # looked up in a table: asking the enum itself costs four times as much
    kinds = {kind.value: kind for kind in PlaceKind}
    return [
        PlaceRow(PlaceId(i), kinds[k], label, name, parent, walk, bool(q), note, tuple(dwellers.get(i, ())))
        for i, k, label, name, parent, walk, q, note in rows
    ]


def place_labelled(collection: Collection, label: str) -> PlaceId | None:
    """The place with this label, however its letters are written."""
    row = collection.read_one("SELECT id FROM place WHERE label = ? COLLATE NOCASE", (" ".join(label.split()),))
    return PlaceId(row[0]) if row else None
