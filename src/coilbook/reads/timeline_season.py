"""Entries of a season on an animal's timeline: stays, what was seen of a pair, follicles, ovulation, its end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from coilbook.records.message import Message, say
from coilbook.records.season_vocabulary import LockCertainty, OvulationCertainty, PreLay, SeasonEnd
from coilbook.records.when import moment_from

Row = Mapping[str, Any]
Told = tuple[str, tuple[Message, ...], tuple[Message, ...]]

_PAIR = "JOIN animal f ON f.id = {stay}.female_id JOIN animal m ON m.id = {stay}.male_id"
#: stays of an animal, by either index
_HERS_OR_HIS = "(SELECT id FROM stay WHERE female_id = ?1 UNION ALL SELECT id FROM stay WHERE male_id = ?1)"
#: table -> (stored columns, what is looked up beside them, joins, whose entries)
SEASON_SOURCES: dict[str, tuple[str, Mapping[str, str], str, str]] = {
    "stay": (
        "id at until in_spite note",
        {"female": "f.keeper_id", "male": "m.keeper_id"},
        _PAIR.format(stay="e"),
        f"e.id IN {_HERS_OR_HIS}",
    ),
    "lock_seen": (
        "id at certainty note",
        {"female": "f.keeper_id", "male": "m.keeper_id"},
        "JOIN stay s ON s.id = e.stay_id " + _PAIR.format(stay="s"),
        f"e.stay_id IN {_HERS_OR_HIS}",
    ),
    "follicle": ("id at mm_tenths grade note", {}, "", ""),
    "ovulation": ("id at certainty doubt_days note", {}, "", ""),
    "season_outcome": ("id at outcome note", {}, "", ""),
    "shed_mark": ("id was", {"at": "s.at"}, "JOIN shed s ON s.id = e.shed_id", "s.animal_id = ?"),
}


def free_words(*texts: object) -> tuple[Message, ...]:
    """Free text as it was written, the empty ones left out."""
    return tuple(say("{text}", text=str(text)) for text in texts if text)


def _stay(row: Row) -> Told:
    names = {"male": row["male"], "female": row["female"]}
    if row["until"] is None:
        said = say("{male} with {female}", None, **names)
    else:
        said = say("{male} with {female}, out {day}", None, day=moment_from(row["until"]).date(), **names)
    spite = (say("all the same: {why}", why=row["in_spite"]),) if row["in_spite"] else ()
    return "stay", (said, *spite, *free_words(row["note"])), ()


def _lock(row: Row) -> Told:
    said = say("{male} with {female}: {seen}", male=row["male"], female=row["female"],
               seen=LockCertainty(row["certainty"]))  # fmt: skip
    return row["certainty"], (said, *free_words(row["note"])), ()


def _follicle(row: Row) -> Told:
    if row["grade"] is not None:
        return "felt", (say("follicles felt, grade {grade} of 5", grade=row["grade"]), *free_words(row["note"])), ()
    return "scanned", (say("follicles of {mm:g} mm", mm=row["mm_tenths"] / 10), *free_words(row["note"])), ()


def _ovulation(row: Row) -> Told:
    said = [say("ovulation, {certainty}", certainty=OvulationCertainty(row["certainty"]))]
    if row["doubt_days"]:
        said.append(say("give or take {n} day", "give or take {n} days", n=row["doubt_days"]))
    return row["certainty"], (*said, *free_words(row["note"])), ()


def _outcome(row: Row) -> Told:
    return row["outcome"], (say("{outcome}", outcome=SeasonEnd(row["outcome"])), *free_words(row["note"])), ()


def _mark(row: Row) -> Told:
    return row["was"], (say("the shed of this day: {was}", was=PreLay(row["was"])),), ()


SEASON_TELL: dict[str, Callable[[Row], Told]] = {
    "stay": _stay,
    "lock_seen": _lock,
    "follicle": _follicle,
    "ovulation": _ovulation,
    "season_outcome": _outcome,
    "shed_mark": _mark,
}
