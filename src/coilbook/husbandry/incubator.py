"""Readings of an incubator: least, most, time outside limits, gaps; what a degree typed into the wrong field means."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coilbook.husbandry.profile import Incubation
from coilbook.husbandry.warmth import EggTemperature, effective_celsius
from coilbook.records.message import Message, Refusal, say
from coilbook.records.quantities import Temperature

DAY_MINUTES = 1440
#: where only one limit is asked about, the other one: no reading is beyond it
NO_LIMIT_C = 1000.0
#: no incubator of eggs is this warm or this cold in degrees Celsius; in Fahrenheit it is a usual reading
FAHRENHEIT_FROM, FAHRENHEIT_TO = 60.0, 110.0
#: and no room with an incubator is as cold as this in degrees Fahrenheit; in Celsius it is a usual reading
CELSIUS_FROM, CELSIUS_TO = 20.0, 45.0
COLDEST_C, WARMEST_C = -5.0, 50.0
#: readings further apart than this many times the usual distance leave a gap, but never less than the minutes
GAP_TIMES, GAP_MINUTES = 4.0, 30.0
#: from this share of the time covered by readings the eggs' temperature counts as logged
WELL_COVERED = 0.8
#: typed readings of an incubator say little about the hours between
TYPED_MINUTES = 180.0
#: a typed reading stands for no more than this to either side; what lies between is taken to be as readings usually are
TYPED_STANDS_MINUTES = 720

_TYPED = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*([cf]?)")
_EPOCH = dt.datetime.fromisoformat("1970-01-01")

Floats = NDArray[np.float64]
Minutes = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class TypedTemperature:
    """A temperature as typed, in degrees Celsius, and a sentence where it was taken for Fahrenheit."""

    temperature: Temperature
    told: Message | None


def typed_temperature(text: str, fahrenheit: bool = False) -> TypedTemperature:
    """Read a typed temperature; in a Celsius field 60 to 110 can only be Fahrenheit and is converted and told, as is
    20 to 45 in a Fahrenheit field the other way.

    Raises `Refusal` for what no incubator can be.
    """
    cleaned = text.strip().lower().replace("\u00b0", "").replace(",", ".").replace("\u2212", "-")
    typed = _TYPED.fullmatch(cleaned)
    if typed is None:
        raise Refusal(say("'{text}' is not a temperature. Type 31.5 or 88.7 F.", text=text))
    value, unit, told = float(typed[1]), typed[2], None
    in_fahrenheit = unit == "f" or (fahrenheit and unit != "c")
    if not in_fahrenheit and FAHRENHEIT_FROM <= value <= FAHRENHEIT_TO:
        in_fahrenheit = True
        told = say("{value:g} can only be Fahrenheit: kept as {temperature}.",
                   value=value, temperature=Temperature.of(to_celsius(value)))  # fmt: skip
    elif in_fahrenheit and unit != "f" and CELSIUS_FROM <= value <= CELSIUS_TO:
        in_fahrenheit = False
        told = say("{value:g} can only be Celsius: kept as {temperature}.",
                   value=value, temperature=Temperature.of(value))  # fmt: skip
    celsius = to_celsius(value) if in_fahrenheit else value
    if not COLDEST_C <= celsius <= WARMEST_C:
        raise Refusal(say("'{text}' is no temperature of an incubator.", text=text))
    return TypedTemperature(Temperature.of(celsius), told)


def to_celsius(fahrenheit: float) -> float:
    """Degrees Celsius of degrees Fahrenheit."""
    return (fahrenheit - 32) / 1.8


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings in order of time: `minutes` since 1970-01-01 on the keeper's clock, `celsius` at each.

    `logged` whether an instrument took them on its own.
    """

    minutes: Minutes
    celsius: Floats
    logged: bool

    def __len__(self) -> int:
        return len(self.minutes)

    def between(self, start: dt.datetime, end: dt.datetime) -> Readings:
        """Those from `start` until `end`."""
        low, high = np.searchsorted(self.minutes, [minute_of(start), minute_of(end) + 1])
        return Readings(self.minutes[low:high], self.celsius[low:high], self.logged)

    def uncovered(self, minutes: Minutes) -> NDArray[np.bool_]:
        """Which of these minutes no two readings without a gap lie around; all of them without any reading."""
        if len(self) == 0:
            return np.ones(len(minutes), np.bool_)
        steps = np.diff(self.minutes).astype(np.float64)
        # before the first reading and after the last there is none to run to
        joined = np.concatenate([[False], steps <= longest_step(steps, self.logged), [False]])
        after, before = np.searchsorted(self.minutes, minutes, "right"), np.searchsorted(self.minutes, minutes, "left")
        return np.asarray((after == before) & ~joined[after], np.bool_)

    def filled_with(self, typed: Readings) -> Readings:
        """These, and of those typed the ones in hours that these do not cover."""
        kept = self.uncovered(typed.minutes)
        minutes = np.concatenate([self.minutes, typed.minutes[kept]])
        order = np.argsort(minutes, kind="stable")
        return Readings(minutes[order], np.concatenate([self.celsius, typed.celsius[kept]])[order], self.logged)


