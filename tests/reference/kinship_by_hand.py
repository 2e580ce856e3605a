"""Kinship the slow, obviously right ways: the recursion, the tabular method, and counting paths; exact fractions."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cache

HALF = Fraction(1, 2)
#: (dam, sire) of each animal, None where not recorded; parents stand before their young
Parents = Sequence[tuple[int | None, int | None]]


def tabular(parents: Parents) -> list[list[Fraction]]:
    """The numerator relationship matrix row by row (Henderson 1976, Biometrics 32:69, from memory)."""
    size = len(parents)
    table = [[Fraction(0)] * size for _ in range(size)]
    for i, (dam, sire) in enumerate(parents):
        for j in range(i):
            table[i][j] = table[j][i] = sum((HALF * table[j][p] for p in (dam, sire) if p is not None), Fraction(0))
        table[i][i] = 1 + (HALF * table[dam][sire] if dam is not None and sire is not None else 0)
    return table


def by_recursion(parents: Parents, one: int, other: int) -> Fraction:
    """Kinship of two: the younger gives the mean over its parents, an animal with itself 1/2 (1 + F)."""

    @cache
    def phi(a: int | None, b: int | None) -> Fraction:
        if a is None or b is None:
            return Fraction(0)
        if a == b:
            return HALF * (1 + phi(*parents[a]))
        young, old = max(a, b), min(a, b)
        dam, sire = parents[young]
        return HALF * (phi(dam, old) + phi(sire, old))

    return phi(one, other)


def by_paths(parents: Parents, animal: int) -> Fraction:
    """F by Wright's rule: over every pair of lines from dam and sire that meet in one ancestor and nowhere else,
    (1/2)^(steps of both + 1) (1 + F of the ancestor). Wright 1922, Am. Nat. 56:330.
    """
    dam, sire = parents[animal]
    if dam is None or sire is None:
        return Fraction(0)
    total = Fraction(0)
    for one in _lines(parents, dam):
        for other in _lines(parents, sire):
            if one[-1] == other[-1] and not set(one[:-1]) & set(other[:-1]):
                total += HALF ** (len(one) + len(other) - 1) * (1 + by_paths(parents, one[-1]))
    return total


def _lines(parents: Parents, start: int) -> list[tuple[int, ...]]:
    """Every line of ancestors from `start`, itself included."""
    found = [(start,)]
    for parent in parents[start]:
        if parent is not None:
            found += [(start, *line) for line in _lines(parents, parent)]
    return found
