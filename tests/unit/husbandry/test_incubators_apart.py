"""Each incubator has hatch days of its own, between the collection's and the species'."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coilbook.husbandry.blending import Blend, PastInterval, blend
from coilbook.husbandry.figures import Interval
from coilbook.husbandry.forecast_words import source_told
from coilbook.husbandry.profile import shipped_profile
from coilbook.husbandry.warmth import EggTemperature

BALL = shipped_profile("ball_python")
RULES, WARM = BALL.intervals[Interval.LAYING_TO_PIP], EggTemperature(31.5, 0.1)


def hatched(whose: str, days: float, where: str | None) -> PastInterval:
    return PastInterval(Interval.LAYING_TO_PIP, whose, days, 0.0, EggTemperature(31.5), where)


def expected(past: list[PastInterval], where: str | None, whose: str = "she") -> Blend:
    return blend(RULES, past, whose, incubation=BALL.incubation, temperature=WARM, where=where)


SLOW = [hatched(f"f{n}", 61.0, "back room") for n in range(6)]
QUICK = [hatched(f"g{n}", 56.0, "front room") for n in range(6)]


def test_an_incubator_outranks_the_collection_and_that_the_species() -> None:
    back, front, new = (expected(SLOW + QUICK, where).days for where in ("back room", "front room", "a new one"))
    assert front < new < back
    assert back > 59.3 and front < 57.7
    # a third incubator has the collection's days alone, with more doubt
    assert expected(SLOW + QUICK, "a new one").curve.sd > expected(SLOW + QUICK, "back room").curve.sd
    # six slow clutches of one incubator say something of the others too, but less
    assert RULES.middle < expected(SLOW, "front room").days < expected(SLOW, "back room").days


def test_her_own_stay_apart_from_where_they_lay() -> None:
    """She is quick wherever she is; the incubator is slow whoever lies in it: both are told apart."""
    hers = [hatched("she", 56.5, "back room") for _ in range(3)]
    others = [hatched(f"f{n}", 60.5, "back room") for n in range(8)]
    assert expected(hers + others, "back room").days < expected(hers + others, "back room", "another").days
    # moved to another incubator she is expected sooner still than others there
    assert expected(hers + others, "elsewhere").days < expected(hers + others, "elsewhere", "another").days


def test_without_an_incubator_it_is_what_it_was() -> None:
    """No incubator known: the same as one part more of each clutch's own noise, worked out by hand."""
    known = replace(RULES, doubt=1e-9)
    past = [hatched("she", 59.0, None), hatched("she", 60.0, None)]
    inc = replace(BALL.incubation, q10_sd=1e-9)
    found = blend(known, past, "she", incubation=inc, temperature=EggTemperature(31.5, 0.0))
    c, i, f, s = RULES.collection, RULES.incubator, RULES.female, RULES.season
    cov = np.full((2, 2), c**2 + f**2) + np.eye(2) * (i**2 + s**2)
    towards = np.full(2, c**2 + f**2)
    answer = towards @ np.linalg.solve(cov, np.array([1.5, 2.5]))
    left = c**2 + i**2 + f**2 + s**2 - towards @ np.linalg.solve(cov, towards)
    assert found.curve.mean == pytest.approx(57.5 + answer, abs=0.02)
    assert found.curve.sd == pytest.approx(left**0.5, abs=0.02)


def test_it_says_how_many_were_of_this_incubator() -> None:
    told = str(source_told(expected([*SLOW, *QUICK, hatched("she", 58.0, "front room")], "front room")))
    assert told == "1 of her own and 12 of others here, 7 of them in this incubator"
    assert "incubator" not in str(source_told(expected(SLOW, "front room")))
