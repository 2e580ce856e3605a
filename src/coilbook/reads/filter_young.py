"""The filter's terms "ready for sale" and "not started": of hatchlings, by the rule of the species' numbers.

Who they are is worked out beside the window and handed to the herd; until then the term counts as half typed.
"""

from __future__ import annotations

import numpy as np

from coilbook.reads.filter_text import Question, Select, Term, TermState
from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import IntArray, Mask
from coilbook.records.message import say

READY, NOT_STARTED = "ready for sale", "not started"


def asks_for_young(text: str) -> bool:
    """True for a line with such a term, so that somebody works it out."""
    words = " ".join(text.casefold().split())
    return READY in words or NOT_STARTED in words


def young_term(q: Question, at: int) -> tuple[Term, int] | None:
    """ready for sale, not started."""
    for phrase in (READY, NOT_STARTED):
        parts = phrase.split()
        if [q.word(at + k) for k in range(len(parts))] != parts:
            continue
        start, end = q.span(at, at + len(parts) - 1)
        known = q.herd.young
        if known is None:
            told = say("Looking at the hatchlings ...")
            return Term(start, end, phrase, TermState.TYPING, family="young", message=told), len(parts)
        chosen = _among(known.ready if phrase == READY else known.not_started)
        return Term(start, end, phrase, TermState.UNDERSTOOD, chosen, "young"), len(parts)
    return None


def _among(ids: IntArray) -> Select:
    def select(herd: Herd, still: Mask) -> Mask:
        return np.isin(herd.ids, ids)

    return select
