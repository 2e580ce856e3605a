"""Who is or was with whom lately: what a lock or an end of a stay is entered for."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass

from coilbook.records.ids import AnimalId, StayId
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class StayChoice:
    """A stay by the other animal of the pair; `until` None while it lasts."""

    id: StayId
    other: AnimalId
    other_name: str
    since: dt.date
    until: dt.date | None


def recent_stays(collection: Collection, animal: AnimalId, limit: int = 4) -> tuple[StayChoice, ...]:
    """The latest stays of a female or a male, those that last first."""
    rows = collection.read(
        "SELECT s.id, o.id, o.keeper_id, s.at, s.until FROM stay s"
        " JOIN animal o ON o.id = CASE WHEN s.female_id = ?1 THEN s.male_id ELSE s.female_id END"
        " WHERE s.id IN (SELECT id FROM stay WHERE female_id = ?1 UNION ALL SELECT id FROM stay WHERE male_id = ?1)"
        " ORDER BY s.until IS NOT NULL, s.at DESC, s.id DESC LIMIT ?2",
        (animal, limit),
    )
    return tuple(
        StayChoice(StayId(row), AnimalId(other), name, moment_from(at).date(),
                   moment_from(until).date() if until else None)
        for row, other, name, at, until in rows
    )  # fmt: skip


def pairable(collection: Collection, *, female: bool) -> tuple[tuple[str, AnimalId], ...]:
    """(id or name as the keeper has it, row) of the animals here that can be a female, or a male, of a pair.

    Ids stand before names; a name that several of them have, or that is somebody's id, is left out.
    """
    other = "male" if female else "female"
    rows = collection.read(
        "SELECT keeper_id, id, name FROM animal WHERE status IN ('here', 'loan') AND sex <> ? ORDER BY keeper_id",
        (other,),
    )
    ids = [(str(keeper_id), AnimalId(row)) for keeper_id, row, _ in rows]
    names = Counter(str(name).casefold() for _, _, name in rows)
    names.update(keeper_id.casefold() for keeper_id, _ in ids)
    once = [(str(name), AnimalId(row)) for _, row, name in rows if name and names[str(name).casefold()] == 1]
    return (*ids, *once)
