"""Inbreeding and kinship against published series, Wright's paths and the tabular method, in exact fractions."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction as Fr
from itertools import product
from math import prod

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.reference.kinship_by_hand import Parents, by_paths, by_recursion, tabular

from coilbook.genetics.kinship import Kinship
from coilbook.genetics.lineage import OwnAncestor
from coilbook.genetics.problem import Litter, Pedigree

NO = None


def kinship_of(parents: Parents) -> Kinship:
    dam = np.array([-1 if d is None else d for d, _ in parents], np.int64)
    sire = np.array([-1 if s is None else s for _, s in parents], np.int64)
    return Kinship(Pedigree(sire, dam))


def repeated(generations: int, mate: str) -> list[tuple[int | None, int | None]]:
    """A chain of matings from unrelated founders, generation after generation."""
    rows: list[tuple[int | None, int | None]] = [(NO, NO), (NO, NO)]
    if mate == "full sibs":
        for _ in range(generations + 1):
            rows += [(len(rows) - 2, len(rows) - 1)] * 2
    elif mate == "half sibs":
        # one male on his half-sisters, young of as many dams as the generations to come still need
        rows += [(NO, NO)] * generations
        latest = [(dam, 0) for dam in range(1, generations + 2)]
        while latest:
            male = len(rows)
            rows += latest
            latest = [(dam, male) for dam in range(male + 1, len(rows))]
    elif mate == "one parent":
        rows.append((0, 1))
        for _ in range(generations):
            rows.append((len(rows) - 1, 1))
    return rows


#: F by generation. Wright 1921, Genetics 6:111 and 1922, Am. Nat. 56:330; Falconer and Mackay 1996, Introduction to
#: Quantitative Genetics, table 5.1 (all from memory; each also follows from the recurrence beside it)
FULL_SIBS = [Fr(1, 4), Fr(3, 8), Fr(1, 2), Fr(19, 32), Fr(43, 64), Fr(47, 64), Fr(201, 256), Fr(423, 512), Fr(55, 64),
             Fr(1815, 2048)]  # fmt: skip
HALF_SIBS = [Fr(1, 8), Fr(7, 32), Fr(39, 128), Fr(195, 512), Fr(919, 2048)]
TO_ONE_PARENT = [Fr(1, 4), Fr(3, 8), Fr(7, 16), Fr(15, 32), Fr(31, 64)]


def test_the_printed_series_follow_their_recurrences() -> None:
    before, now = Fr(0), Fr(0)
    for printed in FULL_SIBS:
        before, now = now, (1 + 2 * now + before) / 4
        assert now == printed
    before, now = Fr(0), Fr(0)
    for printed in HALF_SIBS:
        before, now = now, (1 + 6 * now + before) / 8
        assert now == printed
    now = Fr(0)
    for printed in TO_ONE_PARENT:
        now = (1 + 2 * now) / 4
        assert now == printed


@pytest.mark.parametrize(
    ("mate", "series"), [("full sibs", FULL_SIBS), ("half sibs", HALF_SIBS), ("one parent", TO_ONE_PARENT)]
)
def test_published_series(mate: str, series: list[Fr]) -> None:
    parents = repeated(len(series), mate)
    found = [Fr(f) for f in kinship_of(parents).inbreeding]
    distinct = [f for n, f in enumerate(found) if f and f not in found[:n]]
    assert distinct == series


def test_kinships_of_a_brother_sister_mating() -> None:
    """Lange, Mathematical and Statistical Methods for Genetic Analysis, chapter 5 (from memory)."""
    kin = kinship_of([(NO, NO), (NO, NO), (0, 1), (0, 1), (2, 3), (2, 3)])
    phi = lambda a, b: Fr(kin.of(a - 1, b - 1))  # noqa: E731
    assert [phi(1, 1), phi(1, 2), phi(1, 3), phi(3, 4), phi(3, 3)] == [Fr(1, 2), 0, Fr(1, 4), Fr(1, 4), Fr(1, 2)]
    assert [phi(3, 5), phi(5, 5), phi(5, 6), phi(1, 5)] == [Fr(3, 8), Fr(5, 8), Fr(3, 8), Fr(1, 4)]
    assert kin.inbreeding[4] == 0.25


#: Wright 1922 (from memory): the young of two relatives
LOOPS = {
    "parent and young": ([(NO, NO), (NO, NO), (0, 1), (2, 1)], Fr(1, 4)),
    "full sibs": ([(NO, NO), (NO, NO), (0, 1), (0, 1), (2, 3)], Fr(1, 4)),
    "half sibs": ([(NO, NO), (NO, NO), (NO, NO), (0, 2), (1, 2), (3, 4)], Fr(1, 8)),
    "uncle and niece": ([(NO, NO), (NO, NO), (0, 1), (0, 1), (2, NO), (4, 3)], Fr(1, 8)),
    "grandparent and grandchild": ([(NO, NO), (NO, NO), (0, 1), (2, NO), (3, 1)], Fr(1, 8)),
    "first cousins": ([(NO, NO), (NO, NO), (0, 1), (0, 1), (2, NO), (NO, 3), (4, 5)], Fr(1, 16)),
    "double first cousins": (
        [(NO, NO), (NO, NO), (NO, NO), (NO, NO), (0, 1), (0, 1), (2, 3), (2, 3), (4, 6), (5, 7), (8, 9)], Fr(1, 8)
    ),
    "second cousins": (
        [(NO, NO), (NO, NO), (0, 1), (0, 1), (2, NO), (3, NO), (4, NO), (NO, 5), (6, 7)], Fr(1, 64)
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LOOPS)
def test_single_loops(name: str) -> None:
    parents, expected = LOOPS[name]
    assert Fr(kinship_of(parents).inbreeding[-1]) == expected == by_paths(parents, len(parents) - 1)


def test_an_inbred_shared_sire_counts_more() -> None:
    """Half-sibs by a sire of F = 25%: 15.6% (Wright's 1 + F of the ancestor)."""
    parents = [(NO, NO), (NO, NO), (0, 1), (0, 1), (2, 3), (NO, NO), (NO, NO), (5, 4), (6, 4), (7, 8)]
    assert Fr(kinship_of(parents).inbreeding[-1]) == Fr(5, 32)


@st.composite
def pedigrees(draw: st.DrawFn, most: int = 14) -> list[tuple[int | None, int | None]]:
    rows: list[tuple[int | None, int | None]] = []
    for at in range(draw(st.integers(1, most))):
        one = draw(st.one_of(st.none(), st.integers(0, at - 1))) if at else None
        other = draw(st.one_of(st.none(), st.integers(0, at - 1))) if at else None
        rows.append((one, None if other == one else other))
    return rows


@given(pedigrees())
@settings(max_examples=300, deadline=None)
def test_any_pedigree_agrees_with_the_tabular_method_to_the_last_bit(parents: list[tuple[int, int]]) -> None:
    table = tabular(parents)
    kin = kinship_of(parents)
    for i in range(len(parents)):
        assert Fr(kin.inbreeding[i]) == table[i][i] - 1
        assert [2 * Fr(k) for k in kin.with_all(i)] == table[i]
    every = np.arange(len(parents))
    assert [[2 * Fr(k) for k in row] for row in kin.between(every, every)] == table


@given(pedigrees(most=9), st.data())
@settings(max_examples=150, deadline=None)
def test_any_pedigree_agrees_with_paths_and_recursion(parents: list[tuple[int, int]], data: st.DataObject) -> None:
    kin = kinship_of(parents)
    animal = data.draw(st.integers(0, len(parents) - 1))
    other = data.draw(st.integers(0, len(parents) - 1))
    assert Fr(kin.inbreeding[animal]) == by_paths(parents, animal)
    assert Fr(kin.of(animal, other)) == by_recursion(parents, animal, other)


def test_a_large_collection_agrees_with_the_tabular_method_at_sampled_animals() -> None:
    rng = np.random.default_rng(7)
    parents: list[tuple[int | None, int | None]] = [(NO, NO)] * 20
    while len(parents) < 400:
        low = max(len(parents) - 60, 0)
        dam, sire = (int(x) for x in rng.choice(np.arange(low, len(parents)), 2, replace=False))
        parents += [(dam, sire)] * int(rng.integers(1, 5))
    kin, table = kinship_of(parents), tabular(parents)
    assert kin.inbreeding == pytest.approx([float(table[i][i] - 1) for i in range(len(parents))], abs=1e-14)
    for animal in (0, 100, 250, len(parents) - 1):
        assert kin.with_all(animal) == pytest.approx([float(a) / 2 for a in table[animal]], abs=1e-14)


# --- doubtful sires --------------------------------------------------------------------------------------------


def expected(parents: Parents, litters: Sequence[Litter], one: int, other: int) -> Fr:
    """Kinship over every way the doubts can fall, each weighted: the definition, enumerated."""
    total = Fr(0)
    cases: list[list[tuple[Fr, dict[int, int]]]] = []
    for litter in litters:
        groups = [litter.young] if litter.shared else [(young,) for young in litter.young]
        for young in groups:
            cases.append([(Fr(w), dict.fromkeys(young, sire)) for sire, w in zip(litter.sires, litter.weights)])
    for way in product(*cases):
        chosen = {young: sire for _, sires in way for young, sire in sires.items()}
        drawn = [(dam, chosen[i] if chosen.get(i, -1) >= 0 else sire) for i, (dam, sire) in enumerate(parents)]
        total += prod((w for w, _ in way), start=Fr(1)) * by_recursion(drawn, one, other)
    return total


@st.composite
def doubtful(draw: st.DrawFn) -> tuple[list[tuple[int | None, int | None]], list[Litter]]:
    rows = draw(pedigrees(most=9))
    litters, taken = [], set()
    for young in draw(st.lists(st.integers(2, 9), max_size=3, unique=True)):
        if young >= len(rows) or young in taken:
            continue
        dam = rows[young][0]
        group = [young]
        twin = young + 1
        if draw(st.booleans()) and twin < len(rows):
            group.append(twin)
        if taken & set(group):
            continue
        taken |= set(group)
        for each in group:
            rows[each] = (dam, None)
        possible = [i for i in range(young) if i != dam]
        sires = (
            draw(st.lists(st.sampled_from(possible), min_size=2, max_size=3, unique=True)) if len(possible) > 1 else []
        )
        if sires:
            weights = {2: (0.625, 0.375), 3: (0.5, 0.375, 0.125)}[len(sires)]
            litters.append(Litter(tuple(group), tuple(sires), weights, draw(st.booleans())))
    return rows, litters


@given(doubtful(), st.data())
@settings(max_examples=200, deadline=None)
def test_a_list_of_sires_gives_the_expectation_over_every_way_it_can_fall(
    case: tuple[list[tuple[int | None, int | None]], list[Litter]], data: st.DataObject
) -> None:
    rows, litters = case
    dam = np.array([-1 if d is None else d for d, _ in rows], np.int64)
    sire = np.array([-1 if s is None else s for _, s in rows], np.int64)
    kin = Kinship(Pedigree(sire, dam, tuple(litters)))
    one, other = data.draw(st.integers(0, len(rows) - 1)), data.draw(st.integers(0, len(rows) - 1))
    assert kin.of(one, other) == pytest.approx(float(expected(rows, litters, one, other)), abs=1e-13)


def test_two_eggs_of_one_doubtful_clutch_are_full_sibs_only_where_one_sire_made_all() -> None:
    none = np.full(5, -1, np.int64)
    dam = np.array([-1, -1, -1, 0, 0])
    for shared, kinship in ((True, 0.25), (False, 0.125 + 0.125 * 0.5)):
        litter = Litter((3, 4), (1, 2), (0.5, 0.5), shared)
        assert Kinship(Pedigree(none, dam, (litter,))).of(3, 4) == kinship


def test_one_unrecorded_male_of_a_whole_clutch_makes_full_sibs() -> None:
    dam, none = np.array([-1, 0, 0]), np.full(3, -1, np.int64)
    assert Kinship(Pedigree(none, dam, (Litter((1, 2), (-1,), (1.0,)),))).of(1, 2) == 0.25
    assert Kinship(Pedigree(none, dam, (Litter((1, 2), (-1,), (1.0,), shared=False),))).of(1, 2) == 0.125
    assert Kinship(Pedigree(none, dam)).of(1, 2) == 0.125


def test_a_ring_names_its_animals() -> None:
    with pytest.raises(OwnAncestor) as found:
        kinship_of([(NO, NO), (3, 0), (1, 0), (2, NO), (3, 0)])
    assert found.value.animals == (1, 2, 3)


def test_no_animals_at_all() -> None:
    assert kinship_of([]).inbreeding.size == 0
