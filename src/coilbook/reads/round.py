"""The round as it stands: rack by rack in walking order, who is due, what was offered, what waits for its close.

An offer younger than `ROUND_HOURS` belongs to the round at hand; an older one that nobody has closed waits for the
morning close. A decision not to offer is no offer, but the animal has been dealt with for this round.
"""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from coilbook.husbandry.waits import BLUE_DAYS, DAY_TURNS_AT, HOLD_DAYS, ROUND_HOURS
from coilbook.reads.health_now import Course, courses_now
from coilbook.records.ids import AnimalId, FeedingId, PlaceId
from coilbook.records.vocabulary import FeedingResult, Precision, PreyState, RefusalReason, Sex
from coilbook.records.when import PartialDate, moment_from, moment_text
from coilbook.storage.animal_tables import PLACE_IS_APART, PLACES_APART
from coilbook.storage.collection import Collection
from coilbook.storage.layout import PHOTOS, photo_place

#: offers shown of each animal
LAST_OFFERS = 5
#: rack of animals that live in no slot
NO_RACK = PlaceId(0)


class RoundState(StrEnum):
    """Where an animal stands in the round: to do, not due, open since an earlier round, or what was written."""

    TODO = "todo"
    NOT_DUE = "not_due"
    OPEN = "open"
    PENDING = "pending"
    TAKEN = "taken"
    TAKEN_LATE = "taken_late"
    REFUSED = "refused"
    STRUCK = "struck"
    NOT_OFFERED = "not_offered"


@dataclass(frozen=True, slots=True)
class RoundTime:
    """The moments a round is measured by, as stored texts; made from the keeper's clock once."""

    day: dt.date
    since: str
    blue_since: str
    rest_since: str

    @classmethod
    def at(cls, now: dt.datetime) -> RoundTime:
        """The round that is at hand at this moment."""
        return cls(
            (now - dt.timedelta(hours=DAY_TURNS_AT)).date(),
            moment_text(now - dt.timedelta(hours=ROUND_HOURS)),
            moment_text(now - dt.timedelta(days=BLUE_DAYS)),
            moment_text(now - dt.timedelta(days=HOLD_DAYS)),
        )


@dataclass(frozen=True, slots=True)
class Offer:
    """One of the last offers."""

    id: FeedingId
    at: str
    result: FeedingResult
    reason: RefusalReason | None
    prey: str
    prey_state: PreyState


@dataclass(frozen=True, slots=True)
class RoundAnimal:
    """One animal of the round. `held` names why no meal is left in unasked: "blue", "rest" or nothing."""

    id: AnimalId
    keeper_id: str
    sex: Sex
    sex_percent: int
    genetics: str
    hatched: PartialDate | None
    prey: str
    prey_state: PreyState
    feeding_note: str
    interval_days: int
    state: RoundState
    #: what was written closes an offer of an earlier round
    closing: bool
    next_due: dt.date | None
    weight_dg: int | None
    weight_at: str | None
    blue_at: str | None
    rest_from: str | None
    refused_since: int
    #: her picture, as a path below the collection's folder
    photo: str | None
    offers: tuple[Offer, ...] = ()
    #: treatments and quarantines that go on
    courses: tuple[Course, ...] = ()

    @property
    def held(self) -> str:
        if self.rest_from is not None:
            return "rest"
        return "blue" if self.blue_at is not None else ""

    @property
    def open_offer(self) -> Offer | None:
        """The newest offer nobody has closed."""
        return next((o for o in self.offers if o.result is FeedingResult.PENDING), None)


