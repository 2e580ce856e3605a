"""A second clutch of a female in one season: its own windows, stage and score, beside the eggs of the first."""

from __future__ import annotations

import datetime as dt

import pytest
from icalendar import Calendar

from coilbook.derived.season_book import FemaleSeason
from coilbook.derived.season_profile import profile_now
from coilbook.derived.season_reading import read_book
from coilbook.husbandry.figures import Event, Interval
from coilbook.operations.care import record_shed
from coilbook.operations.clutches import ClutchDetails, Laying, edit_clutch, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.operations.incubators import IncubatorDetails, add_incubator
from coilbook.operations.season_seen import see_ovulation
from coilbook.operations.settings import settings_of
from coilbook.operations.stays import enter_stay, leave_stay
from coilbook.operations.undo import undo_last
from coilbook.reads.season import season_page
from coilbook.reads.season_calendar import season_calendar
from coilbook.reads.season_close import season_close
from coilbook.reads.season_lines import FemaleLine
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import ClutchId
from coilbook.records.quantities import Temperature
from coilbook.records.season_vocabulary import PreLay, SeasonStage
from coilbook.records.when import PartialDate
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.operations.conftest import Room

START = dt.date(2025, 8, 1)


def on(room: Room, month: int, day: int, year: int = 2026) -> None:
    room.clock.now = dt.datetime(year, month, day, 20, 0, tzinfo=room.clock.now.tzinfo)


def lay(room: Room, eggs: str) -> None:
    laying = Laying(dam=room.female, eggs=read_egg_line(eggs), laid=PartialDate(room.clock.now.date()),
                    box=BoxDetails(incubator=1))  # type: ignore[arg-type]  # fmt: skip
    lay_clutch(room.book, laying=laying)


def line(room: Room) -> FemaleLine:
    page = season_page(room.book, room.clock.now.date(), settings_of(room.book))
    return next(line for line in page.females if line.id == room.female)


def season(room: Room) -> FemaleSeason:
    return read_book(room.book.read, 8).of(room.female, START)


@pytest.fixture
def again(room: Room) -> Room:
    """Ovulated 10 November, laid 29 December; paired again, ovulated a second time on 5 February."""
    on(room, 10, 20, 2025)
    add_incubator(room.book, details=IncubatorDetails(name="I", set_at=Temperature.of(31.5), shelves=("top",)))
    leave_stay(room.book, stay=enter_stay(room.book, female=room.female, male=room.male).value)
    on(room, 11, 10, 2025)
    see_ovulation(room.book, animal=room.female, sure=True)
    on(room, 12, 29, 2025)
    lay(room, "80 82 79")
    on(room, 1, 20)
    leave_stay(room.book, stay=enter_stay(room.book, female=room.female, male=room.male).value)
    on(room, 2, 5)
    see_ovulation(room.book, animal=room.female, sure=True)
    return room


def test_a_stay_alone_opens_no_second_clutch(again: Room) -> None:
    undo_last(again.book)
    found = season(again)
    assert found.earlier == () and found.laying is not None and len(found.stays) == 2


def test_the_second_is_gravid_with_windows_of_its_own_beside_the_first_eggs(again: Room) -> None:
    shown = line(again)
    assert shown.stage.stage is SeasonStage.GRAVID
    assert "Clutch 2 of this season" in str(shown.stage.reasons[0])
    assert render(shown.headline, Style(settings_of(again.book))) == "clutch 2: gravid, day 0"
    assert [w.event for w in shown.windows] == [Event.SHED, Event.LAYING, Event.PIP]
    (eggs,) = shown.eggs
    assert eggs.forecast.event is Event.PIP
    assert eggs.forecast.window(0.8).first < shown.windows[2].window(0.8).first  # type: ignore[union-attr]
    assert shown.next is not None and shown.next.event in (Event.PIP, Event.SHED)
    assert len(shown.season.every_stay) == 2 and [s.first.month for s in shown.season.stays] == [1]


def test_her_shed_is_asked_about_again_and_the_second_laying_closes_it(again: Room) -> None:
    on(again, 2, 24)
    record_shed(again.book, animal=again.female, pre_lay=PreLay.PRE_LAY)
    assert line(again).stage.stage is SeasonStage.PRE_LAY
    on(again, 3, 26)
    lay(again, "75 76")
    shown = line(again)
    assert render(shown.headline, Style(settings_of(again.book))) == "clutch 2: eggs, day 0"
    assert [w.event for w in shown.windows] == [Event.PIP]
    first, second = season(again).rounds
    assert (first.laying.day, second.laying.day) == (dt.date(2025, 12, 29), dt.date(2026, 3, 26))  # type: ignore[union-attr]
    past = [p for p in read_book(again.book.read, 8).past(profile_now(again.book.read)) if p.whose == again.female]
    days = {p.interval: p.days for p in past}
    assert (days[Interval.OVULATION_TO_SHED], days[Interval.SHED_TO_LAYING]) == (19, 30)
    # one calendar day a season: the second ovulation keeps to none
    assert sum(p.interval is Interval.SEASON_TO_OVULATION for p in past) == 1
    rows = season_close(again.book, START, settings_of(again.book))
    assert [row.laid for row in rows if row.female == again.female] == [first.laying.day, second.laying.day]  # type: ignore[union-attr]
    assert [row.days for row in rows if row.laid == dt.date(2026, 3, 26)] == [((Event.SHED, 19), (Event.LAYING, 30))]


