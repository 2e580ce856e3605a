"""The fast before laying: what she took last, what she refused since, what it costs her, when it should end."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.profile import Profile
from coilbook.husbandry.season_stage import StageFound
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import REFUSED_RESULTS, TAKEN_RESULTS, FeedingResult


@dataclass(frozen=True, slots=True)
class Offer:
    """An offer of food and what came of it."""

    day: dt.date
    result: FeedingResult

    @property
    def taken(self) -> bool:
        return self.result in TAKEN_RESULTS

    @property
    def was_made(self) -> bool:
        """A decision not to offer is no offer."""
        return self.result is not FeedingResult.NOT_OFFERED


@dataclass(frozen=True, slots=True)
class Weight:
    """An undoubted weight of hers."""

    day: dt.date
    mass_dg: int


@dataclass(frozen=True, slots=True)
class PastFast:
    """A fast around an earlier laying: last meal before, first after (None while none), and what it cost.

    `permille` is the change of weight until just before laying, None where it was not weighed.
    """

    laid: dt.date
    last_meal: dt.date
    first_meal: dt.date | None
    permille: int | None

    @property
    def days(self) -> int | None:
        return None if self.first_meal is None else (self.first_meal - self.last_meal).days


@dataclass(frozen=True, slots=True)
class PreLayFast:
    """The fast as it stands. `days` and `last_meal` are None when no meal is on record.

    `not_offered` days since the newest real offer; `permille` change from `before` to `now`; `alarm_dg` the mass at
    which this stage alarms; `ends` first and last day between which the first meal is expected.
    """

    last_meal: dt.date | None
    days: int | None
    refused: int
    not_offered: int | None
    before: Weight | None
    now: Weight | None
    permille: int | None
    look_dg: int | None
    alarm_dg: int | None
    ends: tuple[dt.date, dt.date] | None
    past: tuple[PastFast, ...]
    told: tuple[Message, ...]


def pre_lay_fast(
    offers: Sequence[Offer],
    weights: Sequence[Weight],
    stage: StageFound,
    laying: Window | None,
    past: Sequence[PastFast],
    today: dt.date,
    profile: Profile,
) -> PreLayFast:
    """The fast of a female in season, from all her `offers` and undoubted `weights`, in order of time.

    `laying` is the window in which she is expected to lay; meals that came back are left out by the caller.
    """
    meals = [o for o in offers if o.taken]
    last_meal = meals[-1].day if meals else None
    since = [o for o in offers if last_meal is None or o.day > last_meal]
    made = [o for o in since if o.was_made]
    newest = max((o.day for o in offers if o.was_made), default=None)
    before, now = _weights(weights, last_meal)
    look = alarm = None
    if before is not None and stage.tolerance is not None:
        look = round(before.mass_dg * (1 - stage.tolerance.look))
        alarm = round(before.mass_dg * (1 - stage.tolerance.alarm))
    fast = PreLayFast(
        last_meal=last_meal,
        days=None if last_meal is None else (today - last_meal).days,
        refused=sum(o.result in REFUSED_RESULTS for o in made),
        not_offered=None if newest is None else (today - newest).days,
        before=before,
        now=now,
        permille=_permille(before, now),
        look_dg=look,
        alarm_dg=alarm,
        ends=_ends(laying, profile),
        past=tuple(past),
        told=(),
    )
    return _with_words(fast, stage)


def past_fasts(offers: Sequence[Offer], weights: Sequence[Weight], layings: Sequence[dt.date]) -> tuple[PastFast, ...]:
    """Her own fasts around earlier layings, where a meal before is on record."""
    found = []
    meals = [o.day for o in offers if o.taken]
    for laid in layings:
        earlier = [day for day in meals if day < laid]
        if not earlier:
            continue
        until = [w for w in weights if w.day < laid]
        before, now = _weights(until, earlier[-1])
        after = next((day for day in meals if day >= laid), None)
        found.append(PastFast(laid, earlier[-1], after, _permille(before, now)))
    return tuple(found)


def _weights(weights: Sequence[Weight], last_meal: dt.date | None) -> tuple[Weight | None, Weight | None]:
    """The weight the fast is measured from, and the newest.

    The last one until the last meal; when nothing was weighed until then, the first there is, which is in the fast.
    """
    if not weights:
        return None, None
    until = [w for w in weights if last_meal is not None and w.day <= last_meal]
    return until[-1] if until else weights[0], weights[-1]


def _permille(before: Weight | None, now: Weight | None) -> int | None:
    """The change between two weighings, None when there was one only."""
    if before is None or now is None or now.day <= before.day:
        return None
    return round(1000 * (now.mass_dg / before.mass_dg - 1))


def _ends(laying: Window | None, profile: Profile) -> tuple[dt.date, dt.date] | None:
    if laying is None:
        return None
    meal = profile[FigureKey.FIRST_MEAL_AFTER_LAYING_DAYS]
    low, high = (meal.low or meal.value), (meal.high or meal.value)
    return laying.first + dt.timedelta(days=int(low)), laying.last + dt.timedelta(days=int(high))


def _with_words(fast: PreLayFast, stage: StageFound) -> PreLayFast:
    told: list[Message] = []
    if fast.days is None:
        told.append(say("No meal of hers is on record: how long she fasts is not known."))
    else:
        told.append(say("{n} day since the last meal, {stage}.", "{n} days since the last meal, {stage}.",
                        n=fast.days, stage=stage.stage))  # fmt: skip
    told.append(say("{n} offer refused since.", "{n} offers refused since.", n=fast.refused))
    if fast.not_offered:
        told.append(say("Nothing offered for {n} day.", "Nothing offered for {n} days.", n=fast.not_offered))
    told.extend(_weight_words(fast, stage))
    if fast.ends is not None:
        told.append(say("First meal expected {first} to {last}, after laying.", first=fast.ends[0], last=fast.ends[1]))
    longest = [p for p in fast.past if p.days is not None]
    if longest:
        told.append(say("Her own fast before: {days}.", "Her own fasts before: {days}.",
                        n=len(longest), days=", ".join(f"{p.days} d" for p in longest)))  # fmt: skip
    return replace(fast, told=tuple(told))


def _weight_words(fast: PreLayFast, stage: StageFound) -> list[Message]:
    if fast.before is None or fast.now is None:
        return [say("Not weighed: what the fast costs her is not known.")]
    if fast.permille is None:
        return [say("Not weighed since {day}: what the fast costs her is not known.", day=fast.before.day)]
    percent = fast.permille / 10
    if fast.alarm_dg is None or fast.look_dg is None:
        return [say("{percent:+.1f}% since {day}.", percent=percent, day=fast.before.day)]
    if fast.now.mass_dg <= fast.alarm_dg:
        return [say("{percent:+.1f}% since {day}, below {alarm}: more than this stage's fast should cost; ask a vet.",
                    percent=percent, day=fast.before.day, alarm=Mass(fast.alarm_dg))]  # fmt: skip
    if fast.now.mass_dg <= fast.look_dg:
        return [say("{percent:+.1f}% since {day}: look at her and weigh again soon. Would alarm at {alarm}.",
                    percent=percent, day=fast.before.day, alarm=Mass(fast.alarm_dg))]  # fmt: skip
    return [say("{percent:+.1f}% since {day}: expected in this stage. Would alarm at {alarm}.",
                percent=percent, day=fast.before.day, alarm=Mass(fast.alarm_dg))]  # fmt: skip
