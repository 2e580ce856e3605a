"""What is entered of seasons, read into frozen rows: the same for an act at work and for a reader."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from coilbook.husbandry.known_day import KnownDay
from coilbook.records.ids import AnimalId, ClutchId, PlaceId, StayId
from coilbook.records.season_vocabulary import FollicleMethod, LockCertainty, OvulationCertainty, PreLay, SeasonEnd
from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate, moment_from
from coilbook.storage.tables import ON_A_DAY

#: runs one query with numbered values and gives every row
Read = Callable[[str, Sequence[Any]], list[tuple[Any, ...]]]
_Row = TypeVar("_Row")


@dataclass(frozen=True, slots=True)
class LockRow:
    """Something seen of a pair."""

    id: int
    at: dt.datetime
    certainty: LockCertainty


@dataclass(frozen=True, slots=True)
class StayRow:
    """A male with a female; `until` None while he is."""

    id: StayId
    female: AnimalId
    male: AnimalId
    female_name: str
    male_name: str
    place: str
    at: dt.datetime
    until: dt.datetime | None
    in_spite: str
    note: str
    locks: tuple[LockRow, ...]

    @property
    def first(self) -> dt.date:
        return self.at.date()

    @property
    def last(self) -> dt.date | None:
        return None if self.until is None else self.until.date()


@dataclass(frozen=True, slots=True)
class FollicleRow:
    """Largest follicle: `mm` of a scan or `grade` of a palpation."""

    id: int
    day: dt.date
    method: FollicleMethod
    mm: float | None
    grade: int | None


@dataclass(frozen=True, slots=True)
class OvulationRow:
    """An ovulation as it was entered."""

    id: int
    day: dt.date
    certainty: OvulationCertainty
    doubt_days: int | None


@dataclass(frozen=True, slots=True)
class ShedRow:
    """A shed that was asked about."""

    id: int
    day: dt.date
    was: PreLay


@dataclass(frozen=True, slots=True)
class LayingRow:
    """A clutch of hers; `pip` and `out` of its first egg; `set_tenths` what its `incubator` is set to."""

    clutch: ClutchId
    label: str
    laid: KnownDay
    maternal: bool
    pip: KnownDay | None
    out: KnownDay | None
    set_tenths: int | None
    incubator: int | None = None

    @property
    def day(self) -> dt.date:
        return self.laid.earliest


@dataclass(frozen=True, slots=True)
class OutcomeRow:
    """A season that brought no eggs."""

    id: int
    day: dt.date
    outcome: SeasonEnd
    note: str


@dataclass(frozen=True, slots=True)
class CoolingRow:
    """A place cooled at night, with every slot below it."""

    since: dt.date
    until: dt.date | None
    slots: frozenset[PlaceId]


def _day(text: str) -> dt.date:
    return dt.date.fromisoformat(text[:10])


def _only(column: str, animal: AnimalId | None) -> tuple[str, tuple[Any, ...]]:
    """A condition to one animal, none for all."""
    return ("", ()) if animal is None else (f" WHERE {column} = ?", (animal,))


def stays(read: Read, female: AnimalId | None = None) -> tuple[StayRow, ...]:
    """Every stay in order of time, of one female when given."""
    where, values = _only("s.female_id", female)
    locks: dict[int, list[LockRow]] = defaultdict(list)
    sql = "SELECT l.id, l.stay_id, l.at, l.certainty FROM lock_seen l JOIN stay s ON s.id = l.stay_id"
    for row, stay, at, certainty in read(f"{sql}{where} ORDER BY l.at, l.id", values):
        locks[stay].append(LockRow(row, moment_from(at), LockCertainty(certainty)))
    sql = """SELECT s.id, s.female_id, s.male_id, f.keeper_id, m.keeper_id, coalesce(p.label, ''), s.at, s.until,
        s.in_spite, s.note FROM stay s JOIN animal f ON f.id = s.female_id JOIN animal m ON m.id = s.male_id
        LEFT JOIN place p ON p.id = s.place_id"""
    return tuple(
        StayRow(
            StayId(row), AnimalId(her), AnimalId(his), her_name, his_name, place, moment_from(at),
            moment_from(until) if until else None, in_spite, note, tuple(locks[row]),
        )
        for row, her, his, her_name, his_name, place, at, until, in_spite, note in read(
            f"{sql}{where} ORDER BY s.at, s.id", values
        )
    )  # fmt: skip


def _of_each(
    read: Read, sql: str, at: str, animal: AnimalId | None, made: Callable[..., _Row]
) -> dict[AnimalId, list[_Row]]:
    """Rows by animal in order of time, of one animal when given: `sql` selects the animal, the id, the time and more.

    `at`: alias and dot of the table with the time, "" where there is but one. `made` is given the columns that follow
    the animal, the time as a day.
    """
    where, values = _only(f"{at}animal_id", animal)
    found: dict[AnimalId, list[_Row]] = defaultdict(list)
    for of, row, when, *rest in read(f"{sql}{where} ORDER BY {at}at, {at}id", values):
        found[AnimalId(of)].append(made(row, _day(when), *rest))
    return found


def follicles(read: Read, animal: AnimalId | None = None) -> dict[AnimalId, list[FollicleRow]]:
    """Every look at follicles, in order of time."""

    def made(row: int, day: dt.date, method: str, tenths: int | None, grade: int | None) -> FollicleRow:
        return FollicleRow(row, day, FollicleMethod(method), None if tenths is None else tenths / 10, grade)

    return _of_each(read, "SELECT animal_id, id, at, method, mm_tenths, grade FROM follicle", "", animal, made)


def ovulations(read: Read, animal: AnimalId | None = None) -> dict[AnimalId, list[OvulationRow]]:
    """Every ovulation, in order of time."""

    def made(row: int, day: dt.date, certainty: str, doubt: int | None) -> OvulationRow:
        return OvulationRow(row, day, OvulationCertainty(certainty), doubt)

    return _of_each(read, "SELECT animal_id, id, at, certainty, doubt_days FROM ovulation", "", animal, made)


def marked_sheds(read: Read, animal: AnimalId | None = None) -> dict[AnimalId, list[ShedRow]]:
    """Every shed that was asked about, in order of time."""

    def made(row: int, day: dt.date, was: str) -> ShedRow:
        return ShedRow(row, day, PreLay(was))

    sql = "SELECT s.animal_id, s.id, s.at, m.was FROM shed_mark m JOIN shed s ON s.id = m.shed_id"
    return _of_each(read, sql, "s.", animal, made)


def outcomes(read: Read, animal: AnimalId | None = None) -> dict[AnimalId, list[OutcomeRow]]:
    """Every season without eggs, in order of time."""

    def made(row: int, day: dt.date, outcome: str, note: str) -> OutcomeRow:
        return OutcomeRow(row, day, SeasonEnd(outcome), note)

    return _of_each(read, "SELECT animal_id, id, at, outcome, note FROM season_outcome", "", animal, made)


def layings(read: Read, animal: AnimalId | None = None) -> dict[AnimalId, list[LayingRow]]:
    """Every clutch with a dam, in order of time."""
    where, values = _only("c.dam_id", animal)
    pips, outs = _hatchings(read, where, values)
    sql = f"""SELECT e.clutch_id, max(i.id), i.set_tenths FROM egg e JOIN clutch c ON c.id = e.clutch_id
        JOIN egg_box b ON b.id = e.box_id JOIN incubator i ON i.id = b.incubator_id{where} GROUP BY e.clutch_id"""
    lay: dict[int, tuple[int, int | None]] = {clutch: (box, tenths) for clutch, box, tenths in read(sql, values)}
    found: dict[AnimalId, list[LayingRow]] = defaultdict(list)
    sql = f"""SELECT c.id, c.label, c.dam_id, c.laid, c.laid_precision, c.laid_doubt_days, c.maternal,
        CASE WHEN c.laid_precision <> 'day' THEN (SELECT min(l.at) FROM egg_look l JOIN egg e ON e.id = l.egg_id
            WHERE e.clutch_id = c.id) END
        FROM clutch c{where} ORDER BY c.laid, c.id"""
    for clutch, label, dam, laid, precision, doubt, maternal, seen in read(sql, values):
        if dam is None:
            continue
        entered = PartialDate(_day(laid), Precision(precision))
        day = KnownDay.of_laying(entered, doubt, _day(seen) if seen is not None else None)
        incubator, warm = lay.get(clutch, (None, None))
        row = LayingRow(ClutchId(clutch), label, day, bool(maternal), pips.get(clutch), outs.get(clutch), warm,
                        incubator)  # fmt: skip
        found[AnimalId(dam)].append(row)
    return found


def _hatchings(read: Read, where: str, values: tuple[Any, ...]) -> tuple[dict[int, KnownDay], dict[int, KnownDay]]:
    """First pip and first out of each clutch; an egg first seen out has pipped by then."""
    sql = f"""SELECT e.clutch_id, h.event, h.at, h.not_yet_at FROM hatching h JOIN egg e ON e.id = h.egg_id
        JOIN clutch c ON c.id = e.clutch_id{where} ORDER BY h.at, h.id"""
    pips: dict[int, KnownDay] = {}
    outs: dict[int, KnownDay] = {}
    for clutch, event, at, not_yet in read(sql, values):
        day = KnownDay.on(_day(at)) if not_yet is None else KnownDay.between(_day(not_yet), _day(at))
        if event in ("pip", "out"):
            pips.setdefault(clutch, day)
        if event == "out":
            outs.setdefault(clutch, day)
    return pips, outs


def coolings(read: Read) -> tuple[CoolingRow, ...]:
    """Every cooling with the slots under its place."""
    sql = """WITH RECURSIVE under(cooling, id) AS (
        SELECT id, place_id FROM rack_cooling
        UNION SELECT under.cooling, p.id FROM place p JOIN under ON p.parent_id = under.id)
        SELECT cooling, id FROM under"""
    slots: dict[int, set[PlaceId]] = defaultdict(set)
    for cooling, place in read(sql, ()):
        slots[cooling].add(PlaceId(place))
    rows = read("SELECT id, since, until FROM rack_cooling ORDER BY since, id", ())
    return tuple(CoolingRow(_day(s), _day(u) if u else None, frozenset(slots[row])) for row, s, u in rows)


def weights(read: Read, since: dt.date, animal: AnimalId | None = None) -> dict[AnimalId, list[tuple[dt.date, int]]]:
    """(day, tenths of a gram) of every undoubted weight since a day, in order of time; none of a day not on record."""
    sql = f"SELECT animal_id, at, mass_dg FROM weight WHERE doubted = 0 AND {ON_A_DAY} AND at >= ?1"
    sql += "" if animal is None else " AND animal_id = ?2"
    found: dict[AnimalId, list[tuple[dt.date, int]]] = defaultdict(list)
    for of, at, mass in read(f"{sql} ORDER BY at, id", (since.isoformat(), *(() if animal is None else (animal,)))):
        found[AnimalId(of)].append((_day(at), mass))
    return found
