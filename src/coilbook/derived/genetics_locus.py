"""One locus of one species of a collection: what is known of whom, the question put to inference, and its answer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from coilbook.derived.genetics_evidence import RowBook
from coilbook.derived.genetics_lift import Descent, lifted
from coilbook.derived.genetics_records import with_looks_found, with_records
from coilbook.derived.genetics_rows import Rows
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.inference import Joined, JoinedLocus, Solved
from coilbook.genetics.known import Claim, Known, LabelWords
from coilbook.genetics.paper import Paper, PaperKept
from coilbook.genetics.problem import Answer, Ints, Problem
from coilbook.genetics.problem import Rows as EvidenceRows
from coilbook.genetics.states import Floats, LocusStates
from coilbook.records.vocabulary import Sex

#: a question and the answer to an earlier one of the same pedigree, of which anything may be used again
Solver = Callable[[Problem, Answer | None], Answer]

#: mass of the states with a copy at which she is called proven: what arithmetic leaves of certainty
CERTAIN = 1 - 1e-12


@dataclass(frozen=True)
class Inputs:
    """What one locus is computed from: shared by all loci of a species at one revision."""

    rows: Rows
    descent: Descent
    catalogue: Catalogue
    #: what each of `rows.labels` says
    words: tuple[LabelWords, ...]
    #: by animal and locus key, what claim rows say
    claims: Mapping[int, Mapping[str, tuple[Claim, ...]]]

    @cached_property
    def seen_as(self) -> Mapping[int, LabelWords]:
        """The label's words of animals whose found looks hide other genes than the label's look does."""
        found = {}
        for animal, findings in self.rows.findings.items():
            words = self.words[self.rows.label[animal]]
            seen = with_looks_found(words, findings, self.catalogue)
            if seen is not words:
                found[animal] = seen
        return found

    def words_of(self, animal: int) -> LabelWords:
        """What an animal's label says, with what her looks as found hide of other genes."""
        return self.seen_as.get(animal) or self.words[self.rows.label[animal]]


@dataclass(frozen=True, eq=False)
class LocusView:
    """One locus answered. Animals are places in `inputs.rows`."""

    inputs: Inputs
    rows: RowBook
    knowns: tuple[Known, ...]
    of: Ints
    lifted: frozenset[int]
    answer: Answer
    #: paper values of an earlier revision: those whose ground has not moved are used again
    earlier: PaperKept | None = None
    #: all loci together and the number of this one among them; None where no sire is in doubt
    joined: tuple[Joined, int] | None = None

    @property
    def states(self) -> LocusStates:
        """The genotypes of the locus."""
        return self.rows.states

    @property
    def problem(self) -> Problem:
        """The question this is the answer to."""
        return _problem(self.inputs, self.rows, self.knowns, self.of, self.lifted)

    def known(self, animal: int) -> Known:
        """What is known of one animal itself."""
        return self.knowns[int(self.of[animal])]

    def law(self, animal: int) -> Floats:
        """(S,) with evidence; NaN where her family contradicts itself."""
        return self.answer.posterior(animal)

    def by_gene(self, animal: int) -> bool:
        """Whether too many sires were possible: this locus then weighs them by itself, whatever others show."""
        return animal in self.apart

    @property
    def apart(self) -> frozenset[int]:
        """The animals of whom that is so (`by_gene`)."""
        return self.answer.apart if isinstance(self.answer, JoinedLocus) else frozenset()

    def in_doubt(self, chance: Floats) -> tuple[Ints, Ints]:
        """Places whose `chance` (N,) of something here is no certainty and no exact number.

        The first: what weighs sires by this locus alone (`by_gene`), the second: what was drawn. A chance of 0 or 1 is
        the same for every sire there may be, so it stays whatever other loci show.
        """
        open_ones = np.flatnonzero((chance > 0) & (chance <= CERTAIN))
        apart = [place for place in open_ones.tolist() if place in self.apart] if self.apart else []
        drawn = [place for place in open_ones.tolist() if self.answer.error(place) > 0] if self.may_be_drawn else []
        return np.asarray(apart, dtype=np.int64), np.asarray(drawn, dtype=np.int64)

    @property
    def may_be_drawn(self) -> bool:
        """Whether some number of this locus was drawn, not counted."""
        return not (self.answer.own if isinstance(self.answer, JoinedLocus) else self.answer).exact

    def knows_of_sires(self, animal: int) -> bool:
        """Whether what other loci show of who the sires are counts in the numbers of an animal."""
        return isinstance(self.answer, JoinedLocus) and self.answer.group_of(animal) is not None

    def with_others(self, answer: Answer) -> Answer:
        """Another answer to a question of this locus, with what the other loci know of the sires."""
        if self.joined is None or not isinstance(answer, Solved):
            return answer
        joined, number = self.joined
        return joined.with_answers({number: answer}).answers[number]

    def carrier(self, animal: int, gene: str) -> float:
        """Chance with evidence that she has at least one copy; NaN as `law`."""
        copies = self.states.copies(self.states.locus.allele_index(gene))
        return float(self.law(animal)[copies > 0].sum())

    def proven(self, animal: int) -> frozenset[int]:
        """Alleles (indexes) that she surely has, everything known."""
        held = self._holds @ self.law(animal)
        return frozenset(np.flatnonzero(held > CERTAIN).tolist())

    @cached_property
    def _holds(self) -> Floats:
        """(A, S) 1 where a state has the allele; nothing for the wild one."""
        held = np.stack([self.states.copies(a) > 0 for a in range(len(self.states.locus.alleles))]).astype(np.float64)
        held[0] = 0.0
        return held

    @cached_property
    def paper(self) -> Paper:
        """Paper values, computed as they are asked for."""
        rows = self.inputs.rows
        return Paper(self.states, rows.pedigree, self.known, self.proven, rows.litter_of.get, self.earlier)

    def paper_kept(self) -> PaperKept | None:
        """The paper values worked out so far, for a later revision."""
        return self.paper.kept() if "paper" in self.__dict__ else self.earlier


