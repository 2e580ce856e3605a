"""Her weight after laying against her weight before less the clutch: may eggs have stayed inside?

Asks for a vet's look where that may be; never a diagnosis. What is not weighed is not guessed.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass

#: days after laying within which a weight still is the one after laying
AFTER_DAYS = 3


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weight of hers and its day."""

    day: dt.date
    mass_dg: int


@dataclass(frozen=True, slots=True)
class Laying:
    """What is known on the day of laying; where it is not known to the day, `day` is the first it can be.

    `clutch_dg` all eggs and slugs together (a clump weighed as one counts), None when not weighed; `unweighed` eggs or
    slugs not in it; `laid` how many lay there, `scanned` how many were counted before, None without a scan; `ate`
    whether she took a meal between laying and the weight after, `ate_before` between the weight before and laying;
    `latest` the last day laying can have been, None where `day` is sure.
    """

    day: dt.date
    before: Weighed | None
    after: Weighed | None
    clutch_dg: int | None
    unweighed: int
    laid: int
    scanned: int | None = None
    ate: bool = False
    ate_before: bool = False
    latest: dt.date | None = None

    @property
    def last(self) -> dt.date:
        return self.latest or self.day


class Balance(StrEnum):
    """What the balance says."""

    NOT_COMPUTABLE = "not_computable"
    AS_EXPECTED = "as_expected"
    LIGHTER = "lighter"
    HEAVIER = "heavier"
    ASK_A_VET = "ask_a_vet"


@dataclass(frozen=True, slots=True)
class MassBalance:
    """`expected_dg` least and most after laying; `off_dg` how far she is from the nearer of them, 0 inside.

    `of_before` and `of_after` are the clutch by her mass before and after laying (0 to 1), two definitions of the
    relative clutch mass; None where not computable.
    """

    verdict: Balance
    expected_dg: tuple[int, int] | None
    off_dg: int | None
    of_before: float | None
    of_after: float | None
    told: tuple[Message, ...]


def mass_balance(laying: Laying, profile: Profile) -> MassBalance:
    """The balance of one laying, or why there is none."""
    missing = _missing(laying, profile)
    before, after, clutch = laying.before, laying.after, laying.clutch_dg
    if missing or before is None or after is None or clutch is None:
        told = (say("Mass balance not computable."), *missing) if missing else ()
        return MassBalance(Balance.NOT_COMPUTABLE, None, None, None, None, told)
    lost, usual = profile[FigureKey.LOST_AT_LAYING_SHARE], profile[FigureKey.RELATIVE_CLUTCH_MASS]
    full = before.mass_dg - clutch
    least = full - round(before.mass_dg * (lost.high if lost.high is not None else lost.value))
    off = after.mass_dg - full if after.mass_dg > full else min(0, after.mass_dg - least)
    verdict = _verdict(laying, off, profile)
    return MassBalance(
        verdict, (least, full), off, clutch / before.mass_dg, clutch / after.mass_dg,
        (
            say("{before} before less {clutch} of eggs leaves {least} to {full}; she weighs {after}.",
                before=Mass(before.mass_dg), clutch=Mass(clutch), least=Mass(least), full=Mass(full),
                after=Mass(after.mass_dg)),
            say("The clutch is {before:.0f}% of her weight before laying, {after:.0f}% of that after.",
                before=100 * clutch / before.mass_dg, after=100 * clutch / after.mass_dg),
            say("Of the weight before, {usual:.0f}% is what is known of the species ({mark}).",
                usual=100 * usual.value, mark=str(usual.provenance)),
            *_verdict_words(verdict, laying, off),
        ),
    )  # fmt: skip


def _missing(laying: Laying, profile: Profile) -> tuple[Message, ...]:
    found = []
    before = _missing_before(laying, int(profile.value(FigureKey.WEIGHT_BEFORE_LAYING_DAYS)))
    if before is not None:
        found.append(before)
    # the balance holds for every day the laying can have been, or it is none
    if laying.after is None or not 0 <= (laying.after.day - laying.day).days <= AFTER_DAYS:
        found.append(say("She was not weighed within {days} days after.", days=AFTER_DAYS))
    elif laying.ate:
        found.append(say("She took a meal before the weight after laying."))
    if laying.clutch_dg is None and laying.unweighed in (0, laying.laid):
        found.append(say("The clutch was not weighed."))
    elif laying.unweighed:
        found.append(say("{n} egg or slug was not weighed.", "{n} eggs or slugs were not weighed.", n=laying.unweighed))
    return tuple(found)


def _missing_before(laying: Laying, longest: int) -> Message | None:
    if laying.before is None or laying.before.day > laying.day:
        return say("She was not weighed before.")
    days = (laying.last - laying.before.day).days
    if days > longest and laying.latest is not None and (laying.day - laying.before.day).days <= longest:
        return say("She may have been weighed {n} days before laying, more than {longest}: its day is not known.",
                   None, n=days, longest=longest)  # fmt: skip
    if days > longest:
        return say("She was last weighed {n} day before laying, more than {longest}.",
                   "She was last weighed {n} days before laying, more than {longest}.",
                   n=days, longest=longest)  # fmt: skip
    if laying.ate_before:
        return say("She took a meal between the weight before and laying.")
    return None


def _verdict(laying: Laying, off: int, profile: Profile) -> Balance:
    hint = round(profile.value(FigureKey.RETAINED_EGG_HINT_G) * 10)
    fewer = laying.scanned is not None and laying.laid < laying.scanned
    if off >= hint and (fewer or laying.scanned is None):
        return Balance.ASK_A_VET
    # a scale's gram and the water she drank: small differences tell nothing
    allowance = hint // 5
    if off > allowance:
        return Balance.HEAVIER
    return Balance.LIGHTER if off < -allowance else Balance.AS_EXPECTED


def _verdict_words(verdict: Balance, laying: Laying, off: int) -> tuple[Message, ...]:
    count: tuple[Message, ...] = ()
    if laying.scanned is not None and laying.laid != laying.scanned:
        count = (say("{laid} eggs lie there, {scanned} were counted in the scan.",
                     laid=laying.laid, scanned=laying.scanned),)  # fmt: skip
    match verdict:
        case Balance.ASK_A_VET:
            words = say("{off} heavier than expected: eggs may have stayed inside. That is no diagnosis; ask a vet to "
                        "look at her soon, at once if she strains or weakens.", off=Mass(off))  # fmt: skip
        case Balance.HEAVIER:
            words = say("{off} heavier than expected: weigh her and the eggs again.", off=Mass(off))
        case Balance.LIGHTER:
            words = say("{off} lighter than expected: weigh again; a long fast or an old weight before may explain it.",
                        off=Mass(-off))  # fmt: skip
        case _:
            words = say("As expected.")
    return (*count, words)
