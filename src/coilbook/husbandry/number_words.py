"""What every number a keeper may set is called, and what it does."""

from __future__ import annotations

from collections.abc import Mapping

from coilbook.husbandry.figures import Brood as B
from coilbook.husbandry.figures import FigureKey as F
from coilbook.husbandry.figures import Interval as I
from coilbook.husbandry.figures import Spread as S
from coilbook.husbandry.own_numbers import Group, NumberKey
from coilbook.records.message import Message, say

#: heads of the groups
GROUP_NAMES: Mapping[Group, Message] = {
    Group.WINDOWS: say("Windows"),
    Group.PAIRING: say("Pairing"),
    Group.FEMALE: say("Female"),
    Group.EGGS: say("Eggs"),
    Group.YOUNG: say("Young"),
}

_NAMES: Mapping[NumberKey, Message] = {
    I.SEASON_TO_OVULATION: say("1 Aug (south: Feb) to ovulation"),
    I.SCAN_TO_OVULATION: say("Follicle on a scan to ovulation"),
    I.FEEL_TO_OVULATION: say("Follicle felt, grade 3, to ovulation"),
    I.OVULATION_TO_SHED: say("Ovulation to pre-lay shed"),
    I.SHED_TO_LAYING: say("Pre-lay shed to laying"),
    I.LAYING_TO_PIP: say("Laying to first pip"),
    I.PIP_TO_OUT: say("First pip to out of the egg"),
    I.OUT_TO_FIRST_SHED: say("Out of the egg to first shed"),
    I.FIRST_SHED_TO_FIRST_MEAL: say("First shed to first meal"),
    I.FIRST_MEAL_TO_SALE_READY: say("First meal to ready for sale"),
    F.FEMALE_BREEDING_MASS_G: say("Ask before pairing a female under"),
    F.MALE_BREEDING_MASS_G: say("Ask before pairing a male under"),
    F.STAY_DAYS: say("A male's stay, at most"),
    F.STAY_REST_DAYS: say("A male's rest between stays"),
    F.FEMALES_A_MALE: say("Females a male in a season"),
    F.MALE_LOSS_REST: say("A male's loss: rest him"),
    F.MALE_LOSS_STOP: say("A male's loss: stop pairing"),
    F.STORED_SPERM_YEARS: say("Stored sperm counts for"),
    F.PAIRED_FEMALES_THAT_LAY: say("Paired females that lay"),
    F.RECOVERED_SHARE: say("Recovered from, of her weight before"),
    F.FOLLICLE_BUILDING_MM: say("Follicles count as building from"),
    F.FOLLICLE_DOMINANT_MM: say("Follicles count as large from"),
    F.OVULATION_PHOTO_DAYS: say("Ovulation on a picture, give or take"),
    F.OVULATION_INFERRED_DAYS: say("Ovulation inferred, give or take"),
    F.OVULATION_UNSURE_DAYS: say("Ovulation unsure, give or take"),
    F.PRE_LAY_SHED_OFFER_DAYS: say("Pre-lay shed asked about, middle of the days"),
    F.NEST_DAYS_AFTER_SHED: say("Something to lay in, after the shed"),
    F.BUILDING_LOSS_LOOK: say("Loss while building: look"),
    F.BUILDING_LOSS_ALARM: say("Loss while building: alarm"),
    F.GRAVID_LOSS_LOOK: say("Loss while gravid: look"),
    F.GRAVID_LOSS_ALARM: say("Loss while gravid: alarm"),
    F.WEIGHT_BEFORE_LAYING_DAYS: say("Weight before laying, at most this old"),
    F.LOST_AT_LAYING_SHARE: say("Fluid lost at laying, of her weight"),
    F.RETAINED_EGG_HINT_G: say("Heavier than expected after laying: ask"),
    F.FIRST_MEAL_AFTER_LAYING_DAYS: say("First meal after laying"),
    B.GOOD_EGGS: say("Good eggs in a clutch, on average"),
    B.GOOD_EGGS_SPREAD: say("Spread: good eggs in a clutch"),
    B.HATCH_RATE: say("Good eggs that hatch"),
    B.HATCH_RATE_WORTH: say("That counts as much as so many of your own"),
    F.INCUBATOR_LOW_C: say("Incubator too cold below"),
    F.INCUBATOR_TARGET_C: say("Incubator's aim"),
    F.INCUBATOR_HIGH_C: say("Incubator too warm above"),
    F.INCUBATOR_CRITICAL_C: say("Incubator dangerous from"),
    F.REFILL_LOSS_SHARE: say("Water lost before a refill is due"),
    F.NO_TOP_UP_LAST_DAYS: say("No water in the last"),
    F.DENTS_EXPECTED_FROM_DAY: say("Dents are usual from day"),
    F.CUTTING_AFTER_DAY: say("Cutting, where practised, not before day"),
    F.SALE_MEALS_IN_A_ROW: say("Ready for sale: meals in a row"),
    F.SALE_MASS_G: say("Ready for sale: weight"),
    F.SALE_AGE_DAYS: say("Ready for sale: age"),
    F.NON_STARTER_WEEKS: say("Not started counts from an age of"),
    F.HATCHLING_LOSS_VET: say("A hatchling's loss: ask a vet"),
}

NUMBER_NAMES: Mapping[NumberKey, Message] = {
    **_NAMES,
    **{spread: say("Spread: {window}", window=_NAMES[spread.interval]) for spread in S},
}
