"""Rooms, racks and slots, their names and the order in which the keeper walks past them."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.operations.at_hand import PlaceAtHand, place_at_hand
from coilbook.operations.codes import issue_codes
from coilbook.records.changes import Outcome
from coilbook.records.ids import PlaceId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, CodeKind, PlaceKind
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Place, references

NAME_LENGTH = 24
MOST_SLOTS = 400


def add_room(collection: Collection, *, name: str, quarantine: bool = False) -> Outcome[PlaceId]:
    """A room to put racks in."""
    with collection.act(Act.ADD_PLACE) as act:
        label = _free_label(act, name)
        row = _insert(act, PlaceKind.ROOM, label, label, None, _next_walk(act), quarantine)
        act.tell(say("room {place} added", place=label))
    return act.outcome(Act.ADD_PLACE, row)


def add_rack(
    collection: Collection,
    *,
    name: str,
    rows: Sequence[str] = (),
    columns: int = 0,
    room: PlaceId | None = None,
    quarantine: bool = False,
) -> Outcome[PlaceId]:
    """A rack with its slots: each row name with each column number, A1 A2 ... B1 ...; each slot gets a code."""
    if len(rows) * columns > MOST_SLOTS:
        raise Refusal(say("A rack has at most {n} slots; add a second rack.", n=MOST_SLOTS))
    with collection.act(Act.ADD_PLACE) as act:
        rack = write_rack(act, name, [f"{r}{c}" for r in rows for c in range(1, columns + 1)], room, quarantine)
        n = len(rows) * columns
        act.tell(say("rack {place} added with {n} slot", "rack {place} added with {n} slots", place=name.strip(), n=n))
    return act.outcome(Act.ADD_PLACE, rack)


def add_slot(collection: Collection, *, rack: PlaceId, name: str) -> Outcome[PlaceId]:
    """One more slot at the end of a rack."""
    with collection.act(Act.ADD_PLACE) as act:
        slot = write_slots(act, place_at_hand(act, rack), [name])[0]
        act.tell(say("slot {place} added", place=place_at_hand(act, slot).label))
    return act.outcome(Act.ADD_PLACE, slot)


def write_rack(
    act: ActInHand, name: str, slots: Sequence[str], room: PlaceId | None = None, quarantine: bool = False
) -> PlaceId:
    """The rows of a rack and its slots, inside an act; in a room of quarantine the rack is of quarantine too."""
    if room is not None:
        found = place_at_hand(act, room)
        if found.kind is not PlaceKind.ROOM:
            raise Refusal(say("A rack stands in a room."))
        quarantine = quarantine or found.quarantine
    label = _free_label(act, name)
    rack = _insert(act, PlaceKind.RACK, label, label, room, _next_walk(act), quarantine)
    write_slots(act, place_at_hand(act, rack), slots)
    return rack


def write_slots(act: ActInHand, rack: PlaceAtHand, names: Sequence[str]) -> list[PlaceId]:
    """The rows and codes of slots in a rack, inside an act."""
    if rack.kind is not PlaceKind.RACK:
        raise Refusal(say("A slot belongs to a rack; {place} is a {kind}.", place=rack.label, kind=rack.kind))
    made: list[PlaceId] = []
    for name in names:
        plain = _plain(name)
        label = _free_label(act, f"{rack.label}-{plain}")
        made.append(_insert(act, PlaceKind.SLOT, plain, label, rack.id, _next_walk(act), rack.quarantine))
    issue_codes(act, CodeKind.SLOT, made)
    return made


def rename_rack(collection: Collection, *, rack: PlaceId, name: str) -> Outcome[PlaceId]:
    """Give a rack another name; its slots are renumbered with it, their codes and labels' codes stay good."""
    with collection.act(Act.RENUMBER_RACK) as act:
        found = place_at_hand(act, rack)
        if found.kind is PlaceKind.SLOT:
            raise Refusal(say("{place} is a slot; rename its rack.", place=found.label))
        label = _free_label(act, _plain(name), rack)
        act.update(Place, rack, name=label, label=label)
        if found.kind is PlaceKind.RACK:
            for slot, slot_name in act.rows("SELECT id, name FROM place WHERE parent_id = ?", (rack,)):
                act.update(Place, slot, label=_free_label(act, f"{label}-{slot_name}", slot))
        act.tell(say("{old} is now {new}", old=found.label, new=label))
    return act.outcome(Act.RENUMBER_RACK, rack)


