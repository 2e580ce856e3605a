"""Correcting or taking back one entry of a timeline; the journal keeps what stood before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from enum import Enum

from coilbook.operations.at_hand import animal_at_hand, happened
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Act
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.columns import Base
from coilbook.storage.tables import (
    Acquisition,
    Claim,
    Cleaning,
    Feeding,
    Note,
    Regurgitation,
    Shed,
    SignSeen,
    Weight,
    table_name,
)

#: entries a keeper may correct, with the columns each offers
EDITABLE: dict[type[Base], frozenset[str]] = {
    Feeding: frozenset({"at", "result", "reason", "prey", "prey_state", "prey_dg", "pieces", "note"}),
    Weight: frozenset({"at", "mass_dg", "tag", "doubted", "note"}),
    Shed: frozenset({"at", "kind", "note"}),
    SignSeen: frozenset({"at", "sign", "note"}),
    Cleaning: frozenset({"at", "extent", "product", "note"}),
    Note: frozenset({"at", "text"}),
    Regurgitation: frozenset({"at", "note"}),
    Claim: frozenset({"text", "source"}),
    Acquisition: frozenset({"country", "papers", "feeding_claim", "note"}),
}
_BY_NAME = {table_name(model): model for model in EDITABLE}


def edit_entry(collection: Collection, *, table: str, row: int, values: Mapping[str, object]) -> Outcome[int]:
    """Change columns of one entry: enums, `Mass` and moments as such; refused for a column that is not offered."""
    with collection.act(Act.EDIT_ENTRY) as act:
        model, name = _entry(act, table, row)
        plain = {column: _plain(act, column, value) for column, value in values.items()}
        unknown = set(plain) - EDITABLE[model]
        if unknown:
            raise Refusal(say("{columns} cannot be changed here.", columns=", ".join(sorted(unknown))))
        if model is Feeding and "result" in plain:
            plain["closed_at"] = None if plain["result"] == "pending" else act.now_text
        act.update(model, row, **plain)
        act.tell(say("entry of {animal} corrected", animal=name))
    return act.outcome(Act.EDIT_ENTRY, row)


def remove_entry(collection: Collection, *, table: str, row: int) -> Outcome[int]:
    """Take one entry out of the book; Undo or the history brings it back. Refused while another entry rests on it."""
    with collection.act(Act.REMOVE_ENTRY) as act:
        model, name = _entry(act, table, row)
        if model is Feeding and act.rows("SELECT 1 FROM regurgitation WHERE feeding_id = ?", (row,)):
            raise Refusal(say("A meal that came back is linked to this one; take that out first."))
        act.delete(model, row)
        act.tell(say("entry of {animal} taken out", animal=name))
    return act.outcome(Act.REMOVE_ENTRY, row)


def _entry(act: ActInHand, table: str, row: int) -> tuple[type[Base], str]:
    model = _BY_NAME.get(table)
    if model is None:
        raise Refusal(say("Entries of this kind are not corrected here."))
    rows = act.rows(f'SELECT animal_id FROM "{table}" WHERE id = ?', (row,))
    if not rows:
        raise Refusal(say("That entry is no longer in the book; it may have been undone."))
    animal = rows[0][0]
    return model, animal_at_hand(act, AnimalId(animal)).keeper_id if animal is not None else ""


def _plain(act: ActInHand, column: str, value: object) -> object:
    if isinstance(value, dt.datetime) and column == "at":
        return happened(act, value)
    if isinstance(value, Mass):
        return value.decigrams
    if isinstance(value, Enum):
        return value.value
    return int(value) if isinstance(value, bool) else value
