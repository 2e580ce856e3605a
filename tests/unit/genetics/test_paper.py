"""Paper values against the table of the job's map, 4.1, and published mixtures (facts 5.2), exact."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.genetics.known import Claim, Known, Sighting
from coilbook.genetics.locus import Inheritance, Linkage, SexSystem, simple_locus
from coilbook.genetics.paper import Paper, StatusKind, rounded_down, trade_percent
from coilbook.genetics.problem import NONE, Litter, Pedigree
from coilbook.genetics.states import LocusStates

CLOWN = LocusStates(simple_locus("clown", Inheritance.RECESSIVE), SexSystem.XY)
NOT_SHOWN = (Sighting(frozenset({""})),)
NORMAL, VISUAL = Known(NOT_SHOWN), Known((Sighting(frozenset({"clown"})),))


def claimed(chance: float) -> Known:
    return Known(NOT_SHOWN, claims=(Claim("clown", chance),))


HET, P66, P50 = claimed(1.0), claimed(2 / 3), claimed(0.5)


def paper(
    sires: list[int], dams: list[int], knowns: list[Known], proven: dict[int, frozenset[int]] | None = None
) -> Paper:
    pedigree = Pedigree(np.array(sires), np.array(dams))
    return Paper(CLOWN, pedigree, knowns.__getitem__, lambda a: (proven or {}).get(a, frozenset()), {}.get)


@pytest.mark.parametrize(
    ("dam", "sire", "het"),
    [
        (HET, HET, Fraction(2, 3)),
        (HET, NORMAL, Fraction(1, 2)),
        (VISUAL, NORMAL, Fraction(1)),
        (VISUAL, HET, Fraction(1)),
        (P66, NORMAL, Fraction(1, 3)),
        (P50, NORMAL, Fraction(1, 4)),
        (P66, HET, Fraction(3, 5)),
        (P50, HET, Fraction(4, 7)),
        (P66, P66, Fraction(1, 2)),
        (P66, P50, Fraction(5, 11)),
        (P50, P50, Fraction(2, 5)),
        (P66, VISUAL, Fraction(1)),
    ],
)
def test_non_visual_young_of_two_parents(dam: Known, sire: Known, het: Fraction) -> None:
    """Job map 4.1 [calc]; facts 5.2 [C] agree: 2/3, 3/5, 4/7, 1/2, 2/5, 1/2, 1/3."""
    value = paper([NONE, NONE, 1], [NONE, NONE, 0], [dam, sire, NORMAL]).value(2, 1)
    assert value is not None
    assert value.carrier == het


def test_a_parents_proof_raises_and_an_animals_own_does_not() -> None:
    knowns = [NORMAL, HET, NORMAL, NORMAL, NORMAL]
    sires, dams = [NONE, NONE, 1, NONE, 3], [NONE, NONE, 0, NONE, 2]
    before = paper(sires, dams, knowns)
    assert [before.value(a, 1).carrier for a in (2, 4)] == [Fraction(1, 2), Fraction(1, 4)]  # type: ignore[union-attr]
    after = paper(sires, dams, knowns, {2: frozenset({1})})
    assert [after.value(a, 1).carrier for a in (2, 4)] == [Fraction(1, 2), Fraction(1, 2)]  # type: ignore[union-attr]
    assert after.value(4, 1).dam.kind is StatusKind.PROVEN  # type: ignore[union-attr]


def test_a_proof_that_the_parents_do_not_explain_stands() -> None:
    found = paper([NONE, NONE], [NONE, 0], [NORMAL, NORMAL], {0: frozenset({1})}).value(1, 1)
    assert found is not None
    assert found.carrier == Fraction(1, 2)


def test_a_look_that_cannot_come_from_the_parents_has_no_paper_value() -> None:
    assert paper([NONE, NONE, 1], [NONE, NONE, 0], [NORMAL, NORMAL, VISUAL]).value(2, 1) is None


def test_several_sires_mix_by_their_weights() -> None:
    pedigree = Pedigree(np.full(4, NONE), np.array([NONE, NONE, NONE, 0]), (Litter((3,), (1, 2), (0.7, 0.3)),))
    knowns = [NORMAL, HET, NORMAL, NORMAL]
    found = Paper(CLOWN, pedigree, knowns.__getitem__, lambda a: frozenset(), {3: pedigree.litters[0]}.get).value(3, 1)
    assert found is not None
    assert found.carrier == Fraction(7, 20)
    assert [(s.kind, s.weight) for s in found.sires] == [
        (StatusKind.HET, Fraction(7, 10)),
        (StatusKind.NOT, Fraction(3, 10)),
    ]


def test_young_of_a_sex_linked_sire_are_exact_on_paper() -> None:
    """A son of a sire with the allele on his Y: 19/20 at 5% recombination (job map 4.6; r itself from memory)."""
    states = LocusStates(simple_locus("s", Inheritance.DOMINANT, linkage=Linkage(0.05)), SexSystem.XY)
    law = states.transmission
    recovered = {Fraction(float(x)).limit_denominator(1_000_000) for x in law[law > 0]}
    assert all(x.denominator <= 800 for x in recovered)


@pytest.mark.parametrize(
    ("chance", "trade", "whole", "tenth"),
    [
        (Fraction(2, 3), 66, "66%", "66.6%"),
        (Fraction(3, 5), 50, "60%", "60.0%"),
        (Fraction(4, 7), 50, "57%", "57.1%"),
        (Fraction(5, 11), 33, "45%", "45.4%"),
        (Fraction(1, 3), 33, "33%", "33.3%"),
        (Fraction(1, 4), 25, "25%", "25.0%"),
        (Fraction(1, 5), None, "20%", "20.0%"),
        (Fraction(1), 100, "100%", "100.0%"),
        (Fraction(999, 1000), 66, "99%", "99.9%"),
    ],
)
def test_printed_percentages_are_rounded_down(chance: Fraction, trade: int | None, whole: str, tenth: str) -> None:
    assert (trade_percent(chance), rounded_down(chance), rounded_down(chance, 1)) == (trade, whole, tenth)


@given(st.fractions(0, 1))
def test_nothing_printed_is_above_the_value(chance: Fraction) -> None:
    for decimals in (0, 1):
        assert Fraction(rounded_down(chance, decimals).rstrip("%")) <= chance * 100
    trade = trade_percent(chance)
    assert trade is None or Fraction(trade, 100) <= chance
