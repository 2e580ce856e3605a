"""How much a male is used this season: days with females, rest since, how many females, what speaks against more."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.fit_to_pair import Floors
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import Sex

#: a male in season that lost this much is for a vet (`common practice`)
VET_PERMILLE = 150


@dataclass(frozen=True, slots=True)
class HisStay:
    """With which female, days inclusive; `last` None while he is."""

    female: str
    first: dt.date
    last: dt.date | None


@dataclass(frozen=True, slots=True)
class MaleLoad:
    """`days` on which he was with a female this season, one with two of them counting once; `rested` since the last
    (None while in or never), `permille` change of weight this season (None when not weighed); `cautions` what speaks
    against another stay now."""

    days: int
    females: int
    with_now: HisStay | None
    rested: int | None
    permille: int | None
    cautions: tuple[Message, ...]


def male_load(
    stays: Sequence[HisStay], start_dg: int | None, now_dg: int | None, profile: Profile, floors: Floors
) -> MaleLoad:
    """The load of one male from his stays of this season, in order of time; `start_dg` his weight before them."""
    today = floors.today
    days = len({day for s in stays for day in range(s.first.toordinal(), (s.last or today).toordinal() + 1)})
    inside = next((s for s in stays if s.last is None), None)
    ended = [s.last for s in stays if s.last is not None]
    rested = (today - max(ended)).days if ended and inside is None else None
    change = round(1000 * (now_dg / start_dg - 1)) if start_dg and now_dg else None
    females = len({s.female for s in stays})
    return MaleLoad(
        days,
        females,
        inside,
        rested,
        change,
        _cautions(inside, rested, change, females, now_dg, profile, floors),
    )


def _cautions(
    inside: HisStay | None, rested: int | None, change: int | None, females: int, now_dg: int | None,
    profile: Profile, floors: Floors,
) -> tuple[Message, ...]:  # fmt: skip
    told: list[Message] = []
    today = floors.today
    stay, rest = profile[FigureKey.STAY_DAYS], profile[FigureKey.STAY_REST_DAYS]
    most = profile[FigureKey.FEMALES_A_MALE]
    if inside is not None and (today - inside.first).days >= (stay.high or stay.value):
        told.append(say("Still with {female}? {n} day.", "Still with {female}? {n} days.",
                        female=inside.female, n=(today - inside.first).days))  # fmt: skip
    if rested is not None and rested < (rest.low or rest.value):
        told.append(say("Rested {rested} of at least {least:.0f} days.", rested=rested, least=rest.low or rest.value))
    if females >= (most.high or most.value):
        told.append(say("With {n} females this season; up to {most:.0f} is common practice.",
                        n=females, most=most.high or most.value))  # fmt: skip
    light = floors.weights[Sex.MALE].against(now_dg or 0)
    if light is not None:
        told.append(say("{what}.", what=light))
    if change is not None and change <= -VET_PERMILLE:
        told.append(say("{percent:+.1f}% this season: stop pairing, feed; so much is for a vet (common practice).",
                        percent=change / 10))  # fmt: skip
    elif change is not None and change <= -1000 * profile.value(FigureKey.MALE_LOSS_STOP):
        told.append(say("{percent:+.1f}% this season: stop pairing, feed, weigh again in a week.", percent=change / 10))
    elif change is not None and change <= -1000 * profile.value(FigureKey.MALE_LOSS_REST):
        told.append(say("{percent:+.1f}% this season: rest and offer.", percent=change / 10))
    return tuple(told)
