"""How likely each moment is: probability over time on a fine even grid, with sums, conditions and windows.

Times are days; on the calendar the ordinal number of a date is the middle of that day, so day k holds k - 0.5 to
k + 0.5. The grid is an eighth of a day, finer than any spread here.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

STEP = 1 / 8
_SPAN = 6.0
#: mass beyond this in either tail is cut off
_TRIM = 1e-8
#: no waiting time is followed further than this
_LONGEST = 500.0
#: with less than this left the condition rules out all that the curve allows
_NOTHING_LEFT = 1e-6
#: convolutions larger than this many products go through the Fourier transform
_BIG = 200_000

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Window:
    """Whole days from `first` to `last` that hold at least `level`; `probability` is what they hold in fact."""

    level: float
    first: dt.date
    last: dt.date
    probability: float

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1

    def holds(self, day: dt.date) -> bool:
        """Whether a day lies in it."""
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class DayCurve:
    """Probability `mass` of cells of `STEP` days, the first beginning at `start`; the masses sum to one."""

    start: float
    mass: Floats

    # --- where the mass lies -------------------------------------------------------------------------------
    def edges(self) -> Floats:
        """Cell edges, one more than cells, in days."""
        return self.start + STEP * np.arange(len(self.mass) + 1, dtype=np.float64)

    def _cumulated(self) -> Floats:
        return np.concatenate(([0.0], np.cumsum(self.mass)))

    def cdf(self, time: float) -> float:
        """Probability of happening before `time`."""
        return float(np.interp(time, self.edges(), self._cumulated()))

    def quantile(self, share: float) -> float:
        """The time before which it happens with probability `share`."""
        return float(np.interp(share, self._cumulated(), self.edges()))

    @property
    def mean(self) -> float:
        return float(np.dot(self.edges()[:-1] + STEP / 2, self.mass))

    @property
    def sd(self) -> float:
        middles = self.edges()[:-1] + STEP / 2
        return float(np.sqrt(np.dot((middles - self.mean) ** 2, self.mass)))

    def span(self, level: float) -> tuple[float, float]:
        """The shortest stretch of time that holds `level`, in days."""
        starts = np.linspace(0, 1 - level, 101)
        cumulated, edges = self._cumulated(), self.edges()
        lows, highs = np.interp(starts, cumulated, edges), np.interp(starts + level, cumulated, edges)
        best = int(np.argmin(highs - lows))
        return float(lows[best]), float(highs[best])

    def window(self, level: float) -> Window:
        """The whole days that the shortest stretch of `level` touches, with the probability they hold."""
        low, high = self.span(level)
        first, last = _day_of(low), _day_of(high)
        return Window(level, _date(first), _date(last), self.cdf(last + 0.5) - self.cdf(first - 0.5))

    # --- made from others ----------------------------------------------------------------------------------
    def shifted(self, days: float) -> DayCurve:
        """The same later by `days`."""
        return DayCurve(self.start + days, self.mass)

    def plus(self, other: DayCurve) -> DayCurve:
        """The sum of two independent times."""
        n = len(self.mass) + len(other.mass) - 1
        if len(self.mass) * len(other.mass) <= _BIG:
            mass = np.convolve(self.mass, other.mass)
        else:
            size = 1 << (n - 1).bit_length()
            mass = np.fft.irfft(np.fft.rfft(self.mass, size) * np.fft.rfft(other.mass, size), size)[:n]
        # two cells meet between their middles: half a cell later than their starts
        return _trimmed(self.start + other.start + STEP / 2, np.clip(mass, 0, None))

    def after(self, time: float) -> DayCurve | None:
        """Given that it has not happened before `time`; None when that rules out all the curve allows."""
        if time <= self.start:
            return self
        end = float(self.edges()[-1])
        if 1 - self.cdf(time) < _NOTHING_LEFT:
            return None
        # a grid of its own that begins at the moment itself, so that no window reaches back before it
        edges = time + STEP * np.arange(int(np.ceil((end - time) / STEP)) + 1)
        kept = np.diff(np.interp(edges, self.edges(), self._cumulated()))
        return DayCurve(time, kept / kept.sum())

    def mixed(self, other: DayCurve, share: float) -> DayCurve:
        """This with probability `share`, the other otherwise."""
        start = min(self.start, other.start)
        end = max(self.edges()[-1], other.edges()[-1])
        edges = start + STEP * np.arange(int(np.ceil((end - start) / STEP)) + 1)
        parts = [np.diff(np.interp(edges, c.edges(), c._cumulated())) for c in (self, other)]
        return _trimmed(start, share * parts[0] + (1 - share) * parts[1])

    def agreeing(self, other: DayCurve) -> DayCurve | None:
        """The same moment told twice, independently; None where the two leave no moment in common."""
        start, end = max(self.start, other.start), min(self.edges()[-1], other.edges()[-1])
        if end - start < STEP:
            return None
        edges = start + STEP * np.arange(int(np.floor((end - start) / STEP)) + 1)
        first, second = (np.diff(np.interp(edges, c.edges(), c._cumulated())) for c in (self, other))
        mass = first * second
        return None if mass.sum() <= 0 else _trimmed(start, mass)

    def weighed_by_wait(self, since: float) -> DayCurve:
        """Each moment weighed by its wait from `since`: odds of a wait turned into odds of what was seen at `since`."""
        middles = self.edges()[:-1] + STEP / 2 - since
        return _trimmed(self.start, self.mass * np.clip(middles, 0, None))


def bell_curve(weights: Floats, means: Floats, sds: Floats) -> DayCurve:
    """A mixture of normal times."""
    low, high = float(np.min(means - _SPAN * sds)), float(np.max(means + _SPAN * sds))
    times = low + STEP * (np.arange(max(1, int(np.ceil((high - low) / STEP))), dtype=np.float64) + 0.5)
    return _trimmed(low, _density(times, weights, means, sds))


def waiting_curve(weights: Floats, means: Floats, sds: Floats) -> DayCurve:
    """A mixture of times whose logarithm is normal with these means and standard deviations."""
    high = min(float(np.exp(np.max(means + _SPAN * sds))), _LONGEST)
    times = STEP * (np.arange(max(1, int(np.ceil(high / STEP))), dtype=np.float64) + 0.5)
    logs: Floats = np.log(times)
    return _trimmed(0.0, _density(logs, weights, means, sds) / times)


def flat_curve(low: float, high: float) -> DayCurve:
    """All times from `low` to `high` alike; one cell when they are the same."""
    cells = max(1, round((high - low) / STEP))
    middle = (low + high) / 2
    return DayCurve(middle - cells * STEP / 2, np.full(cells, 1 / cells))


def _density(times: Floats, weights: Floats, means: Floats, sds: Floats) -> Floats:
    z = (times[None, :] - means[:, None]) / sds[:, None]
    density: Floats = (weights / sds) @ np.exp(-0.5 * z * z)
    return density


def _trimmed(start: float, mass: Floats) -> DayCurve:
    mass = mass / mass.sum()
    cumulated = np.cumsum(mass)
    first = int(np.searchsorted(cumulated, _TRIM))
    last = max(first, int(np.searchsorted(cumulated, 1 - _TRIM)))
    kept = mass[first : last + 1]
    return DayCurve(start + first * STEP, kept / kept.sum())


def _day_of(time: float) -> int:
    return int(np.floor(time + 0.5))


def _date(ordinal: int) -> dt.date:
    return dt.date.fromordinal(max(1, ordinal))
