"""Adding animals, correcting what is known of them, and their parents, claims and tags."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from enum import Enum

from coilbook.operations.ancestry import refuse_one_parent, refuse_sire_list
from coilbook.operations.asks import Asks
from coilbook.operations.at_hand import animal_at_hand, living_here
from coilbook.operations.codes import issue_codes
from coilbook.operations.departures import write_turn
from coilbook.operations.moving import check_quarantine, put_in_place
from coilbook.operations.weighing import write_weight
from coilbook.records.changes import Outcome
from coilbook.records.composed import cases, composed, seen
from coilbook.records.ids import AnimalId, PersonId, PlaceId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass, Money
from coilbook.records.vocabulary import (
    TURN_TO,
    Act,
    CodeKind,
    MoveReason,
    Origin,
    PreyState,
    Sex,
    SexBasis,
    Status,
)
from coilbook.records.when import PartialDate, whole_day
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.columns import Base
from coilbook.storage.season_tables import ForecastMade
from coilbook.storage.tables import Acquisition, Animal, Claim, Sire, Tag, references, table_name

KEEPER_ID_LENGTH = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalDetails:
    """What a keeper may say of an animal; `None` leaves the column at its default (adding) or as it is (editing)."""

    keeper_id: str | None = None
    name: str | None = None
    species: str | None = None
    sex: Sex | None = None
    sex_percent: int | None = None
    sex_basis: SexBasis | None = None
    genetics: str | None = None
    hatched: PartialDate | None = None
    origin: Origin | None = None
    status: Status | None = None
    dam_id: AnimalId | None = None
    microchip: str | None = None
    temperament: str | None = None
    holdback: str | None = None
    retired: bool | None = None
    breeder_male_only: bool | None = None
    interval_days: int | None = None
    prey_kind: str | None = None
    prey_state: PreyState | None = None
    feeding_note: str | None = None
    cover_photo: int | None = None
    #: columns to empty again, by name: hatched, dam_id, interval_days, cover_photo
    emptied: frozenset[str] = field(default=frozenset())

    def columns(self) -> dict[str, object]:
        """Values by column name, of what was said."""
        said: dict[str, object] = {}
        for f in fields(self):
            value = getattr(self, f.name)
            if f.name == "emptied" or value is None:
                continue
            if isinstance(value, PartialDate):
                said["hatched"], said["hatched_precision"] = value.stored, value.precision.value
            elif isinstance(value, bool):
                said[f.name] = int(value)
            else:
                said[f.name] = value.value if isinstance(value, Enum) else value
        for name in self.emptied:
            said[name] = None
            if name == "hatched":
                said["hatched_precision"] = None
        return said


def add_animal(
    collection: Collection,
    *,
    details: AnimalDetails,
    place: PlaceId | None = None,
    shared: MoveReason | None = None,
    sires: Mapping[AnimalId, int] | None = None,
    weight: Mass | None = None,
    claim: str = "",
) -> Outcome[AnimalId]:
    """Add one animal, with its code; its place, sires in percent, first weight and seller's words if they are known."""
    with collection.act(Act.ADD_ANIMAL) as act:
        keeper_id = usable_keeper_id(act, details.keeper_id or "", None)
        values = {**details.columns(), "keeper_id": keeper_id}
        _check_values(values)
        if details.status is Status.OUTSIDE and place is not None:
            raise Refusal(say("Somebody else's animal has no place here."))
        animal = AnimalId(act.insert(Animal, **values))
        issue_codes(act, CodeKind.ANIMAL, [animal])
        if details.dam_id is not None:
            _check_parents(act, animal, details.dam_id, ())
        if sires:
            write_sires(act, animal, sires)
        if place is not None:
            put_in_place(act, animal_at_hand(act, animal), place, act.now_text, reason=MoveReason.UNSAID, shared=shared)
        if weight is not None:
            write_weight(act, animal, act.now_text, weight)
        if claim.strip():
            act.insert(Claim, animal_id=animal, text=claim.strip(), said_on=act.now_text[:10])
        act.tell(say("{animal} added", animal=keeper_id))
    return act.outcome(Act.ADD_ANIMAL, animal)


