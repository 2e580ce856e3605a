"""Weighing: a far reading is asked about once, and what is kept in doubt drives nothing."""

from __future__ import annotations

import datetime as dt

from coilbook.operations.asks import Asks, Choice
from coilbook.operations.at_hand import happened, living_here
from coilbook.operations.settings import settings_in
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, WeightId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Act, WeightTag
from coilbook.records.when import moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import ON_A_DAY, Weight

#: a reading is compared with the last one only when that is younger than this (common practice: weekly to monthly)
COMPARED_DAYS = 30


def weigh(
    collection: Collection,
    *,
    animal: AnimalId,
    mass: Mass,
    at: dt.datetime | None = None,
    tag: WeightTag = WeightTag.UNSAID,
    typed: str = "",
    note: str = "",
    sure: bool = False,
    doubted: bool = False,
) -> Outcome[WeightId]:
    """Record a weight. One that lies far from a recent one raises `Asks`: keep it, or keep it as doubted.

    `sure` keeps it as good; `doubted` keeps it on the page without letting it count. Refused for an animal
    that is not in the keeper's care.
    """
    with collection.act(Act.WEIGH) as act:
        found = living_here(act, animal)
        moment = happened(act, at)
        check_mass(mass.decigrams)
        if not (sure or doubted):
            _ask_when_far(act, found.keeper_id, animal, mass, moment)
        row = write_weight(act, animal, moment, mass, tag=tag, typed=typed, note=note, doubted=doubted)
        text = "{animal} weighed {mass}, in doubt" if doubted else "{animal} weighed {mass}"
        act.tell(say(text, animal=found.keeper_id, mass=mass))
    return act.outcome(Act.WEIGH, row)


def write_weight(
    act: ActInHand,
    animal: AnimalId,
    moment: str,
    mass: Mass,
    *,
    tag: WeightTag = WeightTag.UNSAID,
    typed: str = "",
    note: str = "",
    doubted: bool = False,
) -> WeightId:
    """The row of a weight, inside an act."""
    check_mass(mass.decigrams)
    return WeightId(
        act.insert(
            Weight,
            animal_id=animal,
            at=moment,
            mass_dg=mass.decigrams,
            tag=tag.value,
            typed=typed,
            note=note,
            doubted=int(doubted),
        )
    )


def check_mass(decigrams: int) -> None:
    """Refuse a weight of nothing, in tenths of a gram."""
    if decigrams <= 0:
        raise Refusal(say("A weight is more than nothing; take the entry out if nothing was weighed."))


def _ask_when_far(act: ActInHand, keeper_id: str, animal: AnimalId, mass: Mass, moment: str) -> None:
    rows = act.rows(
        f"SELECT mass_dg, CASE WHEN {ON_A_DAY} THEN at END FROM weight WHERE animal_id = ? AND at <= ? AND doubted = 0"
        " ORDER BY at DESC, id DESC LIMIT 1",
        (animal, moment),
    )
    if not rows:
        return
    last, at = int(rows[0][0]), moment_from(rows[0][1]) if rows[0][1] is not None else None
    if at is not None and (moment_from(moment) - at).days >= COMPARED_DAYS:
        return
    allowed = settings_in(act).weight_ask_percent
    if abs(mass.decigrams - last) * 100 > allowed * last:
        values = {"mass": mass, "animal": keeper_id, "last": Mass(last)}
        raise Asks(
            say("{mass} for {animal}? Last {last} on {date}.", **values, date=at.date())
            if at is not None
            else say("{mass} for {animal}? Last {last}, on a day not said.", **values),
            (
                Choice(say("Keep it"), {"sure": True}),
                Choice(say("Keep in doubt"), {"doubted": True}),
            ),
        )
