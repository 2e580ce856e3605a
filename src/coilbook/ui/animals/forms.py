"""The calm forms of the list: one new animal, the same for several, where several go, the name of a view."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtWidgets import QComboBox, QLineEdit

from coilbook.operations.animals import AnimalDetails, Together
from coilbook.reads.lookup import animal_called, keeper_id_of
from coilbook.reads.places import PlaceRow, all_places, place_labelled
from coilbook.records.composed import composed
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass, parse_mass
from coilbook.records.vocabulary import MoveReason, PlaceKind, PreyState, Sex, Status
from coilbook.ui.desk import Desk
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.parts.text import label
from coilbook.ui.typed import typed_date, typed_sex
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words

MOST_INTERVAL = 400
#: pairs of animal and slot told before a move of many
MOST_TOLD = 8


@dataclass(frozen=True, slots=True)
class NewAnimal:
    """What the form holds, understood."""

    details: AnimalDetails
    place: PlaceId | None
    sires: dict[AnimalId, int]
    weight: Mass | None


class _Form(InlineForm):
    """A form whose fields are read one by one, so that a complaint stands at its field."""

    def __init__(self, desk: Desk, title: str, save_words: str, columns: int = 4) -> None:
        super().__init__(desk.theme, title, save_words, columns)
        self._desk = desk

    def _line(self, name: str, head: str, hint: str = "", span: int = 1) -> QLineEdit:
        return self.add(name, head, QLineEdit(), hint=hint, span=span).editor

    def _slot_typed(self, name: str) -> PlaceId | None:
        typed = self.typed(name)
        if not typed:
            return None
        place = place_labelled(self._desk.collection, typed)
        if place is None:
            raise Refusal(say("{place} is not a place here. Add it under Places first.", place=typed))
        return place

    def _animal_typed(self, name: str) -> AnimalId | None:
        typed = self.typed(name)
        if not typed:
            return None
        found = animal_called(self._desk.collection, typed)
        if found is None:
            raise Refusal(say("No animal {id}. Add it first, or leave this empty.", id=typed))
        return found

    def complain(self, name: str, error: Refusal) -> None:
        """Say at a field what is wrong with it; everything typed stays."""
        self.refuse(self._desk.render(error.message), name)


class AddForm(_Form):
    """One new animal: id, sex, genetics, hatched, weight, place, dam, sire."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, translated("Add an animal"), translated("Add"))
        self._line("keeper_id", translated("Id"), translated("like F-014"))
        self._line("sex", translated("Sex"), translated("F, M? 80% or unsexed"))
        self._line("genetics", translated("Genetics"), translated("as you say it"), span=2)
        self._line("hatched", translated("Hatched"), translated("like May 2021"))
        self._line("weight", translated("Weight"), desk.style.mass_unit())
        self._line("place", translated("Place"), translated("a slot, like R2-A3"))
        self._line("name", translated("Name"), translated("if it has one"))
        self._line("dam", translated("Dam"), translated("her id"))
        self._line("sire", translated("Sire"), translated("his id"))

    def read(self) -> NewAnimal | None:
        """What was typed, or None after a complaint at the first field that is not understood."""
        self.accept()
        name = "sex"
        try:
            sex, percent, basis = typed_sex(self.typed("sex")) if self.typed("sex") else (Sex.UNSEXED, 100, None)
            name, now = "hatched", self._desk.clock()
            hatched = typed_date(self.typed("hatched"), now, self._desk.settings)
            name = "weight"
            typed = self.typed("weight")
            weight = parse_mass(typed, self._desk.settings.mass_unit) if typed else None
            name = "place"
            place = self._slot_typed("place")
            name = "dam"
            dam = self._animal_typed("dam")
            name = "sire"
            sire = self._animal_typed("sire")
        except Refusal as error:
            self.complain(name, error)
            return None
        details = AnimalDetails(
            keeper_id=self.typed("keeper_id"),
            name=self.typed("name") or None,
            sex=sex,
            sex_percent=percent,
            sex_basis=basis,
            genetics=self.typed("genetics") or None,
            hatched=hatched,
            dam_id=dam,
        )
        return NewAnimal(details, place, {sire: 100} if sire is not None else {}, weight)

    def again(self) -> None:
        """Ready for the next animal."""
        for row in self.rows.values():
            if isinstance(row.editor, QLineEdit):
                row.editor.clear()
        self.accept()


@dataclass(frozen=True, slots=True)
class ForSeveral:
    """What the form says for all of them."""

    details: AnimalDetails
    together: Together


