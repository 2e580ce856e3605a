"""Figures of the outlook: twelve loci opened at once, and every male ranked for every female, on an invented family."""

from __future__ import annotations

import random

import numpy as np

from coilbook.app.bench.figures import Line, median, milliseconds
from coilbook.genetics.catalogue import Catalogue, Gene, Grade, Provenance
from coilbook.genetics.inference import solve
from coilbook.genetics.locus import Inheritance, Locus, SexSystem, simple_locus
from coilbook.genetics.outlook import Outlook, Part
from coilbook.genetics.outlook_chance import at_least_one
from coilbook.genetics.outlook_pair import PairLocus
from coilbook.genetics.outlook_rank import Asked, rank
from coilbook.genetics.problem import NONE, Answer, Ints, Pedigree, Problem, Rows
from coilbook.genetics.states import LocusStates

LOCI = 12
FEMALES, MALES = 40, 300
FOUNDERS, GENERATIONS, EACH = 120, 4, 220
FATHERS, MOTHERS = 6, 30
#: share of founders sold as 66% het, the rest as nothing (invented)
CLAIMED, CLAIM = 0.2, 2 / 3
FIRST = 12


def outlook_lines() -> list[Line]:
    """The lines of the outlook."""
    return [_twelve_loci(), *_rankings()]


def _twelve_loci() -> Line:
    """Both parents possible hets at every locus: 4^12 cases and 2^12 looks; the page shows the first twelve."""
    loci = [simple_locus(f"gene {number}", Inheritance.RECESSIVE) for number in range(LOCI)]
    catalogue = _catalogue(loci)
    half = np.array([1 / 3, 2 / 3, 0.0])
    pairs = tuple(PairLocus(LocusStates(locus, SexSystem.XY), np.outer(half, half)) for locus in loci)

    def opened() -> None:
        outlook = Outlook(catalogue, (Part(1.0, pairs),))
        for group in outlook.groups(0, FIRST):
            at_least_one(outlook.cases(group.masks), 6)
            outlook.carries(group)
        assert outlook.count == 2**LOCI

    figure = median(milliseconds(opened) for _ in range(5))
    return Line(f"{LOCI} segregating loci: the first {FIRST} looks", 100, figure, note="both parents in doubt at each")


def _rankings() -> list[Line]:
    chance = random.Random(3)
    sire, dam, male = _family(chance)
    recessive, shown = (
        simple_locus("first", Inheritance.RECESSIVE),
        simple_locus("second", Inheritance.INCOMPLETE_DOMINANT),
    )
    answers = [_solved(locus, sire, dam, chance) for locus in (recessive, shown)]
    grown = np.arange(FOUNDERS, len(sire))
    females = grown[~male[grown]][:FEMALES]
    males = np.array(chance.sample(grown[male[grown]].tolist(), MALES))
    states = [LocusStates(locus, SexSystem.XY) for locus in (recessive, shown)]
    masks = [states[0].with_look("first"), states[1].copies(1) > 0]

    def one(female: int) -> int:
        asked = []
        for answer, its_states, mask in zip(answers, states, masks):
            joints = answer.joints(int(female), males).transpose(0, 2, 1)
            asked.append(Asked(its_states, mask, joints))
        return len(rank(asked, 6).order())

    note = f"{len(sire):,} animals, a recessive with a gene that shows, each pair's own joint law"
    alone = median(milliseconds(lambda f=female: one(f)) for female in females[:9])  # type: ignore[misc]
    every = milliseconds(lambda: [one(int(female)) for female in females])
    return [
        Line(f"{MALES} males ranked for a female", 100, alone, note=note),
        Line(f"{MALES} males ranked for {FEMALES} females", 2000, every, note=note),
    ]


def _family(chance: random.Random) -> tuple[Ints, Ints, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Sires, dams and who is male: founders, then generations of a few males over the females of the one before."""
    size = FOUNDERS + GENERATIONS * EACH
    male = np.array([number % 2 == 0 for number in range(size)])
    sire, dam = np.full(size, NONE), np.full(size, NONE)
    before = list(range(FOUNDERS))
    at = FOUNDERS
    for _ in range(GENERATIONS):
        fathers = chance.sample([n for n in before if male[n]], FATHERS)
        mothers = [n for n in before if not male[n]][:MOTHERS]
        here = list(range(at, at + EACH))
        for number in here:
            sire[number], dam[number] = chance.choice(fathers), chance.choice(mothers)
        before, at = here, at + EACH
    return sire, dam, male


def _solved(locus: Locus, sire: Ints, dam: Ints, chance: random.Random) -> Answer:
    """One locus of the family answered, with the looks of everybody as evidence."""
    states = LocusStates(locus, SexSystem.XY)
    size = len(sire)
    genes = np.zeros((size, 2), dtype=np.int64)
    claimed = np.array([int(parent == NONE and chance.random() < CLAIMED) for parent in sire.tolist()])
    for number in range(size):
        if sire[number] == NONE:
            genes[number] = (0, int(claimed[number] and chance.random() < CLAIM))
        else:
            genes[number] = (chance.choice(genes[sire[number]].tolist()), chance.choice(genes[dam[number]].tolist()))
    looks = [locus.table[first][second] for first, second in genes]
    rows = np.array([states.with_look(look.key) for look in locus.looks], dtype=np.float64)
    prior = np.array([[1.0, 0.0, 0.0], [1 - CLAIM, CLAIM, 0.0]])
    return solve(
        Problem(
            states,
            Pedigree(sire, dam),
            Rows(rows, np.array(looks, dtype=np.int64)),
            Rows(prior, claimed),
            Rows(prior, claimed),
        )
    )


def _catalogue(loci: list[Locus]) -> Catalogue:
    source = Provenance(Grade.FROM_MEMORY)
    genes = {locus.key: Gene(locus.key, locus.key, locus.key, source) for locus in loci}
    return Catalogue("bench", "bench", SexSystem.XY, {locus.key: locus for locus in loci}, genes)
