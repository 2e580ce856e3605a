"""Numbers of a gene as the page and the margin write them; with evidence rounds, on paper rounds down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coilbook.wording.language import translated

# a page without genes yet needs none of the genetics
if TYPE_CHECKING:
    from coilbook.reads.genetics_rows import GeneRow


def percent_of(chance: float, decimals: int = 0) -> str:
    """A chance to the nearest, but never 0% or 100% for what is neither.

    >>> percent_of(1 / 9), percent_of(0.9999), percent_of(0.0001), percent_of(1.0)
    ('11%', '>99%', '<1%', '100%')
    """
    text = f"{100 * chance:.{decimals}f}%"
    whole = float(text[:-1])
    if whole >= 100 and chance < 1 - 1e-9:
        return ">99%" if not decimals else ">99.9%"
    if whole <= 0 and chance > 1e-9:
        return "<1%" if not decimals else "<0.1%"
    return text


def evidence_words(row: GeneRow) -> str:
    """The number with evidence, with its error where it was drawn and not counted."""
    if row.evidence is None:
        return "?"
    text = percent_of(row.evidence)
    return f"{text} ±{max(0.1, 100 * row.error):.1f}" if row.error else text


def paper_words(row: GeneRow) -> str:
    """The number on paper, rounded down, and what the trade sells it as where that is less."""
    if row.paper is None:
        return ""
    from coilbook.genetics.paper import rounded_down, trade_percent

    shown, trade = rounded_down(row.paper), trade_percent(row.paper)
    return shown if trade is None or f"{trade}%" == shown else f"{shown} ({trade})"


def number_words(row: GeneRow) -> str:
    """What the number is the chance of, with it: "Clown: 11% with evidence"."""
    if not row.numbered:
        return f"{row.name}: {translated('seen')}"
    from coilbook.reads.genetics_rows import Asks

    texts = {
        Asks.CARRIES: translated("{gene}: {percent} with evidence"),
        Asks.TWO: translated("Super {gene}: {percent} with evidence"),
    }
    return texts[row.asks].format(gene=row.name, percent=evidence_words(row))
