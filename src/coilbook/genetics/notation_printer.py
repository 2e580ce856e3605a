"""Writes statements in the trade's notation, so that reading the text gives the same statements again.

What shows comes first, then what is carried, the surest first. "Proven not" is read but never written: a card says
instead what was seen ("6 young, none shown").
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import groupby

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.gene_names import GeneNames, names_of, words_of
from coilbook.genetics.notation_words import KEYWORDS
from coilbook.genetics.statement import Says, Statement

_CARRIED = (Says.HET, Says.POSSIBLE_HET)


def in_order(statements: Iterable[Statement], catalogue: Catalogue) -> tuple[Statement, ...]:
    """Statements as they are written: the order within each group is kept, "proven not" is left out.

    Raises KeyError for a gene the catalogue lacks.
    """
    written = [s for s in statements if s.says is not Says.PROVEN_NOT]
    return tuple(sorted(written, key=lambda s: _place(s, catalogue)))


def _place(statement: Statement, catalogue: Catalogue) -> tuple[int, int]:
    if statement.says is Says.POSSIBLE_HET:
        return 4, -(statement.percent or 0)
    if statement.says is Says.HET:
        return (2 if statement.proven else 3), 0
    return (1 if catalogue.is_recessive(statement.gene) else 0), 0


def print_statements(statements: Iterable[Statement], catalogue: Catalogue) -> str:
    """The text of these statements; empty for none, which says nothing about the animal.

    A sure het is written "100% het": without its number the word asks a question. Raises KeyError for a gene the
    catalogue lacks (a line of the keeper's is added by `Catalogue.with_lines`).
    """
    ordered = in_order(statements, catalogue)
    pieces = [_shown(s, catalogue) for s in ordered if s.says not in _CARRIED]
    for prefix, group in groupby((s for s in ordered if s.says in _CARRIED), key=_prefix):
        names = "/".join(lowered_name(catalogue.genes[s.gene].name) + ("?" if s.doubtful else "") for s in group)
        pieces.append(f"{prefix} {names}")
    return _joined(pieces, names_of(catalogue, KEYWORDS))


def _shown(statement: Statement, catalogue: Catalogue) -> str:
    before = {Says.TWO: "Super ", Says.ONE_OR_TWO: "poss super "}.get(statement.says, "")
    return f"{before}{catalogue.genes[statement.gene].name}{'?' if statement.doubtful else ''}"


def _prefix(statement: Statement) -> str:
    if statement.says is Says.HET:
        return "proven het" if statement.proven else "100% het"
    return "poss het" if statement.percent is None else f"{statement.percent}% het"


def lowered_name(name: str) -> str:
    """A name as it stands behind "het": in small letters, but for short forms and the keeper's own words.

    >>> lowered_name("Desert Ghost"), lowered_name("GHI"), lowered_name("Axanthic (Line B)")
    ('desert ghost', 'GHI', 'axanthic (Line B)')
    """
    plain, bracket, line = name.partition("(")
    lowered = " ".join(word.lower() if word.istitle() else word for word in plain.split(" "))
    return f"{lowered}{bracket}{line}"


def _joined(pieces: list[str], names: GeneNames) -> str:
    """Pieces side by side, with a comma where two would be read as one name (Desert, Ghost)."""
    text = ""
    before: tuple[str, ...] = ()
    for piece in pieces:
        words = words_of(piece)
        if text:
            text += ", " if _run_together(before, words, names.at) else " "
        text += piece
        before = words
    return text


def _run_together(
    first: tuple[str, ...], second: tuple[str, ...], at: Callable[[list[str], int], tuple[object, int] | None]
) -> bool:
    words = [*first, *second]
    found = (at(words, start) for start in range(len(first)))
    return any(hit is not None and start + hit[1] > len(first) for start, hit in enumerate(found))
