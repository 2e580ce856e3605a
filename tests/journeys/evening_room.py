"""The room of a helper's evening: three racks of twenty, 24 females, 10 males, 26 young, all due tonight.

Two are in blue and one rests after a meal that came back; everybody is invented.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.care import record_shed
from coilbook.operations.feeding import close_feedings, offer_rack, record_regurgitation
from coilbook.operations.places import add_rack
from coilbook.reads.places import all_places
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import FeedingResult, Sex, ShedKind
from coilbook.records.when import PartialDate, Precision
from coilbook.storage.collection import Collection
from tests.operations.conftest import Clock

EVENING = dt.datetime(2026, 3, 29, 20, 10, tzinfo=dt.timezone(dt.timedelta(hours=2)))
IN_BLUE = ("F-009", "M-05")
AT_REST = "J-20"
LOOKS = ("Clown", "Enchi", "Pastel het clown", "Albino", "Leopard het piebald", "Enchi Albino")


@dataclass
class EveningRoom:
    """Who lives where."""

    animals: dict[str, AnimalId] = field(default_factory=dict)
    slots: dict[str, PlaceId] = field(default_factory=dict)
    racks: list[PlaceId] = field(default_factory=list)


def evening_room(book: Collection, clock: Clock) -> EveningRoom:
    """Build the room as it stands at ten past eight in the evening."""
    clock.now = EVENING - dt.timedelta(days=10)
    made = EveningRoom()
    slots: list[PlaceId] = []
    for name in ("R1", "R2", "R3"):
        rack = add_rack(book, name=name, rows=("A", "B", "C", "D"), columns=5).value
        made.racks.append(rack)
        for slot in (place for place in all_places(book) if place.parent == rack):
            made.slots[slot.label] = slot.id
            slots.append(slot.id)
    kinds = [("F", 24, "medium rat", Sex.FEMALE, 17640), ("M", 10, "small rat", Sex.MALE, 8700)]
    kinds.append(("J", 26, "weaned rat", Sex.UNSEXED, 1780))
    for letter, count, prey, sex, grams in kinds:
        for number in range(1, count + 1):
            keeper_id = f"{letter}-{number:02d}" if letter == "M" else f"{letter}-{number:03d}"
            keeper_id = f"J-{number:02d}" if letter == "J" else keeper_id
            details = AnimalDetails(
                keeper_id=keeper_id,
                sex=sex,
                genetics=LOOKS[number % len(LOOKS)],
                hatched=PartialDate(dt.date(2021, 1, 1), Precision.YEAR),
                prey_kind=prey,
                interval_days=10,
            )
            place = slots[len(made.animals)]
            made.animals[keeper_id] = add_animal(book, details=details, place=place, weight=Mass(grams)).value
    offers = offer_rack(book, animals=list(made.animals.values()), rack="R1 to R3").value
    close_feedings(book, results=dict.fromkeys(offers, (FeedingResult.TAKEN, None)))
    clock.now = EVENING - dt.timedelta(days=3)
    for keeper_id in IN_BLUE:
        record_shed(book, animal=made.animals[keeper_id], kind=ShedKind.BLUE)
    record_regurgitation(book, animal=made.animals[AT_REST])
    clock.now = EVENING
    return made
