"""The clutch sheet read back from its PDF: what stands on it, what never does, and the code."""

from __future__ import annotations

import datetime as dt
from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.operations.eggs import EggSeen, look_at_eggs
from coilbook.operations.photos import add_egg_photo
from coilbook.printing.clutch_sheet import clutch_sheet_pdf
from coilbook.reads.clutch_sheet import ClutchSheet, clutch_sheet
from coilbook.reads.egg_boxes import boxes_in_use, clutches
from coilbook.reads.hatch_windows import hatch_windows
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import Veins, Verdict
from coilbook.records.ids import ClutchId, EggId
from coilbook.records.quantities import Mass
from coilbook.records.when import PartialDate
from coilbook.scanning.pictures import texts_in_array
from coilbook.wording.style import Style
from tests.operations.conftest import Clock, Room, book, clock, room

__all__ = ["Clock", "Room", "book", "clock", "room"]


def sheet_of(room: Room, looks: int) -> ClutchSheet:
    box = BoxDetails(label="EB-12", start=Mass(18_640))
    laying = Laying(dam=room.female, eggs=read_egg_line("78 54? 36s"), sires={room.male: 92}, box=box)
    lay_clutch(room.book, laying=laying)
    for n in range(looks):
        room.clock.pass_(days=1)
        verdict = Verdict.DOUBTFUL if n % 2 else Verdict.GOOD
        look_at_eggs(room.book, looks={EggId(2): EggSeen(verdict=verdict, veins=Veins.FAINT)})
    (found,) = boxes_in_use(room.book)
    (clutch,) = found.clutches
    today = room.clock.now.date()
    return clutch_sheet(room.book, clutch, found, hatch_windows(room.book, [found], today)[clutch.id], today)


def words_of(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(BytesIO(pdf))
    try:
        return [page.get_textpage().get_text_range() for page in document]
    finally:
        document.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_says_whose_eggs_they_are_and_keeps_what_was_thought(room: Room, paper: str) -> None:
    sheet = sheet_of(room, 1)
    pdf = clutch_sheet_pdf(sheet, Style(), paper)
    (text,) = words_of(pdf)
    assert "C26-01" in text and "EB-12" in text and "M-03 \u2642 M, 92%" in text
    assert "give or take" not in text and "Wren" not in text and "R2-A1" not in text
    assert "egg 2: faint, good (thought doubtful before)" in text
    document = pypdfium2.PdfDocument(BytesIO(pdf))
    picture = np.asarray(document[0].render(scale=200 / 72, grayscale=True).to_pil().convert("L"))
    document.close()
    assert sheet.code is not None and sheet.code.text in texts_in_array(picture)


def test_a_long_story_goes_on_further_pages(room: Room) -> None:
    pages = words_of(clutch_sheet_pdf(sheet_of(room, 60), Style()))
    assert len(pages) >= 2
    assert all(f"page {n}" in text for n, text in enumerate(pages, 1))
    whole = "\n".join(pages)
    assert whole.count("thought good before") + whole.count("thought doubtful before") == 60


def test_an_unsure_day_of_laying_is_said(room: Room) -> None:
    laying = Laying(dam=None, eggs=read_egg_line("3x"), laid=PartialDate(dt.date(2026, 3, 1)), doubt_days=4)
    lay_clutch(room.book, laying=laying)
    (clutch,) = clutches(room.book, [ClutchId(1)])
    (text,) = words_of(clutch_sheet_pdf(clutch_sheet(room.book, clutch, None, None, room.clock.now.date()), Style()))
    assert "give or take 4 days" in text and "not known" in text


def images_in(pdf: bytes) -> int:
    document = pypdfium2.PdfDocument(BytesIO(pdf))
    try:
        kinds = [thing.type for page in document for thing in page.get_objects()]
        return kinds.count(pypdfium2.raw.FPDF_PAGEOBJ_IMAGE)
    finally:
        document.close()


def test_pictures_stand_under_the_story_each_with_its_caption(room: Room, tmp_path: Path) -> None:
    assert images_in(clutch_sheet_pdf(sheet_of(room, 1), Style())) == 0
    file = tmp_path / "egg.png"
    Image.new("RGB", (640, 480), (140, 100, 60)).save(file)
    (box,) = boxes_in_use(room.book)
    add_egg_photo(room.book, picture=file, egg=EggId(2), caption="a dent at the top")
    add_egg_photo(room.book, picture=file, box=box.id)
    pdf = sheet_now(room)
    text = "\n".join(words_of(pdf))
    assert "egg 2, a dent at the top" in text and ": EB-12" in text and images_in(pdf) == 2
    for gone in (room.book.folder / "photos").rglob("*.*"):
        if gone.is_file():
            gone.unlink()
    pdf = sheet_now(room)
    assert "the picture is missing" in "\n".join(words_of(pdf)) and images_in(pdf) == 0


def sheet_now(room: Room) -> bytes:
    (box,) = boxes_in_use(room.book)
    return clutch_sheet_pdf(clutch_sheet(room.book, box.clutches[0], box, None, room.clock.now.date()), Style())