def pairs_of(text: str) -> list[tuple[int, int]]:
    """(minute of the day, tenths of a degree) of a stored day of a logger.

    >>> pairs_of("0:312,2:315")
    [(0, 312), (2, 315)]
    """
    return [(int(minute), int(tenths)) for minute, _, tenths in (p.partition(":") for p in text.split(",")) if tenths]


def minute_of(moment: dt.datetime) -> int:
    """Minutes since 1970-01-01 of a wall time."""
    return int((moment.replace(tzinfo=None) - _EPOCH).total_seconds() // 60)


def moment_of(minute: int) -> dt.datetime:
    """Wall time of minutes since 1970-01-01."""
    return _EPOCH + dt.timedelta(minutes=int(minute))


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of time; `lowest_c`, `highest_c`, `mean_c` None for a gap without readings."""

    start: dt.datetime
    end: dt.datetime
    lowest_c: float | None = None
    highest_c: float | None = None
    mean_c: float | None = None

    @property
    def hours(self) -> float:
        return (self.end - self.start).total_seconds() / 3600


@dataclass(frozen=True, slots=True)
class IncubatorSummary:
    """Readings summed up: when it was coldest and warmest, hours covered and outside the limits, stretches and gaps.

    Between two readings without a gap the temperature is taken to run straight from one to the other.
    """

    lowest: tuple[float, dt.datetime]
    highest: tuple[float, dt.datetime]
    mean_c: float
    hours: float
    hours_below: float
    hours_above: float
    below: tuple[Stretch, ...]
    above: tuple[Stretch, ...]
    gaps: tuple[Stretch, ...]


def summary(readings: Readings, low_c: float, high_c: float) -> IncubatorSummary | None:
    """Sum readings up against limits; None without any."""
    if len(readings) == 0:
        return None
    at, celsius = readings.minutes, readings.celsius
    steps = np.diff(at).astype(np.float64)
    joined = steps <= longest_step(steps, readings.logged)
    hours = np.where(joined, steps, 0) / 60
    below = _share_beyond(low_c - celsius[:-1], low_c - celsius[1:])
    above = _share_beyond(celsius[:-1] - high_c, celsius[1:] - high_c)
    covered = float(hours.sum())
    middles = (celsius[:-1] + celsius[1:]) / 2
    coldest, warmest = int(np.argmin(celsius)), int(np.argmax(celsius))
    return IncubatorSummary(
        lowest=(float(celsius[coldest]), moment_of(at[coldest])),
        highest=(float(celsius[warmest]), moment_of(at[warmest])),
        mean_c=float(hours @ middles) / covered if covered else float(celsius.mean()),
        hours=covered,
        hours_below=float(hours @ below),
        hours_above=float(hours @ above),
        below=_stretches(readings, celsius < low_c, joined),
        above=_stretches(readings, celsius > high_c, joined),
        # readings typed now and then leave nothing but gaps, which is no news
        gaps=tuple(Stretch(moment_of(at[i]), moment_of(at[i + 1])) for i in np.flatnonzero(~joined))
        if readings.logged
        else (),
    )


def hours_above(readings: Readings, start: dt.datetime, end: dt.datetime, high_c: float) -> float:
    """Hours above a limit around the readings from `start` to `end`, the ways up to it and down from it included."""
    steps = np.diff(readings.minutes).astype(np.float64)
    hours = np.where(steps <= longest_step(steps, readings.logged), steps, 0) / 60
    share = _share_beyond(readings.celsius[:-1] - high_c, readings.celsius[1:] - high_c)
    near = (readings.minutes[1:] >= minute_of(start)) & (readings.minutes[:-1] <= minute_of(end))
    return float((hours * share)[near].sum())


def longest_step(steps: Floats, logged: bool) -> float:
    """Minutes between readings from which on there is a gap, from the minutes between all of them."""
    usual = float(np.median(steps)) if len(steps) else 0.0
    return max(GAP_MINUTES, GAP_TIMES * usual) if logged else TYPED_MINUTES


def _share_beyond(start: Floats, end: Floats) -> Floats:
    """Share of each straight line from `start` to `end` that lies above nought."""
    high, low = np.maximum(start, end), np.minimum(start, end)
    rise = np.where(high > low, high - low, 1.0)
    return np.where(low >= 0, np.where(high > 0, 1.0, 0.0), np.clip(high, 0, None) / rise)


def _stretches(readings: Readings, outside: NDArray[np.bool_], joined: NDArray[np.bool_]) -> tuple[Stretch, ...]:
    """Runs of readings outside a limit, broken at gaps."""
    # a reading continues the run of the one before when both are outside and no gap lies between
    starts = outside.copy()
    starts[1:] &= ~(outside[:-1] & joined)
    found = []
    for first in np.flatnonzero(starts):
        last = int(first)
        while last + 1 < len(outside) and outside[last + 1] and joined[last]:
            last += 1
        part = readings.celsius[first : last + 1]
        at = readings.minutes
        mean = float(np.trapezoid(part, at[first : last + 1]) / (at[last] - at[first])) if last > first else part[0]
        found.append(
            Stretch(moment_of(at[first]), moment_of(at[last]), float(part.min()), float(part.max()), float(mean))
        )
    return tuple(found)


def egg_temperature(readings: Readings, since: dt.datetime, until: dt.datetime, incubation: Incubation,
                    setpoint_c: float | None = None) -> EggTemperature | None:  # fmt: skip
    """The temperature that eggs lay at, as one number that brings them as far, and how sure it is.

    By a logger that covers the time; else by readings typed now and then; else the setpoint; else None, not known.
    """
    doubt = incubation.doubt
    part = readings.between(since, until)
    if len(part):
        steps = np.diff(part.minutes).astype(np.float64)
        hours = np.where(steps <= longest_step(steps, part.logged), steps, 0) / 60
        asked = max((until - since).total_seconds() / 3600, 1e-9)
        if part.logged and float(hours.sum()) / asked >= WELL_COVERED:
            weights = np.append(hours, 0) / 2 + np.append(0, hours) / 2
            return EggTemperature(effective_celsius(part.celsius, weights, incubation), doubt.logged)
        return EggTemperature(_now_and_then(part, since, until, incubation), doubt.typed)
    return EggTemperature(setpoint_c, doubt.setpoint) if setpoint_c is not None else None


def _now_and_then(part: Readings, since: dt.datetime, until: dt.datetime, incubation: Incubation) -> float:
    """The temperature of a time with few readings: one cold morning among them is a morning, and not a share of all."""
    ends = np.array([minute_of(since), *part.minutes, minute_of(until)], np.float64)
    # halfway to the next reading, and all the way to the ends
    gaps = np.diff(ends) / 2
    gaps[0], gaps[-1] = 2 * gaps[0], 2 * gaps[-1]
    stands = np.minimum(gaps, TYPED_STANDS_MINUTES)
    weights = stands[:-1] + stands[1:]
    rest = max(0.0, float(ends[-1] - ends[0] - weights.sum()))
    if weights.sum() + rest <= 0:
        return float(np.median(part.celsius))
    celsius = np.append(part.celsius, np.median(part.celsius))
    return effective_celsius(celsius, np.append(weights, rest), incubation)
