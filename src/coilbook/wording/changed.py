"""One changed row of the journal in words: which record, and which of its columns went from what to what."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Protocol

from coilbook.records import egg_vocabulary as e
from coilbook.records import health_vocabulary as h
from coilbook.records import season_vocabulary as s
from coilbook.records import vocabulary as v
from coilbook.records.when import moment_from
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import words

#: what the record tables are called in front of a keeper
TABLE_WORDS: dict[str, str] = {
    "person": "person",
    "place": "place",
    "animal": "animal",
    "sire": "sire",
    "acquisition": "how it came",
    "claim": "claim",
    "tag": "tag",
    "move": "move",
    "feeding": "offer",
    "regurgitation": "meal came back",
    "weight": "weight",
    "shed": "shed",
    "sign_seen": "sign",
    "cleaning": "cleaning",
    "note": "note",
    "photo": "photo",
    "departure": "turn",
    "label_print": "label",
    "setting": "setting",
    "saved_view": "view",
    "import_batch": "import",
    "import_answer": "answer kept",
    "finding": "finding",
    "own_gene": "own gene",
    "incubator": "incubator",
    "incubator_reading": "reading",
    "logger_day": "a day of the logger",
    "egg_box": "egg box",
    "clutch": "clutch",
    "clutch_sire": "possible sire",
    "egg": "egg",
    "box_look": "look at a box",
    "box_water": "water poured",
    "egg_look": "look at an egg",
    "egg_done": "done to eggs",
    "hatching": "hatching",
    "hatchling": "hatchling",
    "doubt": "open doubt",
    "pairing_plan": "planned pairing",
    "stay": "stay",
    "lock_seen": "seen of a pair",
    "follicle": "follicles",
    "ovulation": "ovulation",
    "shed_mark": "what the shed was",
    "rack_cooling": "cooling",
    "season_outcome": "season without eggs",
    "forecast_made": "forecast",
    "health_course": "health course",
    "course_step": "entry of a course",
}
#: columns that say which row it is rather than what it says
_SILENT = {
    "animal_id",
    "species",
    "closed_at",
    "typed",
    "sha256",
    "ending",
    "walk",
    "parent_id",
    "looks",
    "locus",
    "x",
    "y",
    "from_start",
    "report",
}
#: letters of one value in the margin; the entry itself has the rest
_MOST = 160
#: which columns hold a word of the vocabulary, and of which list
_CODES: dict[tuple[str, str], type[StrEnum]] = {
    ("person", "role"): v.PersonRole,
    ("place", "kind"): v.PlaceKind,
    ("animal", "sex"): v.Sex,
    ("animal", "sex_basis"): v.SexBasis,
    ("animal", "origin"): v.Origin,
    ("animal", "status"): v.Status,
    ("animal", "prey_state"): v.PreyState,
    ("acquisition", "how"): v.Origin,
    ("move", "reason"): v.MoveReason,
    ("feeding", "result"): v.FeedingResult,
    ("feeding", "reason"): v.RefusalReason,
    ("feeding", "prey_state"): v.PreyState,
    ("weight", "tag"): v.WeightTag,
    ("shed", "kind"): v.ShedKind,
    ("sign_seen", "sign"): v.Sign,
    ("cleaning", "extent"): v.CleaningExtent,
    ("photo", "angle"): v.PhotoAngle,
    ("departure", "kind"): v.DepartureKind,
    ("finding", "kind"): v.FindingKind,
    ("own_gene", "kind"): v.OwnKind,
    ("departure", "status_before"): v.Status,
    ("incubator_reading", "source"): e.ReadingSource,
    ("egg_box", "medium"): e.Medium,
    ("egg_box", "lid"): e.Lid,
    ("clutch", "mass_kind"): e.ClutchMass,
    ("box_look", "lid"): e.Lid,
    ("egg_look", "verdict"): e.Verdict,
    ("egg_look", "veins"): e.Veins,
    ("egg_look", "dents"): e.Dents,
    ("egg_done", "what"): e.EggDeed,
    ("egg_done", "came_of_it"): e.Outcome,
    ("hatching", "event"): e.HatchEvent,
    ("hatchling", "navel"): e.Navel,
    ("doubt", "kind"): e.DoubtKind,
    ("pairing_plan", "state"): s.PlanState,
    ("lock_seen", "certainty"): s.LockCertainty,
    ("follicle", "method"): s.FollicleMethod,
    ("ovulation", "certainty"): s.OvulationCertainty,
    ("shed_mark", "was"): s.PreLay,
    ("season_outcome", "outcome"): s.SeasonEnd,
    ("health_course", "kind"): h.CourseKind,
    ("course_step", "kind"): h.StepKind,
}


class Changed(Protocol):
    """One row of an act, as `reads.history` gives it."""

    @property
    def table(self) -> str: ...
    @property
    def op(self) -> str: ...
    @property
    def differences(self) -> Mapping[str, tuple[object, object]]: ...


def changed_line(row: Changed, style: Style) -> tuple[str, str]:
    """What the row is, and what happened to it, short enough for the margin.

    Added and removed rows list what they said; changed ones "before → after".
    """
    name = translated(TABLE_WORDS.get(row.table, row.table))
    parts = []
    for column, (before, after) in row.differences.items():
        if column in _SILENT or (column.endswith("_id") and column != "keeper_id"):
            continue
        old, new = (_shown(row.table, column, value, style) for value in (before, after))
        if row.op == "U":
            parts.append(f"{old or '–'} → {new or '–'}")
        elif row.op == "I" and new and not _plain_default(after):
            parts.append(new)
        elif row.op == "D" and old and not _plain_default(before):
            parts.append(old)
    text = ", ".join(parts[:3])
    if row.op == "D":
        text = translated("taken out: {what}").format(what=text) if text else translated("taken out")
    elif row.op == "I" and not text:
        text = translated("added")
    return name, text


def _plain_default(value: object) -> bool:
    return value in (0, 1, 100, 1_000_000, "ft", "ball_python", "unknown", "unsaid", "here")


def _shown(table: str, column: str, value: object, style: Style) -> str:
    if value is None or value == "":
        return ""
    codes = _CODES.get((table, column))
    if codes is not None and value in set(codes):
        return words(codes(str(value)))
    if column.endswith("_dg") and isinstance(value, int):
        return style.mass(value)
    if column.endswith("tenths") and isinstance(value, int):
        return style.temperature(value)
    if column == "ppm" and isinstance(value, int):
        return f"{value / 10_000:g}%"
    if column in ("at", "next_due", "planned_until") and isinstance(value, str) and len(value) >= 10:
        return style.date(moment_from(value).date(), year=False)
    text = " ".join(str(value).replace("_", " ").split())
    return text if len(text) <= _MOST else text[:_MOST].rstrip() + "…"
