"""The water of a box as its weighings tell it: the sum, the one number to pour, how fast it dries."""

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
from coilbook.records.egg_vocabulary import EggDeed
from coilbook.records.when import moment_from

#: what takes an egg out of the box; without its weight the loss is not known
_TAKES_OUT = (EggDeed.REMOVED, EggDeed.MOVED, EggDeed.SEPARATED)


@dataclass(frozen=True, slots=True)
class Taken:
    """Something taken out of a box: which egg (None: something else), when, and its mass if it was weighed."""

    number: int | None
    at: str
    mass_dg: int | None


@dataclass(frozen=True, slots=True)
class WaterView:
    """The last weighing and what follows from it; masses in tenths of a gram.

    `aim_dg` is the total the box should have now; `pour_dg` what is still to pour, 0 for nothing.
    """

    start_dg: int
    now_dg: int
    weighed_at: str
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
    away = _sum([one.mass_dg for one in taken])
    added = sum(dg for at, dg in box.waters if at <= last.at)
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
    dents = any(egg.dented for egg in box.eggs if egg.in_the_box)
    look = LookAtBox(day, bool(last.drops), dents, days_to_hatch)
    return WaterView(
        start_dg=box.start_dg,
        now_dg=now,
        weighed_at=last.at,
        taken=taken,
        added_dg=added,
        poured_since_dg=sum(dg for at, dg in box.waters if at > last.at),
        aim_dg=None if away is None else box.start_dg - away,
        balance=balance,
        top_up=top_up(balance, look, profile),
        rate=loss_rate(_losses(box, weighed), box.water_dg, profile),
    )


def weight_steps(box: BoxNowRow, laid: dt.date) -> tuple[WeightStep, ...]:
    """The curve of totals, with the aim that moves as eggs are taken out."""
    if box.start_dg is None:
        return ()
    steps = [WeightStep((box.set_up - laid).days, box.start_dg, box.start_dg)]
    for look in _weighings(box):
        away = _sum([one.mass_dg for one in _taken(box, look.at)])
        moment = moment_from(look.at)
        day = (moment.date() - laid).days + (moment.hour * 60 + moment.minute) / 1440
        steps.append(WeightStep(day, look.total_dg or 0, None if away is None else box.start_dg - away))
    return tuple(steps)


def _weighings(box: BoxNowRow) -> list[BoxLooked]:
    return [look for look in box.looks if look.total_dg is not None and look.lid is box.lid]


def _taken(box: BoxNowRow, until: str) -> tuple[Taken, ...]:
    return tuple(
        Taken(deed.number, deed.at, deed.away_dg)
        for deed in box.deeds
        if deed.at <= until and (deed.what in _TAKES_OUT or deed.away_dg is not None)
    )


def _sum(masses: list[int | None]) -> int | None:
    known = [mass for mass in masses if mass is not None]
    return sum(known) if len(known) == len(masses) else None


def _eggs(box: BoxNowRow, last: BoxLooked) -> tuple[int, int] | None:
    """The same eggs at setting up and now, when they were weighed by themselves both times."""
    there = [egg for egg in box.eggs if egg.in_the_box]
    start = _sum([egg.mass_dg for egg in there])
    return (start, last.eggs_dg) if there and start is not None and last.eggs_dg is not None else None


def _losses(box: BoxNowRow, weighed: list[BoxLooked]) -> tuple[tuple[int, int], ...]:
    """(day since setting up, water lost since) of every weighing that can be told."""
    found = [(0, 0)]
    for look in weighed:
        away = _sum([one.mass_dg for one in _taken(box, look.at)])
        if away is None or box.start_dg is None:
            continue
        added = sum(dg for at, dg in box.waters if at <= look.at)
        day = (moment_from(look.at).date() - box.set_up).days
        found.append((day, box.start_dg + added - away - (look.total_dg or 0)))
    return tuple(found)
