"""The days an animal may have hatched on: seen out at one look, it was not out at the look before."""

from __future__ import annotations

import datetime as dt

from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Precision
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection

_OUT = """SELECT s.not_yet_at, s.at, a.hatched, a.hatched_precision FROM hatchling h JOIN animal a ON a.id = h.animal_id
    JOIN hatching s ON s.egg_id = h.egg_id AND s.twin IN (h.twin, '') AND s.event = 'out' WHERE h.animal_id = ?
    ORDER BY s.at DESC, s.id DESC LIMIT 1"""


def hatched_not_before(collection: Collection, animal: AnimalId) -> dt.date | None:
    """The day of the look before, where the day of hatching lies anywhere from then to the day on record.

    None where it was seen happening or both looks are of one day, where no look is on record before, and where the
    keeper has set the day otherwise since.
    """
    row = collection.read_one(_OUT, (animal,))
    if row is None or row[0] is None or row[3] != Precision.DAY:
        return None
    before, seen = moment_from(row[0]).date(), moment_from(row[1]).date()
    return before if before < seen and str(row[2])[:10] == seen.isoformat() else None
