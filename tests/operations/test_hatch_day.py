"""A hatchling seen out only between two looks has no exact day: on its page, its cup label and its sheet."""

from __future__ import annotations

import datetime as dt

from coilbook.labels.content import CupLabel
from coilbook.operations.animals import AnimalDetails, edit_animal
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, look_at_box
from coilbook.operations.hatching import NewHatchling, make_hatchlings
from coilbook.reads.animal_page import animal_page
from coilbook.reads.animal_sheet import animal_sheet
from coilbook.reads.egg_label_rows import cup_label_rows
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import AnimalId, EggBoxId, EggId
from coilbook.records.when import PartialDate
from coilbook.ui.animal.words import origin_line
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.operations.conftest import Clock, Room, book, clock, room

__all__ = ["Clock", "Room", "book", "clock", "room"]


def hatched(room: Room, *, days_apart: int, exact: bool = False) -> AnimalId:
    """Out at a look of 28 May 2026, the look before so many days earlier."""
    room.clock.now = dt.datetime(2026, 3, 31, 9, tzinfo=room.clock.now.tzinfo)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("80 81"), box=BoxDetails()))
    room.clock.now = dt.datetime(2026, 5, 28, 7, tzinfo=room.clock.now.tzinfo) - dt.timedelta(days=days_apart)
    look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(fine=True))
    room.clock.now = dt.datetime(2026, 5, 28, 18, tzinfo=room.clock.now.tzinfo)
    return make_hatchlings(room.book, young=[NewHatchling(egg=EggId(1))], exact=exact).value[0]


def cup(room: Room, animal: AnimalId) -> str:
    content = cup_label_rows(room.book, [animal], Style())[0].content
    assert isinstance(content, CupLabel)
    return content.hatched


def test_between_two_looks_the_day_is_not_printed_as_exact(room: Room) -> None:
    animal = hatched(room, days_apart=3)
    page = animal_page(room.book, animal)
    assert page.who.hatched == PartialDate(dt.date(2026, 5, 28))
    assert page.who.hatched_not_before == dt.date(2026, 5, 25)
    assert "hatched here 25 May \u2013 28 May 2026" in origin_line(page, Style())
    assert cup(room, animal) == "hatched 25 May \u2013 28 May 2026"
    facts = [render(value) for _, value in animal_sheet(page, room.clock.now.date()).facts]
    assert "25 May 2026 to 28 May 2026, between two looks" in facts


def test_of_one_day_seen_happening_or_set_by_the_keeper_it_is_exact(room: Room) -> None:
    animal = hatched(room, days_apart=0)
    assert animal_page(room.book, animal).who.hatched_not_before is None
    assert cup(room, animal) == "hatched 28 May 2026"


def test_seen_happening_it_is_exact(room: Room) -> None:
    assert cup(room, hatched(room, days_apart=3, exact=True)) == "hatched 28 May 2026"


def test_a_day_the_keeper_sets_is_the_keepers(room: Room) -> None:
    animal = hatched(room, days_apart=3)
    edit_animal(room.book, animal=animal, details=AnimalDetails(hatched=PartialDate(dt.date(2026, 5, 27))))
    assert cup(room, animal) == "hatched 27 May 2026"
