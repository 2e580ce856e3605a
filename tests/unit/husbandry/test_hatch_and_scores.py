"""Shares of few cases: Wilson's interval, what came of a clutch, and the program's own forecasts scored."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.figures import Event
from coilbook.husbandry.hatch_result import EggEnd, EggStory, hatch_result
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.scorecard import KeptForecast, scorecard
from coilbook.husbandry.wilson import wilson
from coilbook.records.egg_vocabulary import Verdict

G, D, S, X = Verdict.GOOD, Verdict.DOUBTFUL, Verdict.SLUG, Verdict.DEAD


def told(messages: object) -> str:
    return " ".join(str(m) for m in messages)  # type: ignore[attr-defined]


@given(
    st.integers(1, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), st.sampled_from((0.5, 0.9, 0.95))
)
def test_wilson_as_the_reference_library_has_it(case: tuple[int, int], level: float) -> None:
    successes, n = case
    reference = binomtest(successes, n).proportion_ci(level, method="wilson")
    assert wilson(successes, n, level) == pytest.approx((reference.low, reference.high), abs=1e-9)


def test_wilson_without_cases_and_out_of_place() -> None:
    assert wilson(0, 0) == (0, 1)
    with pytest.raises(ValueError):
        wilson(8, 7)


def scenario() -> list[EggStory]:
    """Seven eggs and a slug: egg 5 doubtful on day 1 and veined on day 12, egg 2 mouldy and taken out on day 30."""
    eggs = [EggStory(n, (G,), EggEnd.HATCHED) for n in (1, 3, 4, 6, 7)]
    return [*eggs, EggStory(2, (G, X), EggEnd.REMOVED), EggStory(5, (D, D, G), EggEnd.HATCHED),
            EggStory(8, (S,), EggEnd.REMOVED)]  # fmt: skip


def test_scenario_of_a_hatch() -> None:
    """6 hatch, 1 slug, 1 dead: "6 of 7 good eggs (86%; 90% range 55-97%)"."""
    result = hatch_result(scenario())
    assert (result.laid, result.slugs, result.ever_good, result.hatched, result.dead) == (8, 1, 7, 6, 1)
    assert told(result.told()) == ("8 laid: 7 judged good, 1 slug. 6 of 7 good eggs hatched (86%; 90% range 55-97%).")


def test_doubtful_eggs_stand_apart_and_open_ones_wait() -> None:
    doubtful = [*scenario(), EggStory(9, (D, Verdict.UNSAID), EggEnd.REMOVED)]
    result = hatch_result(doubtful)
    assert (result.unresolved, result.ever_good) == (1, 7)
    assert "1 egg stayed doubtful" in told(result.told())
    still = hatch_result([*scenario(), EggStory(9, (G,), EggEnd.OPEN)])
    assert still.range() is None
    assert "1 of 8 good eggs still to come" in told(still.told())


def test_a_slug_that_hatched_was_none() -> None:
    result = hatch_result([EggStory(1, (S,), EggEnd.HATCHED)])
    assert (result.slugs, result.ever_good, result.hatched) == (0, 1, 1)
    assert hatch_result([]).told()


def kept(season: str, made: int, first: int, last: int, happened: KnownDay | None) -> KeptForecast:
    start = dt.date(2026, 3, 1)
    window = Window(0.8, start + dt.timedelta(first), start + dt.timedelta(last), 0.86)
    return KeptForecast(season, Event.LAYING, start + dt.timedelta(made), (window,), happened)


def test_scorecard_counts_each_event_once_and_only_what_happened() -> None:
    day = KnownDay.on(dt.date(2026, 3, 11))
    forecasts = [
        kept("a", 1, 5, 12, day),
        kept("a", 9, 20, 22, day),  # made later: not scored, though it missed
        kept("b", 1, 12, 20, day),
        kept("c", 1, 5, 12, None),
        kept("f", 11, 11, 15, day),  # written up the day after it happened: it foretold nothing
        kept("e", 1, 5, 10, KnownDay.on(dt.date(2026, 3, 10), 3)),  # give or take 3 days: the same
        kept("d", 1, 5, 10, KnownDay.between(dt.date(2026, 3, 9), dt.date(2026, 3, 13))),  # ended inside what is known
    ]
    (score,) = scorecard(forecasts)
    assert (score.level, score.n, score.held, score.undecided) == (0.8, 2, 1, 2)
    assert score.promised == pytest.approx(0.86)
    assert str(score.told()).startswith("1 of 2 80% windows held (50%; 90% range")
    assert scorecard([]) == ()
    assert "put to the test" in str(scorecard([kept("d", 1, 5, 10, forecasts[-1].happened)])[0].told())
