"""Findings that cannot all be true: the smallest set of animals at fault, and the rest of the collection without them.

The search stays near the place where the contradiction showed: a small part of the pedigree, with nothing assumed of
what lies outside, that contradicts itself already.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np

from coilbook.genetics.inference.attempt import WIDTH_LIMIT, attempt, families_kept
from coilbook.genetics.inference.families import Families
from coilbook.genetics.inference.laws import Watch
from coilbook.genetics.problem import NONE, Clash, Ints, Litter, Pedigree, Problem, Rows
from coilbook.genetics.states import Bools, Floats


def cut_out(problem: Problem, spot: tuple[int, ...], watch: Watch) -> tuple[Clash, Problem, set[int]]:
    """(the clash near `spot`, the problem without what the clashing animals say, the animals it was cut from)."""
    near = _contradictory_part(problem, spot, watch)
    candidates = [animal for animal in near if _says_something(problem, animal)]

    def clashes(kept: Iterable[int]) -> bool:
        watch.look(1, 4)
        silent = np.ones(problem.pedigree.size, dtype=np.bool_)
        silent[list(kept)] = False
        return _contradicts(_part(_silenced(problem, silent), near))

    found = [] if clashes([]) else _smallest(candidates, clashes)
    gone = set(found or near)
    return Clash(tuple(sorted(found))), _without(problem, gone), gone


def doubtful(problem: Problem, laws: Floats, cut: set[int]) -> Bools:
    """(n,) which animals depend on the animals in `cut`: bound to them through others that are not settled.

    `laws` are those of the problem without them: who is settled there is settled whatever they are.
    """
    families = families_kept(problem.pedigree)
    open_ = np.ones(families.count, dtype=np.bool_)
    open_[: families.recorded] = (laws > 0).sum(axis=1) > 1
    open_[list(cut)] = True
    reached = np.zeros(families.count, dtype=np.bool_)
    reached[list(cut)] = True
    groups = list(_bonds(families))
    grown = True
    while grown:
        before = reached.sum()
        for member, group in groups:
            hit = np.zeros(int(group.max()) + 1 if len(group) else 0, dtype=np.bool_)
            hit[group[reached[member]]] = True
            reached[member[hit[group] & open_[member]]] = True
        grown = bool(reached.sum() > before)
    return reached[: families.recorded]


def _bonds(families: Families) -> Iterable[tuple[Ints, Ints]]:
    """(members, group of each): animals of one group bear on each other: a young with all its possible parents."""
    yield (
        np.concatenate([families.edge_parent, families.edge_young]),
        np.concatenate([families.edge_young, families.edge_young]),
    )
    for number, brood in enumerate(families.broods):
        members = np.array([*brood.young, brood.dam, *(sire for sire in brood.sires if sire != NONE)])
        yield members, np.full(len(members), number)


def _contradictory_part(problem: Problem, spot: tuple[int, ...], watch: Watch) -> list[int]:
    """Animals around `spot`, nearest first, just so many that they contradict each other."""
    families = families_kept(problem.pedigree)
    reached = np.zeros(families.count, dtype=np.bool_)
    reached[list(spot)] = True
    order = list(spot)
    bonds = list(_bonds(families))
    while True:
        watch.look(1, 4)
        before = reached.copy()
        for member, group in bonds:
            hit = np.zeros(int(group.max()) + 1 if len(group) else 0, dtype=np.bool_)
            hit[group[before[member]]] = True
            reached[member[hit[group]]] = True
        new = np.flatnonzero(reached & ~before)
        order += new[new < families.recorded].tolist()
        if not len(new) or _contradicts(_part(problem, order)):
            return order


def _contradicts(problem: Problem) -> bool:
    return bool(attempt(problem, None, WIDTH_LIMIT, Watch(), sampling=False).spot)


def _says_something(problem: Problem, animal: int) -> bool:
    row = problem.evidence.rows[problem.evidence.of[animal]][problem.states.alive]
    return bool((row == 0).any())


def _smallest(candidates: list[int], clashes: Callable[[Iterable[int]], bool]) -> list[int]:
    """A set none of which can be left out, by halving (Junker 2004, QuickXplain)."""

    def within(known: list[int], added: bool, rest: list[int]) -> list[int]:
        if added and clashes(known):
            return []
        if len(rest) == 1:
            return rest
        first, second = rest[: len(rest) // 2], rest[len(rest) // 2 :]
        later = within(known + first, bool(first), second)
        return within(known + later, bool(later), first) + later

    return within([], False, candidates)


def _flat(problem: Problem) -> Floats:
    return np.ones((1, len(problem.states.states)))


def _silenced(problem: Problem, silent: Bools) -> Problem:
    rows = problem.evidence
    return replace(
        problem,
        evidence=Rows(np.concatenate([rows.rows, _flat(problem)]), np.where(silent, len(rows.rows), rows.of)),
    )


def _part(problem: Problem, animals: list[int]) -> Problem:
    """These animals alone. Of a parent left out nothing is assumed."""
    pedigree = problem.pedigree
    chosen = np.array(animals, dtype=np.int64)
    place = np.full(pedigree.size + 1, NONE, dtype=np.int64)
    place[chosen] = np.arange(len(chosen))
    sire, dam = place[pedigree.sire[chosen]], place[pedigree.dam[chosen]]
    lost = ((sire == NONE) & (pedigree.sire[chosen] != NONE)) | ((dam == NONE) & (pedigree.dam[chosen] != NONE))
    litters = []
    for litter in pedigree.litters:
        members = [*litter.young, *(father for father in litter.sires if father != NONE)]
        if all(place[one] != NONE for one in members) and not lost[place[list(litter.young)]].any():
            young = tuple(int(place[one]) for one in litter.young)
            sires = tuple(NONE if father == NONE else int(place[father]) for father in litter.sires)
            litters.append(Litter(young, sires, litter.weights, litter.shared))
        else:
            # the young of a litter that is not all here: nothing is assumed of any of its parents
            here = place[[one for one in litter.young if place[one] != NONE]]
            lost[here] = True
            dam[here] = NONE
    founder = np.where(lost, len(problem.founder.rows), problem.founder.of[chosen])
    absent = np.where(lost, len(problem.absent.rows), problem.absent.of[chosen])
    return Problem(
        problem.states,
        Pedigree(sire, dam, tuple(litters)),
        Rows(problem.evidence.rows, problem.evidence.of[chosen]),
        Rows(np.concatenate([problem.founder.rows, _flat(problem)]), founder),
        Rows(np.concatenate([problem.absent.rows, _flat(problem)]), absent),
    )


def _without(problem: Problem, gone: set[int]) -> Problem:
    """The problem with these animals cut from their parents, and nothing known of them but their young."""
    pedigree = problem.pedigree
    out = np.zeros(pedigree.size, dtype=np.bool_)
    out[list(gone)] = True
    litters = []
    for litter in pedigree.litters:
        young = tuple(one for one in litter.young if one not in gone)
        if young:
            litters.append(replace(litter, young=young))
    founder = Rows(
        np.concatenate([problem.founder.rows, _flat(problem)]),
        np.where(out, len(problem.founder.rows), problem.founder.of),
    )
    cut = Pedigree(np.where(out, NONE, pedigree.sire), np.where(out, NONE, pedigree.dam), tuple(litters))
    return replace(_silenced(problem, out), pedigree=cut, founder=founder)
