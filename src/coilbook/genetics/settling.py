"""What would settle a doubt about one animal: a test, or young by a given mate, and how many of them.

A doubt is about a set of states ("she carries it", "she has two copies"). A young settles it where it can have a look
that one side of the doubt cannot give: one such young decides, and none of n leaves the other side likely. What both
parents are is settled once for all their young: where the mate is in doubt too, the misses may be the mate's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from coilbook.genetics.masking import look_indexes
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.vocabulary import Sex

#: a doubt is called settled at this chance
SETTLED = 0.95
#: the places of both kinds of young in the cases of `Veils`
_CLEAR, _DOSED = 1, 2
#: what arithmetic leaves of certainty
_ROUNDING = 1e-12
#: more young than this settle nothing in a keeper's life
MOST_YOUNG = 200


@dataclass(frozen=True, slots=True)
class ByYoung:
    """What young by one mate say. `young` None: they say nothing, or never enough.

    `hit` is the chance that one young decides where it can; `proves`: such a young proves the doubt's "yes", else it
    disproves it. `left` is the chance of "yes" after `young` without any such. `looks` (indexes) are those that
    decide, of all that `fall`. `hidden`: a young would decide, did another look of these young not hide it.
    """

    hit: float
    proves: bool
    young: int | None
    left: float
    looks: frozenset[int] = frozenset()
    fall: frozenset[int] = frozenset()
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class ByTest:
    """The chance of "yes" after a test that said yes and after one that said no."""

    after_yes: float
    after_no: float


@dataclass(frozen=True)
class Veils:
    """Looks of other genes that hide this one in some of the young.

    `cases`: (chance, share of the young that hide nothing, share that hide a single dose), by what the parents can be
    at those genes; the chances sum to 1, and the rest of the young hide all of it. `seems`: by state, the look (index)
    it seems to have where a single dose is hidden (`masking.apparent_looks`).
    """

    seems: tuple[int, ...]
    cases: Sequence[tuple[float, float, float]]


@dataclass(frozen=True)
class World:
    """What the parents may be where the genes are independent: `pair` (S, S) is the joint law of [hers, the mate's].

    There are several worlds, of these `weight`s, where sires of theirs are in doubt. `veils` None: nothing hides it.
    """

    pair: Floats
    veils: Veils | None = None
    weight: float = 1.0


def by_test(yes: float, error: float) -> ByTest:
    """A test of the one allele in doubt, wrong with the chance `error` (an even half of it for each other count)."""
    wrong = error / 2
    told_yes = yes * (1 - error) + (1 - yes) * wrong
    told_no = yes * wrong + (1 - yes) * (1 - error)
    return ByTest(yes * (1 - error) / told_yes if told_yes else yes, yes * wrong / told_no if told_no else yes)


def by_young(states: LocusStates, worlds: Sequence[World], yes: Bools, sex: Sex) -> ByYoung:
    """What young of an animal of `sex` by a mate say of the chance that she is in `yes`.

    `worlds`: what the pair may be with everything known.
    """
    other = Sex.FEMALE if sex is Sex.MALE else Sex.MALE
    able = np.outer(states.of_sex(sex), states.of_sex(other))
    pairs = [np.where(able, one.weight * one.pair, 0.0) for one in worlds]
    total = sum(float(pair.sum()) for pair in pairs)
    chance = sum(float(pair[yes].sum()) for pair in pairs) / total if total > 0 else 0.0
    if not _ROUNDING < chance < 1 - _ROUNDING:
        return ByYoung(0.0, True, None, chance)
    pairs = [pair / total for pair in pairs]
    plain, veiled = (_decided(states, worlds, pairs, yes, sex, column) for column in (_CLEAR, _DOSED))
    found = []
    for at, (side, proves) in enumerate(((yes, True), (~yes, False))):
        parts = [
            (share * pair[side], clear * plain.hits[at][side] + dosed * veiled.hits[at][side])
            for one, pair in zip(worlds, pairs, strict=True)
            for share, clear, dosed in _cases(one)
        ]
        weights, hits = (np.concatenate([part[column].ravel() for part in parts]) for column in (0, 1))
        looks = plain.looks[at] | veiled.looks[at]
        counted = _count(chance, weights[weights > 0], hits[weights > 0], proves)
        found.append(replace(counted, looks=looks, fall=plain.fall | veiled.fall))
    best = min((f for f in found if f.young is not None), key=lambda f: f.young or 0, default=None)
    best = best if best is not None else max(found, key=lambda f: f.hit)
    return replace(best, hidden=best.hit <= 0 and any(plain.looks))


def _cases(world: World) -> Sequence[tuple[float, float, float]]:
    return world.veils.cases if world.veils is not None else ((1.0, 1.0, 0.0),)


@dataclass(frozen=True, eq=False)
class _Decided:
    """For "yes" and for "no": by [her state, the mate's] the chance that a young has a look only that side can give.

    `looks` (indexes) are these looks, `fall` all that can fall.
    """

    hits: tuple[Floats, Floats]
    looks: tuple[frozenset[int], frozenset[int]]
    fall: frozenset[int]


def _decided(
    states: LocusStates, worlds: Sequence[World], pairs: Sequence[Floats], yes: Bools, sex: Sex, column: int
) -> _Decided:
    """What decides among the young told in one way: those that hide nothing, or those that hide a single dose."""
    shown = look_indexes(states)
    if column == _DOSED:
        shown = next((one.veils.seems for one in worlds if one.veils is not None), shown)
    law = _by_look(states, shown)
    law = law if sex is Sex.MALE else law.transpose(1, 0, 2)
    # what no young is told by is not possible; were it so in all worlds, what could be told were there any such young
    told = [any(case[0] * case[column] > 0 for case in _cases(one)) for one in worlds]
    there = np.any([pair > 0 for pair, so in zip(pairs, told, strict=True) if so or not any(told)], axis=0)
    falls = there[:, :, None] & (law > 0)
    by_yes, by_no = falls[yes].any(axis=(0, 1)), falls[~yes].any(axis=(0, 1))
    sides = by_yes & ~by_no, by_no & ~by_yes
    hits = law[:, :, sides[0]].sum(axis=2), law[:, :, sides[1]].sum(axis=2)
    some = [frozenset(np.flatnonzero(looks).tolist()) if any(told) or column == _CLEAR else frozenset[int]()
            for looks in (*sides, by_yes | by_no)]  # fmt: skip
    return _Decided(hits, (some[0], some[1]), some[2])


@lru_cache(maxsize=64)
def _by_look(states: LocusStates, looks: tuple[int, ...]) -> Floats:
    """(S, S, looks) law of a hatched young's look by [sire state, dam state]."""
    onto = np.zeros((len(looks), len(states.locus.looks)))
    onto[np.arange(len(looks)), looks] = 1.0
    return np.asarray(states.transmission @ onto)


def _count(chance: float, weights: Floats, hits: Floats, proves: bool) -> ByYoung:
    """The smallest n after which none that decides leaves the side it would have decided for unlikely.

    `weights` and `hits`, the chance that one young decides: of every case of that side.
    """
    other = 1 - float(weights.sum())

    def left(young: int) -> float:
        rest = float(weights @ (1 - hits) ** young)
        return rest / (rest + other)

    hit = float(weights @ hits / weights.sum())
    if hit <= 0 or left(MOST_YOUNG) > 1 - SETTLED + 1e-12:
        return ByYoung(hit, proves, None, chance)
    low, high = 0, MOST_YOUNG
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if left(middle) <= 1 - SETTLED + 1e-12 else (middle, high)
    return ByYoung(hit, proves, high, left(high) if proves else 1 - left(high))
