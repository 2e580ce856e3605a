"""A clutch in which every egg may have its own sire of a list.

What the dam is stays settled for the whole clutch, and so does what each of the males is; which of them sired an egg is
drawn anew for each. Given the dam the males are taken as independent of each other: exact unless two of them are in
doubt at a gene asked for and their doubts hang together otherwise than through her, which `hang_together` tells.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product

import numpy as np

from coilbook.genetics.outlook_pair import NEVER, PLACES, Cases, PairLocus, cases_of
from coilbook.genetics.states import Bools, Floats
from coilbook.records.vocabulary import Sex

#: (chance to have sired an egg, the pairing with him)
Sires = Sequence[tuple[float, tuple[PairLocus, ...]]]


def each_own_sire(sires: Sires, masks: Mapping[str, Bools], sex: Sex | None = None) -> Cases:
    """The cases of `outlook_pair.cases_of` for such a clutch; `sire` is True throughout: no one male settles it."""
    asked = [place for place, locus in enumerate(sires[0][1]) if locus.key in masks or not locus.states.alive.all()]
    found = [_given(weight, [tuple(pick) for pick in picks], [w for w, _ in sires], masks, sex)
             for weight, picks in _by_dam(sires, asked)]  # fmt: skip
    weight, each, alive = (np.concatenate([one[column] for one in found]) for column in range(3))
    can = np.concatenate([np.full(len(one[0]), bool((one[1] > 0).any())) for one in found])
    return Cases(weight / float(weight.sum()), each, alive, np.ones(len(weight), dtype=np.bool_), can)


def hang_together(sires: Sires, masks: Mapping[str, Bools]) -> bool:
    """Whether two of the males are in doubt at a gene asked for, so that the answer takes them as independent."""
    for place, locus in enumerate(sires[0][1]):
        doubted = [loci[place] for _, loci in sires if (loci[place].joint.sum(axis=1) > NEVER).sum() > 1]
        if locus.key in masks and len(doubted) > 1:
            return True
    return False


def _by_dam(sires: Sires, asked: Sequence[int]) -> Iterator[tuple[float, list[list[PairLocus]]]]:
    """Everything the dam can be at the loci asked for: its chance, and each male's loci with a dam that is this."""
    laws = [sires[0][1][place].joint.sum(axis=0) for place in asked]
    for dam in product(*(np.flatnonzero(law > NEVER).tolist() for law in laws)):
        weight = float(np.prod([law[state] for law, state in zip(laws, dam)]))
        yield weight, [[_with_dam(loci[place], state) for place, state in zip(asked, dam)] for _, loci in sires]


def _with_dam(locus: PairLocus, dam: int) -> PairLocus:
    """The pairing if the dam has this state."""
    joint = np.zeros_like(locus.joint)
    joint[:, dam] = locus.joint[:, dam] / locus.joint[:, dam].sum()
    return PairLocus(locus.states, joint)


def _given(
    weight: float,
    picks: Sequence[tuple[PairLocus, ...]],
    chances: Sequence[float],
    masks: Mapping[str, Bools],
    sex: Sex | None,
) -> tuple[Floats, Floats, Floats]:
    """(weights, chance of a hatchling, chance of an egg to hatch) with a settled dam, over what the males can be."""
    table, weights = np.zeros((1, 2)), np.array([weight])
    for chance, loci in zip(chances, picks):
        cases = cases_of(loci, dict(masks), sex)
        # an egg of his that hatches and is one; an egg of his that hatches
        own = chance * np.column_stack([cases.per_egg, cases.alive])
        table = (table[:, None, :] + own[None, :, :]).reshape(-1, 2)
        weights = (weights[:, None] * cases.weight[None, :]).ravel()
        _, first, of = np.unique(np.round(table, PLACES), axis=0, return_index=True, return_inverse=True)
        table, weights = table[first], np.bincount(of.ravel(), weights=weights, minlength=len(first)).astype(np.float64)
    each = np.divide(table[:, 0], table[:, 1], out=np.zeros(len(table)), where=table[:, 1] > 0)
    return weights, each, table[:, 1]
