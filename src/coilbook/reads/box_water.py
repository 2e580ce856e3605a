"""The water of a box as its weighings tell it: the sum, the one number to pour, how fast it dries.

Moments are known to the minute. Of one minute, an egg is taken to have left before the weighing and water to have come
after it, as the screen has it: weigh, then pour. Either the other way round would have a box flooded.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.husbandry.egg_box import (
    BoxNow,
    LookAtBox,
    LossRate,
    TopUp,
    WaterBalance,
    loss_rate,
    top_up,
    water_balance,
)
from coilbook.husbandry.profile import Profile
from coilbook.reads.egg_rows import BoxLooked, BoxNowRow
from coilbook.records.egg_vocabulary import MAY_HATCH, EggDeed
from coilbook.records.when import day_number, moment_from

#: told by the moves of eggs, not as deeds
_MOVED = (EggDeed.MOVED, EggDeed.SEPARATED)


@dataclass(frozen=True, slots=True)
class Taken:
    """Something that left a box: which egg (None: something else), when, and its mass if it was weighed.

    `hatched` where a young one left its egg, or died in it: what was taken out then is not on record. An egg that was
    moved in (`came`) has a mass that adds to the box.
    """

    number: int | None
    at: str
    mass_dg: int | None
    hatched: bool = False
    came: bool = False

    @property
    def away_dg(self) -> int | None:
        """What the box is lighter by."""
        return -self.mass_dg if self.came and self.mass_dg is not None else self.mass_dg


@dataclass(frozen=True, slots=True)
class WaterView:
    """The last weighing and what follows from it; masses in tenths of a gram.

    `aim_dg` is the total the box should have now; `pour_dg` what is still to pour, 0 for nothing.
    """

    start_dg: int
    now_dg: int
    taken: tuple[Taken, ...]
    added_dg: int
    poured_since_dg: int
    aim_dg: int | None
    balance: WaterBalance
    top_up: TopUp
    rate: LossRate | None

    @property
    def pour_dg(self) -> int:
        """What to pour now."""
        return max(0, self.top_up.pour_dg - self.poured_since_dg)


@dataclass(frozen=True, slots=True)
class WeightStep:
    """One point of the curve: day of incubation, total, and the aim then."""

    day: float
    total_dg: int
    aim_dg: int | None


def water_of(box: BoxNowRow, day: int, days_to_hatch: int | None, profile: Profile) -> WaterView | None:
    """What the last weighing says; None before the box was weighed at set-up and once after. `day` of incubation."""
    weighed = _weighings(box)
    if box.start_dg is None or not weighed:
        return None
    last = weighed[-1]
    now = last.total_dg or 0
    taken = _taken(box, last.at)
    away = _sum([one.away_dg for one in taken])
    added = sum(dg for at, dg in box.waters if at < last.at)
    poured = sum(dg for at, dg in box.waters if at >= last.at)
    state = BoxNow(
        medium=box.medium,
        set_up_dg=box.start_dg,
        now_dg=now,
        added_dg=added,
        taken_out_dg=away,
        eggs_dg=_eggs(box, last),
        water_dg=box.water_dg,
        lid_alike=last.lid is box.lid,
        clutches=len(box.clutches),
    )
    balance = water_balance(state)
    hatch_day = None if days_to_hatch is None else day + days_to_hatch
    look = LookAtBox(day, _drips(box, last), _dents(box), days_to_hatch)
    return WaterView(
        start_dg=box.start_dg,
        now_dg=now,
        taken=taken,
        added_dg=added,
        poured_since_dg=poured,
        aim_dg=None if away is None else box.start_dg - away,
        balance=balance,
        top_up=top_up(balance, look, profile),
        rate=loss_rate(_losses(box, weighed), box.water_dg, profile, added + poured, hatch_day),
    )


def _drips(box: BoxNowRow, weighed: BoxLooked) -> bool:
    """Whether drops ran when last looked for, at the weighing or since."""
    seen = [look.drops for look in box.looks if look.at >= weighed.at and look.drops is not None]
    return bool(seen and seen[-1])


def _dents(box: BoxNowRow) -> bool:
    """Whether an egg of which young may come is dented; slugs and dead eggs sink in anyhow."""
    return any(egg.dented for egg in box.eggs if egg.state in MAY_HATCH)


def weight_steps(box: BoxNowRow, laid: dt.date) -> tuple[WeightStep, ...]:
    """The curve of totals, with the aim that moves as eggs are taken out."""
    if box.start_dg is None:
        return ()
    steps = [WeightStep((box.set_up - laid).days, box.start_dg, box.start_dg)]
    for look in _alike(box, _weighings(box)):
        away = _sum([one.away_dg for one in _taken(box, look.at)])
        day = day_number(moment_from(look.at)) - laid.toordinal()
        steps.append(WeightStep(day, look.total_dg or 0, None if away is None else box.start_dg - away))
    return tuple(steps)


def _weighings(box: BoxNowRow) -> list[BoxLooked]:
    return [look for look in box.looks if look.total_dg is not None]


def _alike(box: BoxNowRow, weighed: list[BoxLooked]) -> list[BoxLooked]:
    """Those with the lid as at setting up."""
    return [look for look in weighed if look.lid is box.lid]


def _taken(box: BoxNowRow, until: str) -> tuple[Taken, ...]:
    """What left the box or came into it since it was set up, in order of time."""
    found = [
        Taken(deed.number, deed.at, deed.away_dg)
        for deed in box.deeds
        if deed.what is EggDeed.REMOVED or (deed.away_dg is not None and deed.what not in _MOVED)
    ]
    found += [Taken(egg.number, egg.hatched_at, None, hatched=True) for egg in box.eggs if egg.hatched_at is not None]
    set_up = box.set_up.isoformat()
    for move in box.moves:
        into = move.into == box.id
        if not into or move.at[:10] >= set_up:
            # moved in on the day of setting up: the starting weight may hold it or not
            mass = None if into and move.at[:10] == set_up else move.mass_dg
            found.append(Taken(move.number, move.at, mass, came=into))
    return tuple(sorted((one for one in found if one.at <= until), key=lambda one: one.at))


def _sum(masses: list[int | None]) -> int | None:
    known = [mass for mass in masses if mass is not None]
    return sum(known) if len(known) == len(masses) else None


def _eggs(box: BoxNowRow, last: BoxLooked) -> tuple[int, int] | None:
    """The same eggs at laying and now, when they were weighed by themselves both times.

    Eggs taken out since count as they were then: what they drank left the medium too.
    """
    start = _sum([egg.mass_dg for egg in box.eggs])
    away = _sum([deed.away_dg for deed in box.deeds if deed.what is EggDeed.REMOVED and deed.at <= last.at])
    if box.moves or not box.eggs or start is None or away is None or last.eggs_dg is None:
        return None
    return start, last.eggs_dg + away


def _losses(box: BoxNowRow, weighed: list[BoxLooked]) -> tuple[tuple[int, int], ...]:
    """(day of incubation of the oldest clutch, water lost since setting up) of every weighing that can be told."""
    start = max((clutch.day_of(box.set_up) for clutch in box.clutches), default=0)
    found = [(start, 0)]
    for look in _alike(box, weighed):
        away = _sum([one.away_dg for one in _taken(box, look.at)])
        if away is None or box.start_dg is None:
            continue
        added = sum(dg for at, dg in box.waters if at < look.at)
        day = start + (moment_from(look.at).date() - box.set_up).days
        found.append((day, box.start_dg + added - away - (look.total_dg or 0)))
    return tuple(found)
