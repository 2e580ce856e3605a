"""What the page asks in its forms: a pairing, a look, how many hatchlings, whose mates."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coilbook.records.message import CoilbookError, Refusal
from coilbook.ui.outlook import forms
from coilbook.ui.outlook.reading import typed_wish

if TYPE_CHECKING:
    from coilbook.ui.screens.outlook import OutlookScreen


def ask_pairing(screen: OutlookScreen) -> None:
    """Ask for a pairing; the dam in focus stands in the form."""
    shown = screen.shown()
    form = forms.PairingForm(screen.desk, shown.odds.dam.keeper_id if shown is not None else "")

    def save() -> None:
        pairing = form.read()
        if pairing is not None:
            screen.close_form()
            screen.add(pairing)

    screen.put_form(form, save)


def ask_look(screen: OutlookScreen) -> None:
    """Ask what is looked for."""
    desk = screen.desk
    form = forms.look_form(desk, screen.looked_for() if screen.wish is not None else "")

    def refused(error: CoilbookError) -> None:
        # the form may have been left while the text was read
        if isinstance(error, Refusal) and screen.forms.form is form:
            form.complain(error, "look")

    def save() -> None:
        text, species = form.typed("look"), desk.settings.species
        desk.background.work_out(lambda _control: typed_wish(desk.collection, species, text), screen.look_for, refused)

    screen.put_form(form, save)


def ask_count(screen: OutlookScreen) -> None:
    """Ask how many hatchlings."""
    form = forms.count_form(screen.desk, screen.hatchlings)

    def save() -> None:
        try:
            screen.hatchlings = forms.count_typed(form)
        except Refusal as error:
            form.complain(error, "count")
            return
        screen.count_again()

    screen.put_form(form, save)


def ask_mates(screen: OutlookScreen) -> None:
    """Ask whose mates are ranked."""
    form = forms.mates_form(screen.desk, "")

    def save() -> None:
        try:
            animal = form.animal("animal")
        except Refusal as error:
            form.complain(error, "animal")
            return
        screen.rank(animal)

    screen.put_form(form, save)
