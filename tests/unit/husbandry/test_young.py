"""A hatchling's way to its sale: the day the rule was met, what is to come, what asks for the keeper."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.husbandry.figures import Event, FigureKey, Interval
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import shipped_profile
from coilbook.husbandry.sale_ready import MealOffered, ready_since
from coilbook.husbandry.young import YoungNow, YoungSoFar, past_young, young_now
from coilbook.records.vocabulary import FeedingResult

BALL = shipped_profile("ball_python")
OUT = dt.date(2026, 6, 1)
ATE, NOT = MealOffered(FeedingResult.TAKEN), MealOffered(FeedingResult.REFUSED)


def day(n: int) -> dt.date:
    return OUT + dt.timedelta(days=n)


def offers(*each: tuple[int, MealOffered]) -> tuple[tuple[dt.date, MealOffered], ...]:
    return tuple((day(n), offer) for n, offer in each)


WEEKLY = offers((18, NOT), (25, ATE), (32, ATE), (39, ATE), (46, ATE), (53, ATE), (60, ATE))


def test_ready_on_the_day_the_last_part_was_met() -> None:
    heavy = ((day(0), 650), (day(50), 900))
    # five in a row on day 53, heavy on day 50, old enough (56) last
    assert ready_since(WEEKLY, heavy, OUT, BALL) == day(56)
    assert ready_since(WEEKLY, ((day(0), 650), (day(70), 900)), OUT, BALL) == day(70)
    assert ready_since(WEEKLY[:4], heavy, OUT, BALL) is None
    broken = (*WEEKLY[:5], (day(54), NOT), *offers((61, ATE), (68, ATE), (75, ATE), (82, ATE), (89, ATE)))
    assert ready_since(broken, heavy, OUT, BALL) == day(89)
    assert ready_since(WEEKLY, heavy, OUT, BALL.with_own(FigureKey.SALE_AGE_DAYS, 80)) == day(80)


def now(today: int, **found: object) -> YoungNow:
    return young_now(YoungSoFar("clutch", KnownDay.on(OUT), **found), (), day(today), BALL)  # type: ignore[arg-type]


def test_before_anything_all_three_windows_stand_ahead_and_no_sooner_than_it_may() -> None:
    """8 to 12 weeks after hatching is common practice (facts 1.3, job 2.4)."""
    young = now(3)
    assert [one.event for one in young.ahead] == [Event.FIRST_SHED, Event.FIRST_MEAL, Event.SALE_READY]
    window = young.ready_ahead.window(0.8)  # type: ignore[union-attr]
    assert window is not None and day(56) <= window.first and window.last <= day(110)
    assert not young.started and young.mind is None and not young.rule.ready


def test_missing_meals_hold_the_window_back() -> None:
    late = offers((40, NOT), (47, ATE), (54, NOT), (61, ATE))
    young = now(62, first_shed=day(10), offers=late, weights=((day(0), 650), (day(60), 800)))
    window = young.ready_ahead.window(0.8)  # type: ignore[union-attr]
    # four more, one every seven days, the next on day 68
    assert window is not None and window.first >= day(68 + 21)
    assert "4 more meals in a row" in str(young.not_before)
    assert [part.met for part in young.rule.parts] == [False, False, True]


def test_ready_has_no_window_and_says_since_when() -> None:
    young = now(70, first_shed=day(10), offers=WEEKLY, weights=((day(0), 650), (day(50), 900)))
    assert young.rule.ready and young.since == day(56) and young.ahead == ()
    stopped = now(75, first_shed=day(10), offers=(*WEEKLY, (day(74), NOT)), weights=((day(50), 900),))
    assert not stopped.rule.ready and stopped.since is None


@pytest.mark.parametrize(("today", "told"), [(48, None), (49, "No meal of its own by 7 weeks")])
def test_one_that_has_not_started_is_told_of_in_time(today: int, told: str | None) -> None:
    mind = now(today, offers=offers((20, NOT), (27, NOT)), weights=((day(0), 650),)).mind
    assert (mind is None) if told is None else told in str(mind)


def test_a_light_one_is_for_a_vet() -> None:
    assert "reptile vet" in str(now(30, weights=((day(0), 650), (day(29), 550))).mind)
    assert now(30, weights=((day(0), 650), (day(29), 560))).mind is None


def test_what_it_was_teaches_the_next() -> None:
    young = YoungSoFar("clutch", KnownDay.on(OUT), day(9), WEEKLY, ((day(0), 650), (day(50), 900)))
    found = {past.interval: past.days for past in past_young([young], BALL)}
    assert found == {
        Interval.OUT_TO_FIRST_SHED: 9,
        Interval.FIRST_SHED_TO_FIRST_MEAL: 16,
        Interval.FIRST_MEAL_TO_SALE_READY: 31,
    }
    fast = [YoungSoFar("clutch", KnownDay.on(OUT), day(7), WEEKLY, ((day(0), 900),))] * 5
    slow = young_now(YoungSoFar("clutch", KnownDay.on(OUT)), (), day(0), BALL)
    quick = young_now(YoungSoFar("clutch", KnownDay.on(OUT)), past_young(fast, BALL), day(0), BALL)
    first = [one.ahead[0].curve.mean for one in (slow, quick)]  # type: ignore[union-attr]
    assert first[1] < first[0] - 1
