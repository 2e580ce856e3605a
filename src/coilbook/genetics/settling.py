"""What would settle a doubt about one animal: a test, or young by a given mate, and how many of them.

A doubt is about a set of states ("she carries it", "she has two copies"). A young settles it where it can have a look
that one side of the doubt cannot give: one such young decides, and none of n leaves the other side likely. What both
parents are is settled once for all their young: where the mate is in doubt too, the misses may be the mate's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from coilbook.genetics.masking import look_indexes
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.vocabulary import Sex

#: a doubt is called settled at this chance
SETTLED = 0.95
#: more young than this settle nothing in a keeper's life
MOST_YOUNG = 200


@dataclass(frozen=True, slots=True)
class ByYoung:
    """What young by one mate say. `young` None: they say nothing, or never enough.

    `hit` is the chance that one young decides where it can; `proves`: such a young proves the doubt's "yes", else it
    disproves it. `left` is the chance of "yes" after `young` without any such. `hidden`: a young would decide, did
    another look of these young not hide it.
    """

    hit: float
    proves: bool
    young: int | None
    left: float
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


def by_test(yes: float, error: float) -> ByTest:
    """A test of the one allele in doubt, wrong with the chance `error` (an even half of it for each other count)."""
    wrong = error / 2
    told_yes = yes * (1 - error) + (1 - yes) * wrong
    told_no = yes * wrong + (1 - yes) * (1 - error)
    return ByTest(yes * (1 - error) / told_yes if told_yes else yes, yes * wrong / told_no if told_no else yes)


def by_young(states: LocusStates, pair: Floats, yes: Bools, sex: Sex, veils: Veils | None = None) -> ByYoung:
    """What young of an animal of `sex` by a mate say of the chance that she is in `yes`.

    `pair` (S, S): the joint law of [her state, the mate's], everything known.
    """
    other = Sex.FEMALE if sex is Sex.MALE else Sex.MALE
    pair = np.where(np.outer(states.of_sex(sex), states.of_sex(other)), pair, 0.0)
    total = float(pair.sum())
    chance = float(pair[yes].sum()) / total if total > 0 else 0.0
    if not 0 < chance < 1:
        return ByYoung(0.0, True, None, chance)
    pair = pair / total
    plain = _decisive(states, look_indexes(states), pair, yes, sex)
    veiled = _decisive(states, veils.seems, pair, yes, sex) if veils is not None else plain
    shares = veils.cases if veils is not None else [(1.0, 1.0, 0.0)]
    found = [
        _count(chance, _hits(pair[side], plain[at][side], veiled[at][side], shares), proves)
        for at, (side, proves) in enumerate(((yes, True), (~yes, False)))
    ]
    best = min((f for f in found if f.young is not None), key=lambda f: f.young or 0, default=None)
    if best is None:
        best = max(found, key=lambda f: f.hit)
    hidden = best.hit <= 0 and any(float((pair * one).sum()) > 0 for one in plain)
    return ByYoung(best.hit, best.proves, best.young, best.left, hidden)


def _decisive(states: LocusStates, looks: Sequence[int], pair: Floats, yes: Bools, sex: Sex) -> tuple[Floats, Floats]:
    """(S, S), (S, S) by [her state, the mate's]: the chance that a young has a look only "yes", only "no" can give."""
    law = _by_look(states, tuple(looks))
    law = law if sex is Sex.MALE else law.transpose(1, 0, 2)
    there = (pair > 0)[:, :, None] & (law > 0)
    by_yes, by_no = there[yes].any(axis=(0, 1)), there[~yes].any(axis=(0, 1))
    return law[:, :, by_yes & ~by_no].sum(axis=2), law[:, :, by_no & ~by_yes].sum(axis=2)


@lru_cache(maxsize=64)
def _by_look(states: LocusStates, looks: tuple[int, ...]) -> Floats:
    """(S, S, looks) law of a hatched young's look by [sire state, dam state]."""
    onto = np.zeros((len(looks), len(states.locus.looks)))
    onto[np.arange(len(looks)), looks] = 1.0
    return np.asarray(states.transmission @ onto)


def _hits(
    weight: Floats, plain: Floats, veiled: Floats, shares: Sequence[tuple[float, float, float]]
) -> tuple[Floats, Floats]:
    """(weights, chance that a young decides) of every case of the pair on one side of the doubt."""
    weights = np.stack([chance * weight for chance, _, _ in shares])
    hits = np.stack([clear * plain + dosed * veiled for _, clear, dosed in shares])
    keep = weights > 0
    return weights[keep], hits[keep]


def _count(chance: float, side: tuple[Floats, Floats], proves: bool) -> ByYoung:
    """The smallest n after which none that decides leaves the side it would have decided for unlikely."""
    weights, hits = side
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
