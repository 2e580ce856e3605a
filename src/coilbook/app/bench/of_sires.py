"""Figures of doubtful sires weighed over twelve loci in a keeper's collection, and of an outlook that rests on them."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from coilbook.app.bench.figures import Line, each_ms, median, milliseconds
from coilbook.app.bench.herds import Herd
from coilbook.genetics.inference import Joined, Solved, join, solve, worlds
from coilbook.genetics.problem import NONE, Litter, Pedigree, Problem

ANIMALS, LOCI, CARRYING = 600, 12, 0.05
SHARED, EGGS = 6, 8


def sires_lines() -> list[Line]:
    """The lines: clutches of one sire each, and a clutch each of whose eggs has its own."""
    herd = Herd(ANIMALS, 1)
    loci = [herd.problem(CARRYING, seed) for seed in range(LOCI)]
    shared = _doubted(loci, SHARED, own=False)
    own = _doubted(loci, 1, own=True)
    what = f"{ANIMALS} animals, {LOCI} loci, {SHARED} clutches of two possible sires"
    return [
        *_lines(shared, what),
        *_lines(own, f"{ANIMALS} animals, {LOCI} loci, a clutch whose eggs each have one of two sires"),
    ]


def _doubted(loci: Sequence[Problem], clutches: int, *, own: bool) -> list[Solved]:
    """The loci answered, some clutches having a second possible sire."""
    pedigree, chance = loci[0].pedigree, random.Random(5)
    matings: dict[tuple[int, int], list[int]] = {}
    for one in np.flatnonzero((pedigree.sire != NONE) & (pedigree.dam != NONE)).tolist():
        matings.setdefault((int(pedigree.sire[one]), int(pedigree.dam[one])), []).append(one)
    sire, litters = pedigree.sire.copy(), []
    for first, dam in chance.sample([pair for pair, young in matings.items() if len(young) > 1], clutches):
        young = matings[first, dam][:EGGS]
        other = chance.choice([one for one, _ in matings if one != first and one < min(young)])
        sire[young] = NONE
        litters.append(Litter(tuple(young), (first, other), (0.5, 0.5), not own))
    changed = Pedigree(sire, pedigree.dam, tuple(litters))
    return [solve(replace(locus, pedigree=changed)) for locus in loci]


def _lines(answers: list[Solved], what: str) -> list[Line]:
    joined = join(answers)
    copies = [group.forced.cut.combinations * len(group.who) for one in joined.clusters for group in one.groups]
    note = f"{len(copies)} families, {sum(copies):,} animals times combinations" if not joined.apart else "gene by gene"
    cold = min(each_ms([partial(join, answers)] * 3))
    lines = [Line(f"{what}: weighed over all loci", 500, cold, note=note)]
    if not joined.clusters:
        return lines
    largest = max((group for one in joined.clusters for group in one.groups), key=lambda g: g.forced.cut.combinations)
    seen = [partial(_seen, joined, largest.locus, int(animal)) for animal in largest.who[:5]]
    lines.append(Line("  one observation, all loci", 50, median(each_ms(seen))))
    dam, sires = int(largest.who[0]), largest.who[1:3].tolist()
    pair = milliseconds(lambda: worlds(joined, dam, sires, range(LOCI)))
    return [*lines, Line(f"  a pair of that family at {LOCI} loci, world by world", 100, pair)]


def _seen(joined: Joined, locus: int, animal: int) -> None:
    own = joined.alone[locus]
    row = own.problem.evidence.rows[own.problem.evidence.of[animal]] * np.array([0.9, 1.0, 0.8])
    for answer in joined.with_answers({locus: own.with_evidence({animal: row})}).answers:
        answer.all_posteriors()
