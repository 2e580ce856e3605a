"""The calm forms of the page: a pairing, a look, how many, whose mates."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QLineEdit

from coilbook.reads.lookup import animal_called
from coilbook.reads.outlook import Pairing
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.ui.desk import Desk
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.wording.language import translated

MOST_HATCHLINGS = 60
MOST_SIRES = 6


class OutlookForm(InlineForm):
    """A form with lines of text; complaints stand at their field."""

    def __init__(self, desk: Desk, title: str, save_words: str, columns: int) -> None:
        super().__init__(desk.theme, title, save_words, columns)
        self._desk = desk

    def line(self, name: str, head: str, hint: str, text: str = "", span: int = 1) -> QLineEdit:
        """Add a line."""
        editor = self.add(name, head, QLineEdit(), hint=hint, span=span).editor
        editor.setText(text)
        return editor

    def complain(self, error: Refusal, field: str) -> None:
        """Say what is wrong at a field."""
        self.refuse(self._desk.render(error.message), field)

    def animal(self, name: str) -> AnimalId:
        """The animal typed in a line; Refusal where there is none."""
        return _animal(self._desk, self.typed(name))


class PairingForm(OutlookForm):
    """Dam and sire, or a list of sires with percent."""

    def __init__(self, desk: Desk, dam: str = "") -> None:
        super().__init__(desk, translated("Add a pairing"), translated("Add"), 3)
        self.line("dam", translated("Dam"), translated("her id or name"), dam)
        self.line("sires", translated("Sire"), translated("his id or name, or a list: M-03 70, M-11 30"))
        self._each_own = QCheckBox(translated("each egg may have its own"))
        self.add("each_own", translated("Of a list"), self._each_own)

    def read(self) -> Pairing | None:
        """The pairing, or None after a complaint."""
        self.accept()
        field = "dam"
        try:
            dam = self.animal("dam")
            field = "sires"
            sires = _sires(self._desk, self.typed("sires"))
        except Refusal as error:
            self.complain(error, field)
            return None
        return Pairing(dam, sires, self._each_own.isChecked() and len(sires) > 1)


def look_form(desk: Desk, text: str) -> OutlookForm:
    """What is looked for."""
    form = OutlookForm(desk, translated("What do you look for?"), translated("Look for it"), 1)
    form.line("look", translated("Look"), translated("as on a card: Pastel Clown, super Enchi, het clown female"), text)
    return form


def count_form(desk: Desk, count: int) -> OutlookForm:
    """How many hatchlings."""
    form = OutlookForm(desk, translated("How many hatchlings?"), translated("Count with them"), 2)
    form.line("count", translated("Hatchlings"), translated("1 to {most}").format(most=MOST_HATCHLINGS), str(count))
    return form


def count_typed(form: OutlookForm) -> int:
    """The number; Refusal where it is none."""
    text = form.typed("count")
    if not text.isdecimal() or not 1 <= int(text) <= MOST_HATCHLINGS:
        raise Refusal(say("Type a number from 1 to {most}.", most=MOST_HATCHLINGS))
    return int(text)


def mates_form(desk: Desk, animal: str) -> OutlookForm:
    """Whose mates are ranked."""
    form = OutlookForm(desk, translated("Rank the mates of"), translated("Rank"), 2)
    form.line("animal", translated("Animal"), translated("id or name of a female or a male"), animal)
    return form


def _animal(desk: Desk, typed: str) -> AnimalId:
    if not typed:
        raise Refusal(say("Type an id or a name."))
    found = animal_called(desk.collection, typed)
    if found is None:
        raise Refusal(say("No animal {id}.", id=typed))
    return found


def _sires(desk: Desk, typed: str) -> tuple[tuple[AnimalId, int], ...]:
    parts = [part.strip() for part in typed.split(",") if part.strip()]
    if not parts:
        raise Refusal(say("Type the id of the sire."))
    if len(parts) == 1:
        return ((_animal(desk, parts[0]), 100),)
    sires: dict[AnimalId, int] = {}
    for part in parts[:MOST_SIRES]:
        name, _, number = part.removesuffix("%").strip().rpartition(" ")
        if not name or not number.isdecimal() or int(number) < 1:
            raise Refusal(say("Several sires need their percent each, like M-03 70, M-11 30."))
        sires[_animal(desk, name)] = int(number)
    return tuple(sires.items())
