"""How often forecast windows held, counted over invented outcomes."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from coilbook.husbandry.forecast import LEVELS, EventForecast


@dataclass
class Held:
    """How often windows of each level held, and where the truth fell in the curve (0 to 1)."""

    spans: dict[float, int] = field(default_factory=lambda: dict.fromkeys(LEVELS, 0))
    days: dict[float, int] = field(default_factory=lambda: dict.fromkeys(LEVELS, 0))
    printed: dict[float, float] = field(default_factory=lambda: dict.fromkeys(LEVELS, 0.0))
    places: list[float] = field(default_factory=list)
    asked_spans: int = 0

    def note(self, forecast: EventForecast, truth: float, *, spans: bool) -> None:
        """Count one outcome at the moment `truth` on the ordinal numbers of days."""
        assert forecast.curve is not None
        self.places.append(forecast.curve.cdf(truth))
        if not spans:
            return
        self.asked_spans += 1
        for level in LEVELS:
            low, high = forecast.curve.span(level)
            self.spans[level] += low <= truth <= high
            window = forecast.curve.window(level)
            self.printed[level] += window.probability
            self.days[level] += window.first.toordinal() - 0.5 <= truth < window.last.toordinal() + 0.5

    def central(self, level: float) -> float:
        """Share of outcomes in the middle `level` of their curves: the probability integral transform."""
        places = np.array(self.places)
        return float(np.mean(np.abs(places - 0.5) <= level / 2))