def edit_animal(collection: Collection, *, animal: AnimalId, details: AnimalDetails) -> Outcome[AnimalId]:
    """Correct what is known of one animal; the journal keeps what stood before."""
    with collection.act(Act.EDIT_ANIMAL) as act:
        found = animal_at_hand(act, animal)
        values = details.columns()
        if "keeper_id" in values:
            values["keeper_id"] = usable_keeper_id(act, str(values["keeper_id"]), animal)
        _check_values(values)
        if details.dam_id is not None:
            _check_parents(act, animal, details.dam_id, ())
        if values:
            act.update(Animal, animal, **values)
        refuse_one_parent(act, animal)
        act.tell(say("{animal} corrected", animal=values.get("keeper_id", found.keeper_id)))
    return act.outcome(Act.EDIT_ANIMAL, animal)


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What can be done to several animals besides correcting them: tags, a place, a turn in their status."""

    tags: Sequence[str] = ()
    place: PlaceId | None = None
    turn: Status | None = None


_CORRECTED_ONLY = Together()


def edit_animals(
    collection: Collection,
    *,
    animals: Sequence[AnimalId],
    details: AnimalDetails,
    together: Together = _CORRECTED_ONLY,
    shared: MoveReason | None = None,
) -> Outcome[int]:
    """The same for several animals, in one act; returns how many were changed. `shared` answers a taken slot."""
    values = details.columns()
    if "keeper_id" in values:
        raise Refusal(say("Several animals cannot have one id; change ids one by one."))
    _check_values(values)
    with collection.act(Act.EDIT_ANIMALS) as act:
        for animal in animals:
            if details.dam_id is not None:
                _check_parents(act, animal, details.dam_id, ())
            if values:
                act.update(Animal, animal, **values)
            refuse_one_parent(act, animal)
            for word in together.tags:
                _tag(act, animal, word)
            if together.place is not None:
                _move_with_others(act, animal, together.place, shared)
            if together.turn is not None:
                write_turn(act, living_here(act, animal), TURN_TO[together.turn], together.turn)
        act.tell(say("{n} animal edited", "{n} animals edited", n=len(animals)))
    return act.outcome(Act.EDIT_ANIMALS, len(animals))


def _move_with_others(act: ActInHand, animal: AnimalId, place: PlaceId, shared: MoveReason | None) -> None:
    found = living_here(act, animal)
    if found.place == place:
        return
    try:
        check_quarantine(act, found, place, False, "")
    except Asks as question:
        # leaving quarantine takes a reason of its own for each animal: not in a crowd
        raise Refusal(question.message) from question
    put_in_place(act, found, place, act.now_text, reason=MoveReason.UNSAID, shared=shared)


def set_parents(
    collection: Collection,
    *,
    animal: AnimalId,
    dam: AnimalId | None,
    sires: Mapping[AnimalId, int],
    each_own: bool = False,
) -> Outcome[AnimalId]:
    """Say who the parents are: a dam or none, and sires with their percent (one of 100 is a known sire).

    `each_own`: every egg of the litter may have its own of those sires; otherwise one of them is the sire of all.
    """
    with collection.act(Act.SET_PARENTS) as act:
        found = animal_at_hand(act, animal)
        _check_parents(act, animal, dam, ())
        act.update(Animal, animal, dam_id=dam)
        for (row,) in act.rows("SELECT id FROM sire WHERE animal_id = ?", (animal,)):
            act.delete(Sire, row)
        write_sires(act, animal, sires, each_own)
        act.tell(say("parents of {animal} set", animal=found.keeper_id))
    return act.outcome(Act.SET_PARENTS, animal)


def delete_animal(collection: Collection, *, animal: AnimalId) -> Outcome[AnimalId]:
    """Take away an animal entered by mistake; refused once anything has been recorded of it."""
    with collection.act(Act.DELETE_ANIMAL) as act:
        found = animal_at_hand(act, animal)
        if _has_history(act, animal):
            raise Refusal(
                say("{animal} has a history, so it stays. Enter it as sold, dead or lost.", animal=found.keeper_id)
            )
        for model in _GO_ALONG:
            for (row,) in act.rows(f'SELECT id FROM "{table_name(model)}" WHERE animal_id = ?', (animal,)):
                act.delete(model, row)
        act.delete(Animal, animal)
        act.tell(say("{animal} taken out of the book", animal=found.keeper_id))
    return act.outcome(Act.DELETE_ANIMAL, animal)


@dataclass(frozen=True, slots=True, kw_only=True)
class AcquisitionDetails:
    """How an animal came: the seller's words stay the seller's (`feeding_claim`, `genetic_claim`)."""

    date: PartialDate | None = None
    how: Origin = Origin.BOUGHT
    person: PersonId | None = None
    price: Money | None = None
    country: str = ""
    papers: str = ""
    feeding_claim: str = ""
    genetic_claim: str = ""
    quarantine_from: PartialDate | None = None
    note: str = ""


def write_acquisition(act: ActInHand, animal: AnimalId, details: AcquisitionDetails) -> int:
    """The rows of an acquisition, inside an act."""
    if details.genetic_claim.strip():
        act.insert(Claim, animal_id=animal, text=details.genetic_claim.strip(), source="seller")
    return act.insert(
        Acquisition,
        animal_id=animal,
        date=details.date.stored if details.date else None,
        date_precision=details.date.precision.value if details.date else None,
        how=details.how.value,
        person_id=details.person,
        price_minor=details.price.minor if details.price else None,
        currency=details.price.currency if details.price else "",
        country=details.country,
        papers=details.papers,
        feeding_claim=details.feeding_claim,
        quarantine_from=whole_day(details.quarantine_from),
        note=details.note,
    )


def acquire(collection: Collection, *, animal: AnimalId, details: AcquisitionDetails) -> Outcome[int]:
    """Record how and from whom an animal came."""
    with collection.act(Act.ACQUIRE) as act:
        found = animal_at_hand(act, animal)
        row = write_acquisition(act, animal, details)
        act.update(Animal, animal, origin=details.how.value)
        act.tell(say("where {animal} came from is noted", animal=found.keeper_id))
    return act.outcome(Act.ACQUIRE, row)


def add_claim(collection: Collection, *, animal: AnimalId, text: str, source: str = "") -> Outcome[int]:
    """Keep what somebody said of an animal's genetics, word for word."""
    if not text.strip():
        raise Refusal(say("A claim needs its words."))
    with collection.act(Act.ADD_CLAIM) as act:
        found = animal_at_hand(act, animal)
        row = act.insert(Claim, animal_id=animal, text=text.strip(), source=source, said_on=act.now_text[:10])
        act.tell(say("claim about {animal} kept", animal=found.keeper_id))
    return act.outcome(Act.ADD_CLAIM, row)


