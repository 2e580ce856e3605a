"""A treatment that goes on is told where its animal is met: on the Season margin and in its place."""

from __future__ import annotations

from coilbook.operations.health import CourseDetails, begin_treatment, end_course
from coilbook.operations.moving import move_animal
from coilbook.operations.season_seen import see_ovulation
from coilbook.records.when import PartialDate
from coilbook.ui.main_window import MainWindow
from coilbook.ui.margin_content import Evidence, MarginSection
from coilbook.ui.screens.places import PlacesScreen
from coilbook.ui.screens.season import SeasonScreen
from tests.operations.conftest import Room


def told(sections: tuple[MarginSection, ...]) -> list[tuple[str, str, str]]:
    """Heading, shape and words of what is said of health."""
    return [
        (one.heading, row.shape, row.word)
        for one in sections
        if one.heading.startswith("Health")
        for row in one.rows
        if isinstance(row, Evidence)
    ]


def test_a_course_stands_on_the_season_margin_and_in_its_place(room: Room, window: MainWindow) -> None:
    book, today = room.book, room.clock.now.date()
    see_ovulation(book, animal=room.female)
    slot = room.slots["R2-B2"]
    move_animal(book, animal=room.female, place=slot)
    details = CourseDetails(what_for="noisy breathing", done="as the vet said", next_due=PartialDate(today))
    course = begin_treatment(book, animal=room.female, details=details).value
    name = str(book.read("SELECT keeper_id FROM animal WHERE id = ?", (room.female,))[0][0])
    day = f"{today.day} {today:%b}"
    line = f"under treatment since {day}, due today: noisy breathing"

    window.open_screen("season", animal=room.female)
    season = window.screen_open
    assert isinstance(season, SeasonScreen)
    assert told(season.margin_content().sections) == [("Health", "triangle", line)]

    window.open_screen("places", place=slot)
    places = window.screen_open
    assert isinstance(places, PlacesScreen)
    assert told(places.margin_content().sections) == [(f"Health, {name}", "triangle", line)]
    assert places.map._health == {room.female: "triangle"}

    room.clock.pass_(hours=1)
    window.desk.run(end_course, course=course, words="well again")
    assert told(places.margin_content().sections) == [] and places.map._health == {}
