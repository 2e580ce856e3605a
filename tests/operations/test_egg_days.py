"""Nothing is seen of an egg before it was laid, of a box before it stood, of an animal before it hatched."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from coilbook.operations.animals import AnimalDetails, edit_animal
from coilbook.operations.clutches import ClutchDetails, Laying, edit_clutch, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, do_to_box, look_at_box, set_up_box, water_box
from coilbook.operations.eggs import EggSeen, do_to_eggs, look_at_eggs, move_eggs
from coilbook.operations.hatching import NewHatchling, OfEgg, hatch_eggs, make_hatchlings
from coilbook.operations.season_seen import end_season, feel_follicles, see_ovulation
from coilbook.operations.stays import enter_stay
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import EggDeed, HatchEvent, Verdict
from coilbook.records.ids import ClutchId, EggBoxId, EggId
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass
from coilbook.records.season_vocabulary import SeasonEnd
from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.operations.conftest import Room

LAID = dt.date(2026, 3, 31)
EGG, OTHER_EGG = EggId(1), EggId(2)


def moment(day: dt.date, hour: int = 9) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(hour))


@pytest.fixture
def clutch(room: Room) -> ClutchId:
    """Two eggs laid on 31 March in a box of their own; it is 20 June."""
    room.clock.now = room.clock.now.replace(year=2026, month=6, day=20)
    laying = Laying(dam=None, eggs=read_egg_line("78 84"), laid=PartialDate(LAID), box=BoxDetails(label="EB-01"))
    return lay_clutch(room.book, laying=laying).value


Entry = Callable[[Room, dt.datetime], object]
OF_EGGS: dict[str, Entry] = {
    "candled": lambda r, at: look_at_eggs(r.book, looks={EGG: EggSeen(verdict=Verdict.GOOD)}, at=at),
    "treated": lambda r, at: do_to_eggs(r.book, eggs=[EGG], what=EggDeed.WIPED, at=at),
    "moved": lambda r, at: move_eggs(r.book, eggs=[EGG], box=EggBoxId(2), at=at),
    "pipped": lambda r, at: hatch_eggs(r.book, eggs=[OfEgg(EGG)], event=HatchEvent.PIP, at=at),
    "dead": lambda r, at: hatch_eggs(r.book, eggs=[OfEgg(EGG)], event=HatchEvent.DEAD_IN_SHELL, at=at),
    "hatched": lambda r, at: make_hatchlings(r.book, young=[NewHatchling(egg=EGG)], at=at),
}
OF_BOX: dict[str, Entry] = {
    "box looked at": lambda r, at: look_at_box(r.book, box=EggBoxId(1), seen=BoxSeen(fine=True), at=at),
    "watered": lambda r, at: water_box(r.book, box=EggBoxId(1), added=Mass(100), at=at),
    "vented": lambda r, at: do_to_box(r.book, box=EggBoxId(1), what=EggDeed.VENTED, at=at),
}


@pytest.mark.parametrize("name", [*OF_EGGS, *OF_BOX])
def test_nothing_is_seen_of_an_egg_or_its_box_before_the_day_of_laying(room: Room, clutch: ClutchId, name: str) -> None:
    set_up_box(room.book, details=BoxDetails(label="EB-02", set_up=LAID))
    entry, acts = {**OF_EGGS, **OF_BOX}[name], room.book.read("SELECT count(*) FROM act")
    with pytest.raises(Refusal) as refused:
        entry(room, moment(LAID - dt.timedelta(days=1), 23))
    told = render(refused.value.message, Style())
    assert "is before that" in told and "2026" in told and ("C26-01-1" in told or "EB-01" in told)
    assert room.book.read("SELECT count(*) FROM act") == acts, "nothing was written"
    with pytest.raises(Refusal, match="ahead"):
        entry(room, moment(dt.date(2026, 6, 25)))
    entry(room, moment(LAID, 0))


def test_a_doubt_of_the_day_of_laying_leaves_room_for_what_was_seen(room: Room, clutch: ClutchId) -> None:
    edit_clutch(room.book, clutch=clutch, details=ClutchDetails(doubt_days=2))
    before = LAID - dt.timedelta(days=2)
    look_at_eggs(room.book, looks={EGG: EggSeen(verdict=Verdict.GOOD)}, at=moment(before))
    with pytest.raises(Refusal, match="laid on"):
        look_at_eggs(room.book, looks={OTHER_EGG: EggSeen(mould=True)}, at=moment(before - dt.timedelta(days=1)))


def test_young_are_not_out_before_their_egg_pipped(room: Room, clutch: ClutchId) -> None:
    day = dt.date(2026, 5, 28)
    hatch_eggs(room.book, eggs=[OfEgg(EGG)], event=HatchEvent.PIP, at=moment(day))
    with pytest.raises(Refusal, match="pipped on"):
        make_hatchlings(room.book, young=[NewHatchling(egg=EGG)], at=moment(day - dt.timedelta(days=3)))
    assert make_hatchlings(room.book, young=[NewHatchling(egg=EGG)], at=moment(day, 9)).value


def test_a_female_neither_lays_nor_ovulates_before_she_hatched(room: Room) -> None:
    born = PartialDate(dt.date(2020, 7, 1), Precision.MONTH)
    edit_animal(room.book, animal=room.female, details=AnimalDetails(hatched=born))
    before = dt.date(2020, 6, 30)
    laying = Laying(dam=room.female, eggs=read_egg_line("78 84"), laid=PartialDate(before))
    for entry in (
        lambda: lay_clutch(room.book, laying=laying),
        lambda: see_ovulation(room.book, animal=room.female, at=moment(before), sure=True),
        lambda: feel_follicles(room.book, animal=room.female, grade=2, at=moment(before)),
        lambda: end_season(room.book, animal=room.female, outcome=SeasonEnd.SKIPPED, at=moment(before)),
        lambda: enter_stay(room.book, female=room.female, male=room.male, at=moment(before), until=moment(before, 12)),
    ):
        with pytest.raises(Refusal, match="is before that"):
            entry()
    laid = lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line("78"), laid=PartialDate(before))).value
    with pytest.raises(Refusal, match="hatched on"):
        edit_clutch(room.book, clutch=laid, details=ClutchDetails(dam=room.female))
    # a day of which no more than the year is known may still be after
    vague = PartialDate(dt.date(2020, 1, 1), Precision.YEAR)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("78"), laid=vague))
