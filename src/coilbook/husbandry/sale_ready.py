"""Whether a hatchling is ready for sale by the profile's rule: what is met, what is missing, and since when."""

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

    @property
    def counts(self) -> bool:
        """Taken unaided, and kept."""
        return self.result in TAKEN_RESULTS and self.unaided and not self.came_back

    @property
    def breaks(self) -> bool:
        """Ends a row of meals."""
        return self.result in REFUSED_RESULTS or (self.result in TAKEN_RESULTS and not self.counts)


@dataclass(frozen=True, slots=True)
class RulePart:
    """One part of the rule in a sentence; `met` None where that is not known."""

    met: bool | None
    told: Message


@dataclass(frozen=True, slots=True)
class SaleReady:
    """`ready` only when every part of the rule is met and known; `meals` in a row, taken unaided, of `needed`.

    `mark` says where the number of meals is from.
    """

    ready: bool
    meals: int
    needed: int
    mark: str
    parts: tuple[RulePart, ...]

    @property
    def told(self) -> tuple[Message, ...]:
        """That it is ready, else the parts that are not met or not known."""
        if self.ready:
            return (say("{meals} meals in a row, weight and age reached ({mark}; local law may ask for more).",
                        meals=self.meals, mark=self.mark),)  # fmt: skip
        return tuple(part.told for part in self.parts if not part.met)


def meals_in_a_row(offers: Sequence[MealOffered]) -> int:
    """Unaided meals taken since the last refusal, aided meal or meal that came back; pending counts neither way."""
    meals = 0
    for offer in reversed(offers):
        if offer.breaks:
            break
        meals += offer.counts
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
    parts = [
        _meals(meals, needed),
        _weight(mass_dg, least),
        _age(out, age, today),
    ]
    if under_treatment:
        told = say("Under treatment: some laws forbid its sale; ask the vet and your local authority.")
        parts.append(RulePart(False, told))
    mark = str(profile[FigureKey.SALE_MEALS_IN_A_ROW].provenance)
    return SaleReady(all(part.met for part in parts), meals, needed, mark, tuple(parts))


def _meals(meals: int, needed: int) -> RulePart:
    if meals >= needed:
        return RulePart(True, say("{meals} meals in a row, unaided; from {needed}.", meals=meals, needed=needed))
    return RulePart(False, say("{meals} of {needed} meals in a row, unaided.", meals=meals, needed=needed))


def _weight(mass_dg: int | None, least: int) -> RulePart:
    if mass_dg is None:
        return RulePart(None, say("Not weighed."))
    return RulePart(mass_dg >= least, say("{mass}; from {least}.", mass=Mass(mass_dg), least=Mass(least)))


def _age(out: dt.date | None, age: int, today: dt.date) -> RulePart:
    if out is None:
        return RulePart(None, say("Its age is not known."))
    days = (today - out).days
    return RulePart(days >= age, say("{days} days old; from {age}.", days=days, age=age))


def ready_since(
    offers: Sequence[tuple[dt.date, MealOffered]],
    weights: Sequence[tuple[dt.date, int]],
    out: dt.date,
    profile: Profile,
) -> dt.date | None:
    """The first day on which every part was met by what is on record; None while there is none.

    `offers` and `weights` (tenths of a gram) in order of time. A later refusal does not undo a day that has been.
    """
    needed = int(profile.value(FigureKey.SALE_MEALS_IN_A_ROW))
    least = round(10 * profile.value(FigureKey.SALE_MASS_G))
    old_enough = out + dt.timedelta(days=int(profile.value(FigureKey.SALE_AGE_DAYS)))
    steps: list[tuple[dt.date, int, MealOffered | int | None]] = [(day, 0, offer) for day, offer in offers]
    steps += [(day, 1, mass) for day, mass in weights]
    steps.append((old_enough, 2, None))
    meals, mass = 0, 0
    for day, _kind, what in sorted(steps, key=lambda step: step[:2]):
        if isinstance(what, MealOffered):
            meals = 0 if what.breaks else meals + what.counts
        elif isinstance(what, int):
            mass = what
        if meals >= needed and mass >= least and day >= old_enough:
            return day
    return None
