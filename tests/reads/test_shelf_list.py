"""The shelf list: every place once, free ones too; boxes without a place last; nothing on paper cut off."""

from __future__ import annotations

import pypdfium2

from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails, set_up_box
from coilbook.operations.incubators import IncubatorDetails, add_incubator
from coilbook.printing.shelf_list import shelf_list_pdf
from coilbook.reads.eggs_now import eggs_now
from coilbook.reads.shelf_list import shelf_list
from coilbook.records.egg_line import read_egg_line
from coilbook.records.quantities import Temperature
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.operations.conftest import Room, book, clock, room

__all__ = ["book", "clock", "room"]


def test_every_place_is_listed_once(room: Room) -> None:
    details = IncubatorDetails(name="Incubator 1", set_at=Temperature.of(31.5), shelves=("top", "low"), per_shelf=2)
    incubator = add_incubator(room.book, details=details).value
    eggs = read_egg_line("78 84 54? 36s 31s")
    lay_clutch(room.book, laying=Laying(dam=None, eggs=eggs, box=BoxDetails(incubator=incubator, shelf=2, spot=1)))
    set_up_box(room.book, details=BoxDetails(label="Spare"))
    listed = shelf_list(eggs_now(room.book, room.clock()))
    first, loose = listed.incubators
    assert [(s.name, [(p.spot, p.box) for p in s.places]) for s in first.shelves] == [
        ("top", [(1, ""), (2, "")]),
        ("low", [(1, "EB-01"), (2, "")]),
    ]
    there = first.shelves[1].places[0]
    assert there.eggs is not None and render(there.eggs) == "2 good, 1 doubtful, 2 slugs"
    assert [p.box for p in loose.shelves[0].places] == ["Spare"]
    with pypdfium2.PdfDocument(shelf_list_pdf(listed, Style())) as document:
        text = "".join(page.get_textpage().get_text_range() for page in document)
    for word in ("Incubator 1", "31.5", "EB-01", "2 good, 1 doubtful, 2 slugs", "Spare", "In no incubator"):
        assert word in text, word
    assert text.count("free") == 4  # three places, and the spare box says of itself that it is free
