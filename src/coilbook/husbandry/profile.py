"""The season and eggs of a species as data: intervals with their spread, eggs in the warm, single figures.

Every number carries its provenance; a keeper's own value takes its place and says so.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise
from math import hypot, sqrt
from types import MappingProxyType
from typing import Any

from coilbook.husbandry.figures import Brood, Figure, FigureKey, Interval, Mark, Provenance
from coilbook.records.message import StorageTrouble, say
from coilbook.wording.resources import resource_path

#: of these both ends of the range count
RANGE_IS_RULE = frozenset(
    {FigureKey.PRE_LAY_SHED_OFFER_DAYS, FigureKey.FIRST_MEAL_AFTER_LAYING_DAYS, FigureKey.INCUBATOR_TARGET_C}
)


class Shape(StrEnum):
    """How an interval spreads: evenly to both sides in days, or in proportion (a waiting time)."""

    NORMAL = "normal"
    LOG = "log"


@dataclass(frozen=True, slots=True)
class IntervalProfile:
    """Days from one event to the next.

    `middle` is the mean (normal) or the median (log). `collection`, `female`, `season` are standard deviations: in
    days, or of the logarithm; `doubt` that of the logarithm of the female's and the season's spread themselves;
    `incubator` that of one incubator from the others of a collection, nought where none is concerned.
    """

    shape: Shape
    middle: float
    claimed: tuple[float, float]
    collection: float
    female: float
    season: float
    doubt: float
    middle_provenance: Provenance
    spread_provenance: Provenance
    incubator: float = 0.0

    @property
    def spread(self) -> float:
        """Standard deviation of one season's days (of their logarithm) from the middle, all its parts together."""
        return hypot(self.collection, self.incubator, self.female, self.season)


@dataclass(frozen=True, slots=True)
class TemperatureDoubt:
    """Standard deviation, degrees Celsius, of the eggs' mean temperature by how it is known."""

    logged: float
    typed: float
    setpoint: float
    unknown: float
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class WithDam:
    """How warm eggs lie that their dam keeps, degrees Celsius, and its standard deviation."""

    celsius: float
    sd: float
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Incubation:
    """Development with temperature; above `hot_above` (None where unknown) the flatter `hot_q10` holds.

    `with_dam` how warm eggs lie that their dam keeps, None where nothing is said of it.
    """

    reference_c: float
    q10: float
    q10_sd: float
    hot_q10: float | None
    hot_above: float | None
    stops_below_c: tuple[float, float]
    doubt: TemperatureDoubt
    with_dam: WithDam | None
    reference_provenance: Provenance
    q10_provenance: Provenance
    stops_provenance: Provenance


@dataclass(frozen=True, slots=True)
class FollicleTable:
    """Median `days` to ovulation from follicles of each of `sizes`: mm of a scan or grades by feel, rising."""

    sizes: tuple[float, ...]
    days: tuple[float, ...]
    provenance: Provenance

    def days_to_go(self, size: float) -> float | None:
        """The median of a size, geometric between two of them, level beyond the last; None below the first."""
        if size < self.sizes[0]:
            return None
        for (low, more), (high, less) in pairwise(zip(self.sizes, self.days)):
            if size <= high:
                share = (size - low) / (high - low)
                return float(more ** (1 - share) * less**share)
        return self.days[-1]


@dataclass(frozen=True, slots=True)
class OvulationAhead:
    """What follicles say of the days to ovulation; `odd_share` of seasons keep to no calendar."""

    by_scan: FollicleTable
    by_feel: FollicleTable
    odd_share: float
    odd_provenance: Provenance


@dataclass(frozen=True, slots=True)
class GoodEggs:
    """Good eggs in a clutch, slugs left out: `chances` by number, which sum to one."""

    chances: Mapping[int, float]
    provenance: Provenance

    @property
    def mean(self) -> float:
        """Good eggs on average."""
        return sum(n * chance for n, chance in self.chances.items())

    @property
    def sd(self) -> float:
        """Standard deviation of their number."""
        return sqrt(sum(chance * (n - self.mean) ** 2 for n, chance in self.chances.items()))

    def moved(self, mean: float, sd: float) -> GoodEggs:
        """The same law moved and stretched to a keeper's own mean and spread, marked as his.

        A size that then lies between two whole numbers is shared between them, which keeps the mean and adds at most
        half an egg to the spread; none is below one.
        """
        found: dict[int, float] = {}
        for n, chance in self.chances.items():
            size = max(1.0, mean + (n - self.mean) * sd / self.sd)
            low = int(size)
            for whole, part in ((low, low + 1 - size), (low + 1, size - low)):
                if part * chance > 0:
                    found[whole] = found.get(whole, 0.0) + part * chance
        total = sum(found.values())
        shares = {n: chance / total for n, chance in sorted(found.items())}
        return GoodEggs(MappingProxyType(shares), Provenance(Mark.KEEPERS_OWN, note=self.provenance.note))


