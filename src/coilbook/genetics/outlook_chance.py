"""At least one in n, in two parts: whether the parents carry it, then the luck of the eggs.

Everything here is a mixture over the cases of a pairing (`outlook_pair.Cases`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import ceil

import numpy as np

from coilbook.genetics.outlook_clutch import ClutchLaw
from coilbook.genetics.outlook_pair import Cases
from coilbook.genetics.states import Floats

#: eggs and clutches beyond this are not counted: no keeper lays them
MOST = 100_000


class Who(StrEnum):
    """Whose doubt it is that the look can fall at all."""

    NOBODY = "nobody"
    SIRE = "sire"
    DAM = "dam"
    #: it takes both, and both are in doubt
    BOTH = "both"
    #: neither parent settles it alone: either may give it
    PAIR = "pair"
    #: it cannot fall from this pair
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class TwoParts:
    """ "`carries` that she carries it; if so, `given` that you see one; overall `overall`" - and the usual mistake.

    `each_given`: the chance of each hatchling if so. `coins`: what taking the doubt as a fresh coin for every egg
    would give.
    """

    who: Who
    carries: float
    each_given: float
    given: float
    overall: float
    coins: float


@dataclass(frozen=True, slots=True)
class Cell:
    """A part of the picture: whether the sire, whether the dam carries it, how likely, and at least one if so."""

    sire: bool
    dam: bool
    weight: float
    given: float


@dataclass(frozen=True, slots=True)
class Needs:
    """How many it takes for `chance`; None where it is out of reach: no more than `limit` ever comes of it."""

    chance: float
    count: int | None
    limit: float


@dataclass(frozen=True, slots=True)
class Learnt:
    """What the chance that each parent carries it becomes; None of a parent the question does not turn on."""

    sire: float
    dam: float
    pair: float


def each(cases: Cases) -> float:
    """The chance of one hatchling."""
    return float(cases.weight @ cases.each)


def each_egg(cases: Cases, rate: float) -> float:
    """The chance of one good egg: that it hatches, and is one."""
    return float(cases.weight @ cases.per_egg) * rate


def lethal(cases: Cases) -> float:
    """The share of fertile eggs whose genotype cannot hatch. No part of the hatch rate."""
    return float(cases.weight @ (1 - cases.alive))


def at_least_one(cases: Cases, hatchlings: int) -> float:
    """The chance of at least one among `hatchlings` (job 4.4)."""
    return float(cases.weight @ (1 - (1 - cases.each) ** hatchlings))


def in_a_clutch(cases: Cases, clutch: ClutchLaw) -> float:
    """The chance of at least one hatchling in a clutch whose size and hatch rate are not known yet."""
    return float(cases.weight @ (1 - clutch.none(cases.per_egg)))


def how_many(cases: Cases, hatchlings: int) -> Floats:
    """(hatchlings + 1,) the law of how many of them there will be."""
    law = np.zeros((len(cases.weight), 1))
    law[:, 0] = 1.0
    for _ in range(hatchlings):
        grown = np.zeros((law.shape[0], law.shape[1] + 1))
        grown[:, :-1] += law * (1 - cases.each)[:, None]
        grown[:, 1:] += law * cases.each[:, None]
        law = grown
    return np.asarray(cases.weight @ law)


def who_doubts(cases: Cases) -> Who:
    """Whose doubt the first part of the sentence is."""
    can = cases.each > 0
    if not can.any():
        return Who.NEVER
    if can.all():
        return Who.NOBODY
    for who, carries in ((Who.DAM, cases.dam), (Who.SIRE, cases.sire), (Who.BOTH, cases.dam & cases.sire)):
        if bool((can == carries).all()):
            return who
    return Who.PAIR


def two_parts(cases: Cases, hatchlings: int) -> TwoParts:
    """The two-part sentence of `hatchlings` (job 4.4)."""
    can = cases.each > 0
    possible = cases.where(can)
    mean, overall = each(cases), at_least_one(cases, hatchlings)
    coins = 1 - (1 - mean) ** hatchlings
    if possible is None:
        return TwoParts(Who.NEVER, 0.0, 0.0, 0.0, 0.0, 0.0)
    carries = 1.0 if can.all() else float(cases.weight[can].sum())
    given = at_least_one(possible, hatchlings)
    return TwoParts(who_doubts(cases), carries, each(possible), given, overall, coins)


def cells(cases: Cases, hatchlings: int) -> tuple[Cell, ...]:
    """The picture's parts, the likeliest to give it first; their `weight` sums to 1."""
    found = []
    for sire in (True, False):
        for dam in (True, False):
            part = cases.where((cases.sire == sire) & (cases.dam == dam))
            if part is not None:
                weight = float(cases.weight[(cases.sire == sire) & (cases.dam == dam)].sum())
                found.append(Cell(sire, dam, weight, at_least_one(part, hatchlings)))
    return tuple(sorted(found, key=lambda cell: -cell.given))


