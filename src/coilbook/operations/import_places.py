"""The places an import needs and the collection has not: rooms, racks and slots, made together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from coilbook.intake.places import rack_key
from coilbook.intake.planned import PlannedPlace
from coilbook.intake.values import identity_key
from coilbook.operations.bulk import next_id
from coilbook.operations.codes import issue_codes
from coilbook.records.vocabulary import CodeKind, PlaceKind
from coilbook.storage.act import ActInHand
from coilbook.storage.tables import Place
from coilbook.wording.natural import natural_key

_COLUMNS = ("id", "kind", "parent_id", "name", "label", "walk", "quarantine")


@dataclass(slots=True)
class PlacesMade:
    """Row ids of slots by what the sheet calls them; a place without both rack and slot has none."""

    slots: dict[tuple[str, str, str], int] = field(default_factory=dict)
    made: int = 0

    def slot_of(self, place: PlannedPlace | None) -> int | None:
        """The slot an animal of the plan lives in, or None: it is then told in a note."""
        if place is None:
            return None
        if place.existing is not None and place.slot:
            return int(place.existing)
        return self.slots.get(_key(place))


def _rack_of(place: PlannedPlace) -> tuple[str, str]:
    return (place.room.casefold(), rack_key(place.rack))


def _key(place: PlannedPlace) -> tuple[str, str, str]:
    return (place.room.casefold(), rack_key(place.rack), identity_key(place.slot))


def make_places(act: ActInHand, places: Iterable[PlannedPlace]) -> PlacesMade:
    """Write what is missing and give the slots their codes: racks as the sheet names them, slots by their number.

    A sheet is seldom in the order of the walk, and slots stand in it where their animals do.
    """
    builder = _Builder(act)
    made = PlacesMade()
    missing = [place for place in places if place.rack and not (place.existing is not None and place.slot)]
    racks = {_rack_of(place): builder.rack(place) for place in missing}
    order = {rack: number for number, rack in enumerate(racks)}
    for place in sorted(missing, key=lambda one: (order[_rack_of(one)], natural_key(one.slot))):
        if place.slot and _key(place) not in made.slots:
            made.slots[_key(place)] = builder.slot(place, racks[_rack_of(place)])
    builder.write()
    made.made = len(builder.rows)
    return made


class _Builder:
    """Collects rows of places under ids and labels that are still free."""

    def __init__(self, act: ActInHand) -> None:
        self._act = act
        rows = act.rows("SELECT id, kind, label, quarantine FROM place")
        self._labels: dict[str, int] = {str(label).casefold(): int(row) for row, _, label, _ in rows}
        self._kinds: dict[int, tuple[str, int]] = {int(row): (str(kind), int(q)) for row, kind, _, q in rows}
        self._racks: dict[tuple[str, str], int] = {}
        self._rack_labels: dict[int, str] = {int(row): str(label) for row, kind, label, _ in rows if kind == "rack"}
        self._next = next_id(act, Place)
        self._walk = int(act.rows("SELECT coalesce(max(walk), 0) FROM place")[0][0])
        self._slots: list[int] = []
        self.rows: list[tuple[object, ...]] = []

    def rack(self, place: PlannedPlace) -> int:
        """The rack of a place: the collection's own, one made before, or a new one."""
        key = (place.room.casefold(), rack_key(place.rack))
        if place.existing is not None and not place.slot:
            self._racks[key] = int(place.existing)
        if key not in self._racks:
            room = self._room(place.room) if place.room else None
            found = self._labels.get(place.rack.casefold())
            if found is not None and self._kinds[found][0] == PlaceKind.RACK and self._fits(found, room):
                self._racks[key] = found
            else:
                label = self._free(place.rack, place.room)
                quarantine = self._kinds[room][1] if room is not None else 0
                self._racks[key] = self._add(PlaceKind.RACK, label, label, room, quarantine)
                self._rack_labels[self._racks[key]] = label
        return self._racks[key]

    def slot(self, place: PlannedPlace, rack: int) -> int:
        """The slot of a place in its rack."""
        label = f"{self._rack_labels[rack]}-{place.slot}"
        found = self._labels.get(label.casefold())
        if found is not None and self._kinds[found][0] == PlaceKind.SLOT:
            return found
        made = self._add(PlaceKind.SLOT, place.slot, self._free(label, ""), rack, self._kinds[rack][1])
        self._slots.append(made)
        return made

    def write(self) -> None:
        """Write what was collected."""
        self._act.insert_many(Place, _COLUMNS, self.rows)
        issue_codes(self._act, CodeKind.SLOT, self._slots)

    def _room(self, name: str) -> int:
        found = self._labels.get(name.casefold())
        if found is not None and self._kinds[found][0] == PlaceKind.ROOM:
            return found
        return self._add(PlaceKind.ROOM, name, self._free(name, "room"), None, 0)

    def _fits(self, rack: int, room: int | None) -> bool:
        if room is None:
            return True
        rows = self._act.rows("SELECT parent_id FROM place WHERE id = ?", (rack,))
        return not rows or rows[0][0] in (None, room)

    def _free(self, label: str, room: str) -> str:
        candidate = label if label.casefold() not in self._labels else f"{room} {label}".strip()
        number = 2
        while candidate.casefold() in self._labels:
            candidate, number = f"{label} ({number})", number + 1
        return candidate

    def _add(self, kind: PlaceKind, name: str, label: str, parent: int | None, quarantine: int) -> int:
        row, self._next, self._walk = self._next, self._next + 1, self._walk + 1
        self._labels[label.casefold()] = row
        self._kinds[row] = (kind.value, quarantine)
        self.rows.append((row, kind.value, parent, name, label, self._walk, quarantine))
        return row
