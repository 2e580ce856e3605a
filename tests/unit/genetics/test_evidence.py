"""Rows of an inference question from what is known of one animal; each reading beside its test."""

from __future__ import annotations

import numpy as np
import pytest

from coilbook.genetics.evidence import absent_law, founder_law, likelihood
from coilbook.genetics.known import Claim, Known, LabTest, Sighting, exact_percent
from coilbook.genetics.locus import Inheritance, Linkage, Look, SexSystem, series_locus, simple_locus
from coilbook.genetics.states import LocusStates
from coilbook.records.vocabulary import Sex

CLOWN = LocusStates(simple_locus("clown", Inheritance.RECESSIVE), SexSystem.XY)
ENCHI = LocusStates(simple_locus("enchi", Inheritance.INCOMPLETE_DOMINANT), SexSystem.XY)
LEOPARD = LocusStates(simple_locus("leopard", Inheritance.DOMINANT), SexSystem.XY)
CORAL = LocusStates(simple_locus("coral", Inheritance.RECESSIVE, linkage=Linkage(0.05)), SexSystem.XY)
TYR = LocusStates(
    series_locus(
        "TYR",
        ("albino", "candy"),
        (Look("", "normal"), Look("albino", "Albino"), Look("candy", "Candy"), Look("candino", "Candino")),
        {("albino", "albino"): "albino", ("candy", "candy"): "candy", ("albino", "candy"): "candino"},
    ),
    SexSystem.XY,
)
WILD = Sighting(frozenset({""}))


def near(row: object, *values: float) -> bool:
    return bool(np.allclose(np.asarray(row), values, atol=1e-12))


def test_a_look_leaves_the_genotypes_that_have_it() -> None:
    assert near(likelihood(CLOWN, Known((WILD,))), 1, 1, 0)
    assert near(likelihood(CLOWN, Known((Sighting(frozenset({"clown"})),))), 0, 0, 1)
    assert near(likelihood(CLOWN, Known((Sighting(frozenset({"clown"}), seen=False),))), 1, 1, 0)
    assert near(likelihood(CLOWN, Known()), 1, 1, 1)


def test_an_unsure_look_is_evidence_by_its_odds() -> None:
    assert near(likelihood(ENCHI, Known((Sighting(frozenset({"enchi", "super enchi"}), sure=0.6),))), 0.4, 0.6, 0.6)


def test_a_hidden_single_dose_is_not_told_from_none_but_two_doses_are() -> None:
    hidden = frozenset({"enchi"})
    assert near(likelihood(ENCHI, Known((WILD,), hidden=hidden)), 1, 1, 0)
    assert near(likelihood(ENCHI, Known((Sighting(frozenset({"enchi"})),), hidden=hidden)), 0, 1, 0)


def test_a_test_counts_copies_and_errs_evenly() -> None:
    """Reading 4 of the model: right with 1-e, otherwise e/n for each other count, n copies of the locus in her."""
    assert near(likelihood(CLOWN, Known(tests=(LabTest("clown", 1, 0.01),))), 0.005, 0.99, 0.005)
    hemi = LocusStates(simple_locus("x", Inheritance.RECESSIVE, linkage=Linkage(0.0, hemizygous=True)), SexSystem.XY)
    row = likelihood(hemi, Known(tests=(LabTest("x", 1, 0.01),), sex=Sex.MALE))
    assert near(row[hemi.of_sex(Sex.MALE)], 0.01, 0.99)


@pytest.mark.parametrize(
    ("known", "law"),
    [
        (Known(), (1, 0, 0)),
        (Known((WILD,), claims=(Claim("clown", 2 / 3),)), (1 / 3, 2 / 3, 0)),
        (Known((WILD,), claims=(Claim("clown", None),)), (1, 0, 0)),
        (Known((WILD,), claims=(Claim("clown", 1.0),), assumed=(Claim("clown", 0.1),)), (0.9, 0.1, 0)),
        (Known((WILD,), proven=("clown",)), (0, 1, 0)),
        (Known((Sighting(frozenset({"clown"})),)), (0, 0, 1)),
        (Known((WILD,), tests=(LabTest("clown", 1, 0.01),)), (0.5, 0.5, 0)),
    ],
)
def test_a_founder_carries_nothing_beyond_what_is_said_of_it(known: Known, law: tuple[float, ...]) -> None:
    assert near(founder_law(CLOWN, known), *law)


