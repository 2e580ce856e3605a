"""A letter and its mark are one letter, however many signs it was typed as: what goes in is found again."""

from __future__ import annotations

import datetime as dt
import unicodedata

import pytest

from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal, tag
from coilbook.operations.care import write_note
from coilbook.operations.places import add_rack
from coilbook.reads.filter import filtered
from coilbook.reads.herd import load
from coilbook.reads.lookup import animal_with_id
from coilbook.reads.named import animals_named, places_named
from coilbook.reads.places import place_labelled
from coilbook.records.message import Refusal
from coilbook.records.quantities import MassUnit
from coilbook.storage.collection import Collection
from tests.operations.conftest import Clock, book, clock

__all__ = ["Clock", "book", "clock"]

TODAY = dt.date(2026, 3, 29)
ONE, TWO = "NFC", "NFD"


@pytest.mark.parametrize(("stored", "asked"), [(ONE, TWO), (TWO, ONE), (TWO, TWO)])
def test_what_is_typed_in_one_form_is_found_in_the_other(book: Collection, stored: str, asked: str) -> None:
    def put(text: str) -> str:
        return unicodedata.normalize(stored, text)

    def ask(text: str) -> str:
        return unicodedata.normalize(asked, text)

    details = AnimalDetails(keeper_id=put("Zélie-1"), genetics=put("Grün"))
    animal = add_animal(book, details=details).value
    edit_animal(book, animal=animal, details=AnimalDetails(name=put("Łąka Ñu")))
    write_note(book, animal=animal, text=put("Häutung früh"))
    tag(book, animals=[animal], word=put("für Jörn"))
    add_animal(book, details=AnimalDetails(keeper_id="X-2"))
    add_rack(book, name=put("Süd"), rows=("A",), columns=1)
    assert animal_with_id(book, ask("Zélie-1")) == animal
    assert [a.id for a in animals_named(book, ask("Ñu"))] == [animal]
    assert place_labelled(book, ask("Süd-A1")) is not None
    assert places_named(book, ask("Sü"))[0].label == "S\u00fcd"
    herd = load(book)
    for typed in ("zélie", "grün", "häutung", "ñu", '"für jörn"'):
        left = filtered(herd, ask(typed), TODAY, MassUnit.GRAM)
        assert left.count == 1, typed
    with pytest.raises(Refusal, match="already"):
        add_rack(book, name=ask("Süd"))
