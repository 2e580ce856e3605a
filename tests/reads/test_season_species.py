"""A season is counted with the species of its female; past seasons of another species move nothing."""

from __future__ import annotations

import datetime as dt

from coilbook.husbandry.figures import Event
from coilbook.husbandry.forecast import SeasonSoFar, forecasts
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.care import record_shed
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.season_seen import see_ovulation
from coilbook.operations.settings import settings_of
from coilbook.reads.season import season_page
from coilbook.reads.season_close import season_close
from coilbook.reads.season_fast import season_now
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import AnimalId
from coilbook.records.season_vocabulary import OvulationCertainty, PreLay
from coilbook.records.vocabulary import Sex
from tests.operations.conftest import Clock, Room, book, clock, room
from tests.operations.test_season import on

__all__ = ["Clock", "Room", "book", "clock", "room"]
D = dt.date


def of_species(room: Room, name: str, species: str) -> AnimalId:
    return add_animal(room.book, details=AnimalDetails(keeper_id=name, sex=Sex.FEMALE, species=species)).value


def laying_of(room: Room, female: AnimalId) -> tuple[dt.date, dt.date]:
    """The 80% window of her laying on the Season screen today."""
    page = season_page(room.book, room.clock.now.date(), settings_of(room.book))
    (line,) = [line for line in page.females if line.id == female]
    window = next(w for w in line.windows if w.event is Event.LAYING).window(0.8)
    assert window is not None
    return window.first, window.last


def seen(room: Room, female: AnimalId) -> None:
    see_ovulation(room.book, animal=female, certainty=OvulationCertainty.SEEN)


def test_past_seasons_of_another_species_move_nothing(room: Room) -> None:
    """Two corn snakes with sheds and layings days sooner, beside a ball python seen to ovulate."""
    on(room, 2026, 2, 20)
    seen(room, room.female)
    before = laying_of(room, room.female)
    corns = [of_species(room, f"C-00{n}", "corn_snake") for n in (1, 2)]
    for corn in corns:
        on(room, 2025, 3, 1)
        seen(room, corn)
        on(room, 2025, 3, 14)
        record_shed(room.book, animal=corn, pre_lay=PreLay.PRE_LAY)
        on(room, 2025, 4, 4)
        lay_clutch(room.book, laying=Laying(dam=corn, eggs=read_egg_line("12 12")))
    on(room, 2026, 2, 20)
    assert laying_of(room, room.female) == before


def test_a_corn_snake_is_forecast_and_kept_as_a_corn_snake(room: Room) -> None:
    on(room, 2026, 2, 20)
    corn = of_species(room, "C-001", "corn_snake")
    seen(room, corn)
    so_far = SeasonSoFar({Event.OVULATION: KnownDay.on(D(2026, 2, 20))})
    own, kept_species = (
        next(f for f in forecasts(shipped_profile(key), so_far, (), D(2026, 2, 20)) if f.event is Event.LAYING)
        for key in ("corn_snake", "ball_python")
    )
    window, other = own.window(0.8), kept_species.window(0.8)
    assert window is not None and other is not None and window != other
    assert laying_of(room, corn) == (window.first, window.last)
    assert room.book.read("SELECT first_80, last_80 FROM forecast_made WHERE animal_id = ? AND event = 'laying'",
                          (corn,)) == [(window.first.isoformat(), window.last.isoformat())]  # fmt: skip


def test_a_species_without_a_profile_is_not_forecast(room: Room) -> None:
    on(room, 2026, 2, 20)
    other = of_species(room, "W-001", "western_hognose")
    seen(room, other)
    today, settings = room.clock.now.date(), settings_of(room.book)
    (line,) = season_page(room.book, today, settings).females
    assert line.windows == () and line.next is None
    assert room.book.read("SELECT count(*) FROM forecast_made") == [(0,)]
    assert season_now(room.book, other, today, settings) is not None
    assert [row.keeper_id for row in season_close(room.book, D(2025, 8, 1), settings)] == ["W-001"]