@dataclass(frozen=True, slots=True)
class HatchRate:
    """Share of good eggs that hatch: a beta distribution of that `mean`, worth `strength` eggs."""

    mean: float
    strength: float
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Profile:
    """Everything the season of a species leans on."""

    key: str
    name: str
    scientific_name: str
    intervals: Mapping[Interval, IntervalProfile]
    ovulation: OvulationAhead
    incubation: Incubation
    good_eggs: GoodEggs
    hatch_rate: HatchRate
    figures: Mapping[FigureKey, Figure]

    def __getitem__(self, key: FigureKey) -> Figure:
        return self.figures[key]

    def value(self, key: FigureKey) -> float:
        """The number alone."""
        return self.figures[key].value

    def with_own(self, key: FigureKey, value: float) -> Profile:
        """The same profile with a keeper's own number, marked as such.

        Its range is dropped, except where the range is the rule itself: that moves along with the number.
        """
        shipped = self.figures[key]
        low, high = shipped.low, shipped.high
        if key in RANGE_IS_RULE and low is not None and high is not None:
            low, high = max(0.0, low + value - shipped.value), high + value - shipped.value
        else:
            low = high = None
        own = Figure(value, low, high, Provenance(Mark.KEEPERS_OWN, note=shipped.provenance.note))
        return replace(self, figures=MappingProxyType({**self.figures, key: own}))

    def with_own_days(self, interval: Interval, days: float) -> Profile:
        """The same profile with a keeper's own middle of an interval; the spread is another number."""
        shipped = self.intervals[interval]
        own = replace(shipped, middle=days, middle_provenance=Provenance(Mark.KEEPERS_OWN))
        return replace(self, intervals=MappingProxyType({**self.intervals, interval: own}))

    def with_own_spread(self, interval: Interval, spread: float) -> Profile:
        """The same profile with a keeper's own spread of an interval in all: its parts keep their shares of it."""
        shipped = self.intervals[interval]
        factor = spread / shipped.spread
        parts = {name: factor * getattr(shipped, name) for name in ("collection", "incubator", "female", "season")}
        own = replace(shipped, spread_provenance=Provenance(Mark.KEEPERS_OWN), **parts)
        return replace(self, intervals=MappingProxyType({**self.intervals, interval: own}))

    def with_own_brood(self, own: Mapping[Brood, float]) -> Profile:
        """The same profile with what a keeper expects of a clutch."""
        eggs, rate = self.good_eggs, self.hatch_rate
        if own.keys() & {Brood.GOOD_EGGS, Brood.GOOD_EGGS_SPREAD}:
            eggs = eggs.moved(own.get(Brood.GOOD_EGGS, eggs.mean), own.get(Brood.GOOD_EGGS_SPREAD, eggs.sd))
        if own.keys() & {Brood.HATCH_RATE, Brood.HATCH_RATE_WORTH}:
            mean, worth = own.get(Brood.HATCH_RATE, rate.mean), own.get(Brood.HATCH_RATE_WORTH, rate.strength)
            rate = HatchRate(mean, worth, Provenance(Mark.KEEPERS_OWN, note=rate.provenance.note))
        return replace(self, good_eggs=eggs, hatch_rate=rate)


@lru_cache(maxsize=8)
def shipped_profile(species: str) -> Profile:
    """The profile that comes with the program; `StorageTrouble` when there is none or it is damaged."""
    return read_profile(resource_path("profiles", f"{species}.toml").read_text(encoding="utf-8"))


@lru_cache(maxsize=8)
def profile_of(scientific_name: str) -> Profile:
    """The shipped profile of a species by its scientific name, as catalogues have it; `StorageTrouble` without one."""
    for path in sorted(resource_path("profiles").glob("*.toml")):
        profile = shipped_profile(path.stem)
        if profile.scientific_name == scientific_name:
            return profile
    missing = say("There is no season profile of {species}.", species=scientific_name)
    raise StorageTrouble(missing, kind="installation")


def read_profile(text: str) -> Profile:
    """A profile from the text of its file; `StorageTrouble` names what is missing or out of place."""
    try:
        loaded = tomllib.loads(text)
        return _profile(loaded)
    except (KeyError, TypeError, ValueError) as error:
        trouble = say("The species profile cannot be read: {what}.", what=str(error))
        raise StorageTrouble(trouble, kind="installation") from error


