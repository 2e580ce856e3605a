"""How much of a pedigree is known, and the lines of an inbreeding."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coilbook.genetics.kinship import Kinship
from coilbook.genetics.known_ancestors import GenerationKnown, Parents, generations_known, shared_lines
from coilbook.genetics.problem import Litter, Pedigree


def pedigree_of(rows: list[tuple[int, int]], *litters: Litter) -> Pedigree:
    dam, sire = (np.array([row[side] for row in rows], np.int64) for side in (0, 1))
    return Pedigree(sire, dam, litters)


#: half-sibs mated, the shared sire with both parents, one grandam with a list of two sires, the other bought
NAMES = ["X-01", "X-02", "X-03", "X-04", "X-05", "M-04", "F-003", "F-005", "M-08", "F-010", "F-023"]
ROWS = [*[(-1, -1)] * 5, (1, 0), (4, -1), (-1, -1), (6, 5), (7, 5), (9, 8)]
FAMILY = pedigree_of(ROWS, Litter((6,), (2, 3), (0.66, 0.34)))


def test_places_are_counted_by_generation() -> None:
    """Two places by the shared sire's parents each, one possible sire, two places of nobody."""
    known = generations_known(Parents(FAMILY), 10, 3)
    assert known == (GenerationKnown(2, 2, 0), GenerationKnown(4, 4, 0), GenerationKnown(8, 5, 1))
    assert sum(g.known for g in known) == 11
    assert sum(g.unknown for g in known) == 2
    assert sum(g.places for g in known) == 14


def test_the_line_of_the_shared_sire() -> None:
    kin = Kinship(FAMILY)
    found = shared_lines(Parents(FAMILY), kin.inbreeding, 10)
    assert found.complete
    assert [(tuple(NAMES[a] for a in line.animals), line.share) for line in found.lines] == [
        (("F-010", "M-04", "M-08"), 0.125)
    ]
    assert NAMES[found.lines[0].ancestor] == "M-04"
    assert kin.inbreeding[10] == 0.125


def test_beyond_a_doubtful_sire_nothing_is_known_for_sure() -> None:
    rows = [(-1, -1), (-1, -1), (0, 1), (-1, -1), (-1, -1)]
    family = pedigree_of(rows, Litter((4,), (2, 3), (0.5, 0.5)))
    assert generations_known(Parents(family), 4, 2) == (GenerationKnown(2, 0, 1), GenerationKnown(4, 0, 2))


@st.composite
def families(draw: st.DrawFn) -> Pedigree:
    rows: list[tuple[int, int]] = []
    litters = []
    for at in range(draw(st.integers(1, 10))):
        dam, sire, other = (draw(st.integers(-1, at - 1)) if at else -1 for _ in range(3))
        if len({dam, sire, other}) == 3 and sire >= 0 and other >= 0 and draw(st.booleans()):
            litters.append(Litter((at,), (sire, other), (0.75, 0.25), False))
            sire = -1
        rows.append((dam, -1 if sire == dam else sire))
    return pedigree_of(rows, *litters)


@given(families())
@settings(max_examples=200, deadline=None)
def test_the_lines_add_up_to_the_inbreeding(family: Pedigree) -> None:
    kin, parents = Kinship(family), Parents(family)
    for animal in range(family.size):
        found = shared_lines(parents, kin.inbreeding, animal)
        assert found.complete
        assert sum(line.share for line in found.lines) == pytest.approx(kin.inbreeding[animal], abs=1e-12)


@given(families(), st.integers(1, 8))
@settings(max_examples=100, deadline=None)
def test_places_add_up_and_nothing_lies_above_nobody(family: Pedigree, generations: int) -> None:
    for animal in range(family.size):
        known = generations_known(Parents(family), animal, generations)
        assert [g.places for g in known] == [2**n for n in range(1, generations + 1)]
        for below, above in pairwise(known):
            assert above.known <= 2 * below.known
            assert above.known + above.possible <= 2 * (below.known + below.possible)


def test_a_tangle_of_lines_is_cut_off_and_says_so() -> None:
    rows = [(-1, -1), (-1, -1)]
    for _ in range(14):
        rows += [(len(rows) - 2, len(rows) - 1)] * 2
    family = pedigree_of(rows)
    found = shared_lines(Parents(family), Kinship(family).inbreeding, len(rows) - 1)
    assert not found.complete
