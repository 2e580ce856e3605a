"""The temperature eggs lay at where a logger covers some hours, typed readings others, and the setpoint the rest."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coilbook.husbandry.incubator import TYPED_STANDS_MINUTES, Floats, Minutes, Readings, longest_step, minute_of
from coilbook.husbandry.profile import Incubation
from coilbook.husbandry.warmth import EggTemperature, effective_celsius

#: from so many typed readings on, hours between them are taken to be as readings usually are (from memory)
_USUAL_FROM = 3


def covered_warmth(
    logged: Readings,
    typed: Readings,
    since: dt.datetime,
    until: dt.datetime,
    setpoint_c: float,
    incubation: Incubation,
) -> EggTemperature:
    """Hours a logger covers as it wrote them, the others as typed where they were, else at the setpoint.

    One cold night is not a cold season: of few typed readings each stands for half a day to either side, and what lies
    between is at the setpoint; of several it is as they usually are. How sure it is goes by hours.
    """
    steps = np.diff(logged.minutes).astype(np.float64)
    joined = steps <= longest_step(steps, logged=True)
    hours = np.where(joined, steps, 0) / 60
    parts = [_Part(logged.celsius, np.append(hours, 0) / 2 + np.append(0, hours) / 2, incubation.doubt.logged)]
    for start, end in _gaps(logged.minutes, joined, minute_of(since), minute_of(until)):
        parts += _unlogged(typed, start, end, setpoint_c, incubation)
    celsius, weights = np.concatenate([p.celsius for p in parts]), np.concatenate([p.hours for p in parts])
    whole = float(weights.sum())
    if whole <= 0:
        return EggTemperature(setpoint_c, incubation.doubt.setpoint)
    sd = sum(float(p.hours.sum()) * p.doubt for p in parts) / whole
    return EggTemperature(effective_celsius(celsius, weights, incubation), sd)


@dataclass(frozen=True, slots=True)
class _Part:
    """Temperatures, the hours each stands for, and how unsure they are (standard deviation)."""

    celsius: Floats
    hours: Floats
    doubt: float


def _unlogged(typed: Readings, start: int, end: int, setpoint_c: float, incubation: Incubation) -> list[_Part]:
    """A stretch in minutes without a logger: as typed as far as that reaches, the rest as usual or at the setpoint."""
    inside = (typed.minutes > start) & (typed.minutes < end)
    there, doubt = typed.celsius[inside], incubation.doubt
    stands = _stands(typed.minutes[inside], start, end) if len(there) else np.zeros(0)
    rest = np.array([max(0.0, (end - start) / 60 - float(stands.sum()))])
    if len(there) >= _USUAL_FROM:
        between = _Part(np.array([np.median(there)]), rest, doubt.typed)
    else:
        between = _Part(np.array([setpoint_c]), rest, doubt.setpoint)
    return [_Part(there, stands, doubt.typed), between]


def _gaps(minutes: Minutes, joined: NDArray[np.bool_], since: int, until: int) -> list[tuple[int, int]]:
    """Stretches in minutes that no two readings of the logger lie around."""
    edges = [(since, int(minutes[0])), *((int(minutes[i]), int(minutes[i + 1])) for i in np.flatnonzero(~joined))]
    return [(start, end) for start, end in [*edges, (int(minutes[-1]), until)] if end > start]


def _stands(minutes: Minutes, start: int, end: int) -> Floats:
    """Hours each typed reading stands for: halfway to the next, all the way to the ends, half a day at most."""
    gaps = np.diff(np.array([start, *minutes, end], np.float64)) / 2
    gaps[0], gaps[-1] = 2 * gaps[0], 2 * gaps[-1]
    each = np.minimum(gaps, TYPED_STANDS_MINUTES) / 60
    return np.asarray(each[:-1] + each[1:], np.float64)
