"""Figures of a species with where each comes from, and what every profile must hold."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Mark(StrEnum):
    """How well a number is founded, worded as it is shown beside it."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    KEEPERS_OWN = "the keeper's own"


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a number comes from; `citation` is the reference of a published one, empty otherwise."""

    mark: Mark
    citation: str = ""
    note: str = ""

    def __str__(self) -> str:
        return f"published: {self.citation}" if self.mark is Mark.PUBLISHED else self.mark.value


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of a profile, with `low` and `high` where a range is meant; the unit is in the key's last word."""

    value: float
    low: float | None
    high: float | None
    provenance: Provenance


class FigureKey(StrEnum):
    """Every single figure of a profile. `_g` grams, `_mm`, `_c` degrees Celsius, `_days`, `_weeks`, `_months`,
    `_years`; `_share` and `_loss_...` between 0 and 1; counts without a unit."""

    RELATIVE_CLUTCH_MASS = "relative_clutch_mass"
    LOST_AT_LAYING_SHARE = "lost_at_laying_share"
    RETAINED_EGG_HINT_G = "retained_egg_hint_g"
    WEIGHT_BEFORE_LAYING_DAYS = "weight_before_laying_days"
    FEMALE_BREEDING_MASS_G = "female_breeding_mass_g"
    FEMALE_BREEDING_MONTHS = "female_breeding_months"
    MALE_BREEDING_MASS_G = "male_breeding_mass_g"
    MALE_BREEDING_MONTHS = "male_breeding_months"
    RECOVERED_SHARE = "recovered_share"
    STAY_DAYS = "stay_days"
    STAY_REST_DAYS = "stay_rest_days"
    FEMALES_A_MALE = "females_a_male"
    STORED_SPERM_YEARS = "stored_sperm_years"
    PAIRED_FEMALES_THAT_LAY = "paired_females_that_lay"
    FOLLICLE_DOMINANT_MM = "follicle_dominant_mm"
    FOLLICLE_BUILDING_MM = "follicle_building_mm"
    OVULATION_UNSURE_DAYS = "ovulation_unsure_days"
    OVULATION_INFERRED_DAYS = "ovulation_inferred_days"
    OVULATION_PHOTO_DAYS = "ovulation_photo_days"
    PRE_LAY_SHED_OFFER_DAYS = "pre_lay_shed_offer_days"
    NEST_DAYS_AFTER_SHED = "nest_days_after_shed"
    GRAVID_LOSS_LOOK = "gravid_loss_look"
    GRAVID_LOSS_ALARM = "gravid_loss_alarm"
    BUILDING_LOSS_LOOK = "building_loss_look"
    BUILDING_LOSS_ALARM = "building_loss_alarm"
    MALE_LOSS_REST = "male_loss_rest"
    MALE_LOSS_STOP = "male_loss_stop"
    FIRST_MEAL_AFTER_LAYING_DAYS = "first_meal_after_laying_days"
    INCUBATOR_LOW_C = "incubator_low_c"
    INCUBATOR_TARGET_C = "incubator_target_c"
    INCUBATOR_HIGH_C = "incubator_high_c"
    INCUBATOR_CRITICAL_C = "incubator_critical_c"
    REFILL_LOSS_SHARE = "refill_loss_share"
    NO_TOP_UP_LAST_DAYS = "no_top_up_last_days"
    DENTS_EXPECTED_FROM_DAY = "dents_expected_from_day"
    CUTTING_AFTER_DAY = "cutting_after_day"
    SALE_MEALS_IN_A_ROW = "sale_meals_in_a_row"
    SALE_MASS_G = "sale_mass_g"
    SALE_AGE_DAYS = "sale_age_days"
    NON_STARTER_WEEKS = "non_starter_weeks"
    HATCHLING_LOSS_VET = "hatchling_loss_vet"


class Event(StrEnum):
    """What is waited for in a season and after, in the order in which it comes."""

    OVULATION = "ovulation"
    SHED = "pre_lay_shed"
    LAYING = "laying"
    PIP = "pip"
    OUT = "out"
    FIRST_SHED = "first_shed"
    FIRST_MEAL = "first_meal"
    SALE_READY = "sale_ready"


class Interval(StrEnum):
    """From one event to the next, by the name it has in a profile."""

    OVULATION_TO_SHED = "ovulation_to_shed"
    SHED_TO_LAYING = "shed_to_laying"
    LAYING_TO_PIP = "laying_to_pip"
    PIP_TO_OUT = "pip_to_out"
    OUT_TO_FIRST_SHED = "out_to_first_shed"
    FIRST_SHED_TO_FIRST_MEAL = "first_shed_to_first_meal"
    FIRST_MEAL_TO_SALE_READY = "first_meal_to_sale_ready"
    #: these three end in ovulation: from the first day of the calendar, a scan or a palpation
    SEASON_TO_OVULATION = "season_to_ovulation"
    SCAN_TO_OVULATION = "scan_to_ovulation"
    FEEL_TO_OVULATION = "feel_to_ovulation"


class Spread(StrEnum):
    """How far an interval spreads in all: the standard deviation of one season's days, or of their logarithm."""

    SEASON_TO_OVULATION = "season_to_ovulation_spread"
    SCAN_TO_OVULATION = "scan_to_ovulation_spread"
    FEEL_TO_OVULATION = "feel_to_ovulation_spread"
    OVULATION_TO_SHED = "ovulation_to_shed_spread"
    SHED_TO_LAYING = "shed_to_laying_spread"
    LAYING_TO_PIP = "laying_to_pip_spread"
    PIP_TO_OUT = "pip_to_out_spread"
    OUT_TO_FIRST_SHED = "out_to_first_shed_spread"
    FIRST_SHED_TO_FIRST_MEAL = "first_shed_to_first_meal_spread"
    FIRST_MEAL_TO_SALE_READY = "first_meal_to_sale_ready_spread"

    @property
    def interval(self) -> Interval:
        """What spreads."""
        return Interval(self.value.removesuffix("_spread"))


class Brood(StrEnum):
    """What is expected of a clutch before the keeper has any of his own."""

    GOOD_EGGS = "good_eggs"
    GOOD_EGGS_SPREAD = "good_eggs_spread"
    HATCH_RATE = "hatch_rate"
    HATCH_RATE_WORTH = "hatch_rate_worth"


class OvulationCue(StrEnum):
    """What an ovulation ahead is counted from, stored with its forecast like an `Event`."""

    SEASON = "season"
    FOLLICLE = "follicle"


#: the interval that ends in an event and begins with the one before it
ENDING_IN = dict(zip(list(Event)[1:], list(Interval)[: len(Event) - 1], strict=True))
