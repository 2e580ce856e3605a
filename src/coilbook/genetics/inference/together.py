"""Many loci of one collection at once: those that inherit alike are one pedigree several times over.

A run costs little more for twelve copies of a pedigree than for one, as long as they are small.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from coilbook.genetics.inference.attempt import WIDTH_LIMIT, attempt, families_kept, keep_families
from coilbook.genetics.inference.engine import Solved, solve
from coilbook.genetics.inference.families import Brood, Families
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.problem import NONE, Ints, Pedigree, Problem, Rows

#: animals times loci of one run, at most: beyond, copies cost memory and win nothing
_TOGETHER = 60_000
#: as many different rows are sorted out; more are taken as they come
_FEW = 2_000


def solve_all(
    problems: Sequence[Problem],
    *,
    width_limit: int = WIDTH_LIMIT,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> list[Solved]:
    """The answers of `solve` to each problem, in order; loci with one pedigree and one law are run together."""
    watch = Watch(progress, cancelled)
    answers: dict[int, Solved] = {}
    for batch in _batches(problems):
        watch.look(len(answers), len(problems))
        answers.update(_together(problems, batch, width_limit, Watch(None, cancelled)))
    watch.look(len(problems), len(problems))
    return [answers[number] for number in range(len(problems))]


def _batches(problems: Sequence[Problem]) -> list[list[int]]:
    alike: dict[object, list[int]] = {}
    for number, problem in enumerate(problems):
        states = problem.states
        key = (id(problem.pedigree), states.system, states.locus.linkage, states.alive.tobytes(), len(states.states))
        alike.setdefault(key, []).append(number)
    batches = []
    for numbers in alike.values():
        most = max(1, _TOGETHER // max(1, problems[numbers[0]].pedigree.size))
        batches += [numbers[at : at + most] for at in range(0, len(numbers), most)]
    return batches


def _together(problems: Sequence[Problem], batch: list[int], width_limit: int, watch: Watch) -> dict[int, Solved]:
    """One run; a locus that contradicts itself, or is too tangled, is answered alone."""
    done: dict[int, Solved] = {}
    while len(batch) > 1:
        size = problems[batch[0]].pedigree.size
        tried = attempt(_copies([problems[number] for number in batch]), None, width_limit, watch, sampling=False)
        wrong = {animal // size for animal in tried.spot}
        if not wrong:
            assert tried.laws is not None
            laws = tried.laws.reshape(len(batch), size, -1)
            for number, law in zip(batch, laws, strict=True):
                if np.isnan(law).any():
                    done[number] = _alone(problems[number], width_limit, watch)
                else:
                    done[number] = Solved(problems[number], problems[number], law, width_limit)
            return done
        for at in wrong:
            done[batch[at]] = _alone(problems[batch[at]], width_limit, watch)
        batch = [number for at, number in enumerate(batch) if at not in wrong]
    return done | {number: _alone(problems[number], width_limit, watch) for number in batch}


def _alone(problem: Problem, width_limit: int, watch: Watch) -> Solved:
    return solve(problem, width_limit=width_limit, cancelled=watch.cancelled)


def _copies(problems: list[Problem]) -> Problem:
    """All problems as one: the pedigree as often as there are loci."""
    first = problems[0]
    families = families_kept(first.pedigree)
    times, size = len(problems), first.pedigree.size
    sire, dam = (_shifted(parents, times, size) for parents in (first.pedigree.sire, first.pedigree.dam))
    pedigree = Pedigree(sire, dam)
    keep_families(pedigree, _families(families, times))
    return Problem(
        first.states, pedigree,
        *(_rows([getattr(problem, name) for problem in problems]) for name in ("evidence", "founder", "absent")),
    )  # fmt: skip


def _shifted(indexes: Ints, times: int, size: int) -> Ints:
    """Copies of indexes, each copy `size` further on; NONE stays."""
    shifted = indexes + np.arange(times, dtype=np.int64)[:, None] * size
    shifted[:, indexes == NONE] = NONE
    return shifted.reshape(-1)


def _rows(parts: list[Rows]) -> Rows:
    """Rows of all, equal ones once where they are few."""
    rows = np.concatenate([part.rows for part in parts])
    starts = np.cumsum([0, *(len(part.rows) for part in parts[:-1])])
    of = np.concatenate([part.of + start for part, start in zip(parts, starts.tolist(), strict=True)])
    if len(rows) > _FEW:
        return Rows(rows, of)
    first: dict[bytes, int] = {}
    place = [first.setdefault(row.tobytes(), at) for at, row in enumerate(rows)]
    distinct, number = np.unique(place, return_inverse=True)
    return Rows(rows[distinct], number[of])


@dataclass(frozen=True)
class _Renaming:
    """Where animals of each copy lie: recorded animals copy by copy, then the fresh parents copy by copy."""

    recorded: int
    fresh: int
    times: int

    def one(self, index: int, copy: int) -> int:
        """One animal of one copy; NONE stays."""
        if index == NONE:
            return NONE
        late = index - self.recorded
        return index + copy * self.recorded if late < 0 else self.recorded * self.times + copy * self.fresh + late

    def each(self, indexes: Ints) -> Ints:
        """Animals, copy by copy."""
        moved = _shifted(indexes, self.times, self.recorded).reshape(self.times, -1)
        late = indexes >= self.recorded
        moved[:, late] = self.recorded * (self.times - 1) + indexes[late] + np.arange(self.times)[:, None] * self.fresh
        return moved.reshape(-1)

    def sorted(self, values: npt.NDArray[np.generic]) -> npt.NDArray[Any]:
        """Something of every animal, copy by copy, in the order of the animals."""
        copies = values.reshape(self.times, -1)
        return np.concatenate([copies[:, : self.recorded].reshape(-1), copies[:, self.recorded :].reshape(-1)])

    def brood(self, brood: Brood, copy: int, choices: int) -> Brood:
        """A brood of one copy."""
        return replace(
            brood,
            young=tuple(self.one(young, copy) for young in brood.young),
            dam=self.one(brood.dam, copy),
            sires=tuple(self.one(sire, copy) for sire in brood.sires),
            first=self.one(brood.first, copy),
            choice=-1 if brood.choice < 0 else brood.choice + copy * choices,
        )


def _families(one: Families, times: int) -> Families:
    """The matings of the copies."""
    to = _Renaming(one.recorded, one.count - one.recorded, times)
    copies = range(times)
    breeders = np.sort(to.each(one.breeders))
    breeder_at = np.full(one.count * times, -1, dtype=np.int64)
    breeder_at[breeders] = np.arange(len(breeders))
    return Families(
        one.recorded * times, one.count * times,
        to.sorted(to.each(one.sire)), to.sorted(to.each(one.dam)),
        tuple(replace(parent, of=to.one(parent.of, copy)) for copy in copies for parent in one.fresh),
        tuple(to.brood(brood, copy, one.choices) for copy in copies for brood in one.broods),
        one.choices * times,
        to.sorted(np.tile(one.founder, times)),
        breeders, breeder_at, to.sorted(_shifted(one.mating_of, times, len(one.mating_sire))),
        to.each(one.mating_sire), to.each(one.mating_dam), to.each(one.mating_only),
        to.each(one.edge_parent), to.each(one.edge_young),
    )  # fmt: skip
