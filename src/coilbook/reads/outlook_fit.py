"""Why an animal is not to be paired now, whatever its genes: weight, age, treatment, quarantine, retirement."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence

from coilbook.husbandry.fit_to_pair import Breeder, Floors, against_pairing
from coilbook.reads.health_now import Course, courses_now
from coilbook.reads.outlook_source import Mate
from coilbook.reads.species_numbers import profile_of_collection
from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.settings import Settings
from coilbook.storage.collection import Collection


def floors_now(collection: Collection, settings: Settings, today: dt.date) -> Floors:
    """The floors of this collection today."""
    return Floors.of(settings, profile_of_collection(collection), today)


def unfit(collection: Collection, mates: Sequence[Mate], floors: Floors) -> Mapping[AnimalId, Message]:
    """By animal, why it is not to be paired now; nothing of those of whom nothing speaks against it.

    Weight, age and retirement by `husbandry.fit_to_pair`.
    """
    listed = json.dumps([mate.id for mate in mates])
    rows = collection.read(
        "SELECT a.id, a.retired, a.hatched, n.weight_at FROM animal a LEFT JOIN animal_now n ON n.animal = a.id"
        " WHERE a.id IN (SELECT value FROM json_each(?))",
        (listed,),
    )
    who = {int(animal): (bool(retired), hatched, weighed) for animal, retired, hatched, weighed in rows}
    courses = courses_now(collection, [mate.id for mate in mates])
    found: dict[AnimalId, Message] = {}
    for mate in mates:
        retired, hatched, weighed = who.get(mate.id, (False, None, None))
        animal = Breeder(mate.sex, mate.weight_dg, _day(weighed), _day(hatched), retired)
        why = [*_on_record(courses.get(mate.id, ())), *against_pairing(animal, floors)]
        if why:
            found[mate.id] = why[0]
    return found


def _on_record(courses: Sequence[Course]) -> list[Message]:
    if not courses:
        return []
    return [say("in quarantine") if courses[0].kind is CourseKind.QUARANTINE else say("under treatment")]


def _day(stored: str | None) -> dt.date | None:
    return dt.date.fromisoformat(str(stored)[:10]) if stored else None
