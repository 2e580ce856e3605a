"""Which founders must be allowed to carry what nothing says they carry, because a descendant has shown it.

A founder is taken as carrying nothing beyond what is known of it. Where a young shows a gene that nobody above it is
known to carry, that assumption falls for every founder above it that could have been the source, and for no other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np

from coilbook.derived.genetics_evidence import KnownRows, RowBook
from coilbook.genetics.known import Known
from coilbook.genetics.problem import NONE, Ints, Litter, Pedigree
from coilbook.genetics.states import Bools
from coilbook.records.vocabulary import Sex


class Descent:
    """Who is above whom: one for a pedigree, whatever the locus."""

    def __init__(self, pedigree: Pedigree, litter_of: Mapping[int, Litter]) -> None:
        self.pedigree, self.litter_of = pedigree, litter_of
        self.in_litter = np.array(sorted(litter_of), dtype=np.int64)
        #: the animals by the longest line above them, founders first, and those of them with several possible sires
        self.levels = [(level, [int(a) for a in np.intersect1d(level, self.in_litter)]) for level in self._levels()]

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

    @cached_property
    def is_founder(self) -> Bools:
        """(n,) True where no parent is recorded."""
        alone = (self.pedigree.sire == NONE) & (self.pedigree.dam == NONE)
        alone[self.in_litter] = False
        return np.asarray(alone, dtype=np.bool_)

    @cached_property
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


def lifted(descent: Descent, rows: RowBook, knowns: Sequence[Known], of: Ints) -> frozenset[int]:
    """The animals (founders, or young of an unrecorded parent) whose assumption falls at one locus."""
    must = np.stack([rows.of(known).must for known in knowns])[of]
    if not must[:, 1:].any():
        return frozenset()
    source = _sources(descent, rows, knowns, of, must)
    absent = np.stack([rows.of(known).absent_may for known in knowns])[of]
    found: set[int] = set()
    for allele in range(1, must.shape[1]):
        for animal in _doubtful(descent, must[:, allele], source[:, allele], absent[:, allele]):
            found |= _unexplained(descent, animal, int(must[animal, allele]), source[:, allele], absent[:, allele])
    return frozenset(found | _half_explained(descent, rows, knowns, of, frozenset(found)))


def _doubtful(descent: Descent, must: Ints, source: Bools, absent: Bools) -> list[int]:
    """Animals that surely have the allele and whose parents do not plainly explain it."""
    dam, sire = descent.pedigree.dam, descent.pedigree.sire
    able = [np.where(parent == NONE, absent, source[parent]) for parent in (dam, sire)]
    explained = (able[0] & able[1]) | ((must == 1) & (able[0] | able[1])) | ((dam == NONE) & (sire == NONE))
    if len(descent.in_litter):
        explained[descent.in_litter] = False
    return [int(animal) for animal in np.flatnonzero((must > 0) & ~explained)]


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


def _sources(descent: Descent, rows: RowBook, knowns: Sequence[Known], of: Ints, must: Ints) -> Bools:
    """(n + 1, A) whether an animal may have the allele by itself or from above; the last row is nobody.

    An animal whose own look excludes an allele hands on nothing of it, whatever lies above.
    """
    own = np.stack([rows.of(known).founder_may for known in knowns])[of]
    may = np.stack([rows.of(known).may for known in knowns])[of]
    source = np.zeros((len(own) + 1, own.shape[1]), dtype=np.bool_)
    source[:-1] = (own & descent.lacks_parent[:, None]) | (must > 0)
    dam, sire = descent.pedigree.dam, descent.pedigree.sire
    for level, young_of_several in descent.levels[1:]:
        source[level] |= source[dam[level]] | source[sire[level]]
        for young in young_of_several:
            for option in descent.litter_of[young].sires:
                source[young] |= source[option]
        source[level] &= may[level]
    return source


def _half_explained(
    descent: Descent, rows: RowBook, knowns: Sequence[Known], of: Ints, free: frozenset[int]
) -> frozenset[int]:
    """All above the animals that the one parent on record and what is taken of the other cannot have had."""
    found: set[int] = set()
    for parent, other, male in (
        (descent.pedigree.sire, descent.pedigree.dam, True),
        (descent.pedigree.dam, descent.pedigree.sire, False),
    ):
        half = (parent != NONE) & (other == NONE)
        half[[*descent.in_litter.tolist(), *free]] = False
        young = np.flatnonzero(half)
        mine = parent[young]
        alone = descent.is_founder[mine] & ~np.isin(mine, list(free))
        codes = (of[mine] * len(knowns) + of[young]) * 2 + alone
        for code in np.unique(codes).tolist():
            pair, plain = divmod(code, 2)
            above, below = (rows.of(knowns[place]) for place in divmod(pair, len(knowns)))
            if not _can_have(rows, above, below, male=male, founder=bool(plain)):
                for one in young[codes == code].tolist():
                    found |= descent.above(one)
    return frozenset(found)


def _can_have(rows: RowBook, parent: KnownRows, young: KnownRows, *, male: bool, founder: bool) -> bool:
    """Whether a parent on record and the other one, as it is taken to be, can have a young of this look."""
    states = rows.states
    mine = parent.likelihood > 0
    if founder:
        mine = mine & (parent.founder > 0)
    sire, dam = (mine, young.absent > 0) if male else (young.absent > 0, mine)
    law = states.transmission[np.ix_(sire & states.of_sex(Sex.MALE), dam & states.of_sex(Sex.FEMALE))]
    return bool((law.sum(axis=(0, 1))[young.likelihood > 0] > 0).any())
