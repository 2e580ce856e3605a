"""How often past windows held what they said: the program's own forecasts, kept and counted.

A forecast is made anew every day; so that one laying counts once, only the first forecast kept of each event of each
season is scored.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.figures import Event
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.wilson import wilson
from coilbook.records.message import Message, say


@dataclass(frozen=True, slots=True)
class KeptForecast:
    """A forecast as it was shown on `made_on`; `season` any key of that female's season, `happened` None until then."""

    season: Hashable
    event: Event
    made_on: dt.date
    windows: tuple[Window, ...]
    happened: KnownDay | None


@dataclass(frozen=True, slots=True)
class Score:
    """Windows of one level: `held` of `n`; `promised` the mean probability printed beside them (0 to 1).

    `undecided` windows ended inside a day that is not known exactly and are not counted.
    """

    level: float
    n: int
    held: int
    promised: float
    undecided: int

    @property
    def range(self) -> tuple[float, float]:
        """Wilson's 90% interval of the share that holds."""
        return wilson(self.held, self.n)

    def told(self) -> Message:
        """In a sentence."""
        if self.n == 0:
            return say("No {level:.0f}% window has been put to the test yet.", level=100 * self.level)
        low, high = self.range
        return say("{held} of {n} {level:.0f}% windows held ({share:.0f}%; 90% range {low:.0f}-{high:.0f}%); "
                   "in whole days they said {promised:.0f}%.",
                   None, held=self.held, n=self.n, level=100 * self.level, share=100 * self.held / self.n,
                   low=100 * low, high=100 * high, promised=100 * self.promised)  # fmt: skip


def scorecard(kept: Sequence[KeptForecast]) -> tuple[Score, ...]:
    """A score for each level that occurs, lowest first."""
    first: dict[tuple[Hashable, Event], KeptForecast] = {}
    for forecast in sorted(kept, key=lambda f: f.made_on):
        first.setdefault((forecast.season, forecast.event), forecast)
    # written up afterwards, a forecast that rules out the day it already happened on foretold nothing
    scored = [(f, f.happened) for f in first.values() if f.happened is not None and f.made_on <= f.happened.latest]
    levels = sorted({w.level for f, _ in scored for w in f.windows})
    return tuple(_score(level, scored) for level in levels)


def _score(level: float, scored: Sequence[tuple[KeptForecast, KnownDay]]) -> Score:
    pairs = [(w, day) for f, day in scored for w in f.windows if w.level == level]
    fates = [(w, _held(w, day)) for w, day in pairs]
    decided = [(w, fate) for w, fate in fates if fate is not None]
    promised = sum(w.probability for w, _ in decided) / len(decided) if decided else 0.0
    return Score(level, len(decided), sum(bool(f) for _, f in decided), promised, len(fates) - len(decided))


def _held(window: Window, day: KnownDay) -> bool | None:
    earliest, latest = day.outer
    if window.holds(earliest) and window.holds(latest):
        return True
    outside = latest < window.first or earliest > window.last
    return False if outside else None
