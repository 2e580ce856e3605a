"""Water of an egg box by weight: what was lost, what to pour, when the next refill is due, and when not to pour.

L = weight at set-up + water added - what was taken out - weight now; G = what the eggs gained. What was added has
made good that much of L already: adding L less that restores the weight of the box; adding L + G less that restores the
water in the medium, since water that went into the eggs leaves the total as it was (mass balance, computed). 1 g of
water is 1 ml.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.profile import Profile
from coilbook.records.egg_vocabulary import Medium
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass

#: a weighing is good to a gram (`from memory`); a rate needs days enough to stand out from it
SCALE_DG = 10
RATE_DAYS = 3


@dataclass(frozen=True, slots=True)
class BoxNow:
    """A box at set-up and now, masses in tenths of a gram.

    `set_up_dg` and `now_dg` the whole box, lids alike (`lid_alike`); `added_dg` water poured since; `taken_out_dg`
    eggs, young or anything removed, None when something was removed and not weighed; `eggs_dg` of the same eggs at
    set-up and now, None when they cannot be weighed apart; `water_dg` water of the medium at set-up.
    """

    medium: Medium
    set_up_dg: int
    now_dg: int
    added_dg: int = 0
    taken_out_dg: int | None = 0
    eggs_dg: tuple[int, int] | None = None
    water_dg: int | None = None
    lid_alike: bool = True
    clutches: int = 1


@dataclass(frozen=True, slots=True)
class WaterBalance:
    """`lost_dg` of the box as a whole; `total_dg` to pour to restore its weight, `medium_dg` to restore the water of
    the medium, `medium_now_dg` what is in it now. None where not computable; `told` says why."""

    lost_dg: int | None
    total_dg: int | None
    medium_dg: int | None
    medium_now_dg: int | None
    told: tuple[Message, ...]


def water_balance(box: BoxNow) -> WaterBalance:
    """What a weighing says of a box's water."""
    hindrance = _hindrance(box)
    if hindrance is not None or box.taken_out_dg is None:
        return WaterBalance(None, None, None, None, () if hindrance is None else (hindrance,))
    lost = box.set_up_dg + box.added_dg - box.taken_out_dg - box.now_dg
    total = max(0, lost - box.added_dg)
    told = [_arithmetic(box, lost)]
    if box.clutches > 1:
        told.append(say("{n} clutches share this box: the loss of each is not computable.", n=box.clutches))
    if box.eggs_dg is None:
        told.append(say("The eggs were not weighed apart: only the loss of the whole box is known. Water that went "
                        "into the eggs leaves the total as it was but dries the medium."))  # fmt: skip
        return WaterBalance(lost, total, None, None, tuple(told))
    gained = box.eggs_dg[1] - box.eggs_dg[0]
    medium = max(0, lost + gained - box.added_dg)
    medium_now = None if box.water_dg is None else box.water_dg + box.added_dg - lost - gained
    told.append(say("The eggs changed by {gained}: {medium} would restore the water of the medium, {total} the weight "
                    "of the box.", gained=_signed(gained), medium=Mass(medium), total=Mass(total)))  # fmt: skip
    return WaterBalance(lost, total, medium, medium_now, tuple(told))


def _hindrance(box: BoxNow) -> Message | None:
    if box.medium is Medium.GRID:
        return say("No medium: eggs on a grid need no ratio. Keep the water below the grid.")
    if not box.lid_alike:
        return say("Weighed once with the lid and once without: the loss is not computable.")
    if box.taken_out_dg is None:
        return say("Something was taken out and not weighed: the loss is not computable.")
    return None


def _arithmetic(box: BoxNow, lost: int) -> Message:
    values = {"start": Mass(box.set_up_dg), "added": Mass(box.added_dg), "out": Mass(box.taken_out_dg or 0),
              "now": Mass(box.now_dg), "lost": Mass(abs(lost))}  # fmt: skip
    if lost < 0:
        return say("{start} at set-up + {added} added - {out} taken out - {now} now: {lost} heavier than it can be. "
                   "Weigh again, with or without the lid as at set-up.", None, **values)  # fmt: skip
    return say(
        "{start} at set-up + {added} added - {out} taken out - {now} now = {lost} lost, of which {added} is made good.",
        None,
        **values,
    )


