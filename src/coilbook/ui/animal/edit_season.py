"""The forms that correct what was entered of a season."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from coilbook.records.season_vocabulary import LockCertainty, OvulationCertainty, SeasonEnd
from coilbook.ui.animal.entry_form import Ask
from coilbook.ui.animal.log_kinds import options
from coilbook.wording.language import translated
from coilbook.wording.style import Style

Stored = Mapping[str, Any]


def _when(row: Stored, style: Style, head: str = "When") -> Ask:
    needed = translated("An entry needs its time.")
    return Ask("at", translated(head), "moment", style.moment(row["at"]), required=needed)


def _note(row: Stored, span: int = 2) -> Ask:
    return Ask("note", translated("Note"), start=row["note"], span=span)


def _stay(row: Stored, style: Style) -> tuple[Ask, ...]:
    until = style.moment(row["until"]) if row["until"] else ""
    return (
        _when(row, style, "In"),
        Ask("until", translated("Out"), "moment", until, hint=translated("he is still in")),
        Ask("in_spite", translated("All the same, because"), start=row["in_spite"]),
        _note(row, 3),
    )


def _lock(row: Stored, style: Style) -> tuple[Ask, ...]:
    seen = options(*LockCertainty, keys="LYC")
    start = LockCertainty(row["certainty"])
    certainty = Ask("certainty", translated("What was seen"), "choice", start, span=3, options=seen)
    return certainty, _when(row, style), _note(row)


def _ovulation(row: Stored, style: Style) -> tuple[Ask, ...]:
    known, start = options(*OvulationCertainty, keys="SPIU"), OvulationCertainty(row["certainty"])
    days = "" if row["doubt_days"] is None else str(row["doubt_days"])
    return (
        Ask("certainty", translated("How it is known"), "choice", start, span=3, options=known),
        _when(row, style),
        Ask("doubt_days", translated("Give or take days"), "amount", days, hint=translated("as usual")),
        _note(row, 1),
    )


def _follicle(row: Stored, style: Style) -> tuple[Ask, ...]:
    return _when(row, style), _note(row)


def _outcome(row: Stored, style: Style) -> tuple[Ask, ...]:
    ends, start = options(*SeasonEnd, keys="RDS"), SeasonEnd(row["outcome"])
    how = Ask("outcome", translated("No eggs this season"), "choice", start, span=3, options=ends)
    return how, _when(row, style), _note(row)


SEASON_EDITS: dict[str, Callable[[Stored, Style], tuple[Ask, ...]]] = {
    "stay": _stay,
    "lock_seen": _lock,
    "ovulation": _ovulation,
    "follicle": _follicle,
    "season_outcome": _outcome,
}
