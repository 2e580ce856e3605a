"""A keeper's own numbers: they count, outrank what is shipped, survive an update and are undone."""

from __future__ import annotations

import datetime as dt
import math

import pytest

from coilbook.derived.season_profile import number_row, profile_now
from coilbook.husbandry.figures import Brood, FigureKey, Interval, Mark, Spread
from coilbook.husbandry.fit_to_pair import Floors, WeightFloor
from coilbook.husbandry.number_words import GROUP_NAMES, NUMBER_NAMES
from coilbook.husbandry.own_numbers import NUMBERS, UNITS, NumberKey, number_of
from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.care import record_shed
from coilbook.operations.own_numbers import set_number, shipped_number
from coilbook.operations.season_seen import see_ovulation
from coilbook.operations.settings import remember, settings_of
from coilbook.operations.undo import undo_last
from coilbook.reads.own_clutches import next_clutch, own_clutches
from coilbook.reads.season import season_page
from coilbook.reads.species_numbers import NumberRow, numbers_page
from coilbook.records.message import Refusal
from coilbook.records.season_vocabulary import PreLay
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Sex
from tests.operations.conftest import Room

BALL = shipped_profile("ball_python")


def row(room: Room, key: NumberKey) -> NumberRow:
    return next(row for row in numbers_page(room.book).rows if row.key is key)


def laying_day(room: Room) -> float:
    """The middle of the window for laying on the season's page."""
    page = season_page(room.book, room.clock.now.date(), settings_of(room.book))
    (line,) = [line for line in page.females if line.id == room.female]
    return next(w.curve.quantile(0.5) for w in line.windows if w.event == "laying" and w.curve is not None)


def test_the_windows_move_with_the_keepers_number_and_back_with_undo(room: Room) -> None:
    room.clock.now = room.clock.now.replace(year=2026, month=2, day=20)
    see_ovulation(room.book, animal=room.female, sure=True)
    room.clock.now += dt.timedelta(days=19)
    record_shed(room.book, animal=room.female, pre_lay=PreLay.PRE_LAY)
    before = laying_day(room)
    set_number(room.book, key=Interval.SHED_TO_LAYING, value=26)
    assert laying_day(room) == pytest.approx(before - 4, abs=0.3)
    assert profile_now(room.book.read).intervals[Interval.SHED_TO_LAYING].middle_provenance.mark is Mark.KEEPERS_OWN
    undo_last(room.book)
    assert laying_day(room) == before
    assert row(room, Interval.SHED_TO_LAYING).own is None


def test_the_shipped_number_stays_in_sight_and_an_update_never_overwrites(room: Room) -> None:
    set_number(room.book, key=FigureKey.SALE_MASS_G, value=110)
    mine = row(room, FigureKey.SALE_MASS_G)
    assert (mine.own, mine.used, mine.shipped, mine.shipped_then) == (110, 110, 85, None)
    assert str(mine.provenance) == "common practice"
    # an update ships another number than the one that was there when the keeper set his
    remember(room.book, name=number_row("ball_python", FigureKey.SALE_MASS_G), value="110.0|80.0")
    assert (row(room, FigureKey.SALE_MASS_G).used, row(room, FigureKey.SALE_MASS_G).shipped_then) == (110, 80)
    shipped_number(room.book, key=FigureKey.SALE_MASS_G)
    assert row(room, FigureKey.SALE_MASS_G).used == 85
    with pytest.raises(Refusal, match="already"):
        shipped_number(room.book, key=FigureKey.SALE_MASS_G)


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        (Interval.SHED_TO_LAYING, 300, "between 10 and 80"),
        (FigureKey.GRAVID_LOSS_LOOK, 8, "between"),
        (FigureKey.SALE_MEALS_IN_A_ROW, 4.5, "whole number"),
        (FigureKey.INCUBATOR_LOW_C, 33.5, "turn the order round"),
        (FigureKey.MALE_LOSS_STOP, 0.02, "turn the order round"),
    ],
)
def test_a_number_no_season_can_have_is_refused(room: Room, key: NumberKey, value: float, told: str) -> None:
    with pytest.raises(Refusal) as refused:
        set_number(room.book, key=key, value=value)
    assert told in str(refused.value.message)
    assert row(room, key).own is None


def test_a_row_nobody_can_read_leaves_the_shipped_number(room: Room) -> None:
    remember(room.book, name=number_row("ball_python", FigureKey.SALE_MASS_G), value="much")
    remember(room.book, name="number|ball_python|no_such_number", value="1.0|2.0")
    assert profile_now(room.book.read).value(FigureKey.SALE_MASS_G) == 85


def test_one_species_numbers_leave_another_alone(room: Room) -> None:
    set_number(room.book, key=FigureKey.SALE_MASS_G, value=12, species="corn_snake")
    assert profile_now(room.book.read).value(FigureKey.SALE_MASS_G) == 85
    assert profile_now(room.book.read, "corn_snake").value(FigureKey.SALE_MASS_G) == 12


def test_every_number_shown_has_a_name_a_unit_and_a_shipped_value_within_its_bounds() -> None:
    from coilbook.husbandry.own_numbers import bounds

    assert set(NUMBER_NAMES) == set(UNITS) and set(GROUP_NAMES) == set(NUMBERS)
    for species in ("ball_python", "corn_snake"):
        profile = shipped_profile(species)
        for key in UNITS:
            least, most = bounds(profile, key)
            assert least <= number_of(profile, key)[0] <= most, key


