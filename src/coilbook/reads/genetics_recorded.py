"""What was recorded of a gene in words, said beside what it comes to: a label's and a seller's percentages, their
question marks, and "het" without a number."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.paper import rounded_down
from coilbook.genetics.statement import FlagKind, Reading, Says, Statement
from coilbook.records.message import Message, say
from coilbook.wording.chances import percent

#: two chances nearer than this are one number in whole percent
SAME = 0.005
#: said of a carrier whose label does not say how sure
BARE_HET = say("It is written 'het' without a number, which is taken as sure (100%).")

_SHOWN = (Says.ONE, Says.TWO, Says.ONE_OR_TWO, Says.VISUAL)


def recorded_words(
    claim: float | None, paper: Fraction | None, evidence: float | None, *, parents: int, assumed: bool
) -> Message | None:
    """What is recorded of a gene and what it comes to, where the two differ; None where they do not.

    `claim`: the chance recorded, None without a number. `parents`: how many are on record. `assumed`: the keeper took
    another chance for it.
    """
    if claim is None or paper is None:
        return None
    said, comes_to = rounded_down(Fraction(claim).limit_denominator(1000)), rounded_down(paper)
    if abs(claim - float(paper)) >= SAME:
        if parents == 2:
            words = "claimed {claimed}, and the parents give {paper}; both are on record, so a claim is no evidence"
            return say(words, claimed=said, paper=comes_to)
        if parents == 1:
            words = (
                "recorded as {claimed}, taken as said of the parent that is not on record: with the other parent "
                "{paper}; a card says no more than was recorded"
            )
            return say(words, claimed=said, paper=comes_to)
        words = "recorded as {claimed}; with what else is said of it {paper}"
        words = "recorded as {claimed}; the {paper} you took for it stands over it" if assumed else words
        return say(words, claimed=said, paper=comes_to)
    if parents == 0 and evidence is not None and abs(claim - evidence) >= SAME:
        words = "recorded as {claimed}; with what has been found since {now}"
        return say(words, claimed=said, now=percent(evidence))
    return None


def without_number(reading: Reading, catalogue: Catalogue) -> tuple[Statement, ...]:
    """What a text says of genes in doubt without saying how likely: "pos het clown", "Pastel?"."""
    found = []
    for said in reading.statements:
        possible = said.says is Says.POSSIBLE_HET or (said.says is Says.HET and said.doubtful)
        shown = said.says in _SHOWN and said.doubtful
        if (possible or shown) and said.percent is None and catalogue.current(said.gene) in catalogue.genes:
            found.append(said)
    return tuple(found)


def bare_hets(reading: Reading) -> frozenset[str]:
    """Genes a text calls het without a number, as long as the keeper has not said what that means."""
    if not any(flag.kind is FlagKind.BARE_HET and flag.open for flag in reading.flags):
        return frozenset()
    return frozenset(said.gene for said in _sure_hets(reading.statements))


def _sure_hets(statements: Iterable[Statement]) -> Iterable[Statement]:
    return (s for s in statements if s.says is Says.HET and not s.proven and not s.doubtful)
