"""Rooms, racks and slots as screens and papers want them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coilbook.drawing.rack_map import RackIn, rack_by_slot
from coilbook.reads.health_now import Course, courses_now
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.vocabulary import PlaceKind
from coilbook.storage.collection import Collection

#: downwards from every mark; the nearest one is found first
_MARKED_BY = """WITH RECURSIVE apart(id, by) AS (SELECT id, label FROM place WHERE quarantine
    UNION ALL SELECT q.id, a.by FROM apart a JOIN place q ON q.parent_id = a.id WHERE NOT q.quarantine)
    SELECT id, by FROM apart"""


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One place; `dwellers` are (id, keeper's id) of who lives there now, for a slot.

    `quarantine` is its own mark; `apart_by` the label of the place whose mark makes it one of quarantine, its own or
    the nearest it lies in, empty where none does. Who lives in it is in quarantine by that.
    """

    id: PlaceId
    kind: PlaceKind
    label: str
    name: str
    parent: PlaceId | None
    walk: int
    quarantine: bool
    note: str
    dwellers: tuple[tuple[AnimalId, str], ...] = ()
    apart_by: str = ""

    def above(self, places: Mapping[PlaceId, PlaceRow]) -> PlaceRow | None:
        """The nearest place it lies in that is marked; None where none is."""
        at = places.get(self.parent) if self.parent is not None else None
        while at is not None and not at.quarantine:
            at = places.get(at.parent) if at.parent is not None else None
        return at


@dataclass(frozen=True, slots=True)
class PlacesPage:
    """Every place by its id, in walking order; the slots of each rack, and the racks as they are laid out.

    `rack_of` has the place of its rack in `racks`, by slot; `courses` what goes on of every animal's health.
    """

    places: Mapping[PlaceId, PlaceRow]
    slots: Mapping[PlaceId, tuple[PlaceRow, ...]]
    racks: tuple[RackIn, ...]
    rack_of: Mapping[PlaceId, int]
    lived_in: int
    courses: Mapping[AnimalId, Sequence[Course]]


NOTHING_YET = PlacesPage({}, {}, (), {}, 0, {})


def places_page(collection: Collection) -> PlacesPage:
    """Everything the map of places shows; of 100,000 places some second, so on a worker."""
    rows = all_places(collection)
    places = {place.id: place for place in rows}
    slots: dict[PlaceId, list[PlaceRow]] = {place.id: [] for place in rows if place.kind is PlaceKind.RACK}
    lived_in = 0
    for place in rows:
        if place.kind is PlaceKind.SLOT:
            lived_in += bool(place.dwellers)
            if place.parent in slots:
                slots[place.parent].append(place)
    racks = tuple(RackIn.of(rack, [(slot.id, slot.name) for slot in its]) for rack, its in slots.items())
    by_rack = {rack: tuple(its) for rack, its in slots.items()}
    return PlacesPage(places, by_rack, racks, rack_by_slot(racks), lived_in, courses_now(collection))


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
    apart = _apart(collection)
    return [
        PlaceRow(
            PlaceId(i), kinds[k], label, name, parent, walk, bool(q), note, tuple(dwellers.get(i, ())), apart.get(i, "")
        )
        for i, k, label, name, parent, walk, q, note in rows
    ]


def _apart(collection: Collection) -> dict[int, str]:
    """The label of the mark that makes each place one of quarantine: its own, else the nearest above it."""
    return {int(place): str(by) for place, by in collection.read(_MARKED_BY)}


def place_labelled(collection: Collection, label: str) -> PlaceId | None:
    """The place with this label, however its letters are written."""
    row = collection.read_one("SELECT id FROM place WHERE label = ? COLLATE NOCASE", (" ".join(label.split()),))
    return PlaceId(row[0]) if row else None
