"""How many young settle a doubt, against published numbers (facts 0.7 and 0.8) and the job's map (4.2)."""

from __future__ import annotations

import numpy as np
import pytest

from coilbook.genetics.locus import Inheritance, SexSystem, simple_locus
from coilbook.genetics.settling import Veils, World, by_test, by_young
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
    found = by_young(CLOWN, [World(np.outer(doubt(prior), mate))], CARRIES, Sex.FEMALE)
    assert (found.young, found.proves) == (young, True)
    assert found.left == pytest.approx(left, abs=5e-4)


def test_young_by_one_who_cannot_show_it_say_nothing() -> None:
    assert by_young(CLOWN, [World(np.outer(doubt(0.5), WILD))], CARRIES, Sex.MALE).young is None


def test_a_doubt_about_two_copies_is_settled_by_a_young_without_it() -> None:
    law, two = np.array([0.0, 2 / 3, 1 / 3]), np.array([False, False, True])
    found = by_young(ENCHI, [World(np.outer(law, WILD))], two, Sex.MALE)
    # a young without the gene disproves it (1/2 a young where she has one copy); none in 6: 32 of 33 (scenario S4: 97%)
    assert (found.young, found.proves) == (6, False)
    assert found.left == pytest.approx(32 / 33)


def test_a_test_is_as_sure_as_the_lab() -> None:
    found = by_test(0.5, 0.01)
    assert found.after_yes == pytest.approx(0.99 / 0.995)
    assert found.after_no == pytest.approx(0.005 / 0.995)


def test_a_mate_in_doubt_may_have_missed_itself() -> None:
    """66% x 66%: after n misses she carries with (2/3 (2/3 (3/4)^n + 1/3)) : 1/3, never under 2/5 (facts 5.3)."""
    found = by_young(CLOWN, [World(np.outer(doubt(2 / 3), doubt(2 / 3)))], CARRIES, Sex.FEMALE)
    assert found.young is None and not found.hidden
    assert found.hit == pytest.approx(1 / 6)


def test_a_mate_nearly_sure_settles_it_with_more_young() -> None:
    """2/3 by a mate that carries with 0.99: (2/3)(0.99 (3/4)^n + 0.01) <= 0.05 (that + 1/3) at n = 16, not at 15."""
    found = by_young(CLOWN, [World(np.outer(doubt(2 / 3), doubt(0.99)))], CARRIES, Sex.FEMALE)
    after = [2 * (0.99 * 0.75**n + 0.01) / (2 * (0.99 * 0.75**n + 0.01) + 1) for n in range(40)]
    first = next(n for n, left in enumerate(after) if left <= 0.05)
    assert (found.young, found.left) == (first, pytest.approx(after[first]))


def test_sibs_that_share_their_doubt_are_counted_as_a_pair() -> None:
    """Both carry or neither: one of n misses says more than of two that are independent."""
    pair = np.zeros((3, 3))
    pair[1, 1], pair[0, 0] = 2 / 3, 1 / 3
    found = by_young(CLOWN, [World(pair)], CARRIES, Sex.FEMALE)
    assert (found.young, found.left) == (13, pytest.approx(2 * 0.75**13 / (2 * 0.75**13 + 1)))


def test_young_that_hide_the_look_count_only_where_they_do_not() -> None:
    """A possible single dose; half the young are of a look that hides it: 1/4 a young decides, none of 11 is 4%."""
    one = doubt(0.5)
    half = Veils((0, 0, 2), [(1.0, 0.5, 0.5)])
    found = by_young(ENCHI, [World(np.outer(one, WILD), half)], CARRIES, Sex.FEMALE)
    assert (found.young, found.left) == (11, pytest.approx(0.75**11 / (0.75**11 + 1)))
    hidden = World(np.outer(one, WILD), Veils((0, 0, 2), [(1.0, 0.0, 1.0)]))
    never = by_young(ENCHI, [hidden], CARRIES, Sex.FEMALE)
    assert never.young is None and never.hidden


def test_worlds_that_exclude_each_other_are_not_mixed_up() -> None:
    """Hidden in all young in the one world, where she has it; in none in the other, where she has it not."""
    hidden = World(np.outer(doubt(1.0), WILD), Veils((0, 0, 2), [(1.0, 0.0, 1.0)]), 0.5)
    clear = World(np.outer(doubt(0.0), WILD), Veils((0, 0, 2), [(1.0, 1.0, 0.0)]), 0.5)
    found = by_young(ENCHI, [hidden, clear], CARRIES, Sex.FEMALE)
    # a young that hides it is of the first, one that does not of the second: either decides
    assert (found.young, found.hit, found.hidden) == (1, pytest.approx(1.0), False)