def spread_of(room: Room) -> float:
    """Days between the quartiles of the window for laying on the season's page."""
    page = season_page(room.book, room.clock.now.date(), settings_of(room.book))
    (line,) = [line for line in page.females if line.id == room.female]
    curve = next(w.curve for w in line.windows if w.event == "laying" and w.curve is not None)
    return curve.quantile(0.75) - curve.quantile(0.25)


def test_a_window_widens_with_the_keepers_spread_and_narrows_with_undo(room: Room) -> None:
    room.clock.now = room.clock.now.replace(year=2026, month=2, day=20)
    see_ovulation(room.book, animal=room.female, sure=True)
    room.clock.now += dt.timedelta(days=19)
    record_shed(room.book, animal=room.female, pre_lay=PreLay.PRE_LAY)
    before, shipped = spread_of(room), row(room, Spread.SHED_TO_LAYING)
    # 2.1, 2.8 and 2.5 days together, as the file of the species has them
    assert shipped.shipped == pytest.approx(math.sqrt(2.1**2 + 2.8**2 + 2.5**2))
    assert str(shipped.provenance) == "from memory"
    set_number(room.book, key=Spread.SHED_TO_LAYING, value=2 * shipped.shipped)
    rules = profile_now(room.book.read).intervals[Interval.SHED_TO_LAYING]
    assert (rules.collection, rules.female, rules.season) == pytest.approx((4.2, 5.6, 5.0))
    assert rules.middle == BALL.intervals[Interval.SHED_TO_LAYING].middle
    assert rules.spread_provenance.mark is Mark.KEEPERS_OWN and rules.middle_provenance.mark is Mark.COMMON_PRACTICE
    assert spread_of(room) == pytest.approx(2 * before, rel=0.12)
    undo_last(room.book)
    assert spread_of(room) == before
    set_number(room.book, key=Spread.SHED_TO_LAYING, value=3)
    set_number(room.book, key=Interval.SHED_TO_LAYING, value=26)
    rules = profile_now(room.book.read).intervals[Interval.SHED_TO_LAYING]
    assert (rules.middle, rules.spread) == (26, pytest.approx(3))
    shipped_number(room.book, key=Spread.SHED_TO_LAYING)
    assert spread_of(room) == pytest.approx(before, rel=0.02)


def test_what_is_expected_of_a_clutch_is_the_keepers_to_say(room: Room) -> None:
    """Eggs and hatch rate go into the outlook of a pairing, before there are clutches of his own."""
    usual = next_clutch(own_clutches(room.book), room.female, "Python regius").law
    mean = sum(n * chance for n, chance in usual.eggs.items())
    assert row(room, Brood.GOOD_EGGS).shipped == pytest.approx(mean) == pytest.approx(BALL.good_eggs.mean)
    set_number(room.book, key=Brood.GOOD_EGGS, value=7.5)
    set_number(room.book, key=Brood.HATCH_RATE, value=0.7)
    set_number(room.book, key=Brood.HATCH_RATE_WORTH, value=25)
    law = next_clutch(own_clutches(room.book), room.female, "Python regius").law
    assert sum(n * chance for n, chance in law.eggs.items()) == pytest.approx(7.5)
    assert (law.rate.mean, law.rate.eggs) == (0.7, 25) and sum(law.eggs.values()) == pytest.approx(1)
    for _ in range(3):
        undo_last(room.book)
    assert next_clutch(own_clutches(room.book), room.female, "Python regius").law == usual


@pytest.mark.parametrize(("mean", "sd"), [(4.0, 1.0), (7.3, 2.0), (12.0, 0.6), (6.0, None), (1.0, 0.5)])
def test_a_moved_law_keeps_its_mean_and_nearly_its_spread(mean: float, sd: float | None) -> None:
    eggs = BALL.good_eggs
    moved = eggs.moved(mean, eggs.sd if sd is None else sd)
    assert sum(moved.chances.values()) == pytest.approx(1) and min(moved.chances) >= 1
    if mean > 3:
        assert moved.mean == pytest.approx(mean)
        assert 0 <= moved.sd**2 - (eggs.sd if sd is None else sd) ** 2 <= 0.2501
    assert eggs.moved(eggs.mean, eggs.sd).chances == pytest.approx(dict(eggs.chances))


def test_the_least_weight_to_pair_is_one_of_each_species(room: Room) -> None:
    today, her = room.clock.now.date(), FigureKey.FEMALE_BREEDING_MASS_G
    set_number(room.book, key=her, value=1650)
    set_number(room.book, key=her, value=310, species="corn_snake")

    def floor(species: str, grams: int = 0) -> WeightFloor:
        settings = Settings(female_floor_g=grams)
        return Floors.of(settings, profile_now(room.book.read, species), today).weights[Sex.FEMALE]

    assert floor("ball_python") == WeightFloor(16_500, None) and floor("corn_snake") == WeightFloor(3_100, None)
    # the number outranks what an older release kept among the settings, which was of one species
    assert floor("ball_python", 1800).mass_dg == 16_500
    shipped_number(room.book, key=her)
    assert floor("ball_python", 1800) == WeightFloor(18_000, None)
    assert floor("ball_python").source is not None and floor("corn_snake").mass_dg == 3_100