class EditForm(_Form):
    """The same for several animals; an empty field changes nothing."""

    def __init__(self, desk: Desk, animals: Sequence[int]) -> None:
        count = len(animals)
        title = translated_plural("Edit {n} animal; an empty field changes nothing",
                                  "Edit {n} animals in one act; an empty field changes nothing", count)  # fmt: skip
        super().__init__(desk, title, translated("Save for all"), columns=3)
        self.animals = tuple(AnimalId(animal) for animal in animals)
        self._line("interval", translated("Offered every"), translated("days"))
        self._line("prey", translated("Prey"), translated("small rat"))
        self._prey_state = self.add("prey_state", translated("How offered"), _choices(PreyState)).editor
        self._line("tags", translated("Tags"), translated("with commas between"))
        self._line("place", translated("Place"), translated("a slot, like R2-A3"))
        turns = (Status.SOLD, Status.DEAD, Status.LOAN, Status.LOST)
        self._turn = self.add("turn", translated("Status"), _choices(turns)).editor

    def read(self) -> ForSeveral | None:
        """What was typed, or None after a complaint at its field."""
        self.accept()
        name = "interval"
        try:
            interval = self._interval()
            name = "place"
            place = self._slot_typed("place")
        except Refusal as error:
            self.complain(name, error)
            return None
        prey_state, turn = self._prey_state.currentData(), self._turn.currentData()
        details = AnimalDetails(
            interval_days=interval,
            prey_kind=self.typed("prey") or None,
            prey_state=PreyState(prey_state) if prey_state else None,
        )
        tags = tuple(word.strip() for word in self.typed("tags").split(",") if word.strip())
        together = Together(tags=tags, place=place, turn=Status(turn) if turn else None)
        if not details.columns() and together == Together(tags=()):
            self.refuse(translated("Nothing is filled in, so nothing would change."))
            return None
        return ForSeveral(details, together)

    def _interval(self) -> int | None:
        typed = self.typed("interval")
        if not typed:
            return None
        digits = typed.removesuffix("days").removesuffix("d").strip()
        if not digits.isdecimal() or not 1 <= int(digits) <= MOST_INTERVAL:
            raise Refusal(say("'{text}' is not a number of days from 1 to {n}.", text=typed, n=MOST_INTERVAL))
        return int(digits)


class MoveForm(_Form):
    """Where the selected animals go: a rack, whose free slots fill in walking order, or a slot for each."""

    def __init__(self, desk: Desk, animals: Sequence[int]) -> None:
        count = len(animals)
        title = translated_plural("Move {n} animal", "Move {n} animals in one act", count)
        super().__init__(desk, title, translated("Move"), columns=3)
        self._animals = tuple(AnimalId(animal) for animal in animals)
        self._names = tuple(keeper_id_of(desk.collection, animal) for animal in self._animals)
        hint = translated("a rack for its free slots, like R3; or slots in this order, like R2-A1, R2-A2")
        to = self._line("to", translated("To"), hint if count > 1 else translated("a slot, or a rack"), span=3)
        self._reason = self.add("reason", translated("Why"), _choices(MoveReason, translated("not said"))).editor
        self._line("note", translated("Note"), span=2)
        self.told = label("", "second", wrap=True)
        self.add("told", translated("Who goes where"), self.told, span=3)
        to.textChanged.connect(self._tell)
        self._tell()

    @property
    def reason(self) -> MoveReason:
        """Why they move."""
        return MoveReason(self._reason.currentData() or MoveReason.UNSAID)

    @property
    def note(self) -> str:
        """The note for all of them."""
        return self.typed("note")

    def read(self) -> dict[AnimalId, PlaceId | None] | None:
        """The slot of each animal, or None after a complaint."""
        self.accept()
        try:
            slots = self._slots()
        except Refusal as error:
            self.complain("to", error)
            return None
        return {animal: slot.id for animal, slot in zip(self._animals, slots, strict=True)}

    def _slots(self) -> list[PlaceRow]:
        """A slot for each animal, in their order; a refusal says what is missing."""
        places = all_places(self._desk.collection)
        by_label = {place.label.casefold(): place for place in places}
        typed = [" ".join(part.split()) for part in composed(self.typed("to")).split(",") if part.strip()]
        found: list[PlaceRow] = []
        for label_typed in typed:
            place = by_label.get(label_typed.casefold())
            if place is None:
                raise Refusal(say("{place} is not a place here. Add it under Places first.", place=label_typed))
            free = [p for p in places if p.parent == place.id and p.kind is PlaceKind.SLOT and not p.dwellers]
            found += [place] if place.kind is PlaceKind.SLOT else free
        count = len(self._animals)
        rack = any(by_label[name.casefold()].kind is not PlaceKind.SLOT for name in typed)
        if not typed:
            raise Refusal(say("Say where to: a rack, or slots with commas between."))
        if len(found) < count or (len(found) > count and not rack):
            raise Refusal(
                say("{n} slot for {animals} animals.", "{n} slots for {animals} animals.", n=len(found), animals=count)
            )
        return found[:count]

    def _tell(self) -> None:
        """Say who would go where, before anything is done."""
        try:
            labels = [slot.label for slot in self._slots()]
        except Refusal:
            labels = []
        pairs = [
            f"{name} \u2192 {to}" for name, to in zip(self._names, labels or ["?"] * len(self._names), strict=True)
        ]
        more = len(pairs) - MOST_TOLD
        rest = [translated_plural("and {n} more", "and {n} more", more)] if more > 0 else []
        self.told.setText("   ".join([*pairs[:MOST_TOLD], *rest]))


class ViewForm(_Form):
    """The name a filter is kept under."""

    def __init__(self, desk: Desk, query: str) -> None:
        title = translated("Save this list as a view: {query}").format(query=query or translated("all animals"))
        super().__init__(desk, title, translated("Save"), columns=2)
        self._line("name", translated("Name"), translated("like Breeders"))

    def read(self) -> str | None:
        """The name, or None after a complaint."""
        self.accept()
        name = " ".join(self.typed("name").split())
        if not name:
            self.complain("name", Refusal(say("A view needs a name.")))
            return None
        return name


def _choices(members: Iterable[StrEnum], none: str = "") -> QComboBox:
    combo = QComboBox()
    combo.addItem(none or translated("as it is"), "")
    for member in members:
        if words(member) != none:
            combo.addItem(words(member), member.value)
    return combo
