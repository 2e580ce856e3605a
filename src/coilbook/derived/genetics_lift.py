"""Which founders must be allowed to carry what nothing says they carry, because a descendant has shown it.

A founder is taken as carrying nothing beyond what is known of it. Where a young shows a gene that nobody above it is
known to carry, that assumption falls for every founder above it that could have been the source, and for no other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

import numpy as np

from coilbook.genetics.evidence import absent_law, founder_law, likelihood
from coilbook.genetics.known import Known
from coilbook.genetics.problem import NONE, Ints, Litter, Pedigree
from coilbook.genetics.states import Bools, LocusStates


class Descent:
    """Who is above whom: one for a pedigree, whatever the locus."""

    def __init__(self, pedigree: Pedigree, litter_of: Mapping[int, Litter]) -> None:
        self.pedigree, self.litter_of = pedigree, litter_of
        self._in_litter = np.array(sorted(litter_of), dtype=np.int64)
        self.levels = self._levels()

    def parents(self, animal: int) -> tuple[int, ...]:
        """Dam and possible sires of an animal; NONE among them where one is not recorded."""
        litter = self.litter_of.get(animal)
        sires = litter.sires if litter is not None else (int(self.pedigree.sire[animal]),)
        return (int(self.pedigree.dam[animal]), *sires)

    def children(self, animal: int) -> tuple[int, ...]:
        """Young of an animal, those it is only a possible sire of among them."""
        young, begins = self._young
        return tuple(young[begins[animal] : begins[animal + 1]].tolist())

    @cached_property
    def _young(self) -> tuple[Ints, Ints]:
        """Young sorted by parent, and where those of each parent begin."""
        size = self.pedigree.size
        pairs = [(p, np.flatnonzero(p != NONE)) for p in (self.pedigree.dam, self.pedigree.sire)]
        options = [(s, young) for young, litter in self.litter_of.items() for s in litter.sires if s != NONE]
        parents = np.concatenate([*(p[at] for p, at in pairs), np.array([s for s, _ in options], dtype=np.int64)])
        young = np.concatenate([*(at for _, at in pairs), np.array([y for _, y in options], dtype=np.int64)])
        order = np.lexsort((young, parents))
        return young[order], np.searchsorted(parents[order], np.arange(size + 1))

    def lacks_parent(self) -> Bools:
        """(n,) True where at least one parent is not recorded for sure."""
        lacks = (self.pedigree.sire == NONE) | (self.pedigree.dam == NONE)
        for young, litter in self.litter_of.items():
            lacks[young] = self.pedigree.dam[young] == NONE or NONE in litter.sires
        return np.asarray(lacks, dtype=np.bool_)

    def above(self, animal: int) -> set[int]:
        """Animals above and including this one at which an unknown parent, or two, joins the pedigree."""
        found: set[int] = set()
        waiting, seen = [animal], {animal}
        while waiting:
            one = waiting.pop()
            parents = self.parents(one)
            if NONE in parents:
                found.add(one)
            fresh = {p for p in parents if p != NONE} - seen
            seen |= fresh
            waiting += fresh
        return found

    def _levels(self) -> list[Ints]:
        """The animals by the longest line above them, founders first."""
        size = self.pedigree.size
        depth = np.zeros(size + 1, dtype=np.int64)
        depth[size] = -1
        for _ in range(size + 1):
            deeper = np.maximum(depth[self.pedigree.dam], depth[self.pedigree.sire]) + 1
            for young, litter in self.litter_of.items():
                deeper[young] = max(deeper[young], 1 + max(depth[s] for s in litter.sires))
            if np.array_equal(deeper, depth[:size]):
                break
            depth[:size] = deeper
        order = np.argsort(depth[:size], kind="stable")
        cuts = np.flatnonzero(np.diff(depth[:size][order])) + 1
        return np.split(order, cuts)


def lifted(descent: Descent, states: LocusStates, knowns: Sequence[Known], of: Ints) -> frozenset[int]:
    """The animals (founders, or young of an unrecorded parent) whose assumption falls at one locus."""
    alleles = len(states.locus.alleles)
    copies = np.stack([states.copies(a) for a in range(alleles)], axis=1)
    must = np.stack([_must(states, known, copies) for known in knowns])[of]
    if not must[:, 1:].any():
        return frozenset()
    source = _sources(descent, states, knowns, of, must)
    absent = np.stack([_held(absent_law(states, known), copies) for known in knowns])[of]
    found: set[int] = set()
    for allele in range(1, alleles):
        for animal in np.flatnonzero(must[:, allele]):
            found |= _unexplained(descent, int(animal), int(must[animal, allele]), source[:, allele], absent[:, allele])
    return frozenset(found)


def _unexplained(descent: Descent, animal: int, copies: int, source: Bools, absent: Bools) -> set[int]:
    parents = descent.parents(animal)
    if all(p == NONE for p in parents):
        return set()
    dam, sires = parents[:1], parents[1:]
    able = [any(absent[animal] if p == NONE else source[p] for p in side) for side in (dam, sires)]
    if all(able) or (copies == 1 and any(able)):
        return set()
    found: set[int] = set()
    for side, can in zip((dam, sires), able, strict=True):
        for parent in () if can else side:
            found |= {animal} if parent == NONE else descent.above(parent)
    return found


def _must(states: LocusStates, known: Known, copies: Ints) -> Ints:
    """(A,) copies of each allele that she surely has by her own looks and proofs."""
    fits = likelihood(states, Known(known.sightings, proven=known.proven, hidden=known.hidden)) > 0
    return np.asarray(copies[fits].min(axis=0) if fits.any() else copies.min(axis=0), dtype=np.int64)


def _held(law: object, copies: Ints) -> Bools:
    return np.asarray((np.asarray(law)[:, None] * (copies > 0)).sum(axis=0) > 0, dtype=np.bool_)


def _sources(descent: Descent, states: LocusStates, knowns: Sequence[Known], of: Ints, must: Ints) -> Bools:
    """(n + 1, A) whether an animal may have the allele by itself or from above; the last row is nobody."""
    copies = np.stack([states.copies(a) for a in range(len(states.locus.alleles))], axis=1)
    own = np.stack([_held(founder_law(states, known), copies) for known in knowns])[of]
    own &= descent.lacks_parent()[:, None]
    source = np.zeros((len(of) + 1, own.shape[1]), dtype=np.bool_)
    source[:-1] = own | (must > 0)
    dam, sire = descent.pedigree.dam, descent.pedigree.sire
    for level in descent.levels[1:]:
        source[level] |= source[dam[level]] | source[sire[level]]
        for young in _in(level, descent.litter_of):
            for option in descent.litter_of[young].sires:
                source[young] |= source[option]
    return source


def _in(level: Ints, litters: Mapping[int, Litter]) -> Iterable[int]:
    return [int(young) for young in level if int(young) in litters] if litters else ()
