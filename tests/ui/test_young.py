"""A hatchling ready for sale or not: on its page, in the filter of the list, and by the keeper's own rule."""

from __future__ import annotations

import datetime as dt
from unittest.mock import patch

import pytest
from PySide6.QtWidgets import QApplication

from coilbook.derived import season_profile
from coilbook.derived.season_profile import source_now
from coilbook.husbandry.figures import FigureKey
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.operations.care import record_shed
from coilbook.operations.feeding import offer_feeding
from coilbook.operations.own_numbers import set_number
from coilbook.operations.weighing import weigh
from coilbook.reads.young import LEARNED_FROM, young_known, young_page
from coilbook.records.ids import AnimalId
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import FeedingResult, Origin
from coilbook.records.when import PartialDate
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.animals import AnimalsScreen
from coilbook.ui.screens.numbers import NumbersScreen
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow


def hatchling(room: Room, name: str, results: str, grams: int, age: int = 80) -> AnimalId:
    """Hatched `age` days ago, shed on day 10, offered weekly from day 20: T taken, R refused."""
    today = room.clock.now
    out = today - dt.timedelta(days=age)
    details = AnimalDetails(keeper_id=name, hatched=PartialDate(out.date()), origin=Origin.BRED_HERE)
    animal = add_animal(room.book, details=details).value
    record_shed(room.book, animal=animal, at=out + dt.timedelta(days=10))
    for week, letter in enumerate(results):
        result = FeedingResult.TAKEN if letter == "T" else FeedingResult.REFUSED
        offer_feeding(room.book, animal=animal, result=result, at=out + dt.timedelta(days=20 + 7 * week))
    weigh(room.book, animal=animal, mass=Mass(650), at=out, sure=True)
    weigh(room.book, animal=animal, mass=Mass(grams * 10), at=today - dt.timedelta(days=1), sure=True)
    return animal


@pytest.fixture
def young(room: Room) -> dict[str, AnimalId]:
    return {
        "H-1": hatchling(room, "H-1", "TTTTTT", 95),
        "H-2": hatchling(room, "H-2", "TRTTT", 90),
        "H-3": hatchling(room, "H-3", "RRRRRR", 60),
    }


@pytest.fixture
def window(make_window: MakeWindow, young: dict[str, AnimalId]) -> MainWindow:
    return make_window(AnimalsScreen, AnimalScreen, NumbersScreen)


def left_by(window: MainWindow, text: str) -> set[str]:
    window.open_screen("animals")
    screen = window.screen_open
    assert isinstance(screen, AnimalsScreen)
    screen.filter_text(text)
    QApplication.processEvents()
    rows = [screen.model.row(number) for number in range(screen.model.rowCount())]
    return {row.keeper_id for row in rows if row is not None}


def page_of(window: MainWindow, animal: AnimalId) -> AnimalScreen:
    window.desk.go_animal(animal)
    screen = window.screen_open
    assert isinstance(screen, AnimalScreen)
    return screen


def test_the_page_says_what_is_met_what_is_missing_and_when(window: MainWindow, young: dict[str, AnimalId]) -> None:
    ready = page_of(window, young["H-1"]).facts()["sale"]
    assert (ready.value, ready.shape) == ("ready", "done")
    screen = page_of(window, young["H-2"])
    fact = screen.facts()["sale"]
    assert fact.value == "3 of 5 meals" and fact.lines[0].startswith("ready ") and fact.lines[1] == "1 missing"
    screen.body.strip.go("sale")
    margin = screen.margin_content()
    assert [(part.word, part.right) for part in margin.evidence] == [
        ("3 of 5 meals in a row, unaided", "missing"), ("90 g; from 85 g", "met"), ("80 days old; from 56", "met"),
    ]  # fmt: skip
    assert margin.sections[0].rows[-1].strong  # type: ignore[union-attr]
    assert "2 more meals in a row" in margin.sections[0].text
    slow = page_of(window, young["H-3"])
    assert slow.facts()["sale"].value == "not started" and slow.facts()["sale"].shape == "triangle"