def tag(collection: Collection, *, animals: Sequence[AnimalId], word: str) -> Outcome[int]:
    """Put a tag on animals; those that carry it already keep one."""
    with collection.act(Act.TAG) as act:
        for animal in animals:
            _tag(act, animal, word)
        act.tell(say("{n} animal tagged {word}", "{n} animals tagged {word}", n=len(animals), word=word.strip()))
    return act.outcome(Act.TAG, len(animals))


def untag(collection: Collection, *, animals: Sequence[AnimalId], word: str) -> Outcome[int]:
    """Take a tag off animals."""
    with collection.act(Act.UNTAG) as act:
        for animal in animals:
            for (row,) in act.rows("SELECT id FROM tag WHERE animal_id = ? AND word = ?", (animal, word)):
                act.delete(Tag, row)
        act.tell(say("tag {word} taken off {n} animal", "tag {word} taken off {n} animals", n=len(animals), word=word))
    return act.outcome(Act.UNTAG, len(animals))


def _tag(act: ActInHand, animal: AnimalId, word: str) -> None:
    plain = " ".join(word.split())
    if not plain:
        raise Refusal(say("A tag needs a word."))
    if not act.rows("SELECT 1 FROM tag WHERE animal_id = ? AND word = ?", (animal, plain)):
        act.insert(Tag, animal_id=animal, word=plain)


