"""The typed filter: plain words that combine, each saying what it left."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import numpy as np

from coilbook.reads.filter_places import place_value
from coilbook.reads.filter_terms import hatched_value, read_one, tag_value
from coilbook.reads.filter_text import Question, Term, TermState, both, tokens_of
from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import IntArray, Mask
from coilbook.records.message import Message
from coilbook.records.quantities import MassUnit
from coilbook.records.vocabulary import Status

#: of these kinds a bare value may follow "or": in R1 or R2
_BARE = {"place": place_value, "tag": tag_value}


@dataclass(frozen=True, slots=True)
class Left:
    """A term, and how many animals it left of those before it (unchanged by one half typed)."""

    term: Term
    count: int
    #: of those before it, how many were judged by odds that weigh sires by one gene alone, and by drawn ones
    by_gene: int = 0
    drawn: int = 0


@dataclass(frozen=True, slots=True)
class Filtered:
    """What a line leaves: which rows of the herd, and what each term did."""

    mask: Mask
    count: int
    #: animals before any term: those here, or all that a term such as "sold" asked for
    among: int
    terms: tuple[Left, ...]

    @property
    def typing(self) -> bool:
        """True while a term is half typed."""
        return any(left.term.state is TermState.TYPING for left in self.terms)

    @property
    def messages(self) -> tuple[Message, ...]:
        """What is not as the keeper thinks: places and tags that are not there."""
        return tuple(left.term.message for left in self.terms if left.term.message is not None)


def read_terms(herd: Herd, text: str, today: dt.date, unit: MassUnit = MassUnit.GRAM) -> tuple[Term, ...]:
    """The terms of a line."""
    q = Question(herd, today, unit, text, tuple(tokens_of(text)))
    terms: list[Term] = []
    at = 0
    while at < len(q.tokens):
        if q.word(at) == "or" and terms and terms[-1].select is not None:
            joined, taken = _or(q, at, terms[-1])
            terms[-1:] = joined
        else:
            term, taken = read_one(q, at)
            terms.append(term)
        at += taken
    return tuple(terms)


def _or(q: Question, at: int, before: Term) -> tuple[list[Term], int]:
    """Go on with "or": with a bare value of the kind before it, or with any other term."""
    if q.is_last(at):
        start, end = q.span(at, at)
        return [before, Term(start, end, "or", TermState.TYPING)], 1
    found = None
    if before.family in _BARE and q.word(at + 1) not in ("in", "tag", "no", "not"):
        found = _BARE[before.family](q, at + 1, at + 1)
    elif before.family == "hatched" and (q.word(at + 1) or "").isdecimal():
        found = hatched_value(q, at + 1, at + 1, "")
    term, taken = found or read_one(q, at + 1)
    if term.state is TermState.TYPING or term.select is None or before.select is None:
        half = replace(term, start=q.tokens[at].start, state=TermState.TYPING, select=None)
        return [before, half], taken + 1
    states = {before.state, term.state}
    state = TermState.UNKNOWN if TermState.UNKNOWN in states else TermState.UNDERSTOOD
    joined = Term(
        before.start,
        term.end,
        f"{before.words} or {term.words}",
        state,
        both(before.select, term.select),
        before.family,
        before.opens or term.opens,
        term.message or before.message,
        term.growing,
        before.rough.joined(term.rough) if before.rough is not None else term.rough,
    )
    return [joined], taken + 1


def apply(herd: Herd, terms: tuple[Term, ...]) -> Filtered:
    """Work the terms through the whole herd; nothing is kept from one call to the next."""
    mask = np.ones(len(herd), dtype=np.bool_)
    if not any(term.opens for term in terms):
        mask = herd.where_status(Status.HERE)
    elif not any(term.opens and term.words.endswith(("all", "outside")) for term in terms):
        mask = ~herd.where_status(Status.OUTSIDE)
    among = count = int(np.count_nonzero(mask))
    left: list[Left] = []
    for term in terms:
        if term.select is None:
            left.append(Left(term, count))
            continue
        narrowed = mask & term.select(herd, mask)
        remaining = int(np.count_nonzero(narrowed))
        if remaining == 0 and term.growing and term is terms[-1]:
            left.append(Left(replace(term, state=TermState.TYPING, select=None), count))
            continue
        left.append(Left(term, remaining, *_rough(herd, term, mask)))
        mask, count = narrowed, remaining
    return Filtered(mask, count, among, tuple(left))


def _rough(herd: Herd, term: Term, mask: Mask) -> tuple[int, int]:
    if term.rough is None:
        return 0, 0
    found = (term.rough.by_gene(herd, mask), term.rough.drawn(herd, mask))
    return int(np.count_nonzero(mask & found[0])), int(np.count_nonzero(mask & found[1]))


def filtered(herd: Herd, text: str, today: dt.date, unit: MassUnit = MassUnit.GRAM) -> Filtered:
    """What a line leaves of the herd."""
    return apply(herd, read_terms(herd, text, today, unit))


def in_order(herd: Herd, mask: Mask, column: str, *, descending: bool = False) -> IntArray:
    """Ids of the rows left, as a column sorts them."""
    order = herd.sorted_order(column, descending=descending)
    return herd.ids[order[mask[order]]]
