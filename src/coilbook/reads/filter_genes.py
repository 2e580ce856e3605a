"""The filter's terms "carries clown" and "may carry clown": by the odds with evidence, not by what is written.

The odds are worked out beside the window and handed to the herd; until then the term counts as half typed.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np

from coilbook.reads.filter_text import Question, Rough, Select, Term, TermState
from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import GenesKnown, IntArray, Mask
from coilbook.records.message import say
from coilbook.storage.collection import Collection

CARRIES, MAY_CARRY = "carries", "may carry"
#: words of the longest name of a gene
LONGEST_NAME = 5
#: under this chance an animal is not listed among those that may carry a gene (a tenth of a percent)
LEAST = 0.001


def genes_known(collection: Collection, cancelled: Callable[[], bool] = lambda: False) -> GenesKnown:
    """Who has or may have which gene, everything known taken in. Computes: on a worker."""
    from coilbook.derived.genetics_book import book_of
    from coilbook.derived.genetics_locus import CERTAIN

    each: tuple[dict[str, IntArray], ...] = ({}, {}, {}, {})
    for herd in book_of(collection).current(cancelled).herds.values():
        ids = np.asarray(herd.rows.ids, dtype=np.int32)
        names = {gene.name.casefold(): key for key, gene in herd.inputs.catalogue.genes.items()}
        for name, key in names.items():
            view = herd.loci.get(herd.inputs.catalogue.genes[key].locus)
            chance, none = np.zeros(len(ids)), np.zeros(0, dtype=np.int64)
            by_gene = drawn = none
            if view is not None and key in view.states.locus.alleles:
                has = view.states.copies(view.states.locus.allele_index(key)) > 0
                chance = np.nan_to_num(view.answer.all_posteriors()[:, has].sum(axis=1))
                by_gene, drawn = view.in_doubt(chance)
            sure, possible = np.flatnonzero(chance > CERTAIN), np.flatnonzero((chance > LEAST) & (chance <= CERTAIN))
            for found, places in zip(each, (sure, possible, by_gene, drawn), strict=True):
                found[name] = np.concatenate((found.get(name, ids[:0]), ids[places]))
    return GenesKnown(*each)


def asks_for_genes(text: str) -> bool:
    """True for a line with such a term, so that somebody works the odds out."""
    words = text.casefold().split()
    return CARRIES in words or any(pair == ("may", "carry") for pair in pairwise(words))


def names_going_on(known: GenesKnown | None, begun: str) -> list[str]:
    """Names of genes that go on from what is typed: those of the animals here first; none until the odds are there."""
    if known is None:
        return []
    fitting = [name for name in known.sure if name.startswith(begun)]
    return sorted(fitting, key=lambda name: (not (len(known.sure[name]) or len(known.possible[name])), name))


def gene_term(q: Question, at: int) -> tuple[Term, int] | None:
    """carries clown, may carry yellow belly."""
    may = q.word(at) == "may" and q.word(at + 1) == "carry"
    if not may and q.word(at) != CARRIES:
        return None
    first, known = at + (2 if may else 1), q.herd.genes
    last = len(q.tokens) - 1
    if q.value(first) is None:
        return Term(*q.span(at, last), q.said(at, last), TermState.TYPING, family="gene"), last - at + 1
    if known is None:
        told = say("Working out who carries what ...")
        return Term(*q.span(at, last), q.said(at, last), TermState.TYPING, family="gene", message=told), last - at + 1
    for end in range(min(first + LONGEST_NAME, last + 1) - 1, first - 1, -1):
        name = " ".join((q.value(k) or "").casefold() for k in range(first, end + 1))
        if name in known.sure:
            chosen = _among((known.possible if may else known.sure)[name])
            rough = Rough(_among(known.by_gene[name]), _among(known.drawn[name]))
            term = Term(*q.span(at, end), q.said(at, end), TermState.UNDERSTOOD, chosen, "gene", rough=rough)
            return term, end - at + 1
    rest = " ".join(token.word for token in q.tokens[first:]).casefold()
    if q.open_end(last) and any(name.startswith(rest) for name in known.sure):
        return Term(*q.span(at, last), q.said(at, last), TermState.TYPING, family="gene"), last - at + 1
    told = say("{gene} is no gene of the catalogue.", gene=q.said(first, first))
    unknown = Term(*q.span(at, first), q.said(at, first), TermState.UNKNOWN, _among(None), "gene", message=told)
    return unknown, first - at + 1


def _among(ids: IntArray | None) -> Select:
    def select(herd: Herd, still: Mask) -> Mask:
        return np.zeros(len(herd), dtype=np.bool_) if ids is None else np.isin(herd.ids, ids)

    return select
