"""What a printed code means today: the animal or slot it stands for, or why it stands for nothing here."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coilbook.labels.code import LabelCode
from coilbook.records.ids import AnimalId, EggBoxId, PlaceId
from coilbook.records.vocabulary import CodeKind, Status
from coilbook.storage.collection import Collection


class Standing(StrEnum):
    """How a code stands: usable, or the reason it is not."""

    PRESENT = "present"
    GONE = "gone"
    UNDONE = "undone"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Found:
    """The meaning of a scanned code.

    `animal`, `place` or `box` (an egg box) is set when the row is there (`status` says whether she is sold, dead,
    lost); `since` is the stored UTC moment of the undo for UNDONE, or of the renumbering when `former_label` is set.
    """

    code: LabelCode
    standing: Standing
    animal: AnimalId | None = None
    place: PlaceId | None = None
    box: EggBoxId | None = None
    name: str = ""
    status: Status | None = None
    since: str | None = None
    former_label: str | None = None


def meaning_of(collection: Collection, code: LabelCode) -> Found:
    """Look a code up; an undone, sold, renumbered or unknown one gets its own standing."""
    row = collection.read_one("SELECT target FROM code WHERE body = ? AND kind = ?", (code.body, code.kind.value))
    if row is None:
        return Found(code, Standing.UNKNOWN)
    target = int(row[0])
    if code.kind in (CodeKind.ANIMAL, CodeKind.HATCHLING):
        return _animal(collection, code, target)
    if code.kind is CodeKind.SLOT:
        return _slot(collection, code, target)
    return _box(collection, code, target)


def code_of(collection: Collection, kind: CodeKind, target: int) -> LabelCode | None:
    """The code allotted to an animal or a slot."""
    row = collection.read_one("SELECT body FROM code WHERE kind = ? AND target = ?", (kind.value, target))
    return LabelCode(kind, str(row[0])) if row else None


def codes_of(collection: Collection, kind: CodeKind, targets: list[int]) -> dict[int, LabelCode]:
    """Codes of many animals or slots, by row id."""
    found: dict[int, LabelCode] = {}
    for start in range(0, len(targets), 500):
        part = targets[start : start + 500]
        marks = ",".join("?" * len(part))
        rows = collection.read(
            f"SELECT target, body FROM code WHERE kind = ? AND target IN ({marks})", (kind.value, *part)
        )
        found.update({int(target): LabelCode(kind, str(body)) for target, body in rows})
    return found


def who_is_in(collection: Collection, place: PlaceId) -> list[tuple[AnimalId, str]]:
    """The animals in a slot, as (id, keeper's id)."""
    rows = collection.read("SELECT id, keeper_id FROM animal WHERE place_id = ? ORDER BY sex, id", (place,))
    return [(AnimalId(i), str(k)) for i, k in rows]


def _animal(collection: Collection, code: LabelCode, target: int) -> Found:
    row = collection.read_one("SELECT keeper_id, status FROM animal WHERE id = ?", (target,))
    if row is None:
        return Found(code, Standing.UNDONE, since=_taken_away(collection, "animal", target))
    status = Status(row[1])
    standing = Standing.PRESENT if status in (Status.HERE, Status.LOAN) else Standing.GONE
    since = None
    if standing is Standing.GONE:
        turn = collection.read_one("SELECT max(at) FROM departure WHERE animal_id = ?", (target,))
        since = turn[0] if turn else None
    return Found(code, standing, animal=AnimalId(target), name=str(row[0]), status=status, since=since)


def _box(collection: Collection, code: LabelCode, target: int) -> Found:
    row = collection.read_one("SELECT label, emptied FROM egg_box WHERE id = ?", (target,))
    if row is None:
        return Found(code, Standing.UNDONE, since=_taken_away(collection, "egg_box", target))
    standing = Standing.PRESENT if row[1] is None else Standing.GONE
    return Found(code, standing, box=EggBoxId(target), name=str(row[0]), since=row[1])


def _slot(collection: Collection, code: LabelCode, target: int) -> Found:
    row = collection.read_one("SELECT label FROM place WHERE id = ?", (target,))
    if row is None:
        return Found(code, Standing.UNDONE, since=_taken_away(collection, "place", target))
    former = collection.read_one(
        "SELECT json_extract(c.before, '$.label'), a.at FROM change c JOIN act a ON a.id = c.act"
        " WHERE c.tbl = 'place' AND c.row = ? AND c.op = 'U' AND json_extract(c.before, '$.label') <> ?"
        " ORDER BY c.id DESC LIMIT 1",
        (target, row[0]),
    )
    label, since = former if former else (None, None)
    return Found(code, Standing.PRESENT, place=PlaceId(target), name=str(row[0]), former_label=label, since=since)


def _taken_away(collection: Collection, table: str, row: int) -> str | None:
    found = collection.read_one(
        "SELECT a.at FROM change c JOIN act a ON a.id = c.act WHERE c.tbl = ? AND c.row = ? AND c.op = 'D'"
        " ORDER BY c.id DESC LIMIT 1",
        (table, row),
    )
    return str(found[0]) if found else None
