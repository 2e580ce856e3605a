"""Twelve loci open at once: nothing is listed before it is asked for."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import islice, product

import numpy as np
import pytest
from tests.reference import pairings as p

from coilbook.genetics.catalogue import EVERYTHING, Caution, Evidence
from coilbook.genetics.locus import Inheritance, Linkage, Locus, SexSystem, simple_locus
from coilbook.genetics.outlook import Outlook, Part
from coilbook.genetics.outlook_chance import at_least_one, each
from coilbook.genetics.outlook_mind import to_mind, unhatched
from coilbook.genetics.outlook_pair import PairLocus, cases_of_each
from coilbook.genetics.states import Bools, LocusStates
from coilbook.records.vocabulary import Sex


def twelve(kind: Inheritance, chance: Fraction) -> Outlook:
    """Both parents possible hets at twelve loci."""
    loci = [simple_locus(f"gene{i}", kind) for i in range(12)]
    parents = [p.doses(locus, p.possible_het(chance), p.possible_het(chance)) for locus in loci]
    return Outlook(p.catalogue(*loci), (Part(1.0, tuple(pair.quick() for pair in parents)),))


@pytest.mark.parametrize(("kind", "groups"), [(Inheritance.RECESSIVE, 2**12), (Inheritance.INCOMPLETE_DOMINANT, 3**12)])
def test_the_first_groups_come_alone(kind, groups) -> None:
    outlook = twelve(kind, Fraction(2, 3))
    assert outlook.count == groups
    first = outlook.groups(0, 12)
    assert [group.each for group in first] == sorted((group.each for group in first), reverse=True)
    top = first[0]
    cases = outlook.cases(top.masks)
    assert top.each <= at_least_one(cases, 6) <= 1
    # twelve doubts in each parent make 4**12 cases; the question keeps only those it tells apart
    assert len(cases.weight) < 4000


def test_the_groups_are_all_there_is() -> None:
    loci = [p.CLOWN, p.PASTEL, p.ENCHI]
    parents = [p.doses(locus, p.sure(p.HET), p.sure(p.HET)).quick() for locus in loci]
    outlook = Outlook(p.catalogue(*loci, hides={"clown": ("pastel", "enchi")}), (Part(1.0, tuple(parents)),))
    every = outlook.groups()
    assert len(every) == outlook.count == 9 + 4
    assert sum(group.each for group in every) == pytest.approx(1.0)
    assert [group.each for group in islice(outlook.each_group(), 3)] == [group.each for group in every[:3]]
    for group in every:
        assert sum(group.by_sex) == pytest.approx(group.each)


def test_cautions_name_their_share() -> None:
    """A caution is said with the share of the young it is about, and the eggs that cannot hatch apart."""
    caution = Caution("Keepers report a wobble.", Evidence.MANY_KEEPERS, p.FROM_MEMORY)
    catalogue = p.catalogue(p.SPECKLE, p.PASTEL)
    genes = {**catalogue.genes, "speckle": replace(catalogue.genes["speckle"], cautions=(caution,))}
    pair = {("pastel", "speckle"): (Caution("Together they are worse.", Evidence.RUMOUR, p.FROM_MEMORY),)}
    catalogue = replace(catalogue, genes=genes, pair_cautions=pair)
    parents = [p.doses(p.SPECKLE, p.sure(p.HET), p.sure(p.HET)), p.doses(p.PASTEL, p.sure(p.HET), p.sure(p.WILD))]
    outlook = Outlook(catalogue, (Part(1.0, tuple(pair.quick() for pair in parents)),))
    assert [(mind.genes, pytest.approx(mind.share)) for mind in to_mind(outlook)] == [
        (("speckle",), 2 / 3),
        (("pastel", "speckle"), 1 / 3),
    ]
    assert [(lost.locus, lost.share) for lost in unhatched(outlook)] == [("speckle", pytest.approx(0.25))]


def test_a_white_animal_leaves_nothing_else_to_tell() -> None:
    """A look that hides everything makes one group of all that is under it."""
    loci = [p.PASTEL, p.CLOWN, p.SERIES]
    parents = [p.doses(locus, p.sure(p.HET), p.sure(p.HET)).quick() for locus in loci]
    catalogue = replace(p.catalogue(*loci), masks={("butter", "bel"): frozenset({EVERYTHING})})
    outlook = Outlook(catalogue, (Part(1.0, tuple(parents)),))
    white = outlook.loci[2].states.with_look("bel")
    groups = [group for group in outlook.groups() if (group.masks["butter"] & white).any()]
    assert len(groups) == 1 and groups[0].each == pytest.approx(0.25)
    assert len(list(outlook.inside(groups[0]))) == 6
    assert outlook.count == 2 * 6 + 1


def pair_of(locus: Locus, chance: random.Random) -> PairLocus:
    """A pair of parents whose doubts hang together, some of their genotypes ruled out."""
    states = LocusStates(locus, SexSystem.XY)
    can = np.outer(states.of_sex(Sex.MALE) & states.alive, states.of_sex(Sex.FEMALE) & states.alive)
    joint = np.array([[chance.choice([0.0, 0.1, 0.4, 1.0]) for _ in row] for row in can]) * can
    joint[np.unravel_index(can.argmax(), can.shape)] += 0.5
    return PairLocus(states, joint / joint.sum())


def written_out(loci: Sequence[PairLocus], masks: Mapping[str, Bools], sex: Sex | None, count: int) -> list[float]:
    """Chance of a hatchling, of at least one among `count`, of an egg to hatch: every pair of parents one by one."""
    found = [0.0, 0.0, 0.0]
    for chosen in product(*(range(len(locus.cases)) for locus in loci)):
        weight = alive = 1.0
        shares, both = np.ones(2), np.ones(2)
        for locus, case in zip(loci, chosen):
            weight, alive = weight * locus.weights[case], alive * locus.alive[case]
            both *= locus.sexes[case]
            if locus.key in masks:
                shares *= locus.chance(masks[locus.key])[case]
        wanted = {None: both @ shares, Sex.MALE: both[0] * shares[0], Sex.FEMALE: both[1] * shares[1]}[sex]
        each = wanted / both.sum() if both.sum() > 0 else 0.0
        for place, value in enumerate((each, 1 - (1 - each) ** count, alive)):
            found[place] += weight * value
    return found


@pytest.mark.parametrize("seed", range(12))
def test_many_pairings_at_once_are_as_each_written_out(seed: int) -> None:
    """In a world of its own or not, alike at some loci or at none: more pairings than are multiplied at a time."""
    chance = random.Random(seed)
    linked = simple_locus("linked", Inheritance.RECESSIVE, linkage=Linkage(0.1))
    few = [[pair_of(locus, chance) for _ in range(3)] for locus in (p.CLOWN, p.SPECKLE, linked)]
    few[seed % 3] = few[seed % 3][:1]
    parts = [tuple(chance.choice(pairs) for pairs in few) for _ in range(300)]
    sex = (None, Sex.MALE, Sex.FEMALE)[seed % 3]
    named = chance.sample(range(3), k=chance.randint(1, 3))
    masks = {
        few[place][0].key: np.array([chance.random() < 0.5 for _ in few[place][0].states.states]) for place in named
    }
    known: dict[tuple[PairLocus, ...], list[float]] = {}
    found = cases_of_each(parts, masks, sex)
    assert len(found) == len(parts)
    for loci, cases in zip(parts, found):
        if loci not in known:
            known[loci] = written_out(loci, masks, sex, 5)
        got = [each(cases), at_least_one(cases, 5), float(cases.weight @ cases.alive)]
        assert got == pytest.approx(known[loci], abs=1e-12)