@dataclass(frozen=True, slots=True)
class Tub:
    """A slot with who lives in it; animals without a slot stand one by one, with no slot and no label."""

    rack: PlaceId
    slot: PlaceId | None
    label: str
    name: str
    quarantine: bool
    animals: tuple[RoundAnimal, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """How many animals of a rack share state, prey and hold."""

    state: RoundState
    closing: bool
    prey: str
    held: bool
    count: int


@dataclass(frozen=True, slots=True)
class RackRound:
    """A rack of the round by numbers."""

    id: PlaceId
    label: str
    walk: int
    quarantine: bool
    groups: tuple[Group, ...]


# The order of the cases is the rule: what was done in this round first, then what is open, then what is due.
_STATE = f"""CASE
    WHEN n.offered_at >= :since THEN n.offered_result
    WHEN n.pending > 0 THEN '{RoundState.OPEN}'
    WHEN n.offered_at >= :closed_from AND EXISTS (SELECT 1 FROM feeding f WHERE f.animal_id = a.id
        AND f.at >= :closed_from AND f.at < :since AND f.closed_at >= :since
        AND f.result <> '{FeedingResult.NOT_OFFERED}') THEN 'close ' || n.offered_result
    WHEN EXISTS (SELECT 1 FROM feeding f WHERE f.animal_id = a.id AND f.at >= :since
        AND f.result = '{FeedingResult.NOT_OFFERED}') THEN '{RoundState.NOT_OFFERED}'
    WHEN n.next_due IS NULL OR n.next_due <= :day THEN '{RoundState.TODO}'
    ELSE '{RoundState.NOT_DUE}' END"""
_BLUE = "CASE WHEN n.blue_at >= :blue_since THEN n.blue_at END"
_REST = "(SELECT max(r.at) FROM regurgitation r WHERE r.animal_id = a.id AND r.at > :rest_since)"
#: how far back an offer closed in this round may have been made
_CLOSED_DAYS = 3

_GROUPS = f"""SELECT rack, state, prey_kind, held, count(*) FROM (
    SELECT coalesce(p.parent_id, 0) AS rack, {_STATE} AS state, a.prey_kind,
        {_BLUE} IS NOT NULL OR {_REST} IS NOT NULL AS held
    FROM animal a LEFT JOIN place p ON p.id = a.place_id LEFT JOIN animal_now n ON n.animal = a.id
    WHERE a.status = 'here' {{where}})
    GROUP BY rack, state, prey_kind, held"""

_TUBS = f"""SELECT p.id, p.label, p.name, {PLACE_IS_APART}, a.id, a.keeper_id, a.sex, a.sex_percent, a.genetics,
    a.hatched, a.hatched_precision, a.prey_kind, a.prey_state, a.feeding_note, coalesce(a.interval_days, :interval),
    {_STATE}, n.next_due, n.weight_dg, n.weight_at, {_BLUE}, {_REST}, coalesce(n.refused_since, 0),
    (SELECT h.sha256 || '.' || h.ending FROM photo h WHERE h.id = a.cover_photo)
    FROM animal a LEFT JOIN place p ON p.id = a.place_id LEFT JOIN animal_now n ON n.animal = a.id
    WHERE a.status = 'here' AND {{where}}
    ORDER BY p.walk, p.id, a.sex, a.keeper_id, a.id"""

_OFFERS = f"""SELECT f.animal_id, f.id, f.at, f.result, f.reason, f.prey, f.prey_state
    FROM json_each(?) j JOIN feeding f ON f.id IN (SELECT x.id FROM feeding x
        WHERE x.animal_id = j.value AND x.result <> '{FeedingResult.NOT_OFFERED}'
        ORDER BY x.at DESC, x.id DESC LIMIT {LAST_OFFERS})
    ORDER BY f.animal_id, f.at DESC, f.id DESC"""


def racks_of_round(collection: Collection, time: RoundTime) -> list[RackRound]:
    """Every rack with animals in it in walking order, those without a slot last."""
    groups = _groups(collection, time, "", {})
    sql = f"SELECT id, label, walk, id IN {PLACES_APART} FROM place WHERE kind = 'rack' ORDER BY walk, id"
    places = collection.read(sql)
    found = [
        RackRound(PlaceId(i), label, walk, bool(quarantine), tuple(groups[i]))
        for i, label, walk, quarantine in places
        if i in groups
    ]
    if NO_RACK in groups:
        found.append(RackRound(NO_RACK, "", 0, False, tuple(groups[NO_RACK])))
    return found


def rack_of_round(collection: Collection, time: RoundTime, rack: RackRound) -> RackRound:
    """The same rack counted again."""
    where, values = _in_rack(rack.id)
    groups = _groups(collection, time, f"AND {where}", values)
    return RackRound(rack.id, rack.label, rack.walk, rack.quarantine, tuple(groups.get(rack.id, ())))


def tubs_of_round(collection: Collection, time: RoundTime, rack: PlaceId, default_interval: int) -> list[Tub]:
    """The tubs of a rack in walking order, with everybody in them."""
    where, values = _in_rack(rack)
    named = {**_times(time), **values, "interval": default_interval}
    rows = _read(collection, _TUBS.format(where=where), named)
    those = [int(str(row[4])) for row in rows]
    offers, courses = _last_offers(collection, those), courses_now(collection, those)
    tubs: list[Tub] = []
    for row in rows:
        animal = _animal(row, offers, courses)
        slot = PlaceId(int(str(row[0]))) if row[0] is not None else None
        if tubs and slot is not None and tubs[-1].slot == slot:
            last = tubs[-1]
            tubs[-1] = Tub(last.rack, last.slot, last.label, last.name, last.quarantine, (*last.animals, animal))
        else:
            tubs.append(Tub(rack, slot, str(row[1] or ""), str(row[2] or ""), bool(row[3]), (animal,)))
    return tubs


def place_of(collection: Collection, animal: AnimalId) -> tuple[PlaceId, PlaceId | None] | None:
    """(rack, slot) of an animal in the keeper's care; None when it is not here."""
    row = collection.read_one(
        "SELECT p.parent_id, p.id FROM animal a LEFT JOIN place p ON p.id = a.place_id"
        " WHERE a.id = ? AND a.status = 'here'",
        (animal,),
    )
    if row is None:
        return None
    return PlaceId(row[0] or 0), PlaceId(row[1]) if row[1] is not None else None


def rack_of_slot(collection: Collection, place: PlaceId) -> PlaceId | None:
    """The rack a slot belongs to, or the place itself when it is a rack."""
    row = collection.read_one("SELECT kind, parent_id, id FROM place WHERE id = ?", (place,))
    if row is None or row[0] == "room":
        return None
    return PlaceId(row[1]) if row[0] == "slot" else PlaceId(row[2])


def next_due_after(collection: Collection, time: RoundTime) -> tuple[dt.date, str] | None:
    """The next day on which somebody is due, and the first rack of the walk on that day."""
    row = collection.read_one(
        "SELECT n.next_due, coalesce(k.label, '') FROM animal_now n JOIN animal a ON a.id = n.animal"
        " LEFT JOIN place p ON p.id = a.place_id LEFT JOIN place k ON k.id = p.parent_id"
        " WHERE a.status = 'here' AND n.next_due > ? ORDER BY n.next_due, k.walk, p.walk LIMIT 1",
        (time.day.isoformat(),),
    )
    return (dt.date.fromisoformat(row[0]), str(row[1])) if row else None


def animals_waiting(tubs: list[Tub]) -> list[RoundAnimal]:
    """The animals of a rack that "all offered" would feed: to do, not in blue, not at rest, alone in their tub."""
    return [
        a for tub in tubs if len(tub.animals) == 1 for a in tub.animals if a.state is RoundState.TODO and not a.held
    ]


def _times(time: RoundTime) -> dict[str, object]:
    closed_from = moment_from(time.since) - dt.timedelta(days=_CLOSED_DAYS)
    return {
        "since": time.since,
        "closed_from": moment_text(closed_from),
        "day": time.day.isoformat(),
        "blue_since": time.blue_since,
        "rest_since": time.rest_since,
    }


def _in_rack(rack: PlaceId) -> tuple[str, dict[str, object]]:
    return ("p.parent_id = :rack", {"rack": rack}) if rack != NO_RACK else ("a.place_id IS NULL", {})


def _read(collection: Collection, sql: str, named: Mapping[str, object]) -> list[tuple[object, ...]]:
    """Run a query with `:named` values; the collection takes them by place."""
    values: list[object] = []

    def place(match: re.Match[str]) -> str:
        values.append(named[match[1]])
        return "?"

    return list(collection.read(re.sub(r":([a-z_]+)", place, sql), values))


def _groups(
    collection: Collection, time: RoundTime, where: str, values: Mapping[str, object]
) -> dict[int, list[Group]]:
    found: dict[int, list[Group]] = {}
    for rack, state, prey, held, count in _read(collection, _GROUPS.format(where=where), {**_times(time), **values}):
        plain, closing = _split(str(state))
        found.setdefault(int(str(rack)), []).append(Group(plain, closing, str(prey), bool(held), int(str(count))))
    return found


def _split(state: str) -> tuple[RoundState, bool]:
    return RoundState(state.removeprefix("close ")), state.startswith("close ")


def _last_offers(collection: Collection, animals: list[int]) -> dict[int, list[Offer]]:
    found: dict[int, list[Offer]] = {}
    for animal, row, at, result, reason, prey, state in collection.read(_OFFERS, (json.dumps(animals),)):
        offer = Offer(
            FeedingId(row), at, FeedingResult(result), RefusalReason(reason) if reason else None, prey, PreyState(state)
        )
        found.setdefault(animal, []).append(offer)
    return found


def _photo(name: object) -> str | None:
    if not name:
        return None
    sha256, _, ending = str(name).partition(".")
    return f"{PHOTOS}/{photo_place(sha256, ending)}"


def _hatched(first: object, precision: object) -> PartialDate | None:
    return PartialDate(dt.date.fromisoformat(str(first)), Precision(str(precision or "day"))) if first else None


def _animal(
    row: tuple[object, ...], offers: Mapping[int, list[Offer]], courses: Mapping[AnimalId, tuple[Course, ...]]
) -> RoundAnimal:
    (ident, keeper_id, sex, percent, genetics, hatched, precision, prey, prey_state, note, interval) = row[4:15]
    state, due, weight, weight_at, blue, rest, refused, photo = row[15:23]
    plain, closing = _split(str(state))
    return RoundAnimal(
        id=AnimalId(int(str(ident))),
        keeper_id=str(keeper_id),
        sex=Sex(str(sex)),
        sex_percent=int(str(percent)),
        genetics=str(genetics),
        hatched=_hatched(hatched, precision),
        prey=str(prey),
        prey_state=PreyState(str(prey_state)),
        feeding_note=str(note),
        interval_days=int(str(interval)),
        state=plain,
        closing=closing,
        next_due=dt.date.fromisoformat(str(due)) if due else None,
        weight_dg=int(str(weight)) if weight is not None else None,
        weight_at=str(weight_at) if weight_at else None,
        blue_at=str(blue) if blue else None,
        rest_from=str(rest) if rest else None,
        refused_since=int(str(refused)),
        photo=_photo(photo),
        offers=tuple(offers.get(int(str(ident)), ())),
        courses=courses.get(AnimalId(int(str(ident))), ()),
    )