def build_locus(
    inputs: Inputs, key: str, solver: Solver, before: LocusView | None = None, touched: Iterable[int] | None = None
) -> LocusView:
    """Answer one locus; `before`, an earlier view of the same pedigree, is kept where it still holds.

    `touched`: the animals of which anything may have changed since; None for anybody.
    """
    if before is not None:
        rows = before.rows
    else:
        rows = RowBook(LocusStates(inputs.catalogue.loci[key], inputs.catalogue.system))
    if before is not None and touched is not None:
        knowns, of = _reclassed(inputs, rows.states, before, touched)
    else:
        knowns, of = _classes(inputs, rows.states)
    if before is not None and (of is before.of or _same(before, knowns, of)):
        return replace(before, inputs=inputs, earlier=before.paper_kept())
    free = lifted(inputs.descent, rows, knowns, of)
    answer = solver(_problem(inputs, rows, knowns, of, free), before.answer if before is not None else None)
    for _ in range(3):
        # a contradiction that rests on an assumption only is none: the assumption falls
        more = frozenset(a for clash in answer.clashes for one in clash.animals for a in inputs.descent.above(one))
        if more <= free:
            break
        free |= more
        answer = solver(_problem(inputs, rows, knowns, of, free), answer)
    return LocusView(inputs, rows, knowns, of, free, answer, before.paper_kept() if before is not None else None)


def answered_anew(view: LocusView, solver: Solver, free: frozenset[int]) -> LocusView:
    """A locus answered again with the assumptions about these animals fallen."""
    answer = solver(_problem(view.inputs, view.rows, view.knowns, view.of, free), view.answer)
    return replace(view, lifted=free, answer=answer, earlier=view.paper_kept())


def _reclassed(
    inputs: Inputs, states: LocusStates, before: LocusView, touched: Iterable[int]
) -> tuple[tuple[Known, ...], Ints]:
    """The classes of an earlier view with some animals looked at again; the same array where nothing moved."""
    places = {known: place for place, known in enumerate(before.knowns)}
    of = before.of
    for animal in touched:
        known = known_of(inputs, states, animal)
        place = places.setdefault(known, len(places))
        if place != of[animal]:
            of = of.copy() if of is before.of else of
            of[animal] = place
    return (before.knowns if len(places) == len(before.knowns) else tuple(places)), of


