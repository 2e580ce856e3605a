"""A weight whose day its sheet does not say: shown as it is, with no day, and nothing is counted from one."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from coilbook.derived import summary
from coilbook.derived.season_rows import weights
from coilbook.intake.plan import propose
from coilbook.intake.workbook import read_sheets
from coilbook.operations.asks import Asks
from coilbook.operations.entries import edit_entry
from coilbook.operations.import_sheet import accept_import
from coilbook.operations.stays import enter_stay
from coilbook.operations.weighing import weigh
from coilbook.reads.animal_chart import series_of
from coilbook.reads.animal_facts import fast_facts, weight_facts
from coilbook.reads.animal_page import animal_page
from coilbook.reads.animal_rows import AnimalPage
from coilbook.reads.behind_cell import behind
from coilbook.reads.import_known import known_for_import
from coilbook.reads.laying_balance import weights_around
from coilbook.reads.season import season_page
from coilbook.records.ids import AnimalId
from coilbook.records.quantities import Mass
from coilbook.records.settings import Settings
from coilbook.wording.texts import render
from tests.operations.conftest import Room

SHEET = "ID,Sex,Weight\nF-101,f,2000\nM-101,m,900\n"


@pytest.fixture
def imported(room: Room, tmp_path: Path) -> tuple[Room, AnimalId]:
    """A female of 2,000 g by a sheet that does not say when."""
    file = tmp_path / "room.csv"
    file.write_text(SHEET, encoding="utf-8")
    accept_import(room.book, plan=propose(read_sheets(file), {}, known_for_import(room.book)), file=file)
    ((female,),) = room.book.read("SELECT id FROM animal WHERE keeper_id = 'F-101'")
    return room, AnimalId(female)


def page_of(room: Room, animal: AnimalId) -> AnimalPage:
    return animal_page(room.book, animal, room.clock().date())


def test_the_list_and_the_curve_have_its_mass_and_no_day(imported: tuple[Room, AnimalId]) -> None:
    room, female = imported
    now = room.book.read("SELECT weight_dg, weight_at, curve FROM animal_now WHERE animal = ?", (female,))
    assert now == [(20_000, None, "")]
    with room.book.writing() as db:
        summary.rebuild(db)
    assert room.book.read("SELECT weight_dg, weight_at, curve FROM animal_now WHERE animal = ?", (female,)) == now
    assert [w.undated for w in behind(room.book, female).weights] == [True]
    page = page_of(room, female)
    facts = weight_facts(page.weights, page.meals)
    assert facts is not None and facts.now.undated and facts.since_meal is facts.short is facts.highest is None
    assert series_of(page, room.clock().date()).weights == ()


def test_the_curve_before_one_is_that_of_the_days_on_record(imported: tuple[Room, AnimalId]) -> None:
    room, female = imported
    first, last = (dt.datetime(2025, 3, day, 20) for day in (1, 20))
    for at, mass in ((first, 18_000), (last, 19_000), (first - dt.timedelta(days=500), 900)):
        weigh(room.book, animal=female, mass=Mass(mass), at=at, sure=True)
    curve = f"{first.toordinal()}:18000 {last.toordinal()}:19000"
    now = room.book.read("SELECT weight_dg, weight_at, curve FROM animal_now WHERE animal = ?", (female,))
    assert now == [(20_000, None, curve)]


def test_nothing_is_lost_or_gained_since_one(imported: tuple[Room, AnimalId]) -> None:
    room, female = imported
    room.clock.pass_(days=40)
    # 400 g less than on some day: it may be a slip of the keys, and is no loss in any reckoning
    with pytest.raises(Asks) as asked:
        weigh(room.book, animal=female, mass=Mass(16_000))
    assert render(asked.value.message) == "1,600 g for F-101? Last 2,000 g, on a day not said."
    weigh(room.book, animal=female, mass=Mass(16_000), sure=True)
    today = room.clock().date()
    page = page_of(room, female)
    facts = weight_facts(page.weights, page.meals)
    assert facts is not None and facts.now.mass_dg == 16_000
    assert facts.short is None and facts.highest is None and fast_facts(page.meals, page.weights, today).weight is None
    assert weights(room.book.read, today - dt.timedelta(days=365))[female] == [(today, 16_000)]
    before, after = weights_around(room.book, female, today, today)
    assert before is None and after is None
    ((mass, at, curve),) = room.book.read(
        "SELECT weight_dg, substr(weight_at, 1, 10), curve FROM animal_now WHERE animal = ?", (female,)
    )
    assert (mass, at, curve) == (16_000, today.isoformat(), f"{today.toordinal()}:16000")


def test_an_animal_to_be_paired_was_not_weighed_lately_by_it(imported: tuple[Room, AnimalId]) -> None:
    room, female = imported
    outcome = enter_stay(room.book, female=female, male=room.male)
    assert any("On which day F-101 was weighed is not on record" in render(told) for told in outcome.warnings)


def test_a_day_given_later_is_its_day(imported: tuple[Room, AnimalId]) -> None:
    room, female = imported
    ((row,),) = room.book.read("SELECT id FROM weight WHERE animal_id = ?", (female,))
    edit_entry(room.book, table="weight", row=row, values={"tag": "empty"})
    assert page_of(room, female).weights[0].undated
    day = room.clock().replace(tzinfo=None) - dt.timedelta(days=20)
    edit_entry(room.book, table="weight", row=row, values={"at": day})
    assert not page_of(room, female).weights[0].undated
    assert room.book.read("SELECT substr(weight_at, 1, 10) FROM animal_now WHERE animal = ?", (female,)) == [
        (day.date().isoformat(),)
    ]


def test_her_season_has_the_mass_and_no_change(imported: tuple[Room, AnimalId]) -> None:
    room, female = imported
    enter_stay(room.book, female=female, male=room.male)
    (line,) = season_page(room.book, room.clock().date(), Settings()).females
    assert (line.start_dg, line.now_dg) == (None, 20_000)
