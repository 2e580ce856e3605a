"""Why a number is what it is: each finding of a relative put in, one after the other, and each left out again.

A number is the chance of something about one animal at one locus (that it carries a gene, that it has two copies). Its
explanation begins with what is known of the animal and everything above it, and adds what was found of everybody else
in the order it was found. Each finding is also left out alone: what is then missing is what it alone moved.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from coilbook.derived.genetics_locus import LocusView, Solver
from coilbook.genetics.evidence import likelihood
from coilbook.genetics.known import Known
from coilbook.genetics.problem import NONE, Answer, Problem
from coilbook.genetics.problem import Rows as EvidenceRows
from coilbook.genetics.states import Bools, Floats

#: relatives whose findings are told one by one; what lies further off is in the first number
MOST = 24
#: a step that moves a number by less than this is not told
MOVES = 5e-5


@dataclass(frozen=True, slots=True)
class Step:
    """One relative's findings: the number once they are counted, and without them alone (animals are places)."""

    animal: int
    after: float
    without: float


@dataclass(frozen=True, slots=True)
class Explanation:
    """The number in `value`, what it begins at, and how it came from there.

    `start`: what is known of the animal and of everything above it. `mating_without`: by (sire, dam), the number
    without all young of theirs that are told here.
    """

    value: float
    start: float
    steps: tuple[Step, ...]
    mating_without: tuple[tuple[tuple[int, int], float], ...]
    #: relatives too far off to be told one by one
    more: int


def explain(
    view: LocusView,
    solver: Solver,
    animal: int,
    states: Bools,
    order: Callable[[int], str],
    cancelled: Callable[[], bool] = lambda: False,
) -> Explanation | None:
    """Explain the chance that `animal` is in one of `states`; None where her family contradicts itself.

    `order(animal)` sorts findings by when they were made. Stops early, without steps, when cancelled; raises
    what the solver raises.
    """
    value = float(view.law(animal)[states].sum())
    if np.isnan(value):
        return None
    ground = frozenset({animal, *_above(view, animal)})
    told, more = _relatives(view, animal, ground)
    told.sort(key=lambda one: (order(one), one))
    asking = _Asking(view, solver, animal, states, ground)
    start = asking.without(told)
    steps: list[Step] = []
    before = start
    for place, one in enumerate(told):
        if cancelled():
            return Explanation(value, start, (), (), more)
        after = asking.without(told[place + 1 :])
        alone = asking.without([one])
        if abs(after - before) > MOVES or abs(alone - value) > MOVES:
            steps.append(Step(one, after, alone))
        before = after
    matings = _matings(view, [s.animal for s in steps])
    groups = tuple((p, asking.without(young)) for p, young in matings.items() if len(young) > 1 and not cancelled())
    return Explanation(value, start, tuple(steps), groups, more)


class _Asking:
    """Puts the question of a view again with the findings of some animals left out."""

    def __init__(self, view: LocusView, solver: Solver, animal: int, states: Bools, ground: frozenset[int]) -> None:
        self._view, self._solver, self._animal, self._states = view, solver, animal, states
        self._ground = ground
        self._widest: Answer | None = None
        self._known: dict[frozenset[int], float] = {}

    def without(self, left_out: Iterable[int]) -> float:
        """The number when nothing is known of these animals themselves."""
        key = frozenset(left_out)
        if key not in self._known:
            # the first question leaves out the most: its structure serves all that leave out less
            answer = self._solver(without_findings(self._view, key, self._ground), self._widest)
            self._widest = self._widest or answer
            law = self._view.with_others(answer).posterior(self._animal)
            self._known[key] = float(law[self._states].sum())
        return self._known[key]


def without_findings(view: LocusView, animals: Iterable[int], ground: frozenset[int] = frozenset()) -> Problem:
    """The question of a view with nothing known of some animals but their sex, their priors as they were.

    Those in `ground` keep their sure looks.
    """
    problem = view.problem
    evidence = problem.evidence
    rows: list[Floats] = []
    of = evidence.of.copy()
    places: dict[Known, int] = {}
    for animal in animals:
        known = view.known(animal)
        looks = tuple(s for s in known.sightings if s.sure == 1) if animal in ground else ()
        bare = Known(looks, hidden=known.hidden if looks else frozenset(), sex=known.sex, sex_sure=known.sex_sure)
        if bare not in places:
            places[bare] = len(evidence.rows) + len(rows)
            rows.append(likelihood(view.states, bare))
        of[animal] = places[bare]
    if not rows:
        return problem
    return replace(problem, evidence=EvidenceRows(np.concatenate([evidence.rows, np.stack(rows)]), of))


def _relatives(view: LocusView, animal: int, ground: frozenset[int]) -> tuple[list[int], int]:
    """Relatives of which something is known, nearest first up to `MOST`, and how many more there are.

    Everything above the animal is the ground the number stands on and not told step by step, but for tests and proofs
    there; mates of relatives are ground too.
    """
    above = _above(view, animal)
    children = view.inputs.descent.children
    found: list[int] = []
    seen = set(ground)
    waiting = deque([animal, *sorted(above, key=lambda a: above[a])])
    found += [one for one in waiting if _found_out(view.known(one))]
    while waiting:
        one = waiting.popleft()
        for child in children(one):
            if child not in seen:
                seen.add(child)
                waiting.append(child)
                if says_something(view, child):
                    found.append(child)
    return found[:MOST], max(0, len(found) - MOST)


def _above(view: LocusView, animal: int) -> dict[int, int]:
    steps = {animal: 0}
    waiting = deque([animal])
    while waiting:
        one = waiting.popleft()
        for parent in view.inputs.descent.parents(one):
            if parent != NONE and parent not in steps:
                steps[parent] = steps[one] + 1
                waiting.append(parent)
    del steps[animal]
    return steps


def _found_out(known: Known) -> bool:
    doubted = any(s.sure < 1 for s in known.sightings)
    return bool(known.tests or known.proven or doubted)


def says_something(view: LocusView, animal: int) -> bool:
    """True when the row of an animal is not the same for all states an animal of her sex can have."""
    known = view.known(animal)
    bare = likelihood(view.states, Known(sex=known.sex, sex_sure=known.sex_sure))
    return not np.allclose(likelihood(view.states, known), bare)


def _matings(view: LocusView, animals: Sequence[int]) -> dict[tuple[int, int], list[int]]:
    pedigree = view.inputs.rows.pedigree
    found: dict[tuple[int, int], list[int]] = {}
    for animal in animals:
        pair = (int(pedigree.sire[animal]), int(pedigree.dam[animal]))
        if pair[0] != NONE and pair[1] != NONE:
            found.setdefault(pair, []).append(animal)
    return found