def known_of(inputs: Inputs, states: LocusStates, animal: int) -> Known:
    """What is known of one animal itself at one locus."""
    rows, locus = inputs.rows, states.locus
    known = inputs.words_of(animal).at(locus)
    if locus.linkage is not None:
        sex = rows.sex_of(animal)
        known = replace(known, sex=sex, sex_sure=1.0 if sex is Sex.UNSEXED else int(rows.sex_percent[animal]) / 100)
    findings = [f for f in rows.findings.get(animal, ()) if f.locus == locus.key]
    claims = inputs.claims.get(animal, {}).get(locus.key, ())
    return with_records(known, locus.alleles, claims, findings) if findings or claims else known


def loci_in_play(inputs: Inputs) -> tuple[str, ...]:
    """Keys of the loci of which anything is said of anybody, in the order of the catalogue."""
    used = set(np.unique(inputs.rows.label).tolist())
    named = {key for place, words in enumerate(inputs.words) if place in used for key in words.named}
    named |= {key for claims in inputs.claims.values() for key in claims}
    named |= {f.locus for findings in inputs.rows.findings.values() for f in findings}
    return tuple(key for key in inputs.catalogue.loci if key in named)


def _same(before: LocusView, knowns: tuple[Known, ...], of: Ints) -> bool:
    if before.knowns == knowns:
        return np.array_equal(before.of, of)
    if len(before.of) != len(of):
        return False
    place = {known: i for i, known in enumerate(knowns)}
    moved = np.array([place.get(known, -1) for known in before.knowns])
    return np.array_equal(moved[before.of], of)


def _classes(inputs: Inputs, states: LocusStates) -> tuple[tuple[Known, ...], Ints]:
    """Everything different that is known of anybody at this locus, and which of it is known of whom."""
    rows, locus = inputs.rows, states.locus
    places: dict[Known, int] = {}
    by_label = np.array([places.setdefault(w.at(locus), len(places)) for w in inputs.words], dtype=np.int64)
    of = by_label[rows.label]
    knowns = list(places)
    if locus.linkage is not None:
        of, knowns = _by_sex(rows, of, knowns)
        places = {known: place for place, known in enumerate(knowns)}
    for animal in rows.findings.keys() | inputs.claims.keys():
        findings = any(f.locus == locus.key for f in rows.findings.get(animal, ()))
        if findings or inputs.claims.get(animal, {}).get(locus.key) or animal in inputs.seen_as:
            known = known_of(inputs, states, animal)
            place = places.setdefault(known, len(places))
            if place == len(knowns):
                knowns.append(known)
            of[animal] = place
    return tuple(knowns), of


def _by_sex(rows: Rows, of: Ints, knowns: list[Known]) -> tuple[Ints, list[Known]]:
    """Classes split by the sex of the animal and how sure it is."""
    codes = (of * 3 + rows.sex) * 101 + rows.sex_percent
    unique, split = np.unique(codes, return_inverse=True)
    found = []
    for code in unique.tolist():
        rest, percent = divmod(code, 101)
        known, sex = divmod(rest, 3)
        sure = Known(sex=(Sex.UNSEXED, Sex.MALE, Sex.FEMALE)[sex], sex_sure=percent / 100 if sex else 1.0)
        found.append(replace(knowns[known], sex=sure.sex, sex_sure=sure.sex_sure))
    places = {known: place for place, known in enumerate(dict.fromkeys(found))}
    moved = np.array([places[known] for known in found], dtype=np.int64)
    return moved[split], list(places)


def _problem(inputs: Inputs, rows: RowBook, knowns: tuple[Known, ...], of: Ints, free: frozenset[int]) -> Problem:
    """The question; founders whose assumption fell have rows of their own after those of all classes."""
    where = of
    extra: dict[int, int] = {}
    if free:
        where = of.copy()
        for animal in sorted(free):
            where[animal] = extra.setdefault(int(of[animal]), len(knowns) + len(extra))
    plain = [rows.of(known) for known in knowns]
    doubled = [rows.of(knowns[place]) for place in extra]
    return Problem(
        rows.states,
        inputs.rows.pedigree,
        EvidenceRows(np.stack([r.likelihood for r in (*plain, *doubled)]), where),
        EvidenceRows(np.stack([r.founder for r in plain] + [r.lifted for r in doubled]), where),
        EvidenceRows(np.stack([r.absent for r in plain] + [r.lifted_absent for r in doubled]), where),
    )
