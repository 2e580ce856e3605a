"""A slow and plain answer to an inference question: all factors multiplied and summed by `numpy.einsum`.

For families of up to some twenty animals; written against `genetics.problem` alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from coilbook.genetics.problem import NONE, Answer, Clash, Ints, Problem
from coilbook.genetics.states import Floats
from coilbook.records.vocabulary import Sex


class ByHand:
    """Every law by its own sum over everything else."""

    exact = True

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.terms: list[tuple[Floats, list[int]]] = []
        self._variables = problem.pedigree.size
        self._fresh: dict[object, int] = {}
        self._add_all()
        self.clashes: tuple[Clash, ...] = self._clashes()

    def _new(self) -> int:
        self._variables += 1
        return self._variables - 1

    def _absent(self, animal: int, sex: Sex, key: object) -> int:
        if key not in self._fresh:
            self._fresh[key] = self._new()
            absent = self.problem.absent
            law = absent.rows[absent.of[animal]] * self.problem.states.of_sex(sex)
            self.terms.append((law / law.sum(), [self._fresh[key]]))
        return self._fresh[key]

    def _add_all(self) -> None:
        p, trans = self.problem, self.problem.states.transmission
        litters = {young: litter for litter in p.pedigree.litters for young in litter.young}
        choice: dict[int, int] = {}
        for animal in range(p.pedigree.size):
            self.terms.append((p.evidence.rows[p.evidence.of[animal]], [animal]))
            dam, sire, litter = int(p.pedigree.dam[animal]), int(p.pedigree.sire[animal]), litters.get(animal)
            if dam == NONE and sire == NONE and litter is None:
                self.terms.append((p.founder.rows[p.founder.of[animal]], [animal]))
                continue
            mother = dam if dam != NONE else self._absent(animal, Sex.FEMALE, (animal, "dam"))
            if litter is None:
                father = sire if sire != NONE else self._absent(animal, Sex.MALE, (animal, "sire"))
                self.terms.append((trans, [father, mother, animal]))
                continue
            key = id(litter) if litter.shared else animal
            if key not in choice:
                choice[key] = self._new()
                self.terms.append((np.array(litter.weights), [choice[key]]))
            for place, option in enumerate(litter.sires):
                first = litter.young[0]
                owner = ("sire", id(litter)) if litter.shared else ("sire", animal)
                father = option if option != NONE else self._absent(first, Sex.MALE, owner)
                table = np.ones((len(litter.sires), *trans.shape))
                table[place] = trans
                self.terms.append((table, [choice[key], father, mother, animal]))

    def _sum(self, out: Sequence[int], without: frozenset[int] = frozenset()) -> Floats:
        operands: list[object] = []
        names: dict[int, int] = {}
        for place, (table, scope) in enumerate(self.terms):
            used = np.ones_like(table) if place in without else table
            operands += [used, [names.setdefault(v, len(names)) for v in scope]]
        return np.einsum(*operands, [names[v] for v in out], optimize="greedy")  # type: ignore[call-overload,no-any-return]

    def _clashes(self) -> tuple[Clash, ...]:
        if self._sum([]) > 0:
            return ()
        evidence: dict[int, int] = {}
        for n, (_, scope) in enumerate(self.terms):
            if len(scope) == 1 and scope[0] < self.size:
                # the first term of an animal alone is what was seen of it, the second its prior
                evidence.setdefault(scope[0], n)
        dropped = [a for a, n in evidence.items() if self._sum([], frozenset({n})) > 0]
        return (Clash(tuple(dropped)),)

    @property
    def size(self) -> int:
        return self.problem.pedigree.size

    def posterior(self, animal: int) -> Floats:
        law = self._sum([animal])
        return law / law.sum() if law.sum() else np.full(len(law), np.nan)

    def all_posteriors(self) -> Floats:
        return np.stack([self.posterior(a) for a in range(self.size)])

    def error(self, animal: int) -> float:
        return 0.0

    def joint(self, sire: int, dam: int) -> Floats:
        table = self._sum([sire, dam])
        return table / table.sum()

    def joints(self, one: int, others: Ints) -> Floats:
        return np.stack([self.joint(one, int(other)) for other in others])


def solve_by_hand(problem: Problem, before: Answer | None, cancelled: Callable[[], bool] = lambda: False) -> Answer:
    """The question answered anew."""
    return ByHand(problem)
