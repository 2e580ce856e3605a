"""Windows hold what they say: 2,000 invented females a cell, by the probability integral transform.

The tables with every cell, the wrong truth, hatching and ready for sale: `python -m tests.reference.coverage`.
"""

from __future__ import annotations

import numpy as np
import pytest
from tests.reference.coverage import CONDITIONED, OWN, SEEN, WRONG, cell, hatching
from tests.reference.held import Held
from tests.reference.ovulation_coverage import ovulating

#: what a window of each level may cover
BOUNDS = {0.5: (0.47, 0.53), 0.8: (0.77, 0.83), 0.95: (0.93, 0.97)}
FEMALES = 2000


def assert_calibrated(held: Held) -> None:
    for level, (low, high) in BOUNDS.items():
        assert low <= held.central(level) <= high, (level, held.central(level))
    # the places are even over the whole curve, not only in its middle: Kolmogorov's distance, 1 in 1,000
    places = np.sort(held.places)
    distance = np.max(np.abs(places - (np.arange(len(places)) + 0.5) / len(places)))
    assert distance < 1.95 / np.sqrt(len(places))


@pytest.mark.parametrize("conditioned", CONDITIONED)
@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("own", OWN)
def test_laying_from_ovulation(own: int, seen: bool, conditioned: bool) -> None:
    assert_calibrated(cell(own, seen, conditioned, FEMALES, seed=own * 100 + seen * 10 + conditioned))


def test_first_pip_with_warmth() -> None:
    """Five clutches of hers on record, at other temperatures than this one."""
    assert_calibrated(hatching(5, 0.1, 29.5, FEMALES, seed=5))


@pytest.mark.parametrize(("own", "scanned"), [(0, True), (2, False), (2, True)])
def test_ovulation_by_the_calendar_and_by_a_scan(own: int, scanned: bool) -> None:
    assert_calibrated(ovulating(own, scanned, FEMALES, seed=own * 10 + scanned))


def test_a_wrong_truth_is_learned_from_thirty_clutches() -> None:
    """Three days later an interval, 1.4 times as wide, skewed, dates a day off: the goal is 75 to 85%."""
    assert 0.75 <= cell(2, True, False, FEMALES // 2, seed=3, truth=WRONG, others=28).central(0.8) <= 0.85


def test_the_measure_notices_a_window_too_wide() -> None:
    """Females without a season's own noise must not pass: the test can fail."""
    from dataclasses import replace

    from tests.reference.coverage import Truth

    with pytest.raises(AssertionError):
        assert_calibrated(cell(0, True, False, 500, seed=1, truth=replace(Truth(), noise=lambda _: 0.0)))
