"""A pedigree made ready for counting: every animal, and every doubt about a sire, as a node of at most two terms.

An animal is half its dam and half its sire. A doubtful sire is a node of its own, "whoever it was": the first male of
the list with his weight, otherwise the rest of the list, which is such a node again. Its relationship to any other
animal is the weighted mean over the list, its relationship to itself the weighted mean of theirs, so that everything
counted through it is the expectation over the list (the average relationship matrix of Henderson 1988, J. Anim. Sci.
66:1614, from memory). One node for all young of a shared litter, one for each young where each egg has its own sire.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from coilbook.genetics.problem import NONE, Ints, Pedigree
from coilbook.genetics.states import Floats

Flags = npt.NDArray[np.bool_]


class OwnAncestor(ValueError):
    """Animals (indexes) that stand among their own ancestors."""

    def __init__(self, animals: tuple[int, ...]) -> None:
        super().__init__(f"animals are their own ancestors: {animals[:10]}")
        self.animals = animals


@dataclass(frozen=True)
class Lineage:
    """Nodes 0..N-1, parents before young: first those that are a term of another ("breeders"), then the rest.

    `first`, `second` (N,): dam and sire of an animal, the two cases of a doubtful sire; NONE where not recorded.
    `weight_first`, `weight_second` (N,): 1/2 and 1/2 for animals, the chances for a doubtful sire.
    `is_animal` (N,) False for a doubtful sire. `node_of` (n,): the node of each animal of the pedigree.
    `levels`: bounds in the breeders, level k being `levels[k]:levels[k + 1]`.
    """

    first: Ints
    second: Ints
    weight_first: Floats
    weight_second: Floats
    is_animal: Flags
    node_of: Ints
    levels: Ints

    @property
    def size(self) -> int:
        """How many nodes."""
        return len(self.first)

    @property
    def breeders(self) -> int:
        """How many of them are a term of another."""
        return int(self.levels[-1])


def lineage_of(pedigree: Pedigree) -> Lineage:
    """Put a pedigree in order; `OwnAncestor` when there is none."""
    first, second, weight = _terms(pedigree)
    size, animals = len(first), pedigree.size
    used = np.zeros(size + 1, bool)
    used[first] = True
    used[second] = True
    used[-1] = False
    try:
        order, bounds = _in_order(first, second, used[:-1])
    except OwnAncestor as ring:
        raise OwnAncestor(tuple(node for node in ring.animals if node < animals)) from None
    rank = np.full(size + 1, NONE, np.int64)
    rank[order] = np.arange(size)
    is_animal = order < animals
    first_weight = weight[order]
    return Lineage(
        first=rank[first[order]],
        second=rank[second[order]],
        weight_first=first_weight,
        weight_second=1 - first_weight,
        is_animal=is_animal,
        node_of=rank[:animals],
        levels=bounds,
    )


def _terms(pedigree: Pedigree) -> tuple[Ints, Ints, Floats]:
    """First term, second term and weight of the first, for the animals and then the doubtful sires."""
    animals = pedigree.size
    second = np.array(pedigree.sire, np.int64)
    cases: list[tuple[int, int, float]] = []

    def doubtful(sires: tuple[int, ...], weights: tuple[float, ...]) -> int:
        """The node of a list: a chain from its end; a list of one male is that male."""
        possible = [(sire, weight) for sire, weight in zip(sires, weights) if weight > 0]
        node, rest = possible.pop()
        for sire, part in reversed(possible):
            rest += part
            cases.append((sire, node, part / rest))
            node = animals + len(cases) - 1
        return node

    for litter in pedigree.litters:
        young = np.asarray(litter.young, np.int64)
        if litter.shared and litter.sires == (NONE,):
            cases.append((NONE, NONE, 1.0))
            second[young] = animals + len(cases) - 1
        elif litter.shared:
            second[young] = doubtful(litter.sires, litter.weights)
        else:
            second[young] = [doubtful(litter.sires, litter.weights) for _ in litter.young]
    extra = np.array([case[:2] for case in cases], np.int64).reshape(-1, 2)
    weights = np.concatenate([np.full(animals, 0.5), [case[2] for case in cases]])
    return np.concatenate([pedigree.dam, extra[:, 0]]), np.concatenate([second, extra[:, 1]]), weights


def _in_order(first: Ints, second: Ints, used: Flags) -> tuple[Ints, Ints]:
    """Nodes with both terms before them, breeders by level and then the others; and the bounds of the levels."""
    done = np.zeros(len(first) + 1, bool)
    done[-1] = True
    waiting = np.flatnonzero(used)
    parts, bounds = [], [0]
    while waiting.size:
        ready = done[first[waiting]] & done[second[waiting]]
        level = waiting[ready]
        if not level.size:
            raise OwnAncestor(_in_rings(first, second, waiting))
        parts.append(level)
        bounds.append(bounds[-1] + level.size)
        done[level] = True
        waiting = waiting[~ready]
    parts.append(np.flatnonzero(~used))
    return np.concatenate(parts), np.array(bounds, np.int64)


def _in_rings(first: Ints, second: Ints, waiting: Ints) -> tuple[int, ...]:
    """Of nodes that wait for each other, those in a ring and what lies between rings."""
    left = np.zeros(len(first) + 1, bool)
    left[waiting] = True
    while True:
        parents = np.zeros_like(left)
        now = np.flatnonzero(left[:-1])
        parents[first[now]] = True
        parents[second[now]] = True
        kept = left & parents
        if (kept == left).all():
            return tuple(int(node) for node in now)
        left = kept
        left[-1] = False
