"""An ovulation and a pre-lay shed as they are entered: how well it is known, what to ask, what is mistaken."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, Refusal, say
from coilbook.records.season_vocabulary import OvulationCertainty

#: a meal this many days before can still be the swelling (`common practice`)
BULGE_DAYS = 7
#: no follicle of breeding size is smaller in mm; such a number was measured in cm (`common practice`)
SMALLEST_MM, LARGEST_MM = 6.0, 70.0


def ovulation_day(
    day: dt.date, certainty: OvulationCertainty, give_or_take: float | None, profile: Profile
) -> KnownDay:
    """The day with the doubt its certainty brings; `give_or_take` days as the keeper said, None where nothing was."""
    usual = {
        OvulationCertainty.SEEN: 0.0,
        OvulationCertainty.PHOTO: profile.value(FigureKey.OVULATION_PHOTO_DAYS),
        OvulationCertainty.INFERRED: profile.value(FigureKey.OVULATION_INFERRED_DAYS),
        OvulationCertainty.UNSURE: profile.value(FigureKey.OVULATION_UNSURE_DAYS),
    }
    return KnownDay.on(day, usual[certainty] if give_or_take is None else give_or_take)


def meal_bulge(day: dt.date, last_meal: dt.date | None) -> Message | None:
    """The caution that a swelling may be a meal, or that this cannot be ruled out."""
    if last_meal is None:
        return say("No meal of hers is on record: a meal taken lately looks much like an ovulation.")
    days = (day - last_meal).days
    if not 0 <= days <= BULGE_DAYS:
        return None
    return say("Her last meal was {n} day before: a meal is the usual mistake for an ovulation.",
               "Her last meal was {n} days before: a meal is the usual mistake for an ovulation.", n=days)  # fmt: skip


class ShedOffer(StrEnum):
    """Whether a shed is offered as the pre-lay shed: NO, as one choice, or PAIRED where only pairing speaks for it."""

    NO = "no"
    AFTER_OVULATION = "after_ovulation"
    PAIRED = "paired"


@dataclass(frozen=True, slots=True)
class ShedQuestion:
    """Whether to ask "pre-lay, ordinary or unsure", and why; a shed is never relabelled without asking."""

    offer: ShedOffer
    because: Message | None


def shed_question(
    shed: dt.date, ovulation: KnownDay | None, paired_this_season: bool, already_recorded: bool, profile: Profile
) -> ShedQuestion:
    """What a shed of a female in season may be: asked 10 to 30 days after ovulation, or when she was paired at all."""
    if already_recorded:
        return ShedQuestion(ShedOffer.NO, None)
    if ovulation is not None:
        figure = profile[FigureKey.PRE_LAY_SHED_OFFER_DAYS]
        low, high = figure.low or figure.value, figure.high or figure.value
        days = (shed - ovulation.earliest).days
        # an ovulation that is not known to the day may as well have been later or earlier
        slack = ovulation.width + 1.645 * ovulation.doubt
        if low - slack <= days <= high + slack:
            told = say("{days} days after ovulation: the pre-lay shed comes {low:.0f} to {high:.0f} days after it.",
                       days=days, low=low, high=high)  # fmt: skip
            return ShedQuestion(ShedOffer.AFTER_OVULATION, told)
    if paired_this_season:
        return ShedQuestion(ShedOffer.PAIRED, say("She was paired this season and no pre-lay shed is on record."))
    return ShedQuestion(ShedOffer.NO, None)


@dataclass(frozen=True, slots=True)
class TypedFollicle:
    """A follicle's diameter as typed; `asked_mm` is the other reading to ask about, None when there is no question."""

    mm: float
    asked_mm: float | None
    question: Message | None


def typed_follicle(text: str) -> TypedFollicle:
    """Read a follicle in mm; 3.2 is asked as 32 mm. Raises `Refusal` for what is no size."""
    try:
        mm = float(text.strip().lower().removesuffix("mm").strip().replace(",", "."))
    except ValueError as error:
        raise Refusal(say("'{text}' is not a size in mm.", text=text)) from error
    if not 0 < mm <= LARGEST_MM:
        raise Refusal(say("A follicle of {mm:g} mm is none.", mm=mm))
    if mm < SMALLEST_MM:
        return TypedFollicle(mm, mm * 10, say("{mm:g} mm, or {more:g} mm?", mm=mm, more=mm * 10))
    return TypedFollicle(mm, None, None)
