"""Everything the page of one animal shows, in a handful of indexed queries."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from coilbook.reads.animal_rows import (
    AnimalPage,
    Arrival,
    Claimed,
    Entry,
    Family,
    Home,
    Identity,
    Meal,
    Picture,
    Relative,
    ShedSeen,
    Turn,
    Weighing,
)
from coilbook.reads.codes import code_of
from coilbook.reads.hatch_day import hatched_not_before
from coilbook.reads.health_now import courses_now
from coilbook.reads.timeline import timeline
from coilbook.records.ids import AnimalId, FeedingId, PhotoId, PlaceId, ShedId, WeightId
from coilbook.records.message import Refusal, say
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import (
    CodeKind,
    DepartureKind,
    FeedingResult,
    Origin,
    PhotoAngle,
    Precision,
    PreyState,
    RefusalReason,
    Sex,
    SexBasis,
    ShedKind,
    Status,
    WeightTag,
)
from coilbook.records.when import PartialDate, moment_from
from coilbook.storage.animal_tables import PLACE_IS_APART
from coilbook.storage.collection import Collection

if TYPE_CHECKING:
    from coilbook.husbandry.young import YoungNow
    from coilbook.reads.season_fast import SeasonNow

_IDENTITY = f"""SELECT a.id, a.keeper_id, a.name, a.sex, a.sex_percent, a.sex_basis, a.genetics, a.hatched,
    a.hatched_precision, a.origin, a.status, a.microchip, a.temperament, a.holdback, a.retired, a.breeder_male_only,
    a.interval_days, a.prey_kind, a.prey_state, a.feeding_note, a.cover_photo, a.place_id, p.label,
    {PLACE_IS_APART}, a.dam_id FROM animal a LEFT JOIN place p ON p.id = a.place_id WHERE a.id = ?"""
_RELATIVE = "x.id, x.keeper_id, x.name, x.sex, x.sex_percent, x.genetics, x.status, x.hatched, x.hatched_precision"
_FULL = """SELECT count(*) FROM animal x WHERE x.dam_id = ? AND x.id <> ? AND EXISTS (
    SELECT 1 FROM sire s WHERE s.animal_id = x.id AND s.sire_id = ? AND s.percent = 100)"""
_ANY = """SELECT count(*) FROM (SELECT id FROM animal WHERE dam_id = ? UNION
    SELECT s.animal_id FROM sire s JOIN sire mine ON mine.sire_id = s.sire_id WHERE mine.animal_id = ?) WHERE id <> ?"""

#: what tells that a season of hers is on record
_OF_A_SEASON = (
    "stay WHERE female_id", "follicle WHERE animal_id", "ovulation WHERE animal_id", "season_outcome WHERE animal_id",
    "clutch WHERE dam_id", "shed_mark m JOIN shed s ON s.id = m.shed_id WHERE s.animal_id",
)  # fmt: skip


def animal_page(collection: Collection, animal: AnimalId, today: dt.date | None = None) -> AnimalPage:
    """The page of one animal; `Refusal` when it is not in the book. With `today` it says where a season stands."""
    row = collection.read_one(_IDENTITY, (animal,))
    if row is None:
        raise Refusal(say("That animal is no longer in the book; it may have been undone."))
    entries = timeline(collection, animal)
    return AnimalPage(
        who=_identity(collection, row),
        home=_home(collection, animal, row[21:24], entries),
        arrival=_arrival(collection, animal),
        turn=_turn(collection, animal),
        claims=_claims(collection, animal),
        tags=tuple(w for (w,) in collection.read("SELECT word FROM tag WHERE animal_id = ? ORDER BY word", (animal,))),
        meals=_meals(entries),
        weights=_weights(entries),
        sheds=_sheds(entries),
        pictures=_pictures(collection, animal),
        entries=entries,
        family=_family(collection, animal, row[24]),
        code=code_of(collection, CodeKind.ANIMAL, animal),
        courses=courses_now(collection, (animal,)).get(animal, ()),
        season=_season(collection, animal, today) if today is not None and row[3] != Sex.MALE else None,
        young=_young(collection, animal, row[7], today) if today is not None else None,
    )


def _season(collection: Collection, animal: AnimalId, today: dt.date) -> SeasonNow | None:
    """Loaded only for an animal with a season on record: the first page does not wait for what computes it."""
    if not any(collection.read(f"SELECT 1 FROM {where} = ? LIMIT 1", (animal,)) for where in _OF_A_SEASON):
        return None
    from coilbook.reads.season_fast import season_now

    stored = dict(collection.read("SELECT name, value FROM setting"))
    return season_now(collection, animal, today, Settings.from_stored(stored))


def _young(collection: Collection, animal: AnimalId, hatched: str | None, today: dt.date) -> YoungNow | None:
    """Loaded only for an animal hatched within the year."""
    if not hatched or hatched[:10] < (today - dt.timedelta(days=400)).isoformat():
        return None
    from coilbook.reads.young import young_page

    return young_page(collection, animal, today)


def partial(first: str | None, precision: str | None) -> PartialDate | None:
    """A stored date with its precision."""
    if not first:
        return None
    return PartialDate(moment_from(first).date(), Precision(precision) if precision else Precision.DAY)


def _identity(collection: Collection, row: Sequence[Any]) -> Identity:
    return Identity(
        id=AnimalId(row[0]),
        keeper_id=row[1],
        name=row[2],
        sex=Sex(row[3]),
        sex_percent=row[4],
        sex_basis=SexBasis(row[5]),
        genetics=row[6],
        hatched=partial(row[7], row[8]),
        origin=Origin(row[9]),
        status=Status(row[10]),
        microchip=row[11],
        temperament=row[12],
        holdback=row[13],
        retired=bool(row[14]),
        breeder_male_only=bool(row[15]),
        interval_days=row[16],
        prey_kind=row[17],
        prey_state=PreyState(row[18]),
        feeding_note=row[19],
        cover_photo=PhotoId(row[20]) if row[20] is not None else None,
        hatched_not_before=hatched_not_before(collection, AnimalId(row[0])),
    )


def _home(collection: Collection, animal: AnimalId, place: Sequence[Any], entries: Sequence[Entry]) -> Home:
    row, label, quarantine = place
    if row is None:
        return Home(None, "", None, False, ())
    others = collection.read(
        f"SELECT {_RELATIVE}, 100 FROM animal x WHERE x.place_id = ? AND x.id <> ? ORDER BY x.id", (row, animal)
    )
    since = next((e.at for e in entries if e.table == "move" and (e.values or {}).get("to_label") == label), None)
    return Home(PlaceId(row), label, since, bool(quarantine), tuple(map(_relative, others)))


def _relative(row: Sequence[Any]) -> Relative:
    hatched = partial(row[7], row[8])
    return Relative(AnimalId(row[0]), row[1], row[2], Sex(row[3]), row[4], row[5], Status(row[6]), hatched, row[9])


def _arrival(collection: Collection, animal: AnimalId) -> Arrival | None:
    row = collection.read_one(
        "SELECT q.date, q.date_precision, q.how, p.name, q.country, q.feeding_claim FROM acquisition q"
        " LEFT JOIN person p ON p.id = q.person_id WHERE q.animal_id = ? ORDER BY q.id DESC LIMIT 1",
        (animal,),
    )
    if row is None:
        return None
    return Arrival(partial(row[0], row[1]), Origin(row[2]), row[3] or "", row[4], row[5])


def _turn(collection: Collection, animal: AnimalId) -> Turn | None:
    row = collection.read_one(
        "SELECT d.kind, d.at, p.name, d.reason FROM departure d LEFT JOIN person p ON p.id = d.person_id"
        " WHERE d.animal_id = ? ORDER BY d.at DESC, d.id DESC LIMIT 1",
        (animal,),
    )
    return Turn(DepartureKind(row[0]), row[1], row[2] or "", row[3]) if row else None


def _claims(collection: Collection, animal: AnimalId) -> tuple[Claimed, ...]:
    rows = collection.read("SELECT id, text, source, said_on FROM claim WHERE animal_id = ? ORDER BY id", (animal,))
    return tuple(Claimed(*row) for row in rows)


def _oldest_first(entries: Sequence[Entry], table: str) -> list[dict[str, Any]]:
    return [dict(e.values or {}) for e in reversed(entries) if e.table == table]


def _meals(entries: Sequence[Entry]) -> tuple[Meal, ...]:
    rows = _oldest_first(entries, "feeding")
    came_back = {r["feeding_id"] for r in _oldest_first(entries, "regurgitation")}
    return tuple(
        Meal(
            FeedingId(r["id"]),
            r["at"],
            FeedingResult(r["result"]),
            RefusalReason(r["reason"]) if r["reason"] else None,
            r["prey"],
            PreyState(r["prey_state"]),
            r["prey_dg"],
            r["pieces"],
            r["note"],
            r["id"] not in came_back,
        )
        for r in rows
    )


def _weights(entries: Sequence[Entry]) -> tuple[Weighing, ...]:
    return tuple(
        Weighing(WeightId(r["id"]), r["at"], r["mass_dg"], WeightTag(r["tag"]), bool(r["doubted"]), r["note"])
        for r in _oldest_first(entries, "weight")
    )


def _sheds(entries: Sequence[Entry]) -> tuple[ShedSeen, ...]:
    rows = _oldest_first(entries, "shed")
    return tuple(ShedSeen(ShedId(r["id"]), r["at"], ShedKind(r["kind"]), r["note"]) for r in rows)


def _pictures(collection: Collection, animal: AnimalId) -> tuple[Picture, ...]:
    rows = collection.read(
        "SELECT id, at, sha256, ending, angle, caption FROM photo WHERE animal_id = ? ORDER BY at, id", (animal,)
    )
    return tuple(Picture(PhotoId(i), at, sha, ending, PhotoAngle(a), c) for i, at, sha, ending, a, c in rows)


def _family(collection: Collection, animal: AnimalId, dam: int | None) -> Family:
    mother = collection.read_one(f"SELECT {_RELATIVE}, 100 FROM animal x WHERE x.id = ?", (dam,)) if dam else None
    sires = collection.read(
        f"SELECT {_RELATIVE}, s.percent FROM sire s JOIN animal x ON x.id = s.sire_id WHERE s.animal_id = ?"
        " ORDER BY s.percent DESC, s.id",
        (animal,),
    )
    young = collection.read(
        f"SELECT {_RELATIVE}, 100 FROM animal x WHERE x.dam_id = ? UNION ALL"
        f" SELECT {_RELATIVE}, s.percent FROM sire s JOIN animal x ON x.id = s.animal_id WHERE s.sire_id = ?"
        " ORDER BY 8 DESC, 1",
        (animal, animal),
    )
    sure = int(sires[0][0]) if len(sires) == 1 and sires[0][9] == 100 else None
    full = _count(collection, _FULL, (dam, animal, sure)) if dam and sure else 0
    some = _count(collection, _ANY, (dam, animal, animal))
    relatives = tuple(map(_relative, sires)), tuple(map(_relative, young))
    return Family(_relative(mother) if mother else None, *relatives, full, some - full)


def _count(collection: Collection, sql: str, values: Sequence[object]) -> int:
    row = collection.read_one(sql, values)
    return int(row[0]) if row else 0