def test_a_look_of_one_or_two_doses_is_taken_as_one_in_a_founder() -> None:
    assert near(founder_law(LEOPARD, Known((Sighting(frozenset({"leopard"})),))), 0, 1, 0)


def test_an_unsure_look_of_a_founder_has_even_odds_before_it() -> None:
    known = Known((Sighting(frozenset({"enchi", "super enchi"}), sure=0.6),))
    law = founder_law(ENCHI, known) * likelihood(ENCHI, known)
    assert near(law / law.sum(), 0.4, 0.6, 0)


def test_a_claim_of_a_male_splits_over_his_chromosomes() -> None:
    """Reading 5 of the model."""
    male = CORAL.of_sex(Sex.MALE)
    law = founder_law(CORAL, Known((WILD,), claims=(Claim("coral", 1.0),), sex=Sex.MALE))[male]
    by_state = dict(zip([(s.first, s.second) for s in CORAL.states if s.sex is Sex.MALE], law, strict=True))
    # half of the law is a female's: what sex an animal is was even before it was looked at
    assert by_state == pytest.approx({(0, 0): 0, (0, 1): 0.25, (1, 0): 0.25, (1, 1): 0})


def test_a_claim_beside_one_parent_speaks_of_the_other() -> None:
    law = absent_law(CLOWN, Known((WILD,), claims=(Claim("clown", 2 / 3),)))
    young = np.einsum("s,d,sdc->c", law, [1.0, 0, 0], CLOWN.transmission)
    assert near(young, 1 / 3, 2 / 3, 0)


def test_two_claims_of_one_complex_do_not_make_a_look_she_has_not() -> None:
    law = founder_law(TYR, Known((WILD,), claims=(Claim("albino", 0.5), Claim("candy", 0.5))))
    assert law.sum() == pytest.approx(1)
    assert law[[look.key != "" for look in TYR.looks]].sum() == 0


def test_a_lifted_founder_may_carry_anything_her_look_allows() -> None:
    law = founder_law(CLOWN, Known((WILD,)), lifted=True)
    assert law[0] > 0.98
    assert law[1] > 0
    assert law[2] == 0


def test_thirds_are_what_66_and_33_stand_for() -> None:
    assert exact_percent(66) == 2 / 3
    assert exact_percent(33) == 1 / 3
    assert exact_percent(50) == 0.5


def test_two_claims_at_one_locus_do_not_depend_on_their_order() -> None:
    # by hand: alone albino 2/3 * 1/2, alone candy 1/3 * 1/2, neither 1/3 * 1/2; both would show
    first, second = Claim("albino", 2 / 3), Claim("candy", 0.5)
    law = founder_law(TYR, Known((WILD,), claims=(first, second)))
    albino, candy = (TYR.locus.allele_index(key) for key in ("albino", "candy"))
    assert law[TYR.copies(albino) == 1].sum() == pytest.approx(0.5)
    assert law[TYR.copies(candy) == 1].sum() == pytest.approx(0.25)
    assert near(founder_law(TYR, Known((WILD,), claims=(second, first))), *law)


def test_two_claims_on_the_parent_not_recorded_exclude_each_other_in_either_order() -> None:
    # by hand: 2/3 * 1/2, 1/3 * 1/2 and 1/3 * 1/2 of one allele handed on
    first, second = Claim("albino", 2 / 3), Claim("candy", 0.5)
    law = absent_law(TYR, Known((WILD,), claims=(first, second)))
    albino, candy = (TYR.locus.allele_index(key) for key in ("albino", "candy"))
    assert law[TYR.copies(albino) == 2].sum() == pytest.approx(0.5)
    assert law[TYR.copies(candy) == 2].sum() == pytest.approx(0.25)
    assert near(absent_law(TYR, Known((WILD,), claims=(second, first))), *law)
    assert law.sum() == pytest.approx(1)