def _signed(decigrams: int) -> Message:
    word = "+{mass}" if decigrams >= 0 else "-{mass}"
    return say(word, mass=Mass(abs(decigrams)))


@dataclass(frozen=True, slots=True)
class LossRate:
    """Loss in tenths of a gram a day; `refill_day` counted from laying, None where none is due."""

    per_day_dg: float
    refill_day: int | None
    told: tuple[Message, ...]


def loss_rate(
    losses: tuple[tuple[int, int], ...],
    water_dg: int | None,
    profile: Profile,
    made_good_dg: int = 0,
    hatch_day: int | None = None,
) -> LossRate | None:
    """How fast a box dries, from (day of incubation, loss since set-up in tenths of a gram) in order of time.

    `water_dg` is the water of the medium at set-up; a refill is due when the profile's share of it is lost and not
    `made_good_dg` by what was poured since, unless that is too near `hatch_day`, the first of the window. None until
    the weighings lie far enough apart to tell.
    """
    if len(losses) < 2 or losses[-1][0] - losses[0][0] < RATE_DAYS:
        return None
    (first, at_first), (last, at_last) = losses[0], losses[-1]
    days, lost = last - first, at_last - at_first
    rate, off = lost / days, 2 * SCALE_DG / days
    told = [say("{rate:.1f} g a day ({least:.1f} to {most:.1f} within a gram of the scale).",
                rate=rate / 10, least=max(0.0, rate - off) / 10, most=(rate + off) / 10)]  # fmt: skip
    due = None
    if water_dg is not None and rate > 0:
        share = profile[FigureKey.REFILL_LOSS_SHARE]
        due = first + ceil((share.value * water_dg + made_good_dg - at_first) / rate)
        stop = profile.value(FigureKey.NO_TOP_UP_LAST_DAYS)
        if hatch_day is not None and max(due, last) >= hatch_day - stop:
            due = None
            told.append(say("No refill is due until the last {days:.0f} days before hatching.", days=stop))
        else:
            told.append(say("Next refill about day {day}, when {share:.0f}% of the water is gone ({mark}).",
                            day=max(due, last), share=100 * share.value, mark=str(share.provenance)))  # fmt: skip
    return LossRate(rate, due if due is None else max(due, last), tuple(told))


@dataclass(frozen=True, slots=True)
class LookAtBox:
    """What a look found, for whether to pour: `drips` condensation runs; `dents` eggs are dented; `day` of incubation;
    `days_to_hatch` from today to the first day of the hatch window, None while unknown."""

    day: int
    drips: bool
    dents: bool
    days_to_hatch: int | None


@dataclass(frozen=True, slots=True)
class TopUp:
    """What to pour, tenths of a gram (0: nothing), and why."""

    pour_dg: int
    told: tuple[Message, ...]


def top_up(balance: WaterBalance, look: LookAtBox, profile: Profile) -> TopUp:
    """One number to pour, or the reason not to."""
    if balance.total_dg is None:
        return TopUp(0, balance.told)
    dents = profile[FigureKey.DENTS_EXPECTED_FROM_DAY]
    early_dents = look.dents and look.day < (dents.low or dents.value)
    reasons: list[Message] = []
    if look.drips:
        reasons.append(say("Water runs down inside: wet enough, no top-up."))
    last_days = profile.value(FigureKey.NO_TOP_UP_LAST_DAYS)
    if look.days_to_hatch is not None and look.days_to_hatch <= last_days and not early_dents:
        reasons.append(say("Within {days:.0f} days of hatching: no top-up (common practice).", days=last_days))
    if balance.total_dg < SCALE_DG:
        reasons.append(say("Less than a gram lost: no top-up."))
    if reasons:
        return TopUp(0, tuple(reasons))
    told = [say("Pour {water} at the wall, never on the eggs, at the temperature of the box.",
                water=Mass(balance.total_dg))]  # fmt: skip
    if early_dents:
        told.append(say("Dents on day {day} mean too dry until shown otherwise (common practice).", day=look.day))
    elif look.dents and look.day >= dents.value:
        told.append(say("Dents on day {day} are usual late in incubation (common practice).", day=look.day))
    return TopUp(balance.total_dg, tuple(told))
