"""The rows a list shows: what is written of some animals, joined with what the herd index knows of them."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from dataclasses import dataclass

from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import PRECISIONS, SEXES, STATUSES, IntArray
from coilbook.reads.standing import STATES, State
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex, Status
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection

_SQL = """SELECT a.id, a.keeper_id, a.name, a.genetics, coalesce(n.curve, '') FROM animal a
    LEFT JOIN animal_now n ON n.animal = a.id WHERE a.id IN (SELECT value FROM json_each(?))"""


@dataclass(frozen=True, slots=True)
class HerdRow:
    """One animal in a list. Days are dates; `curve` holds (ordinal of the day, decigrams), oldest first."""

    id: AnimalId
    keeper_id: str
    name: str
    genetics: str
    sex: Sex
    sex_percent: int
    status: Status
    place: str
    hatched: PartialDate | None
    weight_dg: int
    weighed: dt.date | None
    curve: tuple[tuple[int, int], ...]
    taken: dt.date | None
    offered: dt.date | None
    refused: int
    due: dt.date | None
    shed: dt.date | None
    spewed: dt.date | None
    state: State

    @property
    def here(self) -> bool:
        """True while the animal is in the room."""
        return self.status is Status.HERE

    @property
    def gone(self) -> bool:
        """True for an animal that will not be in the room again: its id is struck out."""
        return self.status in (Status.SOLD, Status.DEAD)


def herd_rows(collection: Collection, herd: Herd, animals: Iterable[int], states: IntArray) -> list[HerdRow]:
    """Rows of these animals, in no certain order; `states` as `standing.states` gives them."""
    found = collection.read(_SQL, (json.dumps([int(a) for a in animals]),))
    return [_row(herd, written, states) for written in found if herd.row_of(int(written[0])) >= 0]


def points_of(curve: str) -> tuple[tuple[int, int], ...]:
    """The stored curve as pairs of day and decigrams."""
    pairs = (pair.split(":") for pair in curve.split())
    return tuple((int(day), int(mass)) for day, mass in pairs)


def _row(herd: Herd, written: tuple[int, str, str, str, str], states: IntArray) -> HerdRow:
    animal, keeper_id, name, genetics, curve = written
    at = herd.row_of(animal)

    def value(column: str) -> int:
        return int(herd[column][at])

    def day(column: str) -> dt.date | None:
        ordinal = value(column)
        return dt.date.fromordinal(ordinal) if ordinal else None

    hatched, precision = day("hatched"), PRECISIONS[value("precision")]
    return HerdRow(
        AnimalId(animal),
        keeper_id,
        name,
        genetics,
        SEXES[value("sex")],
        value("sure"),
        STATUSES[value("status")],
        herd.places.label(value("place")),
        PartialDate(hatched, precision) if hatched and precision else None,
        value("weight"),
        day("weighed"),
        points_of(curve),
        day("taken"),
        day("offered"),
        value("refused"),
        day("due"),
        day("shed"),
        day("spewed"),
        STATES[int(states[at])],
    )