def usable_keeper_id(act: ActInHand, typed: str, animal: AnimalId | None) -> str:
    """The id as it is kept; refused when an animal here has it already."""
    plain = seen(typed)
    if not plain:
        raise Refusal(say("An animal needs an id; type the one on its card, like F-014."))
    if len(plain) > KEEPER_ID_LENGTH:
        raise Refusal(say("The id '{id}' is longer than {n} signs.", id=plain, n=KEEPER_ID_LENGTH))
    spellings = cases(composed(plain))
    marks = ", ".join("?" * len(spellings))
    same = act.rows(f"SELECT id, status FROM animal WHERE keeper_id COLLATE NOCASE IN ({marks})", spellings)
    others = [(row, status) for row, status in same if row != animal]
    if any(status in (Status.HERE, Status.LOAN) for _, status in others):
        raise Refusal(say("There is an animal {id} here already. Give this one another id.", id=plain))
    if others:
        act.warn(say("An earlier animal had the id {id}; both keep their own history.", id=plain))
    return plain


def _check_values(values: Mapping[str, object]) -> None:
    status = values.get("status")
    if status is not None and status not in (Status.HERE, Status.OUTSIDE):
        raise Refusal(say("Sold, dead, lost and on loan are entered as such, with their day."))
    percent = values.get("sex_percent")
    if isinstance(percent, int) and not 50 <= percent <= 100:
        raise Refusal(say("How sure the sex is lies between 50 and 100 percent, not {percent}.", percent=percent))
    interval = values.get("interval_days")
    if isinstance(interval, int) and not 1 <= interval <= 400:
        raise Refusal(say("An interval lies between 1 and 400 days, not {days}.", days=interval))


def _check_parents(act: ActInHand, animal: AnimalId, dam: AnimalId | None, sires: Sequence[AnimalId]) -> None:
    for parent, wrong in ((dam, Sex.MALE), *((s, Sex.FEMALE) for s in sires)):
        if parent is None:
            continue
        found = animal_at_hand(act, parent)
        if parent == animal or _descends_from(act, parent, animal):
            raise Refusal(say("{parent} descends from this animal and cannot be its parent.", parent=found.keeper_id))
        if found.sex is wrong:
            act.warn(
                say("{parent} is entered as {sex}; the parents were kept as said.", parent=found.keeper_id, sex=wrong)
            )


def _descends_from(act: ActInHand, animal: AnimalId, ancestor: AnimalId) -> bool:
    sql = """WITH RECURSIVE up(id) AS (
        SELECT ? UNION
        SELECT p FROM up JOIN (
            SELECT id AS child, dam_id AS p FROM animal UNION ALL SELECT animal_id, sire_id FROM sire
        ) ON child = up.id WHERE p IS NOT NULL)
        SELECT 1 FROM up WHERE id = ?"""
    return bool(act.rows(sql, (animal, ancestor)))


def write_sires(act: ActInHand, animal: AnimalId, sires: Mapping[AnimalId, int], each_own: bool = False) -> None:
    """The rows of possible sires, inside an act."""
    if not sires:
        return
    refuse_sire_list(sires)
    _check_parents(act, animal, None, tuple(sires))
    for sire, percent in sires.items():
        act.insert(Sire, animal_id=animal, sire_id=sire, percent=percent, each_own=int(each_own))
    refuse_one_parent(act, animal)


#: what is said of an animal as it is entered, and what was forecast of an entry that was taken out again
_GO_ALONG: tuple[type[Base], ...] = (Sire, Claim, Tag, Acquisition, ForecastMade)


def _has_history(act: ActInHand, animal: AnimalId) -> bool:
    along = {(table_name(model), "animal_id") for model in _GO_ALONG}
    named = [(table, column) for table, column, to in references() if to == "animal" and (table, column) not in along]
    return any(act.rows(f'SELECT 1 FROM "{t}" WHERE "{c}" = ? LIMIT 1', (animal,)) for t, c in named)