def test_forecasts_of_both_are_kept_and_scored_apart(again: Room) -> None:
    kept = again.book.read("SELECT season, event FROM forecast_made WHERE anchor = 'ovulation' ORDER BY id")
    assert kept == [("2025-08-01", "pre_lay_shed"), ("2025-08-01", "laying"), ("2025-08-01", "pip"),
                    ("2025-08-01/2", "pre_lay_shed"), ("2025-08-01/2", "laying"), ("2025-08-01/2", "pip")]  # fmt: skip
    on(again, 3, 27)
    lay(again, "75 76")
    page = season_page(again.book, again.clock.now.date(), settings_of(again.book))
    # two layings and the first ovulation are held against their windows
    assert next(score.n for score in page.scores if score.level == 0.95) == 3


def test_the_calendar_keeps_both_clutches_apart(again: Room) -> None:
    text, _ = season_calendar(again.book, settings_of(again.book), again.clock.now)
    uids = [part for part in text.split("\r\n") if part.startswith("UID")]
    assert len(uids) == len(set(uids)) == 4


def events(text: str) -> dict[str, tuple[str, str]]:
    """Summary and status of every event by its UID, read by another library."""
    found = list(Calendar.from_ical(text).walk("VEVENT"))
    assert len({str(event["UID"]) for event in found}) == len(found)
    return {str(event["UID"]): (str(event["SUMMARY"]), str(event.get("STATUS", ""))) for event in found}


def pip_of_the_first(room: Room, former: str = "") -> tuple[str, str]:
    """The UID of the first clutch's pip, and the text it stands in."""
    text, _ = season_calendar(room.book, settings_of(room.book), room.clock.now, former)
    first = [uid for uid in events(text) if uid.startswith("pip-") and uid.split("@")[0].count("-") == 2]
    assert len(first) == 1
    return first[0], text


def test_the_pip_of_the_first_clutch_keeps_its_identifier_all_along(room: Room) -> None:
    """From her ovulation to the day before it, through the laying, another name, a second clutch and a new season."""
    on(room, 3, 10)
    add_incubator(room.book, details=IncubatorDetails(name="I", set_at=Temperature.of(31.5), shelves=("top",)))
    see_ovulation(room.book, animal=room.female, sure=True)
    ahead, text = pip_of_the_first(room)
    on(room, 4, 28)
    lay(room, "80 82 79")
    laid, text = pip_of_the_first(room, text)
    on(room, 6, 10)
    see_ovulation(room.book, animal=room.female, sure=True)
    edit_clutch(room.book, clutch=ClutchId(1), details=ClutchDetails(label="The first of hers"))
    second, text = pip_of_the_first(room, text)
    assert [uid.split("@")[0] for uid in events(text) if uid.startswith("pip-")] == [
        f"pip-{room.female}-2025", f"pip-{room.female}-2025-2",
    ]  # fmt: skip
    assert ahead == laid == second and events(text)[second][1] == ""


def test_eggs_in_the_warm_stay_in_the_calendar_when_a_new_season_begins(room: Room) -> None:
    on(room, 5, 20)
    add_incubator(room.book, details=IncubatorDetails(name="I", set_at=Temperature.of(31.5), shelves=("top",)))
    see_ovulation(room.book, animal=room.female, sure=True)
    on(room, 7, 8)
    lay(room, "80 82 79")
    before, text = pip_of_the_first(room)
    on(room, 8, 5)
    turned, text = pip_of_the_first(room, text)
    enter_stay(room.book, female=room.female, male=room.male, in_spite="a trial")
    paired, text = pip_of_the_first(room, text)
    assert before == turned == paired and events(text)[paired][1] == ""
    assert [eggs.label for eggs in line(room).eggs] == ["C26-01"]


def test_two_layings_within_days_are_one(room: Room) -> None:
    on(room, 3, 1)
    add_incubator(room.book, details=IncubatorDetails(name="I", set_at=Temperature.of(31.5), shelves=("top",)))
    lay(room, "80")
    on(room, 3, 3)
    lay(room, "81")
    assert season(room).earlier == ()


def test_the_last_part_of_a_laying_is_none_of_the_second_clutch(room: Room) -> None:
    """Laid 29 December, the rest entered 20 days on; ovulated again on 5 February."""
    on(room, 12, 29, 2025)
    add_incubator(room.book, details=IncubatorDetails(name="I", set_at=Temperature.of(31.5), shelves=("top",)))
    lay(room, "80 82")
    on(room, 1, 18)
    lay(room, "79")
    on(room, 2, 5)
    see_ovulation(room.book, animal=room.female, sure=True)
    (first,) = season(room).earlier
    assert first.laying is not None and first.laying.day == dt.date(2025, 12, 29)
    assert season(room).laying is None and season(room).ovulation is not None
    on(room, 3, 25)
    lay(room, "75 77")
    second = season(room)
    assert second.laying is not None and second.laying.day == dt.date(2026, 3, 25) and len(second.rounds) == 2
