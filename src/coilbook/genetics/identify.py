"""Which of the young this can be: the odds from the parents, times what the eye says.

Both are kept apart in the answer, and a gene that another look hides counts as not seen. Loci are tied only by the sex
of the hatchling, by its sire where there are several, and by what hides what; so the sums run locus by locus.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from coilbook.genetics.masking import NOTHING, Hidden
from coilbook.genetics.outlook import Outlook
from coilbook.genetics.outlook_pair import NEVER
from coilbook.genetics.sights import Sight
from coilbook.genetics.states import Floats
from coilbook.records.vocabulary import Sex

_Doses = tuple[float, float, float]
#: state, (2P,) weight, what is hidden after it
_Choice = tuple[int, Floats, Hidden]
#: the "state" of a step that only asks whether a look hides everything
NO_STATE = -1

#: the chance of a male and of a female where nobody looked
SEX_UNSEEN = (1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Doubt:
    """One allele of one hatchling: the chance of no, one and two copies by each source and by both together.

    `eye` is what was said on even odds for the doses these parents can give, None where nothing was said.
    """

    locus: str
    allele: int
    parents: _Doses
    eye: _Doses | None
    both: _Doses


@dataclass(frozen=True, slots=True)
class Candidate:
    """One genotype it can be: `copies` by (locus key, allele index), those with at least one copy; its chance."""

    copies: tuple[tuple[str, int, int], ...]
    sex: Sex | None
    chance: float


@dataclass(order=True)
class _Node:
    rank: tuple[float, int, int]
    chances: Floats = field(compare=False)
    states: tuple[int, ...] = field(compare=False)
    hidden: Hidden = field(compare=False)


@dataclass(frozen=True, eq=False)
class Identification:
    """A hatchling of this outlook with these sights by locus key; `sex_seen` the likelihood of (male, female)."""

    outlook: Outlook
    sights: Mapping[str, Sight]
    sex_seen: tuple[float, float] = SEX_UNSEEN

    @cached_property
    def _start(self) -> Floats:
        """(2P,) the weight of each sire and sex before any look."""
        return np.asarray(self.outlook.weights * np.tile(self.sex_seen, len(self.outlook.parts)))

    @cached_property
    def _depths(self) -> list[dict[Hidden, list[_Choice]]]:
        """By step and what is hidden there: (state, (2P,) chance times likelihood, what is hidden after it)."""
        depths: list[dict[Hidden, list[_Choice]]] = []
        reached = {NOTHING}
        for at in range(len(self.outlook.telling.steps)):
            depths.append({hidden: self._choices(at, hidden) for hidden in reached})
            reached = {after for choices in depths[-1].values() for _, _, after in choices}
        return depths

    def _choices(self, at: int, hidden: Hidden) -> list[_Choice]:
        telling = self.outlook.telling
        step, parts = telling.steps[at], telling.parts(at, hidden)
        if step.veil:
            return [(NO_STATE, np.ones(len(self._start)), after) for _, after in parts]
        law, likelihood = self.outlook.young[step.place], self._likelihood(step.place, hidden)
        allowed = np.any([mask for mask, _ in parts], axis=0) & (law.max(axis=0) > NEVER) & (likelihood > 0)
        found = []
        for state in np.flatnonzero(allowed).tolist():
            only = np.zeros(law.shape[1], dtype=np.bool_)
            only[state] = True
            found.append((state, law[:, state] * likelihood[state], hidden | telling.hides(step.place, only)))
        return found

    def _likelihood(self, place: int, hidden: Hidden) -> Floats:
        """(S,) of what was said at a locus; a plain sight cannot tell a hidden gene from none."""
        states = self.outlook.loci[place].states
        sight = self.sights.get(states.locus.key)
        if sight is None:
            return np.ones(len(states.states))
        if not sight.plain:
            return sight.likelihood
        alike = self.outlook.telling.classes(place, hidden)[0]
        return np.where(alike, sight.likelihood[0], sight.likelihood)

    @cached_property
    def _ahead(self) -> list[dict[Hidden, Floats]]:
        """By depth, the sum over everything still to come."""
        ahead: list[dict[Hidden, Floats]] = [{NOTHING: np.ones(len(self._start))}]
        for choices in reversed(self._depths):
            after: dict[Hidden, Floats] = ahead[0]
            one = np.ones(len(self._start))
            ahead.insert(
                0,
                {
                    hidden: np.sum([w * after.get(then, one) for _, w, then in listed], axis=0) + np.zeros(len(one))
                    for hidden, listed in choices.items()
                },
            )
        return ahead

    @cached_property
    def evidence(self) -> float:
        """The chance of all that was seen, of a hatchling of these parents; 0: it cannot come from them."""
        return float(self._start @ self._ahead[0][NOTHING])

    @property
    def possible(self) -> bool:
        """Whether it can come from these parents at all."""
        return self.evidence > NEVER

    @cached_property
    def laws(self) -> tuple[Floats, ...]:
        """By locus, (S,) the law of its state, from the parents and the eye together. Needs a possible hatchling."""
        laws = [np.zeros(len(locus.states.states)) for locus in self.outlook.loci]
        here: dict[Hidden, Floats] = {NOTHING: self._start}
        one = np.ones(len(self._start))
        for depth, step in enumerate(self.outlook.telling.steps):
            then: dict[Hidden, Floats] = {}
            for hidden, before in here.items():
                for state, weight, after in self._depths[depth][hidden]:
                    reached = before * weight
                    if state != NO_STATE:
                        laws[step.place][state] += float(reached @ self._ahead[depth + 1].get(after, one))
                    then[after] = then.get(after, 0.0) + reached
            here = then
        return tuple(law / self.evidence for law in laws)

    @cached_property
    def _by_start(self) -> Floats:
        """(2P,) the law of sire and sex together."""
        return self._start * self._ahead[0][NOTHING] / self.evidence

    @property
    def sex(self) -> tuple[float, float]:
        """The chance of a male, of a female, from its sexing and its look together."""
        return float(self._by_start[::2].sum()), float(self._by_start[1::2].sum())

    @property
    def sex_by_look(self) -> tuple[float, float]:
        """The same from its look and its parents alone, as if nobody had sexed it."""
        law = self.outlook.weights * self._ahead[0][NOTHING]
        total = float(law.sum())
        return float(law[::2].sum()) / total, float(law[1::2].sum()) / total

    @property
    def sires(self) -> tuple[float, ...]:
        """The chance of each sire of the list."""
        places = [part.sire if part.sire >= 0 else at for at, part in enumerate(self.outlook.parts)]
        return tuple(np.bincount(places, weights=self._by_start.reshape(-1, 2).sum(axis=1)).tolist())

    def doubts(self) -> list[Doubt]:
        """Every allele it may have, with what the parents say, what the eye says, and both."""
        found = []
        for locus, law, young in zip(self.outlook.loci, self.laws, self.outlook.young):
            parents = self.outlook.weights @ young
            sight = self.sights.get(locus.key)
            for allele in range(1, len(locus.states.locus.alleles)):
                copies = locus.states.copies(allele)
                if float(parents[copies > 0].sum()) > NEVER:
                    eye = None if sight is None else _even(sight.likelihood, parents, copies)
                    found.append(Doubt(locus.key, allele, _by_copies(parents, copies), eye, _by_copies(law, copies)))
        return found

    def candidates(self) -> Iterator[Candidate]:
        """The genotypes it can be, likeliest first, each found when asked for.

        On the sex chromosomes the sex is part of a genotype, and which chromosome carries an allele is not told.
        """
        if self.possible:
            for node in self._search():
                copies, sex = self._named(node)
                yield Candidate(copies, sex, float(node.chances.sum()) / self.evidence)

    def _alike(self, at: int, hidden: Hidden) -> list[_Choice]:
        """The choices of a step, one for all states that differ only in the chromosomes their alleles lie on."""
        states = self.outlook.loci[self.outlook.telling.steps[at].place].states.states
        merged: dict[object, _Choice] = {}
        for state, weight, after in self._depths[at][hidden]:
            key: object = (NO_STATE, after)
            if state != NO_STATE:
                there = states[state]
                key = there.sex, tuple(sorted((there.first, there.second))), after
            first, before, _ = merged.get(key, (state, 0.0, after))
            merged[key] = first, np.asarray(before + weight), after
        return list(merged.values())

    def _search(self) -> Iterator[_Node]:
        order, serial = self.outlook.telling.steps, 0
        depths = [{hidden: self._alike(at, hidden) for hidden in choices} for at, choices in enumerate(self._depths)]
        best = [np.max([w for listed in choices.values() for _, w, _ in listed], axis=0) for choices in depths]
        bounds = [np.ones(len(self._start))]
        for top in reversed(best):
            bounds.insert(0, bounds[0] * top)
        heap = [_Node((-1.0, 0, 0), self._start, (), NOTHING)]
        while heap:
            node = heapq.heappop(heap)
            depth = len(node.states)
            if depth == len(order):
                yield node
                continue
            for state, weight, after in depths[depth][node.hidden]:
                chances = node.chances * weight
                bound = float(chances @ bounds[depth + 1])
                if bound > 0:
                    serial += 1
                    heapq.heappush(
                        heap, _Node((-round(bound, 15), -depth, serial), chances, (*node.states, state), after)
                    )

    def _named(self, node: _Node) -> tuple[tuple[tuple[str, int, int], ...], Sex | None]:
        copies, sex = [], None
        for place, state in sorted(self._told(node)):
            states = self.outlook.loci[place].states
            sex = states.states[state].sex or sex
            for allele in range(1, len(states.locus.alleles)):
                if count := states.states[state].copies(allele):
                    copies.append((states.locus.key, allele, count))
        return tuple(copies), sex

    def _told(self, node: _Node) -> list[tuple[int, int]]:
        """(place, state) of every locus of a genotype."""
        told = zip(self.outlook.telling.steps, node.states, strict=True)
        return [(step.place, state) for step, state in told if state != NO_STATE]


def _by_copies(law: Floats, copies: np.ndarray[tuple[int], np.dtype[np.int64]]) -> _Doses:
    total = float(law.sum())
    none, one, two = (float(law[copies == count].sum()) / total for count in (0, 1, 2))
    return none, one, two


def _even(likelihood: Floats, parents: Floats, copies: np.ndarray[tuple[int], np.dtype[np.int64]]) -> _Doses:
    """What was said, were every dose the parents can give as likely as the others."""
    fits = [
        float(likelihood[(copies == count) & (parents > NEVER)].mean())
        if parents[copies == count].max(initial=0) > NEVER
        else 0.0
        for count in (0, 1, 2)
    ]
    total = sum(fits)
    none, one, two = (fit / total if total else 0.0 for fit in fits)
    return none, one, two
