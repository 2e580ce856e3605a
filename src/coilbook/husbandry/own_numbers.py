"""The numbers of a species that a keeper may set: which, in what unit, between which bounds, and what yours does.

A keeper's own number outranks the shipped one. What was shipped when it was set is kept beside it, so that an update
which says something new can be shown and never overwrites it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from coilbook.husbandry.figures import Brood, FigureKey, Interval, Provenance, Spread
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Refusal, say

NumberKey = FigureKey | Interval | Spread | Brood


class Unit(StrEnum):
    """What a number counts; `SHARE` lies between 0 and 1."""

    DAYS = "days"
    WEEKS = "weeks"
    YEARS = "years"
    GRAMS = "grams"
    CELSIUS = "celsius"
    MM = "mm"
    SHARE = "share"
    COUNT = "count"
    EGGS = "eggs"


class Group(StrEnum):
    """What a number is about."""

    WINDOWS = "windows"
    PAIRING = "pairing"
    FEMALE = "female"
    EGGS = "eggs"
    YOUNG = "young"


F, W, S, B, U = FigureKey, Interval, Spread, Brood, Unit
#: every number that is counted with and may be set, in the order in which it is shown
NUMBERS: Mapping[Group, tuple[tuple[NumberKey, Unit], ...]] = {
    Group.WINDOWS: (
        (W.SEASON_TO_OVULATION, U.DAYS), (W.SCAN_TO_OVULATION, U.DAYS), (W.FEEL_TO_OVULATION, U.DAYS),
        (W.OVULATION_TO_SHED, U.DAYS), (W.SHED_TO_LAYING, U.DAYS), (W.LAYING_TO_PIP, U.DAYS), (W.PIP_TO_OUT, U.DAYS),
        (W.OUT_TO_FIRST_SHED, U.DAYS), (W.FIRST_SHED_TO_FIRST_MEAL, U.DAYS), (W.FIRST_MEAL_TO_SALE_READY, U.DAYS),
        # waiting times spread in proportion to their days
        (S.SEASON_TO_OVULATION, U.DAYS), (S.SCAN_TO_OVULATION, U.SHARE), (S.FEEL_TO_OVULATION, U.SHARE),
        (S.OVULATION_TO_SHED, U.DAYS), (S.SHED_TO_LAYING, U.DAYS), (S.LAYING_TO_PIP, U.DAYS), (S.PIP_TO_OUT, U.SHARE),
        (S.OUT_TO_FIRST_SHED, U.DAYS), (S.FIRST_SHED_TO_FIRST_MEAL, U.SHARE), (S.FIRST_MEAL_TO_SALE_READY, U.SHARE),
    ),
    Group.PAIRING: (
        (F.FEMALE_BREEDING_MASS_G, U.GRAMS), (F.MALE_BREEDING_MASS_G, U.GRAMS),
        (F.STAY_DAYS, U.DAYS), (F.STAY_REST_DAYS, U.DAYS), (F.FEMALES_A_MALE, U.COUNT),
        (F.MALE_LOSS_REST, U.SHARE), (F.MALE_LOSS_STOP, U.SHARE),
        (F.STORED_SPERM_YEARS, U.YEARS), (F.PAIRED_FEMALES_THAT_LAY, U.SHARE),
    ),
    Group.FEMALE: (
        (F.RECOVERED_SHARE, U.SHARE), (F.FOLLICLE_BUILDING_MM, U.MM), (F.FOLLICLE_DOMINANT_MM, U.MM),
        (F.OVULATION_PHOTO_DAYS, U.DAYS), (F.OVULATION_INFERRED_DAYS, U.DAYS), (F.OVULATION_UNSURE_DAYS, U.DAYS),
        (F.PRE_LAY_SHED_OFFER_DAYS, U.DAYS), (F.NEST_DAYS_AFTER_SHED, U.DAYS), (F.BUILDING_LOSS_LOOK, U.SHARE),
        (F.BUILDING_LOSS_ALARM, U.SHARE), (F.GRAVID_LOSS_LOOK, U.SHARE), (F.GRAVID_LOSS_ALARM, U.SHARE),
        (F.WEIGHT_BEFORE_LAYING_DAYS, U.DAYS), (F.LOST_AT_LAYING_SHARE, U.SHARE), (F.RETAINED_EGG_HINT_G, U.GRAMS),
        (F.FIRST_MEAL_AFTER_LAYING_DAYS, U.DAYS),
    ),
    Group.EGGS: (
        (B.GOOD_EGGS, U.EGGS), (B.GOOD_EGGS_SPREAD, U.EGGS), (B.HATCH_RATE, U.SHARE), (B.HATCH_RATE_WORTH, U.EGGS),
        (F.INCUBATOR_LOW_C, U.CELSIUS), (F.INCUBATOR_TARGET_C, U.CELSIUS), (F.INCUBATOR_HIGH_C, U.CELSIUS),
        (F.INCUBATOR_CRITICAL_C, U.CELSIUS), (F.REFILL_LOSS_SHARE, U.SHARE), (F.NO_TOP_UP_LAST_DAYS, U.DAYS),
        (F.DENTS_EXPECTED_FROM_DAY, U.DAYS), (F.CUTTING_AFTER_DAY, U.DAYS),
    ),
    Group.YOUNG: (
        (F.SALE_MEALS_IN_A_ROW, U.COUNT), (F.SALE_MASS_G, U.GRAMS), (F.SALE_AGE_DAYS, U.DAYS),
        (F.NON_STARTER_WEEKS, U.WEEKS), (F.HATCHLING_LOSS_VET, U.SHARE),
    ),
}  # fmt: skip
UNITS: Mapping[NumberKey, Unit] = {key: unit for each in NUMBERS.values() for key, unit in each}
_BOUNDS: Mapping[Unit, tuple[float, float]] = {
    U.DAYS: (0, 400), U.WEEKS: (1, 52), U.YEARS: (0, 10), U.GRAMS: (1, 20_000), U.CELSIUS: (10, 40), U.MM: (1, 70),
    U.SHARE: (0.001, 1), U.COUNT: (1, 50), U.EGGS: (0.3, 200),
}  # fmt: skip
#: of these the first stays below the second
_RISING: tuple[tuple[FigureKey, FigureKey], ...] = (
    (F.INCUBATOR_LOW_C, F.INCUBATOR_TARGET_C), (F.INCUBATOR_TARGET_C, F.INCUBATOR_HIGH_C),
    (F.INCUBATOR_HIGH_C, F.INCUBATOR_CRITICAL_C), (F.BUILDING_LOSS_LOOK, F.BUILDING_LOSS_ALARM),
    (F.GRAVID_LOSS_LOOK, F.GRAVID_LOSS_ALARM), (F.MALE_LOSS_REST, F.MALE_LOSS_STOP),
    (F.FOLLICLE_BUILDING_MM, F.FOLLICLE_DOMINANT_MM),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class OwnNumber:
    """A keeper's `value`, and what `was` shipped when it was set."""

    value: float
    was: float


