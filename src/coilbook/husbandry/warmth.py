"""Eggs in the warm: how days of incubation change with temperature.

days(T) = days(reference) * q10 ** ((reference - T) / 10); q10 2.2 from Du & Ji 2008 (another species, 22 to 30
degrees Celsius). Above the profile's `hot_above` the flatter `hot_q10` holds. Where a species has none the curve above
30 to 31 degrees is a guess, which the spread of q10 stands for.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from coilbook.husbandry.profile import Incubation

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class EggTemperature:
    """The mean temperature of eggs, degrees Celsius, and how unsure it is (standard deviation).

    `source` says where it comes from when nobody measured or set it: eggs kept by their dam.
    """

    celsius: float
    sd: float = 0.0
    source: str = ""

    @classmethod
    def with_dam(cls, incubation: Incubation) -> EggTemperature | None:
        """Of eggs their dam keeps; None where the profile says nothing of it."""
        said = incubation.with_dam
        return None if said is None else cls(said.celsius, said.sd, str(said.provenance))


def log_rate(celsius: float, incubation: Incubation) -> float:
    """Logarithm of how fast development runs, nought at the reference temperature."""
    hot = incubation.hot_above
    if hot is not None and incubation.hot_q10 is not None and celsius > hot:
        cool = (hot - incubation.reference_c) / 10 * log(incubation.q10)
        return cool + (celsius - hot) / 10 * log(incubation.hot_q10)
    return (celsius - incubation.reference_c) / 10 * log(incubation.q10)


def days_at(celsius: float, days: float, at: float, incubation: Incubation) -> float:
    """What `days` at temperature `at` become at `celsius`."""
    return days * exp(log_rate(at, incubation) - log_rate(celsius, incubation))


def sd_from_temperature(days: float, temperature: EggTemperature, incubation: Incubation) -> float:
    """Standard deviation in days that an unsure temperature brings, near that temperature."""
    return days * log(incubation.q10) / 10 * temperature.sd


def effective_celsius(celsius: Floats, weights: Floats, incubation: Incubation) -> float:
    """The constant temperature at which eggs come as far as through temperatures held for times of these `weights`.

    Higher than the plain mean, since warm hours gain more than cold hours lose. Raises ZeroDivisionError without time.
    """
    # readings repeat: one rate for each hundredth of a degree keeps 200,000 of them quick
    values, index = np.unique(np.round(celsius, 2), return_inverse=True)
    rates = np.exp([log_rate(float(c), incubation) for c in values])
    mean = float(np.log(np.average(rates[index], weights=weights)))
    low, high = float(values[0]), float(values[-1])
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if log_rate(middle, incubation) < mean else (low, middle)
    return (low + high) / 2
