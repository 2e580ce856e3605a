"""Litters with several possible sires, as factors of the network.

One sire for all eggs: a variable says which, and one small table a sire binds it to that sire, the dam and the young.
Each egg its own: the young's law is a mixture over the sires, and one table holds it for all folded young; where that
table would be large, each egg gets a choice of its own instead.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import prod

import numpy as np

from coilbook.genetics.inference.builder import Builder
from coilbook.genetics.inference.families import Brood, Families
from coilbook.genetics.inference.laws import Laws, logarithms
from coilbook.genetics.inference.layout import FactorGroup
from coilbook.genetics.inference.masks import Masks
from coilbook.genetics.problem import NONE, Ints
from coilbook.genetics.states import Floats

#: a mixture over more parents' genotypes than this is written with choices
_LARGE = 4096


@dataclass(frozen=True)
class Line:
    """One possible sire of a brood: `law` (a, b, S) of his young with this dam.

    `factor`: of a common choice, the table over (choice, sire, dam) that folds the young; `number` is his place.
    """

    law: Floats
    weight: float
    number: int
    factor: FactorGroup | None = None


@dataclass(frozen=True)
class BroodPart:
    """A brood in the network: `folded` are its leaves, `still` its settled young that breed, with their states.

    A mixture (`choice` < 0) has one `factor` over all sires and the dam, `shape` (a1, ..., b), None where all are
    settled; a common choice has one factor a line. `weights` is the factor of a choice's own variable.
    """

    lines: tuple[Line, ...]
    folded: tuple[int, ...]
    still: tuple[int, ...]
    choice: int
    choices: int
    shape: tuple[int, ...]
    factor: FactorGroup | None


@dataclass
class _Maker:
    families: Families
    laws: Laws
    masks: Masks
    sets: Ints
    variable_of: Ints
    builder: Builder
    choice_of: dict[int, int] = field(default_factory=dict)

    def part(self, brood: Brood) -> list[BroodPart]:
        lines = [self._line(brood, at, sire) for at, sire in enumerate(brood.sires)]
        dam = self._variable(brood.dam)
        sires = [-1 if sire == NONE else self._variable(sire) for sire in brood.sires]
        if brood.choice >= 0:
            if brood.choice not in self.choice_of:
                self.choice_of[brood.choice] = self._choice(lines)
            return [self._chosen(brood.young, lines, sires, dam, self.choice_of[brood.choice])]
        if prod(line.law.shape[0] for line in lines) * lines[0].law.shape[1] <= _LARGE:
            return [self._mixed(brood.young, lines, sires, dam)]
        return [self._chosen((one,), lines, sires, dam, self._choice(lines)) for one in brood.young]

    def _choice(self, lines: list[Line]) -> int:
        choice = self.builder.variable(len(lines))
        self.builder.add_fixed(np.array([[choice]]), np.log([line.weight for line in lines]))
        return choice

    def _chosen(self, young: tuple[int, ...], lines: list[Line], sires: list[int], dam: int, choice: int) -> BroodPart:
        folded, still, free = self._sorted(young)
        count = len(lines)
        made = []
        for at, (line, sire) in enumerate(zip(lines, sires, strict=True)):
            scope = np.array([[choice, sire, dam]])
            shape = (count, *line.law.shape[:2])
            factor = self.builder.add(scope, shape) if folded or still else None
            made.append(Line(line.law, line.weight, at, factor))
            for one in free:
                law = np.zeros((*shape, len(self._members(one))))
                law[at] = logarithms(line.law[:, :, self._members(one)])
                self.builder.add_fixed(np.append(scope, [[self._variable(one)]], axis=1), law)
        return BroodPart(tuple(made), folded, still, choice, count, (), None)

    def _mixed(self, young: tuple[int, ...], lines: list[Line], sires: list[int], dam: int) -> BroodPart:
        folded, still, free = self._sorted(young)
        shape = (*(line.law.shape[0] for line in lines), lines[0].law.shape[1])
        scope = np.array([[*sires, dam]])
        factor = self.builder.add(scope, shape) if prod(shape) > 1 and (folded or still) else None
        for one in free:
            members = self._members(one)
            law = sum(
                (line.weight * spread(line.law[:, :, members], at, len(lines)) for at, line in enumerate(lines)),
                start=np.zeros((*shape, len(members))),
            )
            self.builder.add_fixed(np.append(scope, [[self._variable(one)]], axis=1), logarithms(law))
        return BroodPart(tuple(lines), folded, still, -1, len(lines), shape, factor)

    def _sorted(self, young: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[int, ...], list[int]]:
        at = self.families.breeder_at
        leaves = tuple(one for one in young if at[one] < 0)
        settled = tuple(one for one in young if at[one] >= 0 and self.variable_of[at[one]] < 0)
        return leaves, settled, [one for one in young if at[one] >= 0 and self.variable_of[at[one]] >= 0]

    def _variable(self, animal: int) -> int:
        return int(self.variable_of[self.families.breeder_at[animal]])

    def _members(self, animal: int) -> Ints:
        return self.masks.members(int(self.sets[self.families.breeder_at[animal]]))

    def _line(self, brood: Brood, at: int, sire: int) -> Line:
        dam = self._members(brood.dam)
        if sire == NONE:
            law = self.laws.without_sire(int(self.laws.absent_of[brood.first]))[None, dam]
        else:
            law = self.laws.young[np.ix_(self._members(sire), dam)]
        return Line(law, brood.weights[at], at)


def brood_parts(
    families: Families, laws: Laws, masks: Masks, sets: Ints, variable_of: Ints, builder: Builder
) -> tuple[BroodPart, ...]:
    """Add the factors of all broods."""
    maker = _Maker(families, laws, masks, sets, variable_of, builder)
    return tuple(part for brood in families.broods for part in maker.part(brood))


def spread(values: Floats, at: int, sires: int) -> Floats:
    """An array over (sire, dam, ...) seen over (sire 1, ..., sire k, dam, ...), the sire being number `at`."""
    return values.reshape(*(values.shape[0] if axis == at else 1 for axis in range(sires)), *values.shape[1:])


def fold_part(part: BroodPart, rows: Floats, logs: Floats) -> None:
    """Add what the folded young and then the settled ones say to the factors. `rows` (k, S): evidence of each."""
    if part.choice < 0:
        if part.factor is not None:
            total = logarithms(mixture(part, rows)).sum(axis=-1)
            logs[part.factor.offset : part.factor.offset + part.factor.entries] += total.reshape(-1)
        return
    for line in part.lines:
        if line.factor is not None:
            table = np.zeros((part.choices, *line.law.shape[:2]))
            table[line.number] = logarithms(line.law @ rows.T).sum(axis=-1)
            logs[line.factor.offset : line.factor.offset + line.factor.entries] += table.reshape(-1)


def mixture(part: BroodPart, rows: Floats) -> Floats:
    """(a1, ..., an, b, k) chance of what is seen of young, each of whose sires is any of the n lines."""
    count = len(part.lines)
    return np.asarray(
        sum(
            (line.weight * spread(line.law @ rows.T, line.number, count) for line in part.lines),
            start=np.zeros((*part.shape, len(rows))),
        )
    )


def young_laws(part: BroodPart, rows: Floats, marginals: Floats) -> Floats:
    """(k, S) laws of folded young, all zero where nothing can be, from the marginals of the part's factors."""
    found = np.zeros_like(rows)
    if part.choice < 0:
        shares = _shares(_marginal(part.factor, marginals, part.shape), mixture(part, rows))
        for line in part.lines:
            others = tuple(axis for axis in range(len(part.lines)) if axis != line.number)
            found += line.weight * _bred(shares.sum(axis=others), line.law)
    else:
        for line in part.lines:
            joint = _marginal(line.factor, marginals, (part.choices, *line.law.shape[:2]))[line.number]
            found += _bred(_shares(joint, line.law @ rows.T), line.law)
    return found * rows


def _shares(joint: Floats, seen: Floats) -> Floats:
    """(..., k) the law of the parents (...) by the chance of what is seen of each young, 0 where that is none."""
    return np.divide(joint[..., None], seen, out=np.zeros_like(seen), where=seen > 0)


def _bred(shares: Floats, law: Floats) -> Floats:
    """(k, S) young of parents that are weighed (a, b, k) by their law (a, b, S)."""
    return np.asarray(shares.reshape(-1, shares.shape[2]).T @ law.reshape(-1, law.shape[2]))


def _marginal(factor: FactorGroup | None, marginals: Floats, shape: tuple[int, ...]) -> Floats:
    if factor is None:
        return np.ones(shape)
    return marginals[factor.offset : factor.offset + factor.entries].reshape(shape)
