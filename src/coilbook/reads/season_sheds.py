"""Her latest sheds and what each was, for saying what one was."""

from __future__ import annotations

import datetime as dt

from coilbook.records.ids import AnimalId, ShedId
from coilbook.records.season_vocabulary import PreLay
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection


def latest_sheds(
    collection: Collection, animal: AnimalId, limit: int = 3
) -> tuple[tuple[ShedId, dt.date, PreLay | None], ...]:
    """(shed, day, what it was as far as said), newest first."""
    rows = collection.read(
        "SELECT s.id, s.at, m.was FROM shed s LEFT JOIN shed_mark m ON m.shed_id = s.id"
        " WHERE s.animal_id = ? AND s.kind IN ('complete', 'incomplete', 'eyecaps') ORDER BY s.at DESC, s.id DESC"
        " LIMIT ?",
        (animal, limit),
    )
    return tuple((ShedId(row), moment_from(at).date(), PreLay(was) if was else None) for row, at, was in rows)
