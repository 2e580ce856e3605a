"""What can be corrected of an entry: for each kind of entry what its form asks and the columns that come of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Any

from coilbook.operations.corrections import correct_departure, correct_move
from coilbook.operations.entries import edit_entry, remove_entry
from coilbook.operations.health import correct_course
from coilbook.operations.photos import edit_photo, remove_photo
from coilbook.operations.taking_out import remove_departure, remove_move
from coilbook.reads.animal_rows import Entry
from coilbook.reads.people import people
from coilbook.reads.places import places_to_choose
from coilbook.records.quantities import Money
from coilbook.records.vocabulary import (
    CleaningExtent,
    DepartureKind,
    FeedingResult,
    MoveReason,
    PhotoAngle,
    PlaceKind,
    PreyState,
    RefusalReason,
    ShedKind,
    Sign,
    WeightTag,
)
from coilbook.records.when import moment_from
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.edit_season import SEASON_EDITS
from coilbook.ui.animal.entry_form import Ask
from coilbook.ui.animal.log_kinds import (
    ANGLES,
    EXTENTS,
    MOVE_REASONS,
    PREY_STATES,
    REASONS,
    RESULTS,
    SHED_KINDS,
    SIGNS,
    TAGS,
    TURN_KINDS,
    why_not,
)
from coilbook.ui.desk import Desk, Operation
from coilbook.ui.typed import money_text
from coilbook.wording.language import translated
from coilbook.wording.style import Style

Stored = Mapping[str, Any]


def _when(row: Stored, style: Style) -> Ask:
    return Ask(
        "at", translated("When"), "moment", style.moment(row["at"]), required=translated("An entry needs its time.")
    )


def _note(row: Stored, span: int = 2) -> Ask:
    return Ask("note", translated("Note"), start=row["note"], span=span)


def _choice(name: str, head: str, row: Stored, kinds: type[StrEnum], choices: tuple[Option, ...]) -> Ask:
    start = kinds(row[name]) if row[name] else None
    return Ask(name, head, "choice", start, span=3, options=choices)


def _feeding(row: Stored, style: Style) -> tuple[Ask, ...]:
    mass = style.mass(row["prey_dg"]) if row["prey_dg"] else ""
    return (
        _choice("result", translated("How it went"), row, FeedingResult, RESULTS),
        why_not(
            RefusalReason(row["reason"]) if row["reason"] else None,
            (Option(translated("no reason"), "", "X"), *REASONS),
        ),
        Ask("prey", translated("Prey"), start=row["prey"]),
        Ask("prey_dg", translated("Prey weight"), "mass", mass),
        Ask("pieces", translated("Pieces"), "count", str(row["pieces"])),
        _choice("prey_state", translated("How given"), row, PreyState, PREY_STATES),
        _when(row, style),
        _note(row),
    )


def _weight(row: Stored, style: Style) -> tuple[Ask, ...]:
    doubt = (Option(translated("counts"), 0), Option(translated("in doubt"), 1))
    needed = translated("A weight needs its number.")
    return (
        Ask("mass_dg", translated("Weight"), "mass", style.mass(row["mass_dg"]), required=needed),
        _when(row, style),
        _note(row, 1),
        Ask("doubted", translated("Does it count"), "choice", row["doubted"], span=1, options=doubt),
        Ask("tag", translated("On the scale"), "choice", WeightTag(row["tag"]), span=2, options=TAGS),
    )


def _shed(row: Stored, style: Style) -> tuple[Ask, ...]:
    return _choice("kind", translated("What"), row, ShedKind, SHED_KINDS), _when(row, style), _note(row)


def _sign(row: Stored, style: Style) -> tuple[Ask, ...]:
    return _choice("sign", translated("What was seen"), row, Sign, SIGNS), _when(row, style), _note(row)


def _cleaning(row: Stored, style: Style) -> tuple[Ask, ...]:
    product = Ask("product", translated("With"), start=row["product"])
    extent = _choice("extent", translated("How far"), row, CleaningExtent, EXTENTS)
    return extent, product, _when(row, style), _note(row, 1)


def _text(row: Stored, style: Style) -> tuple[Ask, ...]:
    return Ask("text", translated("Note"), "long", row["text"], span=3), _when(row, style)


def _back(row: Stored, style: Style) -> tuple[Ask, ...]:
    return _when(row, style), _note(row)


def _claim(row: Stored, style: Style) -> tuple[Ask, ...]:
    return (
        Ask("text", translated("Word for word"), start=row["text"], span=2),
        Ask("source", translated("Who said it"), start=row["source"]),
    )


def _acquisition(row: Stored, style: Style) -> tuple[Ask, ...]:
    return (
        Ask("country", translated("Country"), start=row["country"]),
        Ask("papers", translated("Papers"), start=row["papers"]),
        Ask("feeding_claim", translated("Said to eat"), start=row["feeding_claim"]),
        _note(row, 3),
    )


def _photo(row: Stored, style: Style) -> tuple[Ask, ...]:
    return (
        _choice("angle", translated("From"), row, PhotoAngle, ANGLES),
        _when(row, style),
        Ask("caption", translated("Words"), start=row["caption"], span=2),
    )


def _move(row: Stored, desk: Desk) -> tuple[Ask, ...]:
    slots = places_to_choose(desk.collection, PlaceKind.SLOT)
    back = desk.style.date(moment_from(row["return_by"]).date()) if row["return_by"] else ""
    return (
        Ask("place", translated("To"), "known", row["to_label"] or "", hint=translated("taken out"), known=slots),
        Ask("return_by", translated("Back by"), "later", back, hint=translated("stays")),
        _when(row, desk.style),
        Ask("reason", translated("Why"), "choice", MoveReason(row["reason"]), span=3, options=MOVE_REASONS),
        _note(row, 3),
    )


def _departure(row: Stored, desk: Desk) -> tuple[Ask, ...]:
    names = tuple((p.name, p.id) for p in people(desk.collection, gone=True))
    price = Money(row["price_minor"], row["currency"]) if row["price_minor"] is not None else None
    kind = DepartureKind(row["kind"])
    kinds = tuple(o for o in TURN_KINDS if (o.value is DepartureKind.RETURNED) == (kind is DepartureKind.RETURNED))
    return (
        Ask("kind", translated("What became of it"), "choice", kind, span=3, options=kinds),
        Ask("person", translated("Who"), "person", row["person"] or "", hint=translated("nobody named"), known=names),
        Ask("price", translated("Price"), "money", money_text(price), hint=translated("not said")),
        _when(row, desk.style),
        Ask("reason", translated("Reason"), start=row["reason"]),
        _note(row),
    )


EDIT_ASKS: dict[str, Callable[[Stored, Style], tuple[Ask, ...]]] = {
    "feeding": _feeding,
    "weight": _weight,
    "shed": _shed,
    "sign_seen": _sign,
    "cleaning": _cleaning,
    "note": _text,
    "regurgitation": _back,
    "claim": _claim,
    "acquisition": _acquisition,
    "photo": _photo,
    **SEASON_EDITS,
}


def _course(row: Stored, desk: Desk) -> tuple[Ask, ...]:
    from coilbook.ui.animal.health_kinds import course_edit

    return course_edit(row, desk)


def _step(row: Stored, desk: Desk) -> tuple[Ask, ...]:
    from coilbook.ui.animal.health_kinds import step_edit

    return step_edit(row, desk)


_DESK_ASKS: dict[str, Callable[[Stored, Desk], tuple[Ask, ...]]] = {
    "move": _move,
    "departure": _departure,
    "health_course": _course,
    "course_step": _step,
}
CORRECTABLE = frozenset({*EDIT_ASKS, *_DESK_ASKS})


def asks_for(entry: Entry, desk: Desk) -> tuple[Ask, ...] | None:
    """What the form for an entry asks; None for one that is only taken back through History."""
    values = entry.values or {}
    if entry.table in _DESK_ASKS:
        return _DESK_ASKS[entry.table](values, desk)
    make = EDIT_ASKS.get(entry.table)
    return make(values, desk.style) if make is not None else None


def removal(entry: Entry) -> tuple[Operation, dict[str, Any]] | None:
    """The act that takes an entry out of the book; None for one that is only taken back through History."""
    if entry.table == "photo":
        return remove_photo, {"photo": entry.row}
    if entry.table == "move":
        return remove_move, {"move": entry.row}
    if entry.table == "departure":
        return remove_departure, {"departure": entry.row}
    return (remove_entry, {"table": entry.table, "row": entry.row}) if entry.table in CORRECTABLE else None


def correction(entry: Entry, changed: dict[str, Any]) -> tuple[Operation, dict[str, Any]]:
    """The act that keeps what was changed in the form of an entry."""
    if entry.table == "photo":
        return edit_photo, {"photo": entry.row, **changed}
    if entry.table == "move":
        return correct_move, {"move": entry.row, "values": changed}
    if entry.table == "departure":
        if "person" in changed:
            changed["new_person"], changed["person"] = changed["person"]
        return correct_departure, {"departure": entry.row, "values": changed}
    if entry.table == "health_course":
        if "person" in changed:
            changed["new_person"], changed["person"] = changed["person"]
        return correct_course, {"course": entry.row, "values": changed}
    return edit_entry, {"table": entry.table, "row": entry.row, "values": changed}
