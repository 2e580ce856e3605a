"""The story of a clutch reads every box its eggs lay in, for as long as they lay there, and says which."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.doubts import DoubtDetails, ask_doubt
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, edit_box, look_at_box, set_up_box, water_box
from coilbook.operations.eggs import move_eggs
from coilbook.reads.clutch_sheet import clutch_sheet
from coilbook.reads.clutch_story import StoryLine, clutch_story
from coilbook.reads.egg_rows import ClutchNow
from coilbook.reads.eggs_now import EggsNow, eggs_now
from coilbook.reads.story_to_share import Ticked, story_to_share
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import DoubtKind
from coilbook.records.ids import EggBoxId, EggId
from coilbook.records.quantities import Mass
from coilbook.wording.texts import render
from tests.operations.conftest import Clock, Room, book, clock, room

__all__ = ["Clock", "Room", "book", "clock", "room"]

FIRST, SECOND = EggBoxId(1), EggBoxId(2)


def fine(room: Room, box: EggBoxId, note: str) -> None:
    look_at_box(room.book, box=box, seen=BoxSeen(note=note))


def now_of(room: Room) -> tuple[EggsNow, ClutchNow]:
    now = eggs_now(room.book, room.clock.now)
    return now, next(clutch for clutch in now.clutches if clutch.label == "C26-02")


def told(lines: tuple[StoryLine, ...]) -> list[tuple[int, str]]:
    return [(line.day, render(line.told)) for line in lines]


@pytest.fixture
def moved(room: Room) -> Room:
    """Three eggs laid into EB-01 beside those of another clutch; on day 10 two go to EB-02, on day 20 the last one."""
    room.clock.now = room.clock.now.replace(year=2026, month=3, day=1)
    box = BoxDetails(label="EB-01")
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("70 71"), box=box))
    room.clock.pass_(days=4)
    fine(room, FIRST, "of the other clutch alone")
    room.clock.pass_(days=1)
    lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line("80 81 82"), box=FIRST))
    room.clock.pass_(days=5)
    fine(room, FIRST, "all in the first")
    room.clock.pass_(days=5)
    set_up_box(room.book, details=BoxDetails(label="EB-02"))
    move_eggs(room.book, eggs=[EggId(3), EggId(4)], box=SECOND, why="mould on a neighbour")
    room.clock.pass_(days=2)
    water_box(room.book, box=SECOND, added=Mass(120))
    ask_doubt(room.book, details=DoubtDetails(kind=DoubtKind.SMELL, box=FIRST))
    room.clock.pass_(days=8)
    move_eggs(room.book, eggs=[EggId(5)], box=SECOND)
    room.clock.pass_(days=1)
    fine(room, FIRST, "of the other clutch again")
    fine(room, SECOND, "all in the second")
    return room


def test_both_boxes_are_told_while_eggs_lay_there(moved: Room) -> None:
    now, clutch = now_of(moved)
    assert [box.label for box in now.boxes_of(clutch)] == ["EB-01", "EB-02"]
    lines = told(clutch_story(clutch, now.boxes_of(clutch)))
    assert (5, "EB-01: all in the first") in lines
    assert (10, "egg 1: moved, EB-01 to EB-02, mould on a neighbour") in lines
    assert (12, "EB-02: 12 g of water poured") in lines
    assert (12, "asked of EB-01: which egg smells?") in lines
    assert (21, "EB-02: all in the second") in lines
    assert not any("other clutch" in line for _, line in lines)


def test_a_box_that_was_emptied_since_is_told_as_well(moved: Room) -> None:
    move_eggs(moved.book, eggs=[EggId(1), EggId(2)], box=SECOND)
    edit_box(moved.book, box=FIRST, details=BoxDetails(emptied=moved.clock.now.date()))
    now, clutch = now_of(moved)
    assert [box.label for box in now.boxes] == ["EB-02"]
    assert (5, "EB-01: all in the first") in told(clutch_story(clutch, now.boxes_of(clutch)))
    sheet = clutch_sheet(moved.book, clutch, now.boxes[0], None, now.today, boxes=now.boxes_of(clutch))
    assert sheet.box == "EB-02" and (5, "EB-01: all in the first") in told(sheet.story)


def test_shared_without_places_the_boxes_have_numbers(moved: Room) -> None:
    now, clutch = now_of(moved)
    plain = story_to_share(clutch, now.boxes_of(clutch), Ticked())
    text = "\n".join(render(line) for line in (*plain.head, *plain.lines, *plain.doubts))
    assert "EB-" not in text and "box 2: 12 g of water poured" in text
    named = story_to_share(clutch, now.boxes_of(clutch), Ticked(place=True))
    assert [render(line) for line in named.head[1:]] == ["In EB-01, -.", "In EB-02, -."]


def test_eggs_taken_from_their_dam_say_where_they_went(room: Room) -> None:
    room.clock.now = dt.datetime(2026, 3, 1, 9, tzinfo=room.clock.now.tzinfo)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("80 81"), maternal=True, sires={}))
    room.clock.pass_(days=15)
    set_up_box(room.book, details=BoxDetails(label="EB-01"))
    move_eggs(room.book, eggs=[EggId(1)], box=FIRST)
    room.clock.pass_(days=1)
    fine(room, FIRST, "warm")
    now = eggs_now(room.book, room.clock.now)
    (clutch,) = now.clutches
    lines = told(clutch_story(clutch, now.boxes_of(clutch)))
    assert (15, "egg 1: laid into the box") in lines and (16, "the box: warm") in lines
