"""Animals and places by what the keeper calls them, for the line at the top of the window."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.records.composed import cases, composed
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.vocabulary import Sex, Status
from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class NamedAnimal:
    """An animal found by its id or its name."""

    id: AnimalId
    keeper_id: str
    name: str
    sex: Sex
    sex_percent: int
    genetics: str
    place: str
    status: Status


@dataclass(frozen=True, slots=True)
class NamedPlace:
    """A place found by its label."""

    id: PlaceId
    label: str
    animals: int


def animals_named(collection: Collection, text: str, limit: int = 8) -> list[NamedAnimal]:
    """Animals whose id or name holds `text`: ids that begin with it first, those in the keeper's care before others."""
    words = [_escaped(word) for word in cases(composed(text))]
    by_id, by_name = (" OR ".join([f"a.{c} LIKE ? ESCAPE '\\'"] * len(words)) for c in ("keeper_id", "name"))
    rows = collection.read(
        "SELECT a.id, a.keeper_id, a.name, a.sex, a.sex_percent, a.genetics, coalesce(p.label, ''), a.status"
        " FROM animal a LEFT JOIN place p ON p.id = a.place_id"
        f" WHERE {by_id} OR (a.name <> '' AND ({by_name}))"
        f" ORDER BY NOT ({by_id}), a.status <> 'here', length(a.keeper_id), a.keeper_id LIMIT ?",
        (*(f"%{word}%" for word in (*words, *words)), *(f"{word}%" for word in words), limit),
    )
    return [
        NamedAnimal(AnimalId(i), keeper_id, name, Sex(sex), percent, genetics, place, Status(status))
        for i, keeper_id, name, sex, percent, genetics, place, status in rows
    ]


def places_named(collection: Collection, text: str, limit: int = 4) -> list[NamedPlace]:
    """Places whose label begins with `text`, with how many animals are in each."""
    rows = collection.read(
        "SELECT p.id, p.label, (SELECT count(*) FROM animal a WHERE a.place_id = p.id) FROM place p"
        " WHERE p.label LIKE ? ESCAPE '\\' ORDER BY length(p.label), p.label LIMIT ?",
        (f"{_escaped(text)}%", limit),
    )
    return [NamedPlace(PlaceId(i), label, count) for i, label, count in rows]


def _escaped(text: str) -> str:
    plain = text.strip()
    for sign in ("\\", "%", "_"):
        plain = plain.replace(sign, "\\" + sign)
    return plain
