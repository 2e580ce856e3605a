"""People as screens want them."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.records.ids import PersonId
from coilbook.records.vocabulary import PersonRole
from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class PersonRow:
    id: PersonId
    name: str
    role: PersonRole
    contact: str
    note: str
    active: bool


def people(collection: Collection, *, roles: tuple[PersonRole, ...] = (), gone: bool = False) -> list[PersonRow]:
    """Everybody in the book by name, or those of some roles; those no longer active only when asked for."""
    rows = collection.read("SELECT id, name, role, contact, note, active FROM person ORDER BY name COLLATE NOCASE, id")
    found = [PersonRow(PersonId(i), n, PersonRole(r), c, t, bool(a)) for i, n, r, c, t, a in rows]
    return [p for p in found if (not roles or p.role in roles) and (gone or p.active)]


def at_keyboard_choices(collection: Collection) -> list[PersonRow]:
    """Those who work with the book: keepers first, then helpers."""
    return people(collection, roles=(PersonRole.KEEPER,)) + people(collection, roles=(PersonRole.HELPER,))