def needed_eggs(cases: Cases, rate: float, chance: float) -> Needs:
    """Good eggs of this pair for `chance` of at least one, each hatching by itself at `rate`."""
    value = cases.per_egg * rate
    return _needed(cases.weight, 1 - value, chance)


def needed_clutches(cases: Cases, clutch: ClutchLaw, chance: float) -> Needs:
    """Whole clutches of this pair for `chance` of at least one, each with its own size and hatch rate."""
    # the sum over sizes is a hair under 1 where none can fall, and would be no miss
    return _needed(cases.weight, np.where(cases.per_egg > 0, clutch.none(cases.per_egg), 1.0), chance)


def _needed(weight: Floats, miss: Floats, chance: float) -> Needs:
    """The smallest n with sum(weight * miss**n) <= 1 - chance."""
    limit = float(weight[miss < 1].sum()) if (miss >= 1).any() else 1.0
    if chance >= limit or 1 - weight @ miss**MOST < chance:
        return Needs(chance, None, limit)
    low, high = 0, MOST
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if 1 - weight @ miss**middle >= chance else (middle, high)
    return Needs(chance, high, limit)


def if_proven(cases: Cases, *, sire: bool = False, dam: bool = False) -> Cases | None:
    """The cases once a parent is proven to carry it; None where that cannot be."""
    keep = np.ones(len(cases.weight), dtype=np.bool_)
    if sire:
        keep &= cases.sire
    if dam:
        keep &= cases.dam
    return cases.where(keep)


def carried(cases: Cases) -> Learnt:
    """The chance that each parent carries it, and that the pair can give it, before any egg."""
    weight = cases.weight
    return Learnt(
        float(weight @ cases.sire) if not cases.sire.all() else 1.0,
        float(weight @ cases.dam) if not cases.dam.all() else 1.0,
        float(weight @ (cases.each > 0)),
    )


def if_none(cases: Cases, hatchlings: int) -> Learnt:
    """What is left of it once none of `hatchlings`, all told apart for certain, shows it."""
    left = cases.weight * (1 - cases.each) ** hatchlings
    total = float(left.sum())
    if total <= 0:
        return carried(cases)
    return carried(Cases(left / total, cases.each, cases.alive, cases.sire, cases.dam))


def young_to_settle(cases: Cases, *, dam: bool, left: float = 0.05, most: int = 200) -> int | None:
    """Young of this pair that must all miss until a parent is at most `left` likely to carry it; None: never.

    Where the mate is in doubt too no number may do: the misses may be his.
    """

    def after(count: int) -> float:
        learnt = if_none(cases, count)
        return learnt.dam if dam else learnt.sire

    if after(most) > left:
        return None
    low, high = -1, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if after(middle) <= left else (middle, high)
    return high


def to_be_sure(prior: float, miss: float, left: float = 0.05) -> int | None:
    """Young that must all miss, each with chance `miss` if it carries, until at most `left` is left; None: never."""
    if prior <= left:
        return 0
    if miss >= 1:
        return None
    odds = left * (1 - prior) / (prior * (1 - left))
    if odds <= 0:
        return None
    return max(0, ceil(np.log(odds) / np.log(miss) - 1e-12)) if miss > 0 else 1
