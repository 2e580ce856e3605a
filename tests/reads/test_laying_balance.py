"""The balance of a laying through real acts: what is computable, of which weights, and the sums by hand."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.husbandry.mass_balance import Balance, MassBalance
from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.eggs import EggDetails, edit_egg
from coilbook.operations.feeding import offer_feeding
from coilbook.operations.season_seen import feel_follicles
from coilbook.operations.weighing import weigh
from coilbook.reads.egg_boxes import clutches
from coilbook.reads.laying_balance import laying_balance
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import ClutchId, EggId
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import FeedingResult, Precision, WeightTag
from coilbook.records.when import PartialDate
from coilbook.wording.texts import render
from tests.operations.conftest import Clock, Room, book, clock, room

__all__ = ["Clock", "Room", "book", "clock", "room"]

LINE = "80 80 80 80 80 80 50? 36s"


@pytest.fixture
def due(room: Room) -> Room:
    """Nine days before laying: she weighs 1,985 g."""
    room.clock.pass_(days=60)
    weigh(room.book, animal=room.female, mass=Mass(19_850), sure=True)
    room.clock.pass_(days=9)
    return room


def lay(room: Room, line: str = LINE, **more: object) -> None:
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line(line), **more))  # type: ignore[arg-type]


def balance(room: Room) -> MassBalance:
    (clutch,) = clutches(room.book, [ClutchId(1)])
    found = laying_balance(room.book, clutch, shipped_profile("ball_python"))
    assert found is not None
    return found


def told(found: MassBalance) -> str:
    return " ".join(render(message) for message in found.told)


def test_the_sum_and_both_relative_masses(due: Room) -> None:
    lay(due, dam_after=Mass(13_900))
    found = balance(due)
    # 1,985 - 566 = 1,419, less 3% of 1,985 at least 1,359.4; 566/1985 = 28.5%, 566/1390 = 40.7%
    assert (found.verdict, found.expected_dg) == (Balance.AS_EXPECTED, (13_594, 14_190))
    assert "The clutch is 29% of her weight before laying, 41% of that after." in told(found)
    assert "Of the weight before, 32% is what is known of the species (published: Ellis & Chappell 1987" in told(found)


def test_eggs_weighed_beside_a_clump_count_too(due: Room) -> None:
    """Six that stick weigh 480 g together, the doubtful egg 50 g and the slug 36 g by themselves: 566 g."""
    lay(due, "6x 50? 36s", clump=Mass(4_800), dam_after=Mass(13_900))
    assert balance(due).expected_dg == (13_594, 14_190)


def test_a_slug_not_weighed_is_named_as_the_reason(due: Room) -> None:
    lay(due, "80 80 80 80 80 80 50? 1xs", dam_after=Mass(13_900))
    assert "1 egg or slug was not weighed" in told(balance(due))
    edit_egg(due.book, egg=EggId(8), details=EggDetails(mass=Mass(360)))
    assert balance(due).expected_dg == (13_594, 14_190), "weighed later, it is computable"


def test_a_weight_of_the_day_after_needs_no_mark_and_one_of_the_day_does(due: Room) -> None:
    weigh(due.book, animal=due.female, mass=Mass(19_700), sure=True)
    lay(due)
    assert "not weighed within 3 days after" in told(balance(due)), "that weight may be from before she laid"
    due.clock.pass_(days=1)
    weigh(due.book, animal=due.female, mass=Mass(13_900), sure=True)
    assert balance(due).verdict is Balance.AS_EXPECTED


@pytest.mark.parametrize(
    ("meal", "words"), [(-5, "a meal between the weight before and laying"), (1, "a meal before the weight after")]
)
def test_a_meal_between_makes_no_balance(due: Room, meal: int, words: str) -> None:
    laid = PartialDate(due.clock.now.date())
    moment = due.clock.now + dt.timedelta(days=meal)
    due.clock.pass_(days=2)
    offer_feeding(due.book, animal=due.female, result=FeedingResult.TAKEN, at=moment)
    lay(due, laid=laid)
    weigh(due.book, animal=due.female, mass=Mass(14_300), tag=WeightTag.AFTER_LAYING, sure=True)
    found = balance(due)
    assert found.verdict is Balance.NOT_COMPUTABLE and words in told(found)


def test_a_month_of_laying_makes_no_balance_and_a_day_more_or_less_does(due: Room) -> None:
    first = due.clock.now.date().replace(day=1)
    lay(due, laid=PartialDate(first, Precision.MONTH), dam_after=Mass(13_900))
    assert balance(due).verdict is Balance.NOT_COMPUTABLE


@pytest.mark.parametrize(("doubt", "computable"), [(1, True), (3, True), (4, False), (8, False)])
def test_give_or_take_days_have_to_fit_the_limits(due: Room, doubt: int, computable: bool) -> None:
    lay(due, doubt_days=doubt, dam_after=Mass(13_900))
    found = balance(due)
    assert (found.verdict is not Balance.NOT_COMPUTABLE) == computable, told(found)


def test_eggs_that_may_have_stayed_ask_for_a_vet(due: Room) -> None:
    # two eggs of 80 g fewer than she lost no weight of: 1,985 - 406 = 1,579 at most; 1,739 is 160 g over
    lay(due, "80 80 80 80 50? 36s", dam_after=Mass(17_390))
    found = balance(due)
    assert (found.verdict, found.off_dg) == (Balance.ASK_A_VET, 1_600)
    assert "no diagnosis" in told(found)


@pytest.mark.parametrize(("counted", "verdict"), [((4, 4), Balance.ASK_A_VET), ((3, 3), Balance.HEAVIER)])
def test_eggs_counted_in_the_scan_are_held_against_those_laid(
    due: Room, counted: tuple[int, int], verdict: Balance
) -> None:
    moment = due.clock.now - dt.timedelta(days=50)
    feel_follicles(due.book, animal=due.female, mm="38", counted=counted, at=moment)
    lay(due, "80 80 80 80 50? 36s", dam_after=Mass(17_390))
    assert balance(due).verdict is verdict
