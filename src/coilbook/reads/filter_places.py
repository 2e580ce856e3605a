"""The filter's term "in R2": a room, a rack or a slot, with everything that lies in it."""

from __future__ import annotations

import numpy as np

from coilbook.reads.filter_text import Question, Term, TermState
from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import Mask
from coilbook.reads.place_book import PlaceBook
from coilbook.records.message import Message, say

#: a place name of more words than this is typed in quotes
LONGEST_NAME = 4


def in_place(q: Question, at: int) -> tuple[Term, int] | None:
    """in R2, in R1-A3, in snake room."""
    if q.word(at) != "in":
        return None
    if q.value(at + 1) is None:
        start, end = q.span(at, at)
        return Term(start, end, q.said(at, at), TermState.TYPING, family="place"), 1
    return place_value(q, at, at + 1)


def place_value(q: Question, at: int, first: int) -> tuple[Term, int]:
    """Animals in the place named from a word on; told, with the nearest name, when there is no such place."""
    book = q.herd.places
    for last in range(min(first + LONGEST_NAME, len(q.tokens)) - 1, first - 1, -1):
        name = " ".join(q.value(k) or "" for k in range(first, last + 1))
        place = book.by_word.get(name)
        if place is not None:
            return _inside(q, at, last, place), last - at + 1
    rest = " ".join(token.word for token in q.tokens[first:])
    end = len(q.tokens) - 1
    if q.open_end(end) and book.starting(rest, 1):
        return Term(*q.span(at, end), q.said(at, end), TermState.TYPING, family="place"), end - at + 1
    told = _not_a_place(book, q.said(first, first))
    return Term(
        *q.span(at, first), q.said(at, first), TermState.UNKNOWN, _nobody, "place", message=told
    ), first - at + 1


def _inside(q: Question, at: int, last: int, place: int) -> Term:
    inside = q.herd.places.within([place])

    def select(herd: Herd, still: Mask) -> Mask:
        return np.isin(herd["place"], inside)

    return Term(*q.span(at, last), q.said(at, last), TermState.UNDERSTOOD, select, "place")


def _nobody(herd: Herd, still: Mask) -> Mask:
    return np.zeros(len(herd), dtype=np.bool_)


def _not_a_place(book: PlaceBook, name: str) -> Message:
    from rapidfuzz import process

    known = book.containers or list(book.labels)
    if not known:
        return say("{name} is not a place here; there are no places yet.", name=name)
    nearest = process.extractOne(name.casefold(), [label.casefold() for label in known])
    return say("{name} is not a place here; nearest {nearest}.", name=name, nearest=known[nearest[2]])
