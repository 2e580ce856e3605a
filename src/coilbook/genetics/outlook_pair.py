"""Two parents at one locus, and what the doubt about them does to their young.

The doubt is kept as *cases*: what both parents are is settled once for the whole clutch, so a chance over several
hatchlings is a mixture over the cases, never a power of the mean. Cases that treat the question alike are merged.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.vocabulary import Sex

#: a pair of parents less likely than this is a rounding remnant of inference, not a possibility
NEVER = 1e-13
#: two chances that agree to this many places are one
PLACES = 12
#: son, daughter, males, females, alive, sire, dam: see `PairLocus.rows`
_COLUMNS = 7
#: so many pairings are multiplied out together: beyond, their cases cost memory and win nothing
_AT_ONCE = 256


@lru_cache(maxsize=512)
def laid(states: LocusStates) -> Floats:
    """(S, S, S) law of a fertile egg by [sire, dam, egg], the genotypes that cannot hatch included."""
    if states.alive.all():
        return states.transmission
    hatching = tuple(replace(look, lethal=False) for look in states.locus.looks)
    return LocusStates(replace(states.locus, looks=hatching), states.system).transmission


@dataclass(frozen=True, eq=False)
class PairLocus:
    """One locus of a pairing: `joint` (S, S) is the law of [sire state, dam state], with everything known.

    Raises ValueError for a law that does not sum to 1.
    """

    states: LocusStates
    joint: Floats

    def __post_init__(self) -> None:
        size = len(self.states.states)
        if self.joint.shape != (size, size) or not abs(float(self.joint.sum()) - 1) < 1e-6:
            raise ValueError(f"{self.states.locus.key}: the joint law of the parents is not a law")

    @property
    def key(self) -> str:
        """The key of the locus."""
        return self.states.locus.key

    @cached_property
    def cases(self) -> npt.NDArray[np.intp]:
        """(K, 2) the pairs of [sire state, dam state] that are possible."""
        return np.argwhere(self.joint > NEVER)

    @cached_property
    def weights(self) -> Floats:
        """(K,) the chances of the cases; they sum to 1."""
        weights = self.joint[self.cases[:, 0], self.cases[:, 1]]
        return np.asarray(weights / weights.sum())

    @cached_property
    def young(self) -> Floats:
        """(K, S) the law of a hatched child in each case (0 throughout where none can hatch)."""
        return np.asarray(self.states.transmission[self.cases[:, 0], self.cases[:, 1]])

    @cached_property
    def alive(self) -> Floats:
        """(K,) the chance that a fertile egg has a genotype that can hatch."""
        eggs = laid(self.states)[self.cases[:, 0], self.cases[:, 1]]
        return np.asarray(eggs[:, self.states.alive].sum(axis=1))

    @cached_property
    def sexes(self) -> Floats:
        """(K, 2) the chance of a male, of a female, twice: 1 and 1 unless a sex cannot hatch."""
        if self.states.locus.linkage is None:
            return np.ones((len(self.cases), 2))
        return np.stack([2 * self.young[:, self._male].sum(axis=1), 2 * self.young[:, self._female].sum(axis=1)], 1)

    @cached_property
    def _male(self) -> Bools:
        return self.states.of_sex(Sex.MALE)

    @cached_property
    def _female(self) -> Bools:
        return self.states.of_sex(Sex.FEMALE)

    def chance(self, mask: Bools) -> Floats:
        """(K, 2) the chance that a son, that a daughter has a state of `mask` (S,), in each case."""
        if self.states.locus.linkage is None:
            alike = self.young[:, mask].sum(axis=1)
            return np.stack([alike, alike], axis=1)
        both = [self.young[:, mask & of_sex].sum(axis=1) for of_sex in (self._male, self._female)]
        shares = self.sexes / 2
        return np.asarray(np.divide(np.stack(both, axis=1), shares, out=np.zeros_like(shares), where=shares > 0))

    @cached_property
    def mean_young(self) -> Floats:
        """(2, S) the law of a son's, of a daughter's state, over all cases."""
        if self.states.locus.linkage is None:
            law = self.weights @ self.young
            return np.stack([law, law])
        sums = np.stack([self.weights @ np.where(of_sex, self.young, 0.0) for of_sex in (self._male, self._female)])
        totals = sums.sum(axis=1, keepdims=True)
        return np.asarray(np.divide(sums, totals, out=np.zeros_like(sums), where=totals > 0))

    def rows(self, mask: Bools) -> tuple[Floats, Floats]:
        """The cases as (weights, columns son, daughter, males, females, alive, sire, dam); worked out once a mask."""
        known = mask.tobytes()
        if known not in self._rows:
            sire, dam = self.can_give(mask)
            columns = np.column_stack([self.chance(mask), self.sexes, self.alive, sire, dam])
            whole = _Folded(np.zeros(len(columns), dtype=np.intp), self.weights, columns).merged()
            self._rows[known] = whole.weight, whole.table
        return self._rows[known]

    @cached_property
    def _rows(self) -> dict[bytes, tuple[Floats, Floats]]:
        """The questions met so far."""
        return {}

    def can_give(self, mask: Bools) -> tuple[Bools, Bools]:
        """(K,), (K,) whether the sire, whether the dam of each case could give such young with a mate that is possible.

        A parent "carries it" in the sense of a pairing: with the other as it should be, the look can fall.
        """
        law = self.states.transmission[:, :, mask].sum(axis=2) > NEVER
        sires, dams = np.unique(self.cases[:, 0]), np.unique(self.cases[:, 1])
        return law[:, dams].any(axis=1)[self.cases[:, 0]], law[sires, :].any(axis=0)[self.cases[:, 1]]


@dataclass(frozen=True, eq=False)
class Cases:
    """The cases of a pairing for one question about a hatchling ("is it Clown?").

    `weight` (K,) sums to 1; `each` (K,) the chance of a hatchling; `alive` (K,) that a fertile egg can hatch;
    `sire`, `dam` (K,) whether that parent carries what it takes.
    """

    weight: Floats
    each: Floats
    alive: Floats
    sire: Bools
    dam: Bools

    def where(self, keep: Bools) -> Cases | None:
        """These cases alone, their weights made to sum to 1; None where none is possible."""
        total = float(self.weight[keep].sum())
        if total <= 0:
            return None
        return Cases(self.weight[keep] / total, self.each[keep], self.alive[keep], self.sire[keep], self.dam[keep])

    def slice(self, start: int, end: int) -> Cases:
        """Some of these cases, as they are."""
        mine = slice(start, end)
        return Cases(self.weight[mine], self.each[mine], self.alive[mine], self.sire[mine], self.dam[mine])

    @property
    def per_egg(self) -> Floats:
        """(K,) the chance of a fertile egg to become such a hatchling, were every egg that can hatch to hatch."""
        return self.alive * self.each


def mixed(parts: Iterable[tuple[float, Cases]]) -> Cases:
    """The cases of a pairing whose sire is one of several, one sire for the whole clutch: (his weight, his cases)."""
    listed = [(weight, cases) for weight, cases in parts if weight > 0]
    total = sum(weight for weight, _ in listed)
    return Cases(
        np.concatenate([cases.weight * (weight / total) for weight, cases in listed]),
        *(
            np.concatenate([getattr(cases, name) for _, cases in listed])
            for name in ("each", "alive", "sire", "dam")  # the order of the fields
        ),
    )


def cases_of(loci: Iterable[PairLocus], masks: Mapping[str, Bools], sex: Sex | None = None) -> Cases:
    """The cases for "a hatchling with a state of `masks[locus]` at every locus named" (and of `sex`, if given).

    Loci are independent given the parents; loci on the sex chromosomes share the sex of the hatchling, and are
    otherwise taken as independent of each other. Every locus counts towards the eggs that cannot hatch.
    """
    return cases_of_each([tuple(loci)], masks, sex)[0]


def cases_of_each(
    parts: Sequence[tuple[PairLocus, ...]], masks: Mapping[str, Bools], sex: Sex | None = None
) -> list[Cases]:
    """`cases_of` for several pairings at the same loci; what is the same locus in all of them is worked out once."""
    found = []
    for low in range(0, len(parts), _AT_ONCE):
        folded = _folded(parts[low : low + _AT_ONCE], masks)
        cuts = np.searchsorted(folded.part, np.arange(len(parts[low : low + _AT_ONCE]) + 1)).tolist()
        cases = _as_cases(folded.weight, folded.table, sex)
        found += [cases.slice(start, end) for start, end in pairwise(cuts)]
    return found


@dataclass(frozen=True)
class _Folded:
    """Cases of several pairings: (N,) the `part` each is of, in order, (N,) `weight`, (N, columns) `table`."""

    part: npt.NDArray[np.intp]
    weight: Floats
    table: Floats

    def times(self, of: npt.NDArray[np.intp], rows: Sequence[tuple[Floats, Floats]]) -> _Folded:
        """All pairs of these and independent cases (weights, columns), multiplied column by column.

        `of` (parts,) says which of `rows` a pairing has.
        """
        counts = np.array([len(weight) for weight, _ in rows])
        weight = rows[0][0] if len(rows) == 1 else np.concatenate([weight for weight, _ in rows])
        table = rows[0][1] if len(rows) == 1 else np.concatenate([columns for _, columns in rows])
        mine = of[self.part]
        if (counts == 1).all():
            return _Folded(self.part, self.weight * weight[mine], self.table * table[mine])
        times = counts[mine]
        each = np.repeat(np.arange(len(mine)), times)
        begins = (np.cumsum(counts) - counts)[mine] - (np.cumsum(times) - times)
        other = np.repeat(begins, times) + np.arange(len(each))
        both = _Folded(self.part[each], self.weight[each] * weight[other], self.table[each] * table[other])
        return both.merged()

    def merged(self) -> _Folded:
        """Equal rows of one pairing as one, their weights added."""
        if len(self.weight) == 1:
            return self
        values = np.round(self.table, PLACES)
        varying = np.flatnonzero((values != values[0]).any(axis=0)).tolist()
        # a column that says what the one before says does not tell rows apart
        keys = [values[:, one] for at, one in enumerate(varying) if at == 0
                or not np.array_equal(values[:, one], values[:, varying[at - 1]])]  # fmt: skip
        order = np.lexsort((*reversed(keys), self.part))
        new = np.diff(self.part[order], prepend=-1) != 0
        for key in keys:
            new[1:] |= np.diff(key[order]) != 0
        starts = np.flatnonzero(new)
        first = order[starts]
        return _Folded(self.part[first], np.add.reduceat(self.weight[order], starts), self.table[first])


def _folded(parts: Sequence[tuple[PairLocus, ...]], masks: Mapping[str, Bools]) -> _Folded:
    """The cases of several pairings over all their loci; those that all of them share come last, as one."""
    count = len(parts)
    found = _Folded(np.arange(count), np.ones(count), np.ones((count, _COLUMNS)))
    same = _Folded(np.zeros(1, dtype=np.intp), np.ones(1), np.ones((1, _COLUMNS)))
    nobody = np.zeros(count, dtype=np.intp)
    for place, locus in enumerate(parts[0]):
        mask = masks.get(locus.key)
        if mask is None:
            mask = locus.states.alive
            if mask.all():
                continue
        distinct = {id(loci[place]): loci[place] for loci in parts}
        if len(distinct) == 1:
            same = same.times(nobody[:1], [locus.rows(mask)])
            continue
        number = {one: at for at, one in enumerate(distinct)}
        of = np.array([number[id(loci[place])] for loci in parts], dtype=np.intp)
        found = found.times(of, [one.rows(mask) for one in distinct.values()])
    return found.times(nobody, [(same.weight, same.table)])


def _as_cases(weight: Floats, table: Floats, sex: Sex | None) -> Cases:
    son, daughter, males, females, alive, sire, dam = table.T
    total = males + females
    wanted = (males * son if sex is not Sex.FEMALE else 0.0) + (females * daughter if sex is not Sex.MALE else 0.0)
    each = np.divide(wanted, total, out=np.zeros_like(total), where=total > 0)
    return Cases(weight, each, alive, sire > 0.5, dam > 0.5)
