"""Do the windows hold what they say? Invented females whose truth is known, forecast by the real code.

Truth is drawn the way the profile tells it, by code of its own: a collection, a female in it, a season of hers, and how
wide females and seasons spread. Time is continuous, so a window of 80% should hold 80 in 100, no more. A second truth
is wrong on purpose: three days later, 1.4 times as wide, skewed, and some dates written a day off.

Run `python -m tests.reference.coverage` for the tables.
"""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from tests.reference.held import Held
from tests.reference.ovulation_coverage import ovulating

from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.figures import Event, Interval
from coilbook.husbandry.forecast import LEVELS, SeasonSoFar, forecasts
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import IntervalProfile, Profile, Shape, shipped_profile
from coilbook.husbandry.warmth import EggTemperature

DAY = dt.date(2026, 2, 1)
UNSURE_DAYS = 5.0
PATH = (Interval.OVULATION_TO_SHED, Interval.SHED_TO_LAYING)
OWN, SEEN, CONDITIONED = (0, 2, 5), (True, False), (False, True)


Noise = Callable[[np.random.Generator], float]


@dataclass(frozen=True)
class Truth:
    """How an interval comes about; the defaults are what the profile says."""

    later: float = 0.0
    wider: float = 1.0
    noise: Noise = lambda chance: float(chance.normal())
    widths: bool = True
    slips: float = 0.0

    def collection(self, rules: IntervalProfile, chance: np.random.Generator) -> tuple[float, float]:
        """The mean of a collection, and its width of spread."""
        width = float(np.exp(rules.doubt * chance.normal())) if self.widths else 1.0
        return rules.middle + self.later + rules.collection * chance.normal(), width * self.wider

    def season(self, mean: float, width: float, rules: IntervalProfile, chance: np.random.Generator) -> float:
        """Days in one season of a female with that mean."""
        return mean + rules.season * width * self.noise(chance)

    def female(self, mean: float, width: float, rules: IntervalProfile, chance: np.random.Generator) -> float:
        """The mean of a female of that collection."""
        return mean + rules.female * width * self.noise(chance)

    def written(self, days: float, chance: np.random.Generator) -> float:
        """Days as they get into the records."""
        return days + (chance.choice((-1, 1)) if chance.random() < self.slips else 0)


def skewed(chance: np.random.Generator) -> float:
    """Mean nought, variance one, a long tail to the late side (skewness 1)."""
    return float(chance.gamma(4) - 4) / 2


#: the wrong truth of the second run
WRONG = Truth(later=3.0, wider=1.4, noise=skewed, widths=False, slips=0.15)


def females(own: int, others: int, truth: Truth, profile: Profile, chance: np.random.Generator) -> Iterator[
    tuple[list[PastInterval], dict[Interval, float]]
]:  # fmt: skip
    """One female after another, each of a collection of its own: history on record, and her days this season."""
    while True:
        past: list[PastInterval] = []
        now: dict[Interval, float] = {}
        for interval in PATH:
            rules = profile.intervals[interval]
            mean, width = truth.collection(rules, chance)
            hers = truth.female(mean, width, rules, chance)
            now[interval] = truth.season(hers, width, rules, chance)
            means = [hers] * own
            for number in range(others):
                means += [truth.female(mean, width, rules, chance)] if number % 3 == 0 else [means[-1]]
            keys = ["she"] * own + [f"other {number // 3}" for number in range(others)]
            for key, at in zip(keys, means):
                days = truth.written(truth.season(at, width, rules, chance), chance)
                past.append(PastInterval(interval, key, days))
        yield past, now


def cell(
    own: int, seen: bool, conditioned: bool, count: int, seed: int, *,
    truth: Truth | None = None, others: int = 0, spans: bool = False,
) -> Held:  # fmt: skip
    """`count` females whose laying is forecast from an ovulation seen or unsure, at once or on a later day."""
    truth = truth or Truth()
    profile, chance, held = shipped_profile("ball_python"), np.random.default_rng(seed), Held()
    doubt = 0.0 if seen else UNSURE_DAYS
    middle = sum(profile.intervals[i].middle for i in PATH) + truth.later * len(PATH)
    ovulation = KnownDay.on(DAY, doubt)
    for past, now in females(own, others, truth, profile, chance):
        laid = DAY.toordinal() - ovulation.doubt * chance.normal() + sum(now.values())
        laid = truth.written(laid, chance)
        # the day she is looked at is chosen without a look at her truth; those that have laid by then are left out
        today = DAY + dt.timedelta(days=int(chance.integers(int(middle) - 5, int(middle) + 6)) if conditioned else 1)
        if laid <= today.toordinal() - 0.5:
            continue
        laying = forecasts(profile, SeasonSoFar({Event.OVULATION: ovulation}), past, today, "she", Event.LAYING)[-1]
        held.note(laying, laid, spans=spans)
        if len(held.places) == count:
            return held
    raise AssertionError("there is always another female")


