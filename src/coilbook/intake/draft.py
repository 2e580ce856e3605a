"""The row at hand while it is being read: filled cell by cell, then frozen into planned animals."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from coilbook.intake.columns import Column
from coilbook.intake.layout import RowKind
from coilbook.intake.planned import (
    Fate,
    PlannedAnimal,
    PlannedFeeding,
    PlannedNote,
    PlannedParent,
    PlannedPlace,
    PlannedWeight,
)
from coilbook.intake.sheet import Row
from coilbook.records.composed import seen
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message
from coilbook.records.quantities import Money
from coilbook.records.vocabulary import PreyState, Sex, Status
from coilbook.records.when import PartialDate


@dataclass(slots=True)
class Draft:
    """Everything one row has told so far."""

    sheet: str
    row: Row
    kind: RowKind
    fates: Sequence[Fate]
    keeper_id: str = ""
    name: str = ""
    existing: AnimalId | None = None
    sex: Sex | None = None
    sex_sure: bool = True
    counts: tuple[int, int, int] | None = None
    hatched: PartialDate | None = None
    claim: str = ""
    #: the header of the claim's column
    claim_title: str = ""
    finding: object = None
    read_as: str = ""
    status: Status | None = None
    departed: dt.date | None = None
    acquired: PartialDate | None = None
    source: str = ""
    price_text: str = ""
    price: Money | None = None
    room: str = ""
    rack: str = ""
    #: the whole text of a column of racks
    rack_text: str = ""
    slot: str = ""
    place: PlannedPlace | None = None
    dam_text: str = ""
    sire_text: str = ""
    parents_text: str = ""
    dam: PlannedParent | None = None
    sire: tuple[PlannedParent, ...] = ()
    own_bred: bool = False
    prey: str = ""
    prey_state: PreyState | None = None
    weighed: dt.date | None = None
    weights: tuple[PlannedWeight, ...] = ()
    feedings: tuple[PlannedFeeding, ...] = ()
    notes: tuple[PlannedNote, ...] = ()
    tags: tuple[str, ...] = ()
    reason: Message | None = None
    waits: tuple[str, ...] = ()
    warnings: tuple[Message, ...] = ()
    text_kept: bool = False
    #: who the row is stands open, or the keeper left it out: nothing of it is written
    withheld: bool = False
    #: the draft this one is merged into
    into: Draft | None = None
    #: where its animals stand in the plan
    animals: tuple[int, ...] = ()

    @property
    def label(self) -> str:
        """How sentences call the row's animal."""
        return self.keeper_id or self.name or f"row {self.row.number}"

    def wait(self, key: str) -> None:
        """Note that an open question concerns this row."""
        if key not in self.waits:
            self.waits += (key,)

    def note(self, column: Column, text: str, on: dt.date | None = None) -> Fate:
        """Keep a cell's words as a note under its header."""
        self.notes += (PlannedNote(f"{column.title}: {text}", on),)
        return Fate.NOTE

    def keep_text(self, column: Column, text: str) -> Fate:
        """Keep a cell that could not be read as what its column holds."""
        self.text_kept = True
        return self.note(column, text)

    def withhold(self) -> None:
        """Write nothing of this row; its words stay in the report."""
        self.withheld = True
        self.fates = [Fate.KEPT if cell else Fate.EMPTY for cell in self.row.cells]

    def freeze(self) -> tuple[PlannedAnimal, ...]:
        """The animals of this row: one, or as many as its group counts."""
        one = PlannedAnimal(
            keeper_id=seen(self.keeper_id) or self.keeper_id,
            existing=self.existing,
            name=self.name,
            sex=self.sex or Sex.UNSEXED,
            sex_sure=self.sex_sure,
            hatched=self.hatched,
            claim=self.claim,
            finding=self.finding,
            read_as=self.read_as,
            status=self.status or Status.HERE,
            departed=self.departed,
            acquired=self.acquired,
            source=self.source,
            price_text=self.price_text,
            price=self.price,
            place=self.place,
            dam=self.dam,
            sire=self.sire,
            own_bred=self.own_bred,
            prey=self.prey,
            prey_state=self.prey_state,
            weights=self.weights,
            feedings=self.feedings,
            notes=self.notes,
            tags=tuple(dict.fromkeys(self.tags)) if self.tags else (),
            sources=((self.sheet, self.row.number),),
        )
        return (one,) if self.counts is None else _members(one, self.counts)


def _members(group: PlannedAnimal, counts: tuple[int, int, int]) -> tuple[PlannedAnimal, ...]:
    """The animals of a group row. Weights and feedings are nobody's in particular: each has them as notes."""
    notes = [*group.notes]
    notes.extend(PlannedNote(f"Weight of the group: {weight.text}", weight.on) for weight in group.weights)
    notes.extend(PlannedNote(f"Feeding of the group: {meal.text}", meal.on) for meal in group.feedings)
    if group.price_text:
        notes.append(PlannedNote(f"Price of the group: {group.price_text}"))
    plain = replace(group, weights=(), feedings=(), notes=tuple(notes), price=None, price_text="")
    sexes = [sex for sex, count in zip((Sex.MALE, Sex.FEMALE, Sex.UNSEXED), counts) for _ in range(count)]
    return tuple(
        replace(plain, keeper_id=f"{group.keeper_id}/{number}", sex=sex) for number, sex in enumerate(sexes, 1)
    )


def merged(first: PlannedAnimal, second: PlannedAnimal) -> PlannedAnimal:
    """One animal from two rows of it: the first row's fields win, what the second says otherwise becomes a note."""
    changes: dict[str, object] = {}
    notes = [*first.notes, *(note for note in second.notes if note not in first.notes)]
    for name in _FIELDS:
        mine, theirs = getattr(first, name), getattr(second, name)
        if mine == theirs or theirs in _UNSAID:
            continue
        if mine in _UNSAID:
            changes[name] = theirs
        else:
            sheet, number = second.sources[0]
            notes.append(PlannedNote(f"{sheet}, row {number}, {name.replace('_', ' ')}: {_words(theirs)}"))
    for field_name, companions in _COMPANIONS.items():
        if field_name in changes:
            changes.update({companion: getattr(second, companion) for companion in companions})
    for name in ("weights", "feedings", "tags", "sources"):
        mine = getattr(first, name)
        changes[name] = (*mine, *(entry for entry in getattr(second, name) if entry not in mine))
    return replace(first, notes=tuple(notes), **changes)  # type: ignore[arg-type]


_FIELDS = (
    "keeper_id", "name", "sex", "hatched", "claim", "status", "departed", "acquired", "source", "price_text", "place",
    "dam", "sire", "prey", "own_bred",
)  # fmt: skip
#: values that come and go with a field
_COMPANIONS = {"sex": ("sex_sure",), "claim": ("finding", "read_as"), "price_text": ("price",), "prey": ("prey_state",)}
_UNSAID: tuple[object, ...] = (None, "", (), False, Sex.UNSEXED, Status.HERE)


def _words(value: object) -> str:
    if isinstance(value, PartialDate):
        return f"{value.stored} ({value.precision.value})"
    if isinstance(value, PlannedPlace):
        return " ".join(part for part in (value.room, value.rack, value.slot) if part)
    if isinstance(value, PlannedParent):
        return value.text
    if isinstance(value, tuple):
        return ", ".join(_words(part) for part in value)
    return str(value)
