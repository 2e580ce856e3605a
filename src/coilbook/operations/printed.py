"""Keeping in mind which labels were printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import say
from coilbook.records.vocabulary import Act
from coilbook.storage.collection import Collection
from coilbook.storage.tables import LabelPrint


@dataclass(frozen=True, slots=True)
class PrintedLabel:
    """One label that went to paper: its code and what it stands for."""

    code: str
    animal: AnimalId | None = None
    place: PlaceId | None = None


def note_printed(collection: Collection, *, labels: Sequence[PrintedLabel], stock: str) -> Outcome[int]:
    """Write down that these labels were printed on this stock."""
    with collection.act(Act.PRINT_LABELS) as act:
        rows = [(label.code, label.animal, label.place, act.now_text, stock) for label in labels]
        act.insert_many(LabelPrint, ("code", "animal_id", "place_id", "at", "stock"), rows)
        act.tell(say("{n} label printed", "{n} labels printed", n=len(labels)))
    return act.outcome(Act.PRINT_LABELS, len(labels))
