"""The blended interval against the same model written as one multivariate normal law, solved as a dense matrix."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from coilbook.husbandry.blending import PastInterval, blend
from coilbook.husbandry.day_curve import bell_curve
from coilbook.husbandry.figures import Interval
from coilbook.husbandry.profile import IntervalProfile, shipped_profile

RULES = shipped_profile("ball_python").intervals[Interval.SHED_TO_LAYING]


def dense(rules: IntervalProfile, past: list[PastInterval], whose: object, where: object) -> tuple[list[float], ...]:
    """Weight, mean and standard deviation of the next interval for each width of the spread: days = middle +
    collection + incubator + female + season, with covariances written out; a place not known is a place of its own."""
    nodes, priors = np.polynomial.hermite_e.hermegauss(9)
    days = np.array([p.days for p in past]) - rules.middle
    same = np.array([[a.whose == b.whose for b in past] for a in past])
    hers = np.array([p.whose == whose for p in past])
    there = np.array([p.where == where and where is not None for p in past])
    together = np.array([[a is b or (a.where == b.where and a.where is not None) for b in past] for a in past])
    room = rules.incubator**2
    logs, means, sds = [], [], []
    for node, prior in zip(nodes, priors / priors.sum()):
        width = np.exp(rules.doubt * node)
        collection, female, season = rules.collection**2, (rules.female * width) ** 2, (rules.season * width) ** 2
        law = collection + female * same + room * together + np.diag(season + np.array([p.doubt for p in past]) ** 2)
        with_next = collection + female * hers + room * there
        means.append(rules.middle + with_next @ np.linalg.solve(law, days))
        sds.append(float(np.sqrt(collection + room + female + season - with_next @ np.linalg.solve(law, with_next))))
        logs.append(np.log(prior) + multivariate_normal(np.zeros(len(past)), law).logpdf(days))
    weights = np.exp(np.array(logs) - max(logs))
    return list(weights / weights.sum()), means, sds


@pytest.mark.parametrize("interval", [Interval.SHED_TO_LAYING, Interval.LAYING_TO_PIP])
@pytest.mark.parametrize("seed", range(12))
def test_the_blend_is_the_conditional_law(interval: Interval, seed: int) -> None:
    """Layings of females; hatchings of females' eggs in three incubators, or in one nobody wrote down."""
    chance, rules = np.random.default_rng(seed), shipped_profile("ball_python").intervals[interval]
    past = [
        PastInterval(interval, int(chance.integers(4)), float(chance.normal(rules.middle, 3)),
                     float(chance.choice([0, 0.3, 3])), where=chance.choice(["A", "B", "C", None]))
        for _ in range(int(chance.integers(1, 14)))
    ]  # fmt: skip
    where = (None, "A", "another")[seed % 3]
    found = blend(rules, past, whose=1, where=where).curve
    weights, means, sds = (np.array(part) for part in dense(rules, past, 1, where))
    expected = bell_curve(weights, means, sds)
    assert found.mean == pytest.approx(float(weights @ means), abs=1e-6)
    for share in (0.025, 0.1, 0.5, 0.9, 0.975):
        assert found.quantile(share) == pytest.approx(expected.quantile(share), abs=1e-6)


def test_whole_days_hold_all_there_is() -> None:
    """The chances of single days sum to one, and a window holds the sum of its days, conditioned on today or not."""
    curve = blend(RULES, [PastInterval(Interval.SHED_TO_LAYING, "she", 27)], "she").curve.shifted(740_000)
    for found in (curve, curve.after(740_030.5)):
        assert found is not None
        days = {day: found.cdf(day + 0.5) - found.cdf(day - 0.5) for day in range(739_980, 740_080)}
        assert sum(days.values()) == pytest.approx(1)
        for level in (0.5, 0.8, 0.95):
            window = found.window(level)
            held = sum(days[day] for day in range(window.first.toordinal(), window.last.toordinal() + 1))
            assert window.probability == pytest.approx(held) and held >= level
    later = curve.after(740_030.5)
    assert later is not None and later.window(0.95).first.toordinal() == 740_031, "day 31, not laid yet"
