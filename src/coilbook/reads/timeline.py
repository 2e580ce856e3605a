"""The timeline of one animal: every entry of every kind in words, newest first, with who entered it."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from coilbook.reads.animal_rows import Entry
from coilbook.reads.timeline_eggs import EGG_SOURCES, EGG_TELL
from coilbook.reads.timeline_health import HEALTH_SOURCES, HEALTH_TELL
from coilbook.reads.timeline_season import SEASON_SOURCES, SEASON_TELL, free_words
from coilbook.records.finding_words import finding_words
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import (
    CleaningExtent,
    DepartureKind,
    FeedingResult,
    FindingKind,
    MoveReason,
    Origin,
    PhotoAngle,
    Precision,
    PreyState,
    RefusalReason,
    ShedKind,
    Sign,
    WeightTag,
)
from coilbook.records.when import PartialDate, moment_from
from coilbook.storage.collection import Collection

Row = Mapping[str, Any]
Told = tuple[str, tuple[Message, ...], tuple[Message, ...]]


@dataclass(frozen=True, slots=True)
class _Source:
    """Columns of a table `e` as stored, and what is looked up beside them, by name."""

    columns: str
    beside: Mapping[str, str] = field(default_factory=dict)
    joins: str = ""
    whose: str = ""

    def sql(self, table: str) -> str:
        """The query for one animal."""
        picked = [f"e.{c}" for c in self.columns.split()] + list(self.beside.values())
        return f"SELECT {', '.join(picked)} FROM {table} e {self.joins} WHERE {self.whose or 'e.animal_id = ?'}"

    @property
    def names(self) -> tuple[str, ...]:
        """Names of what the query returns, in order."""
        return (*self.columns.split(), *self.beside)


_PERSON = "LEFT JOIN person p ON p.id = e.person_id"
_CORRECTED = "EXISTS (SELECT 1 FROM finding x WHERE x.corrects_id = e.id)"
_SOURCES: dict[str, _Source] = {
    "feeding": _Source("id at result reason prey prey_state prey_dg pieces note"),
    "weight": _Source("id at mass_dg typed tag doubted note"),
    "shed": _Source("id at kind note"),
    "sign_seen": _Source("id at sign note"),
    "note": _Source("id at text"),
    "photo": _Source("id at angle caption"),
    "label_print": _Source("id at code stock"),
    "claim": _Source("id text source", {"at": "e.said_on"}),
    "finding": _Source(
        "id at kind locus gene looks copies ppm source note corrects_id",
        {"corrected": _CORRECTED, "person": "p.name"},
        _PERSON,
    ),
    "regurgitation": _Source(
        "id at note", {"meal_at": "f.at", "feeding_id": "e.feeding_id"}, "LEFT JOIN feeding f ON f.id = e.feeding_id"
    ),
    "cleaning": _Source("id at extent product note", {"place": "p.label"}, "JOIN place p ON p.id = e.place_id"),
    "move": _Source(
        "id at reason return_by note",
        {"from_label": "f.label", "to_label": "t.label"},
        "LEFT JOIN place f ON f.id = e.from_place_id LEFT JOIN place t ON t.id = e.to_place_id",
    ),
    "departure": _Source("id at kind reason note price_minor currency", {"person": "p.name"}, _PERSON),
    "acquisition": _Source(
        "id date_precision how country papers feeding_claim note",
        {"at": "coalesce(e.date, e.quarantine_from)", "person": "p.name"},
        _PERSON,
    ),
}
_SOURCES |= {table: _Source(*source) for table, source in (HEALTH_SOURCES | SEASON_SOURCES | EGG_SOURCES).items()}

_WRITERS = """SELECT c.tbl, c.row, a.person_name FROM change c JOIN act a ON a.id = c.act
    WHERE c.animal = ? AND c.op = 'I' ORDER BY c.id DESC"""


def timeline(collection: Collection, animal: AnimalId) -> tuple[Entry, ...]:
    """Every entry of an animal, newest first; those without a date stand last."""
    # newest first, so that the first act that made a row is the one that stays
    writers = {(t, r): str(n) for t, r, n in collection.read(_WRITERS, (animal,))}
    entries: list[Entry] = []
    for table, source in _SOURCES.items():
        names, tell = source.names, _TELL[table]
        # which row it is and its moment are in no sentence, and of the rest a hundred meals differ little
        told: dict[tuple[Any, ...], Told] = {}
        first = 2 if names[1] == "at" else 1
        for stored in collection.read(source.sql(table), (animal,)):
            row = dict(zip(names, stored, strict=True))
            same = stored[first:]
            if same not in told:
                told[same] = tell(row)
            code, said, inside = told[same]
            who = writers.get((table, row["id"]), "")
            entries.append(Entry(table, row["id"], row["at"], code, said, who, inside, row))
    entries.sort(key=lambda e: (e.at or "", e.table == "departure", e.row), reverse=True)
    return tuple(entries)


def meal_words(prey: str, pieces: int, prey_dg: int | None) -> Message | None:
    """What was offered: kind, how many, how heavy; None when nothing was said."""
    if not prey and prey_dg is None:
        return None
    if prey_dg is not None and prey:
        one = say("{prey} {mass}", prey=prey, mass=Mass(prey_dg))
    else:
        one = say("{prey}", prey=prey) if prey else say("{mass}", mass=Mass(int(prey_dg or 0)))
    return say("{n} × {one}", n=pieces, one=one) if pieces > 1 else one


def _feeding(row: Row) -> Told:
    result = FeedingResult(row["result"])
    meal = None if result is FeedingResult.NOT_OFFERED else meal_words(row["prey"], row["pieces"], row["prey_dg"])
    head = say("{result} {meal}", result=result, meal=meal) if meal else say("{result}", result=result)
    said = [head]
    if meal:
        said.append(say("{state}", state=PreyState(row["prey_state"])))
    if row["reason"]:
        said.append(say("{reason}", reason=RefusalReason(row["reason"])))
    return result.value, (*said, *free_words(row["note"])), ()


def _weight(row: Row) -> Told:
    said = [say("weighed {mass}", mass=Mass(row["mass_dg"]))]
    if row["doubted"]:
        said.append(say("in doubt, does not count"))
    if row["tag"] != WeightTag.UNSAID:
        said.append(say("{tag}", tag=WeightTag(row["tag"])))
    return ("doubted" if row["doubted"] else "weight"), (*said, *free_words(row["note"])), ()


def _shed(row: Row) -> Told:
    kind = ShedKind(row["kind"])
    return kind.value, (say("{kind}", kind=kind), *free_words(row["note"])), ()


def _sign(row: Row) -> Told:
    sign = Sign(row["sign"])
    return sign.value, (say("{sign}", sign=sign), *free_words(row["note"])), ()


def _note(row: Row) -> Told:
    return "note", free_words(row["text"]), ()


def _photo(row: Row) -> Told:
    angle = PhotoAngle(row["angle"])
    said = [say("photo")] if angle is PhotoAngle.UNSAID else [say("photo"), say("{angle}", angle=angle)]
    return angle.value, (*said, *free_words(row["caption"])), ()


def _label(row: Row) -> Told:
    return "printed", (say("label {code} printed", code=row["code"]), *free_words(row["stock"])), ()


def _claim(row: Row) -> Told:
    said = say("said of the genetics: {text}", text=row["text"])
    return "claim", (said,), free_words(row["source"])


def _finding(row: Row) -> Told:
    kind = FindingKind(row["kind"])
    looks = json.loads(row["looks"])
    said = [finding_words(kind, row["locus"], row["gene"], looks, row["copies"], row["ppm"])]
    if row["corrected"]:
        said.append(say("corrected since"))
    person = (say("by {person}", person=row["person"]),) if row["person"] else ()
    return kind.value, (*said, *free_words(row["source"], row["note"])), person


def _regurgitation(row: Row) -> Told:
    if row["meal_at"]:
        said = say("brought the meal of {date} back", date=moment_from(row["meal_at"]).date())
    else:
        said = say("brought a meal back")
    return "back", (said, *free_words(row["note"])), ()


def _cleaning(row: Row) -> Told:
    said = say("{place} cleaned", place=row["place"])
    extent = say("{extent}", extent=CleaningExtent(row["extent"]))
    return row["extent"], (said, extent, *free_words(row["product"], row["note"])), ()


def _move(row: Row) -> Told:
    before, after = row["from_label"], row["to_label"]
    if before and after:
        said = [say("moved from {before} to {after}", before=before, after=after)]
    elif after:
        said = [say("put in {after}", after=after)]
    else:
        said = [say("taken out of {before}", before=before)] if before else [say("without a place")]
    if row["reason"] != MoveReason.UNSAID:
        said.append(say("{reason}", reason=MoveReason(row["reason"])))
    if row["return_by"]:
        said.append(say("back by {date}", date=moment_from(row["return_by"]).date()))
    return "move", (*said, *free_words(row["note"])), ()


def _departure(row: Row) -> Told:
    kind = DepartureKind(row["kind"])
    person = (say("{person}", person=row["person"]),) if row["person"] else ()
    return kind.value, (say("{kind}", kind=kind), *free_words(row["reason"], row["note"])), person


def _acquisition(row: Row) -> Told:
    said = [say("came here: {how}", how=Origin(row["how"]))]
    if row["feeding_claim"]:
        said.append(say("said to eat: {claim}", claim=row["feeding_claim"]))
    person = (say("from {person}", person=row["person"]),) if row["person"] else ()
    return row["how"], (*said, *free_words(row["country"], row["papers"], row["note"])), person


_TELL: dict[str, Callable[[Row], Told]] = {
    "feeding": _feeding,
    "weight": _weight,
    "shed": _shed,
    "sign_seen": _sign,
    "note": _note,
    "photo": _photo,
    "label_print": _label,
    "claim": _claim,
    "finding": _finding,
    "regurgitation": _regurgitation,
    "cleaning": _cleaning,
    "move": _move,
    "departure": _departure,
    "acquisition": _acquisition,
    **HEALTH_TELL,
    **SEASON_TELL,
    **EGG_TELL,
}


def entry_date(entry: Entry) -> PartialDate | None:
    """The day of an entry to the precision it was said; None when it was not said."""
    if entry.at is None:
        return None
    day = moment_from(entry.at).date()
    precision = (entry.values or {}).get("date_precision")
    if precision:
        return PartialDate(day, Precision(str(precision)))
    return PartialDate(day)
