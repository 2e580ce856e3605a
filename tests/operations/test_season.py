"""A season as it is entered: plans, stays and locks, follicles, ovulation, sheds, and the questions on the way."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.derived.season_reading import read_book
from coilbook.husbandry.figures import Event, FigureKey, OvulationCue
from coilbook.husbandry.forecast import EventForecast
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.operations.asks import Asks
from coilbook.operations.care import record_shed
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.feeding import offer_feeding
from coilbook.operations.own_numbers import set_number
from coilbook.operations.pairing_plans import PlanDetails, plan_pairing
from coilbook.operations.places import edit_place
from coilbook.operations.season_seen import cool_rack, end_season, feel_follicles, mark_shed, see_ovulation
from coilbook.operations.settings import settings_of
from coilbook.operations.stays import enter_stay, leave_stay, see_lock
from coilbook.operations.undo import undo_last
from coilbook.operations.weighing import weigh
from coilbook.reads.history import HistoryFilter, history
from coilbook.reads.outlook_fit import floors_now, unfit
from coilbook.reads.outlook_source import mates
from coilbook.reads.season import season_page
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass, Temperature
from coilbook.records.season_vocabulary import LockCertainty, OvulationCertainty, PreLay, SeasonEnd
from coilbook.records.vocabulary import FeedingResult, Sex
from coilbook.records.when import PartialDate
from coilbook.storage.check import check
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.operations.conftest import Room


def on(room: Room, year: int, month: int, day: int, hour: int = 20) -> None:
    room.clock.now = dt.datetime(year, month, day, hour, 0, tzinfo=room.clock.now.tzinfo)


def another(room: Room, name: str, sex: Sex = Sex.FEMALE) -> AnimalId:
    details = AnimalDetails(keeper_id=name, sex=sex)
    return add_animal(room.book, details=details, weight=Mass(18_000)).value


def answer(asked: pytest.ExceptionInfo[Asks], number: int) -> dict[str, object]:
    return dict(asked.value.choices[number].arguments)


def test_a_plan_is_done_by_the_stay_of_its_pair_or_of_the_backup(room: Room) -> None:
    backup = another(room, "M-11", Sex.MALE)
    plan_pairing(room.book, female=room.female, male=room.male, details=PlanDetails(backup=backup, target="Clown"))
    with pytest.raises(Refusal, match="planned for F-014 already"):
        plan_pairing(room.book, female=room.female, male=room.male)
    enter_stay(room.book, female=room.female, male=backup)
    assert room.book.read("SELECT state FROM pairing_plan") == [("done",)]
    undo_last(room.book)
    assert room.book.read("SELECT state FROM pairing_plan") == [("open",)]


def test_a_pair_needs_a_female_and_a_male(room: Room) -> None:
    with pytest.raises(Refusal, match="entered as a male"):
        enter_stay(room.book, female=room.male, male=room.female)
    with pytest.raises(Refusal, match="entered as a female"):
        plan_pairing(room.book, female=room.female, male=another(room, "F-020"))


def test_a_male_elsewhere_is_asked_about_and_taken_out_in_the_same_act(room: Room) -> None:
    other = another(room, "F-020")
    first = enter_stay(room.book, female=room.female, male=room.male).value
    room.clock.pass_(days=2)
    with pytest.raises(Asks, match="Is he out of there") as asked:
        enter_stay(room.book, female=other, male=room.male)
    assert room.book.read("SELECT count(*) FROM stay") == [(1,)]
    enter_stay(room.book, female=other, male=room.male, **answer(asked, 0))  # type: ignore[arg-type]
    assert room.book.read("SELECT until IS NULL FROM stay ORDER BY id") == [(0,), (1,)]
    undo_last(room.book)
    assert room.book.read("SELECT id, until FROM stay") == [(first, None)]
    enter_stay(room.book, female=other, male=room.male, close_first=False)
    assert room.book.read("SELECT count(*) FROM stay WHERE until IS NULL") == [(2,)]


def test_several_locks_a_stay_and_none_outside_it(room: Room) -> None:
    stay = enter_stay(room.book, female=room.female, male=room.male).value
    for certainty in (LockCertainty.COURTING, LockCertainty.LOCK):
        room.clock.pass_(hours=10)
        see_lock(room.book, stay=stay, certainty=certainty)
    room.clock.pass_(hours=3)
    leave_stay(room.book, stay=stay)
    with pytest.raises(Refusal, match="already"):
        leave_stay(room.book, stay=stay)
    room.clock.pass_(hours=3)
    with pytest.raises(Refusal, match="was not with F-014"):
        see_lock(room.book, stay=stay)
    newest, lock, *_ = history(room.book, HistoryFilter(), limit=5)
    assert render(lock.told, Style(settings_of(room.book))) == "M-03 with F-014: lock seen"
    assert newest.told.text == "{male} out of {female}, {n} day"
    assert room.book.read("SELECT certainty FROM lock_seen ORDER BY id") == [("courting",), ("lock",)]


def test_quarantine_and_weight_are_said_before_and_the_reason_is_logged(room: Room) -> None:
    weigh(room.book, animal=room.female, mass=Mass(12_000), sure=True)
    edit_place(room.book, place=room.slots["R2-A2"], quarantine=True)
    with pytest.raises(Asks) as asked:
        enter_stay(room.book, female=room.female, male=room.male)
    told = str(asked.value.message.values)
    assert "they breed from" in told and "quarantine" in told
    enter_stay(room.book, female=room.female, male=room.male, in_spite="vet cleared both on Friday")
    assert room.book.read("SELECT in_spite FROM stay") == [("vet cleared both on Friday",)]


def test_before_a_stay_and_in_the_ranking_the_same_is_said_of_an_animal(room: Room) -> None:
    """Retired, too light, too young: both say so alike; a weight that was enough counts for 60 days, then the age."""
    today, young = room.clock.now, dt.date(2025, 9, 1)
    fit, retired, light, stale = (another(room, f"M-2{n}", Sex.MALE) for n in range(4))
    for animal in (fit, stale):
        edit_animal(room.book, animal=animal, details=AnimalDetails(hatched=PartialDate(young)))
    edit_animal(room.book, animal=retired, details=AnimalDetails(retired=True))
    room.clock.pass_(days=61)
    for animal in (fit, retired, room.female):
        weigh(room.book, animal=animal, mass=Mass(18_000))
    weigh(room.book, animal=light, mass=Mass(4_990), at=today + dt.timedelta(days=1), sure=True)
    day = room.clock.now.date()
    them = mates(room.book, [fit, retired, light, stale])
    ranked = unfit(room.book, list(them.values()), floors_now(room.book, settings_of(room.book), day))
    said = {animal: render(why) for animal, why in ranked.items()}
    assert said == {
        retired: "retired from breeding",
        light: "499 g; they breed from 500 g (common practice)",
        stale: "8 months old and not weighed lately; they breed from 9 months (common practice)",
    }
    for animal, why in said.items():
        with pytest.raises(Asks) as asked:
            enter_stay(room.book, female=room.female, male=animal)
        assert f"{them[animal].keeper_id}: {why}." in render(asked.value.message)
    enter_stay(room.book, female=room.female, male=fit)


def test_a_size_in_centimetres_is_asked_and_grades_stand_apart(room: Room) -> None:
    with pytest.raises(Asks) as asked:
        feel_follicles(room.book, animal=room.female, mm="3.2")
    feel_follicles(room.book, animal=room.female, **answer(asked, 0))  # type: ignore[arg-type]
    feel_follicles(room.book, animal=room.female, grade=4)
    assert room.book.read("SELECT method, mm_tenths, grade FROM follicle ORDER BY id") == [
        ("ultrasound", 320, None), ("palpation", None, 4),
    ]  # fmt: skip
    told = [render(row.told, Style(settings_of(room.book))) for row in history(room.book, HistoryFilter(), limit=2)]
    assert told == ["F-014: follicles felt, grade 4", "F-014: follicles of 32 mm"]
    with pytest.raises(Refusal, match="Say a size"):
        feel_follicles(room.book, animal=room.female, mm="32", grade=4)


def test_a_meal_before_an_ovulation_is_shown(room: Room) -> None:
    offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    room.clock.pass_(days=3)
    with pytest.raises(Asks, match="usual mistake") as asked:
        see_ovulation(room.book, animal=room.female)
    see_ovulation(room.book, animal=room.female, **answer(asked, 1))  # type: ignore[arg-type]
    assert room.book.read("SELECT certainty FROM ovulation") == [(OvulationCertainty.UNSURE.value,)]


def test_the_season_of_f014_gives_the_windows_that_are_kept(room: Room) -> None:
    on(room, 2026, 1, 10)
    stay = enter_stay(room.book, female=room.female, male=room.male).value
    room.clock.pass_(days=2)
    leave_stay(room.book, stay=stay)
    on(room, 2026, 2, 12)
    see_ovulation(room.book, animal=room.female)
    kept = room.book.read("SELECT event, anchor, made_on FROM forecast_made ORDER BY id")
    assert kept[0] == ("ovulation", "season", "2026-01-10")
    assert [event for event, _, _ in kept[1:]] == ["pre_lay_shed", "laying", "pip"]
    assert {(anchor, day) for _, anchor, day in kept[1:]} == {("ovulation", "2026-02-12")}
    on(room, 2026, 3, 3)
    with pytest.raises(Asks, match="What was this shed"):
        record_shed(room.book, animal=room.female)
    record_shed(room.book, animal=room.female, pre_lay=PreLay.PRE_LAY)
    (window,) = room.book.read(
        "SELECT first_80, last_80 FROM forecast_made WHERE event = 'laying' AND anchor = 'pre_lay_shed'"
    )
    # species default: 30 days after the shed, some 4 days to either side (facts.md 1)
    assert window[0] < "2026-04-02" < window[1]
    on(room, 2026, 3, 31)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("78 84 78")))
    assert room.book.read("SELECT event FROM forecast_made WHERE anchor = 'laying'") == [("pip",)]
    season = read_book(room.book.read, 8).of(room.female, dt.date(2025, 8, 1))
    assert season.laying is not None and season.shed is not None and season.ovulation is not None
    assert check(room.book).findings == ()


def test_an_ovulation_is_forecast_from_her_stays_and_follicles_and_scored(room: Room) -> None:
    def windows() -> tuple[EventForecast, ...]:
        page = season_page(room.book, room.clock.now.date(), settings_of(room.book))
        return next(line for line in page.females if line.id == room.female).windows

    on(room, 2026, 1, 10)
    leave_stay(room.book, stay=enter_stay(room.book, female=room.female, male=room.male).value)
    (by_season,) = windows()
    assert (by_season.event, by_season.anchor) == (Event.OVULATION, OvulationCue.SEASON)
    on(room, 2026, 1, 20)
    feel_follicles(room.book, animal=room.female, mm="34")
    (by_scan,) = windows()
    assert by_scan.anchor is OvulationCue.FOLLICLE
    assert by_scan.window(0.8).days < by_season.window(0.8).days / 2  # type: ignore[union-attr]
    assert room.book.read("SELECT event, anchor FROM forecast_made ORDER BY id") == [
        ("ovulation", "season"), ("ovulation", "follicle"),
    ]  # fmt: skip
    undo_last(room.book)
    assert windows()[0].anchor is OvulationCue.SEASON
    assert room.book.read("SELECT count(*) FROM forecast_made") == [(1,)]
    on(room, 2026, 3, 4)
    see_ovulation(room.book, animal=room.female)
    page = season_page(room.book, room.clock.now.date(), settings_of(room.book))
    assert [(score.n, score.held) for score in page.scores if score.level == 0.95] == [(1, 1)]
    assert Event.OVULATION not in {w.event for w in windows()}


def test_a_shed_is_relabelled_only_when_the_keeper_says_so(room: Room) -> None:
    shed = record_shed(room.book, animal=room.female).value
    enter_stay(room.book, female=room.female, male=room.male)
    room.clock.pass_(days=20)
    assert room.book.read("SELECT count(*) FROM shed_mark") == [(0,)]
    mark_shed(room.book, shed=shed, was=PreLay.UNSURE)
    mark_shed(room.book, shed=shed, was=PreLay.ORDINARY)
    assert room.book.read("SELECT was FROM shed_mark") == [("ordinary",)]
    # paired and none recorded yet: asked again
    with pytest.raises(Asks, match="What was this shed"):
        record_shed(room.book, animal=room.female)
    end_season(room.book, animal=room.female, outcome=SeasonEnd.RESORBED)
    record_shed(room.book, animal=room.female)


def test_a_rack_is_cooled_and_warm_again(room: Room) -> None:
    cool_rack(room.book, place=room.rack, since=dt.date(2025, 11, 1), night=Temperature.of(24))
    with pytest.raises(Refusal, match="been cooled since"):
        cool_rack(room.book, place=room.rack)
    cool_rack(room.book, place=room.rack, until=dt.date(2026, 1, 10))
    assert room.book.read("SELECT since, until, night_tenths FROM rack_cooling") == [("2025-11-01", "2026-01-10", 240)]
    with pytest.raises(Refusal, match="not being cooled"):
        cool_rack(room.book, place=room.rack, until=dt.date(2026, 1, 11))
    with pytest.raises(Refusal, match="is a slot"):
        cool_rack(room.book, place=room.slots["R2-A1"])


def test_a_laying_in_the_next_calendar_season_belongs_to_its_ovulation(room: Room) -> None:
    on(room, 2026, 6, 20)
    see_ovulation(room.book, animal=room.female)
    on(room, 2026, 8, 9)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("78 84")))
    (season,) = read_book(room.book.read, 8).seasons[room.female]
    assert season.start == dt.date(2025, 8, 1) and season.laying is not None


def test_sperm_keeps_as_long_as_in_the_species_of_the_dam(room: Room) -> None:
    """A male of 21 months before: 0.3 of 0.4 points while sperm keeps three years, nobody once it keeps one."""
    corn, male = (
        add_animal(room.book, details=AnimalDetails(keeper_id=name, sex=sex, species="corn_snake")).value
        for name, sex in (("C-001", Sex.FEMALE), ("C-002", Sex.MALE))
    )
    zone = room.clock.now.tzinfo
    at = dt.datetime(2024, 6, 1, 20, tzinfo=zone)
    enter_stay(room.book, female=corn, male=male, at=at, until=at + dt.timedelta(days=2))

    def sires() -> list[tuple[int, int]]:
        clutch = lay_clutch(room.book, laying=Laying(dam=corn, eggs=read_egg_line("12 12"))).value
        return room.book.read("SELECT sire_id, percent FROM clutch_sire WHERE clutch_id = ?", (clutch,))

    set_number(room.book, key=FigureKey.STORED_SPERM_YEARS, value=1)  # of the species the collection keeps
    assert sires() == [(male, 75)]
    set_number(room.book, key=FigureKey.STORED_SPERM_YEARS, value=1, species="corn_snake")
    room.clock.pass_(days=40)
    assert sires() == []


def test_a_clutch_of_a_species_without_a_profile_is_entered_all_the_same(room: Room) -> None:
    dam, male = (
        add_animal(room.book, details=AnimalDetails(keeper_id=name, sex=sex, species="other_species")).value
        for name, sex in (("O-001", Sex.FEMALE), ("O-002", Sex.MALE))
    )
    zone = room.clock.now.tzinfo
    at = dt.datetime(2026, 1, 20, 20, tzinfo=zone)
    enter_stay(room.book, female=dam, male=male, at=at, until=at + dt.timedelta(days=2))
    clutch = lay_clutch(room.book, laying=Laying(dam=dam, eggs=read_egg_line("12 12"))).value
    assert [sire for (sire,) in room.book.read("SELECT sire_id FROM clutch_sire WHERE clutch_id = ?", (clutch,))] == [
        male
    ]
