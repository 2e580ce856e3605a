"""Why an animal is not to be paired now, whatever its genes: weight, age, treatment, quarantine, retirement."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coilbook.husbandry.figures import Figure, FigureKey
from coilbook.reads.health_now import Course, courses_now
from coilbook.reads.outlook_source import Mate
from coilbook.reads.species_numbers import profile_of_collection
from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection

#: days of a month, for how old an animal is
_MONTH_DAYS = 30.44


@dataclass(frozen=True, slots=True)
class Floors:
    """What an animal must be to be paired: the keeper's weights in grams, and the least age in months (a figure)."""

    today: dt.date
    weights_g: Mapping[Sex, int]
    months: Mapping[Sex, Figure]


def floors_now(collection: Collection, settings: Settings, today: dt.date) -> Floors:
    """The keeper's floors of weight, and the species' least ages (its profile says where they come from)."""
    profile = profile_of_collection(collection)
    return Floors(
        today,
        {Sex.FEMALE: settings.female_floor_g, Sex.MALE: settings.male_floor_g},
        {Sex.FEMALE: profile[FigureKey.FEMALE_BREEDING_MONTHS], Sex.MALE: profile[FigureKey.MALE_BREEDING_MONTHS]},
    )


def unfit(collection: Collection, mates: Sequence[Mate], floors: Floors) -> Mapping[AnimalId, Message]:
    """By animal, why it is not to be paired now; nothing of those of whom nothing speaks against it.

    An animal that was weighed is judged by its weight, one that was not by its age.
    """
    listed = json.dumps([mate.id for mate in mates])
    rows = collection.read(
        "SELECT id, retired, hatched FROM animal WHERE id IN (SELECT value FROM json_each(?))", (listed,)
    )
    who = {int(animal): (bool(retired), hatched) for animal, retired, hatched in rows}
    courses = courses_now(collection, [mate.id for mate in mates])
    found: dict[AnimalId, Message] = {}
    for mate in mates:
        retired, hatched = who.get(mate.id, (False, None))
        why = _on_record(courses.get(mate.id, ()), retired=retired) or _too_small(mate, hatched, floors)
        if why is not None:
            found[mate.id] = why
    return found


def _on_record(courses: Sequence[Course], *, retired: bool) -> Message | None:
    if courses:
        return say("in quarantine") if courses[0].kind is CourseKind.QUARANTINE else say("under treatment")
    return say("retired from breeding") if retired else None


def _too_small(mate: Mate, hatched: str | None, floors: Floors) -> Message | None:
    floor_dg = 10 * floors.weights_g.get(mate.sex, 0)
    if mate.weight_dg:
        if mate.weight_dg >= floor_dg:
            return None
        return say("{mass}, below your floor of {floor}", mass=Mass(mate.weight_dg), floor=Mass(floor_dg))
    figure = floors.months.get(mate.sex)
    if figure is None or not hatched:
        return None
    months = (floors.today - dt.date.fromisoformat(str(hatched)[:10])).days / _MONTH_DAYS
    least = figure.low if figure.low is not None else figure.value
    if months >= least:
        return None
    words = "{n} month old and not weighed; they breed from {least} months ({source})"
    several = "{n} months old and not weighed; they breed from {least} months ({source})"
    return say(words, several, n=int(months), least=f"{least:g}", source=str(figure.provenance))