def edit_place(
    collection: Collection, *, place: PlaceId, quarantine: bool | None = None, note: str | None = None
) -> Outcome[PlaceId]:
    """Mark a place (and all in it) as quarantine or not, or change its note."""
    with collection.act(Act.EDIT_PLACE) as act:
        found = place_at_hand(act, place)
        if note is not None:
            act.update(Place, place, note=note.strip())
        if quarantine is not None:
            sql = """WITH RECURSIVE under(id) AS (SELECT ? UNION
                SELECT p.id FROM place p JOIN under ON p.parent_id = under.id) SELECT id FROM under"""
            for (one,) in act.rows(sql, (place,)):
                act.update(Place, one, quarantine=int(quarantine))
        act.tell(say("{place} changed", place=found.label))
    return act.outcome(Act.EDIT_PLACE, place)


def set_walking_order(collection: Collection, *, places: Sequence[PlaceId]) -> Outcome[int]:
    """The order in which these places (racks, or slots of one rack) are walked past."""
    with collection.act(Act.EDIT_PLACE) as act:
        known = [w for (w,) in act.rows("SELECT walk FROM place ORDER BY walk")]
        walks = sorted(act.rows(f"SELECT walk FROM place WHERE id IN ({','.join('?' * len(places))})", places))
        fresh = [w for (w,) in walks]
        if len(set(fresh)) != len(places):
            top = max(known, default=0)
            fresh = [top + i + 1 for i in range(len(places))]
        for place, walk in zip(places, fresh, strict=True):
            act.update(Place, place, walk=walk)
        act.tell(say("walking order kept"))
    return act.outcome(Act.EDIT_PLACE, len(places))


def remove_place(collection: Collection, *, place: PlaceId) -> Outcome[PlaceId]:
    """Take an empty, never used place away."""
    with collection.act(Act.REMOVE_PLACE) as act:
        found = place_at_hand(act, place)
        named = [(table, column) for table, column, to in references() if to == "place"]
        if any(act.rows(f'SELECT 1 FROM "{t}" WHERE "{c}" = ? LIMIT 1', (place,)) for t, c in named):
            raise Refusal(say("{place} is in use or has a history, so it stays.", place=found.label))
        act.delete(Place, place)
        act.tell(say("{place} taken away", place=found.label))
    return act.outcome(Act.REMOVE_PLACE, place)


def _insert(
    act: ActInHand, kind: PlaceKind, name: str, label: str, parent: PlaceId | None, walk: int, quarantine: bool
) -> PlaceId:
    values = {"kind": kind.value, "name": name, "label": label, "walk": walk, "quarantine": int(quarantine)}
    return PlaceId(act.insert(Place, parent_id=parent, **values))


def _next_walk(act: ActInHand) -> int:
    return int(act.rows("SELECT coalesce(max(walk), 0) + 1 FROM place")[0][0])


def _plain(name: str) -> str:
    plain = " ".join(name.split())
    if not plain:
        raise Refusal(say("A place needs a name, like R2 or A3."))
    if len(plain) > NAME_LENGTH:
        raise Refusal(say("The name '{name}' is longer than {n} signs.", name=plain, n=NAME_LENGTH))
    return plain


def _free_label(act: ActInHand, name: str, place: int | None = None) -> str:
    label = _plain(name) if place is None else name
    rows = act.rows("SELECT id FROM place WHERE label = ? COLLATE NOCASE", (label,))
    if any(row != place for (row,) in rows):
        raise Refusal(say("There is a place {place} already.", place=label))
    return label