def _profile(loaded: Mapping[str, Any]) -> Profile:
    known = loaded["citation"]
    rate = loaded["clutch"]["hatch_rate"]
    return Profile(
        key=loaded["key"],
        name=loaded["name"],
        scientific_name=loaded["scientific_name"],
        intervals=MappingProxyType({i: _interval(loaded["interval"][i], known) for i in Interval}),
        ovulation=_ovulation(loaded["ovulation"], known),
        incubation=_incubation(loaded["incubation"], known),
        good_eggs=_good_eggs(loaded["clutch"]["good_eggs"], known),
        hatch_rate=HatchRate(float(rate["mean"]), float(rate["strength"]), _provenance(rate, known)),
        figures=MappingProxyType({key: _figure(loaded["figure"][key], known) for key in FigureKey}),
    )


def _provenance(entry: Mapping[str, Any], known: Mapping[str, str]) -> Provenance:
    mark = Mark(entry["mark"])
    return Provenance(mark, known[entry["citation"]] if mark is Mark.PUBLISHED else "", entry.get("note", ""))


def _good_eggs(entry: Mapping[str, Any], known: Mapping[str, str]) -> GoodEggs:
    chances = {int(n): float(p) for n, p in zip(entry["sizes"], entry["chances"], strict=True)}
    if abs(sum(chances.values()) - 1) > 1e-9:
        raise ValueError("the chances of good eggs do not sum to one")
    return GoodEggs(MappingProxyType(chances), _provenance(entry, known))


def _figure(entry: Mapping[str, Any], known: Mapping[str, str]) -> Figure:
    low, high = entry.get("low"), entry.get("high")
    return Figure(
        float(entry["value"]),
        None if low is None else float(low),
        None if high is None else float(high),
        _provenance(entry, known),
    )


def _interval(entry: Mapping[str, Any], known: Mapping[str, str]) -> IntervalProfile:
    middle, spread = entry["middle"], entry["spread"]
    least, most = (float(days) for days in middle["range"])
    if not 0 < least < middle["days"] < most:
        raise ValueError(f"{middle['days']} days do not lie inside {middle['range']}")
    return IntervalProfile(
        shape=Shape(entry["shape"]),
        middle=float(middle["days"]),
        claimed=(least, most),
        collection=float(spread["collection"]),
        female=float(spread["female"]),
        season=float(spread["season"]),
        doubt=float(spread["doubt"]),
        middle_provenance=_provenance(middle, known),
        spread_provenance=_provenance(spread, known),
        incubator=float(spread.get("incubator", 0.0)),
    )


def _ovulation(entry: Mapping[str, Any], known: Mapping[str, str]) -> OvulationAhead:
    scan, feel, odd = entry["by_scan"], entry["by_feel"], entry["odd_year"]
    return OvulationAhead(
        by_scan=_follicles(scan, scan["mm"], known),
        by_feel=_follicles(feel, feel["grade"], known),
        odd_share=float(odd["share"]),
        odd_provenance=_provenance(odd, known),
    )


def _follicles(entry: Mapping[str, Any], sizes: Sequence[float], known: Mapping[str, str]) -> FollicleTable:
    days = tuple(float(d) for d in entry["days"])
    found = tuple(float(size) for size in sizes)
    if len(found) != len(days) or list(found) != sorted(set(found)) or list(days) != sorted(days, reverse=True):
        raise ValueError("sizes of follicles rise and their days fall")
    return FollicleTable(found, days, _provenance(entry, known))


def _incubation(entry: Mapping[str, Any], known: Mapping[str, str]) -> Incubation:
    q10, stops, unsure, hot = entry["q10"], entry["no_development_below"], entry["unsure"], entry.get("q10_hot")
    dam = entry.get("with_dam")
    lower, upper = (float(c) for c in stops["celsius"])
    logged, typed, setpoint, unknown = (float(unsure[name]) for name in ("logged", "typed", "setpoint", "unknown"))
    return Incubation(
        reference_c=float(entry["reference"]["celsius"]),
        q10=float(q10["value"]),
        q10_sd=float(entry["q10_unsure"]["sd"]),
        hot_q10=None if hot is None else float(hot["value"]),
        hot_above=None if hot is None else float(hot["above"]),
        stops_below_c=(lower, upper),
        doubt=TemperatureDoubt(logged, typed, setpoint, unknown, _provenance(unsure, known)),
        with_dam=None if dam is None else _with_dam(dam, known),
        reference_provenance=_provenance(entry["reference"], known),
        q10_provenance=_provenance(q10, known),
        stops_provenance=_provenance(stops, known),
    )


def _with_dam(entry: Mapping[str, Any], known: Mapping[str, str]) -> WithDam:
    return WithDam(float(entry["celsius"]), float(entry["sd"]), _provenance(entry, known))
