"""The two calm forms of the list: one new animal, and the same for several; and the name of a view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtWidgets import QComboBox, QLineEdit

from coilbook.operations.animals import AnimalDetails, Together
from coilbook.reads.lookup import animal_with_id
from coilbook.reads.places import place_labelled
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass, parse_mass
from coilbook.records.vocabulary import PreyState, Sex, Status
from coilbook.ui.desk import Desk
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.typed import typed_date, typed_sex
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words

MOST_INTERVAL = 400


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

    def _text(self, name: str) -> str:
        editor = self.rows[name].editor
        return editor.text().strip() if isinstance(editor, QLineEdit) else ""

    def _slot_typed(self, name: str) -> PlaceId | None:
        typed = self._text(name)
        if not typed:
            return None
        place = place_labelled(self._desk.collection, typed)
        if place is None:
            raise Refusal(say("{place} is not a place here. Add it under Places first.", place=typed))
        return place

    def _animal_typed(self, name: str) -> AnimalId | None:
        typed = self._text(name)
        if not typed:
            return None
        found = animal_with_id(self._desk.collection, typed)
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
        self._line("keeper_id", translated("Id"), translated("as on its card, like F-014"))
        self._line("sex", translated("Sex"), translated("F, M? 80% or unsexed"))
        self._line("genetics", translated("Genetics"), translated("as you say it"), span=2)
        self._line("hatched", translated("Hatched"), translated("2021, May 2021, a day"))
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
            sex, percent, basis = typed_sex(self._text("sex")) if self._text("sex") else (Sex.UNSEXED, 100, None)
            name, now = "hatched", self._desk.clock()
            hatched = typed_date(self._text("hatched"), now, self._desk.settings)
            name = "weight"
            typed = self._text("weight")
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
            keeper_id=self._text("keeper_id"),
            name=self._text("name") or None,
            sex=sex,
            sex_percent=percent,
            sex_basis=basis,
            genetics=self._text("genetics") or None,
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
            prey_kind=self._text("prey") or None,
            prey_state=PreyState(prey_state) if prey_state else None,
        )
        tags = tuple(word.strip() for word in self._text("tags").split(",") if word.strip())
        together = Together(tags=tags, place=place, turn=Status(turn) if turn else None)
        if not details.columns() and together == Together(tags=()):
            self.refuse(translated("Nothing is filled in, so nothing would change."))
            return None
        return ForSeveral(details, together)

    def _interval(self) -> int | None:
        typed = self._text("interval")
        if not typed:
            return None
        digits = typed.removesuffix("days").removesuffix("d").strip()
        if not digits.isdecimal() or not 1 <= int(digits) <= MOST_INTERVAL:
            raise Refusal(say("'{text}' is not a number of days from 1 to {n}.", text=typed, n=MOST_INTERVAL))
        return int(digits)


class ViewForm(_Form):
    """The name a filter is kept under."""

    def __init__(self, desk: Desk, query: str) -> None:
        title = translated("Save this list as a view: {query}").format(query=query or translated("all animals"))
        super().__init__(desk, title, translated("Save"), columns=2)
        self._line("name", translated("Name"), translated("like Breeders"))

    def read(self) -> str | None:
        """The name, or None after a complaint."""
        self.accept()
        name = " ".join(self._text("name").split())
        if not name:
            self.complain("name", Refusal(say("A view needs a name.")))
            return None
        return name


def _choices(members: Sequence[PreyState | Status] | type[PreyState]) -> QComboBox:
    combo = QComboBox()
    combo.addItem(translated("as it is"), "")
    for member in members:
        combo.addItem(words(member), member.value)
    return combo
