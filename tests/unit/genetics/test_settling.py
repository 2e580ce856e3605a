"""How many young settle a doubt, against published numbers (facts 0.7 and 0.8) and the job's map (4.2)."""

from __future__ import annotations

import numpy as np
import pytest

from coilbook.genetics.locus import Inheritance, SexSystem, simple_locus
from coilbook.genetics.settling import by_test, by_young
from coilbook.genetics.states import LocusStates
from coilbook.records.vocabulary import Sex

CLOWN = LocusStates(simple_locus("clown", Inheritance.RECESSIVE), SexSystem.XY)
ENCHI = LocusStates(simple_locus("enchi", Inheritance.INCOMPLETE_DOMINANT), SexSystem.XY)
CARRIES = np.array([False, True, True])
WILD, HET, TWO = np.eye(3)


def doubt(chance: float) -> np.ndarray:
    return np.array([1 - chance, chance, 0.0])


@pytest.mark.parametrize(
    ("prior", "mate", "young", "left"),
    [
        (2 / 3, TWO, 6, 0.030),
        (2 / 3, HET, 13, 0.0454),
        (0.5, TWO, 5, 0.030),
        (0.5, HET, 11, 0.0405),
        (1 / 9, TWO, 2, 0.030),
        (1 / 9, HET, 4, 0.038),
    ],
)
def test_none_of_n_leaves_at_most_five_percent(prior: float, mate: np.ndarray, young: int, left: float) -> None:
    """Job map 4.2 [calc]: 66% x visual n=6 3.0%; 50% x visual n=5 3.0%; 66% x het n=14 3.4% (13: 4.5%)."""
    found = by_young(CLOWN, doubt(prior), CARRIES, mate, Sex.FEMALE)
    assert (found.young, found.proves) == (young, True)
    assert found.left == pytest.approx(left, abs=5e-4)


def test_young_by_one_who_cannot_show_it_say_nothing() -> None:
    assert by_young(CLOWN, doubt(0.5), CARRIES, WILD, Sex.MALE).young is None


def test_a_doubt_about_two_copies_is_settled_by_a_young_without_it() -> None:
    law, two = np.array([0.0, 2 / 3, 1 / 3]), np.array([False, False, True])
    found = by_young(ENCHI, law, two, WILD, Sex.MALE)
    # a young without the gene disproves it (1/2 a young where she has one copy); none in 6: 32 of 33 (scenario S4: 97%)
    assert (found.young, found.proves) == (6, False)
    assert found.left == pytest.approx(32 / 33)


def test_a_test_is_as_sure_as_the_lab() -> None:
    found = by_test(0.5, 0.01)
    assert found.after_yes == pytest.approx(0.99 / 0.995)
    assert found.after_no == pytest.approx(0.005 / 0.995)