def test_a_grown_animal_has_no_such_column(window: MainWindow, room: Room, young: dict[str, AnimalId]) -> None:
    page_of(window, young["H-2"]).body.strip.go("sale")
    assert "sale" not in page_of(window, room.female).facts()


def test_the_filter_finds_them_and_follows(window: MainWindow, room: Room, young: dict[str, AnimalId]) -> None:
    assert left_by(window, "ready for sale") == {"H-1"}
    assert left_by(window, "not started") == {"H-3"}
    assert left_by(window, "not ready for sale") == {"H-2", "H-3", "F-014", "M-03"}
    window.desk.run(offer_feeding, animal=young["H-3"], result=FeedingResult.TAKEN)
    QApplication.processEvents()
    assert left_by(window, "not started") == set()


def test_the_rule_is_of_the_animals_own_species(
    make_window: MakeWindow, room: Room, young: dict[str, AnimalId]
) -> None:
    """A corn snake is ready at a tenth of the weight."""
    corn = hatchling(room, "C-1", "TTTTTT", 11)
    edit_animal(room.book, animal=corn, details=AnimalDetails(species="corn_snake"))
    window = make_window(AnimalsScreen, AnimalScreen, NumbersScreen)
    assert page_of(window, corn).facts()["sale"].value == "ready"
    assert left_by(window, "ready for sale") == {"H-1", "C-1"}


def test_the_keepers_rule_counts(window: MainWindow, young: dict[str, AnimalId]) -> None:
    window.desk.run(set_number, key=FigureKey.SALE_MEALS_IN_A_ROW, value=3)
    assert left_by(window, "ready for sale") == {"H-1", "H-2"}
    screen = page_of(window, young["H-2"])
    assert screen.facts()["sale"].value == "ready"
    screen.body.strip.go("sale")
    next(link for link in screen.margin_content().links if "rule" in link.words).run()
    numbers = window.screen_open
    assert isinstance(numbers, NumbersScreen) and numbers.row is not None
    assert (numbers.row.key, numbers.row.own) == (FigureKey.SALE_MEALS_IN_A_ROW, 3)


def test_a_forecast_learns_from_the_newest_hatchlings_only(room: Room) -> None:
    """However many hatched in the years before, what a page has to read stays the same."""
    for number in range(LEARNED_FROM + 10):
        hatchling(room, f"Y-{number}", "RT", 90, age=200)
    animal = hatchling(room, "Y-new", "", 70, age=30)
    page = young_page(room.book, animal, room.clock.now.date())
    assert page is not None and page.ahead
    told = " ".join(str(message) for message in page.ahead[0].because)
    # it is the newest of them itself
    assert f"from {LEARNED_FROM - 1} of others here" in told


def test_the_numbers_of_a_species_are_read_once_for_all_its_hatchlings(room: Room) -> None:
    """Twenty hatchlings ask no more of the settings than one, and one of a species without numbers is left out."""
    today, asked = room.clock.now.date(), []

    def numbers_read() -> int:
        asked.clear()
        with patch.object(season_profile, "source_now", side_effect=lambda *a: asked.append(a) or source_now(*a)):
            young_known(room.book, today)
        return len(asked)

    first = hatchling(room, "Y-0", "TTTTTT", 120)
    once = numbers_read()
    rest = [hatchling(room, f"Y-{number}", "TTTTTT", 120) for number in range(1, 20)]
    assert (once, numbers_read()) == (1, 1)
    stranger = hatchling(room, "Y-other", "TTTTTT", 120)
    assert set(young_known(room.book, today).ready.tolist()) == {first, *rest, stranger}
    edit_animal(room.book, animal=stranger, details=AnimalDetails(species="no_such_snake"))
    assert set(young_known(room.book, today).ready.tolist()) == {first, *rest}
    assert young_page(room.book, stranger, today) is None
