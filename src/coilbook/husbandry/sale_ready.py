"""Whether a hatchling is ready for sale by the profile's rule, what is missing, and what cannot be said."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import REFUSED_RESULTS, TAKEN_RESULTS, FeedingResult


@dataclass(frozen=True, slots=True)
class MealOffered:
    """An offer to a hatchling in order of time; `unaided` unless it was assisted, `came_back` when regurgitated."""

    result: FeedingResult
    unaided: bool = True
    came_back: bool = False


@dataclass(frozen=True, slots=True)
class SaleReady:
    """`ready` only when every part of the rule is met and known; `meals` in a row, taken unaided."""

    ready: bool
    meals: int
    told: tuple[Message, ...]


def meals_in_a_row(offers: Sequence[MealOffered]) -> int:
    """Unaided meals taken since the last refusal, aided meal or meal that came back; pending counts neither way."""
    meals = 0
    for offer in reversed(offers):
        if offer.result in REFUSED_RESULTS or (
            offer.result in TAKEN_RESULTS and (offer.came_back or not offer.unaided)
        ):
            break
        meals += offer.result in TAKEN_RESULTS
    return meals


def sale_ready(
    offers: Sequence[MealOffered],
    mass_dg: int | None,
    out: dt.date | None,
    today: dt.date,
    profile: Profile,
    under_treatment: bool = False,
) -> SaleReady:
    """The rule of the profile, part by part; `mass_dg` the newest weight, `out` the day out of the egg."""
    needed = int(profile.value(FigureKey.SALE_MEALS_IN_A_ROW))
    least = round(10 * profile.value(FigureKey.SALE_MASS_G))
    age = int(profile.value(FigureKey.SALE_AGE_DAYS))
    meals = meals_in_a_row(offers)
    missing: list[Message] = []
    if meals < needed:
        missing.append(say("{meals} of {needed} meals in a row, unaided.", meals=meals, needed=needed))
    if mass_dg is None:
        missing.append(say("Not weighed."))
    elif mass_dg < least:
        missing.append(say("{mass} of {least}.", mass=Mass(mass_dg), least=Mass(least)))
    if out is None:
        missing.append(say("Its age is not known."))
    elif (today - out).days < age:
        missing.append(say("{days} days old; from {age}.", days=(today - out).days, age=age))
    if under_treatment:
        missing.append(say("Under treatment: some laws forbid its sale; ask the vet and your local authority."))
    if missing:
        return SaleReady(False, meals, tuple(missing))
    mark = profile[FigureKey.SALE_MEALS_IN_A_ROW].provenance
    told = say("{meals} meals in a row, weight and age reached ({mark}; local law may ask for more).",
               meals=meals, mark=str(mark))  # fmt: skip
    return SaleReady(True, meals, (told,))