def hatching(
    own: int, temperature_sd: float, degrees: float, count: int, seed: int, spans: bool = False, others: int = 0
) -> Held:
    """Eggs whose first pip is forecast from laying; the temperature off by as much as it is said to be unsure.

    Two incubators, each with a part of its own; `others` clutches of other females lay in either of them.
    """
    profile, chance, held = shipped_profile("ball_python"), np.random.default_rng(seed), Held()
    rules, inc = profile.intervals[Interval.LAYING_TO_PIP], profile.incubation
    for _ in range(count):
        mean, width = Truth().collection(rules, chance)
        hers = Truth().female(mean, width, rules, chance)
        parts = rules.incubator * chance.normal(size=2)
        q10 = inc.q10 + inc.q10_sd * chance.normal()
        warm = degrees + temperature_sd * chance.normal()

        def days(celsius: float, where: int, female: float) -> float:
            at_reference = Truth().season(female, width, rules, chance) + parts[where]  # noqa: B023 - in this turn only
            return float(at_reference * q10 ** ((inc.reference_c - celsius) / 10))  # noqa: B023

        past = []
        for number in range(own + others):
            key, female = ("she", hers) if number < own else (number, Truth().female(mean, width, rules, chance))
            where, warmth = int(chance.integers(2)), float(chance.normal(31.3, 0.5))
            lasted = days(warmth, where, female)
            past.append(PastInterval(Interval.LAYING_TO_PIP, key, lasted, 0.0, EggTemperature(warmth), where))
        warmth_now = EggTemperature(degrees, temperature_sd)
        season = SeasonSoFar({Event.LAYING: KnownDay.on(DAY)}, temperature=warmth_now, incubator=0)
        pip = forecasts(profile, season, past, DAY, "she", Event.PIP)[-1]
        held.note(pip, DAY.toordinal() + days(warm, 0, hers), spans=spans)
    return held


def selling(own: int, count: int, seed: int, spans: bool = False) -> Held:
    """Hatchlings whose readiness for sale is forecast from leaving the egg: a bell and two waiting times in a row."""
    profile, chance, held = shipped_profile("ball_python"), np.random.default_rng(seed), Held()
    path = (Interval.OUT_TO_FIRST_SHED, Interval.FIRST_SHED_TO_FIRST_MEAL, Interval.FIRST_MEAL_TO_SALE_READY)
    for _ in range(count):
        past: list[PastInterval] = []
        total = 0.0
        for interval in path:
            rules = profile.intervals[interval]
            width = float(np.exp(rules.doubt * chance.normal()))
            hers = rules.collection * chance.normal() + rules.female * width * chance.normal()
            draws = hers + rules.season * width * chance.normal(size=own + 1)
            days = rules.middle * np.exp(draws) if rules.shape is Shape.LOG else rules.middle + draws
            past += [PastInterval(interval, "she", float(d)) for d in days[1:]]
            total += float(days[0])
        season = SeasonSoFar({Event.OUT: KnownDay.on(DAY)})
        held.note(forecasts(profile, season, past, DAY, "she")[-1], DAY.toordinal() + total, spans=spans)
    return held


def _row(name: str, held: Held) -> str:
    n = held.asked_spans
    central = "  ".join(f"{100 * held.central(level):5.1f}" for level in LEVELS)
    spans = "  ".join(f"{100 * held.spans[level] / n:5.1f}" for level in LEVELS)
    whole = "  ".join(f"{100 * held.days[level] / n:5.1f}/{100 * held.printed[level] / n:4.1f}" for level in LEVELS)
    return f"{name:44s} {len(held.places):6d}   {central}   {spans}   {whole}"


def main() -> None:
    """Print the tables: middle of the curve, shortest span, whole days held against printed; 50, 80, 95%."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--females", type=int, default=4000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    head = "   50     80     95  "
    print(f"{'cell':44s} females  middle{head[6:]}    shortest{head[8:]}   whole days held/printed")
    as_told = Truth()
    runs = (
        ("truth as the profile tells it", as_told, OWN, 0),
        ("the same, spread exactly the profile's", replace(as_told, widths=False), OWN, 0),
        ("wrong truth, after 30 own clutches", WRONG, (2, 5), 30),
    )
    for title, truth, owns, clutches in runs:
        print(title)
        for own in owns:
            for seen in SEEN:
                for conditioned in CONDITIONED:
                    name = f"  own {own}, ovulation {'seen' if seen else 'unsure'}, "
                    name += "not laid yet" if conditioned else "from the start"
                    others = max(0, clutches - own)
                    held = cell(
                        own, seen, conditioned, asked.females, asked.seed, truth=truth, others=others, spans=True
                    )
                    print(_row(name, held), flush=True)
    print("first pip from laying, truth as the profile tells it")
    for own, others, sd, degrees in (
        (0, 0, 0.0, 31.5), (0, 0, 0.4, 31.5), (2, 0, 0.1, 31.5), (5, 0, 0.4, 31.0), (5, 0, 0.1, 29.5),
        (2, 20, 0.1, 31.0),
    ):  # fmt: skip
        held = hatching(own, sd, degrees, asked.females, asked.seed, spans=True, others=others)
        print(_row(f"  own {own}, {others} of others, eggs at {degrees} give or take {sd}", held), flush=True)
    print("ovulation, truth as the profile tells it")
    for own in OWN:
        for scanned in (False, True):
            name = f"  own {own}, " + ("with a scan" if scanned else "by the calendar")
            print(_row(name, ovulating(own, scanned, asked.females, asked.seed)), flush=True)
    print("ready for sale from leaving the egg, truth as the profile tells it")
    for own in OWN:
        print(_row(f"  own {own}", selling(own, asked.females, asked.seed, spans=True)), flush=True)


if __name__ == "__main__":
    main()
