"""The words of a typed filter, where they stand, and what a term is."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import Mask
from coilbook.records.composed import composed
from coilbook.records.message import Message
from coilbook.records.quantities import MassUnit

_TOKENS = re.compile(r'"(?P<quoted>[^"]*)"?|(?P<plain>[^\s"]+)')


@dataclass(frozen=True, slots=True)
class Token:
    """One word or one quoted phrase, in lower case, and where it stands in the line."""

    word: str
    start: int
    end: int
    quoted: bool = False


def tokens_of(text: str) -> list[Token]:
    """Words and quoted phrases of a line.

    >>> [t.word for t in tokens_of('Female "tail first" over 1500')]
    ['female', 'tail first', 'over', '1500']
    """
    return [
        Token(
            composed((m["quoted"] if m["plain"] is None else m["plain"]).casefold()),
            m.start(),
            m.end(),
            m["plain"] is None,
        )
        for m in _TOKENS.finditer(text)
    ]


class TermState(StrEnum):
    """How far a term is understood."""

    #: a term of the language, complete
    UNDERSTOOD = "understood"
    #: a word looked for in ids, names, genetics, places, parents, notes and tags
    WORD = "word"
    #: half typed: it filters nothing yet
    TYPING = "typing"
    #: complete, but of a place, tag or number that is not there
    UNKNOWN = "unknown"


#: which rows a term leaves of those still in (the mask it is given); the answer may hold others too
Select = Callable[[Herd, Mask], Mask]


@dataclass(frozen=True, slots=True)
class Rough:
    """Rows judged by odds that weigh possible sires by one gene alone, and by odds that were drawn, not counted."""

    by_gene: Select
    drawn: Select

    def joined(self, other: Rough | None) -> Rough:
        """Those of either."""
        if other is None:
            return self
        return Rough(both(self.by_gene, other.by_gene), both(self.drawn, other.drawn))


@dataclass(frozen=True, slots=True)
class Term:
    """One term of the line. `opens` is true for terms that ask for animals that are not here (sold, dead, all)."""

    start: int
    end: int
    words: str
    state: TermState
    select: Select | None = None
    #: kind of term, so that "or" can go on with a bare value and completion does not offer a kind twice
    family: str = ""
    opens: bool = False
    message: Message | None = None
    #: more typing could make it fit more: if it leaves none while at the end of the line, it is half typed
    growing: bool = False
    #: of whom a term by odds says what it says by odds that are not exact
    rough: Rough | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """What a line is read against: the herd, the keeper's day and unit, and the line itself."""

    herd: Herd
    today: dt.date
    unit: MassUnit
    text: str
    tokens: tuple[Token, ...]

    def is_last(self, at: int) -> bool:
        """True for the last word of the line."""
        return at == len(self.tokens) - 1

    def open_end(self, at: int) -> bool:
        """True for the last word while it is still being typed (no space or closing quote after it)."""
        return self.is_last(at) and self.tokens[at].end == len(self.text) and not self.text.endswith('"')

    def word(self, at: int) -> str | None:
        """The word at a place, None past the end and for a quoted phrase."""
        if not 0 <= at < len(self.tokens) or self.tokens[at].quoted:
            return None
        return self.tokens[at].word

    def value(self, at: int) -> str | None:
        """The word or quoted phrase at a place."""
        return self.tokens[at].word if 0 <= at < len(self.tokens) else None

    def said(self, first: int, last: int) -> str:
        """The line from one word to another, both included, as typed."""
        return self.text[self.tokens[first].start : self.tokens[last].end]

    def span(self, first: int, last: int) -> tuple[int, int]:
        """Where the words from `first` to `last` stand."""
        return self.tokens[first].start, self.tokens[last].end


def both(one: Select, other: Select) -> Select:
    """Rows that either of two terms leaves."""

    def either(herd: Herd, still: Mask) -> Mask:
        return np.asarray(one(herd, still) | other(herd, still))

    return either


def negated(select: Select) -> Select:
    """Rows a term does not leave."""

    def rest(herd: Herd, still: Mask) -> Mask:
        return np.asarray(~select(herd, still))

    return rest