def number_key(text: str) -> NumberKey | None:
    """The key of a stored text; None for one this program does not know."""
    return next((key for key in UNITS if key.value == text), None)


def number_of(profile: Profile, key: NumberKey) -> tuple[float, Provenance]:
    """A number of a profile, and where it comes from."""
    if isinstance(key, Interval):
        rules = profile.intervals[key]
        return rules.middle, rules.middle_provenance
    if isinstance(key, Spread):
        rules = profile.intervals[key.interval]
        return rules.spread, rules.spread_provenance
    if isinstance(key, Brood):
        return _of_brood(profile, key)
    return profile[key].value, profile[key].provenance


def _of_brood(profile: Profile, key: Brood) -> tuple[float, Provenance]:
    eggs, rate = profile.good_eggs, profile.hatch_rate
    if key in (Brood.GOOD_EGGS, Brood.GOOD_EGGS_SPREAD):
        return (eggs.mean if key is Brood.GOOD_EGGS else eggs.sd), eggs.provenance
    return (rate.mean if key is Brood.HATCH_RATE else rate.strength), rate.provenance


def range_of(profile: Profile, key: NumberKey) -> tuple[float | None, float | None]:
    """What a profile says of the range of a number."""
    if isinstance(key, Interval):
        return profile.intervals[key].claimed
    if key is Brood.GOOD_EGGS:
        return float(min(profile.good_eggs.chances)), float(max(profile.good_eggs.chances))
    return (profile[key].low, profile[key].high) if isinstance(key, FigureKey) else (None, None)


def bounds(shipped: Profile, key: NumberKey) -> tuple[float, float]:
    """Least and most that may be set; days of a window stay near enough to what is claimed to be no slip."""
    if isinstance(key, Interval):
        least, most = shipped.intervals[key].claimed
        return least / 2, most * 2
    if isinstance(key, Spread):
        usual = shipped.intervals[key.interval].spread
        return usual / 5, usual * 5
    if key is Brood.GOOD_EGGS:
        return 1, 4 * shipped.good_eggs.mean
    if key is Brood.GOOD_EGGS_SPREAD:
        return shipped.good_eggs.sd / 5, shipped.good_eggs.sd * 5
    return _BOUNDS[UNITS[key]]


def with_numbers(shipped: Profile, own: Mapping[NumberKey, OwnNumber]) -> Profile:
    """A profile with a keeper's numbers in the place of the shipped ones, each marked as his."""
    profile = shipped
    for key, number in own.items():
        if isinstance(key, Interval):
            profile = profile.with_own_days(key, number.value)
        elif isinstance(key, Spread):
            profile = profile.with_own_spread(key.interval, number.value)
        elif isinstance(key, Brood):
            continue
        else:
            profile = profile.with_own(key, number.value)
    of_brood = {key: number.value for key, number in own.items() if isinstance(key, Brood)}
    return profile.with_own_brood(of_brood) if of_brood else profile


def check_number(shipped: Profile, own: Mapping[NumberKey, OwnNumber], key: NumberKey) -> None:
    """Raise `Refusal` when the number set for `key` is out of bounds, not whole, or turns an order round."""
    value = own[key].value
    least, most = bounds(shipped, key)
    if not least <= value <= most:
        raise Refusal(say("It lies between {least:g} and {most:g}.", least=least, most=most))
    if UNITS[key] is Unit.COUNT and value != int(value):
        raise Refusal(say("A whole number."))
    profile = with_numbers(shipped, own)
    for low, high in _RISING:
        if key in (low, high) and profile.value(low) >= profile.value(high):
            raise Refusal(say("That would turn the order round: {low:g} and {high:g}.",
                              low=profile.value(low), high=profile.value(high)))  # fmt: skip
