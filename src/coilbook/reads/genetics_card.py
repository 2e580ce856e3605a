"""What a card may say of an animal's genes: never more than follows from its parents, and no less than the truth.

Certain things stand in bold; a possible het stands with its paper percentage, rounded down, and where the evidence says
less the card says both: "66% het clown from parents; 0 of 6 shown". The keeper can lower a percentage, never raise it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction

from coilbook.derived.genetics_book import Genetics, book_of
from coilbook.genetics.notation_printer import lowered_name, print_statements
from coilbook.genetics.paper import rounded_down, trade_percent
from coilbook.genetics.statement import Says, Statement
from coilbook.reads.genetics import part_of
from coilbook.reads.genetics_rows import GeneRow, GeneticsPart
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.storage.collection import Collection
from coilbook.wording.chances import percent
from coilbook.wording.language import translated

#: a doubtful look under this stands on no card
LEAST_SEEN = 0.01
_IN_QUESTION = "'{label}' can be read in several ways, so it is printed as written and held against no evidence."


@dataclass(frozen=True, slots=True)
class CardText:
    """`certain` and `doubt` as a card prints them; `warnings` say where a card says more than the evidence."""

    certain: str
    doubt: str
    warnings: tuple[Message, ...] = ()
    #: of each possible het the words of the card and what they rest on, for a paper with room for it
    basis: tuple[Message, ...] = ()


def card_texts(
    collection: Collection, animals: Iterable[AnimalId], cancelled: Callable[[], bool] = lambda: False
) -> dict[AnimalId, CardText]:
    """The card texts of animals whose label is understood and of whose genes something is known; computes."""
    book = book_of(collection)
    genetics = book.current(cancelled)
    found = {}
    for animal in animals:
        herd = genetics.herd_of(animal)
        if herd is None or cancelled():
            continue
        label = herd.rows.labels[herd.rows.label[herd.rows.place[animal]]]
        part = part_of(collection, genetics, animal, book.reading_of(label, herd.inputs.catalogue))
        if part is not None and part.in_question:
            found[animal] = CardText(part.label, "", (say(_IN_QUESTION, label=part.label),))
        elif part is not None and (part.rows or part.head != part.label):
            found[animal] = card_text(genetics, part)
    return found


def card_text(genetics: Genetics, part: GeneticsPart) -> CardText:
    """The card of one animal."""
    catalogue = genetics.catalogue_of(part.animal)
    if catalogue is None or any(row.contradiction is not None for row in part.rows):
        warned = tuple(row.contradiction for row in part.rows if row.contradiction is not None)
        return CardText(part.label, "", warned)
    sure: list[Statement] = []
    doubts: list[str] = []
    warnings: list[Message] = []
    basis: list[Message] = []
    for row in part.rows:
        if _is_certain(row) and row.card_at_most in (None, Fraction(1)):
            sure.append(Statement(row.gene, row.says))
            continue
        if row.says is Says.ONE_OR_TWO:
            sure.append(Statement(row.gene, Says.ONE))
        said = card_line(row)
        if said:
            doubts.append(said)
            if row.basis is not None and row.paper:
                basis.append(say("{said}: {basis}", said=said, basis=row.basis))
        if said and says_more(row):
            warnings.append(more_than_known(row))
    certain = print_statements(sure, catalogue)
    if not certain and not doubts and part.label.strip() and part.read_whole:
        certain = translated("normal")
    return CardText(" ".join(t for t in (certain, part.unread) if t), ", ".join(doubts), tuple(warnings), tuple(basis))


def card_line(row: GeneRow) -> str:
    """What a card says of a doubtful gene; empty when nothing."""
    name = lowered_name(row.name)
    if row.evidence is None:
        # in doubt without a number: no more can be said, and no less
        carried = row.says in (Says.HET, Says.POSSIBLE_HET)
        return translated("poss het {gene}" if carried else "poss {gene}").format(gene=name if carried else row.name)
    if row.says is Says.ONE_OR_TWO:
        return translated("poss super {gene}").format(gene=row.name) if (row.evidence or 0) >= LEAST_SEEN else ""
    if row.says not in (Says.HET, Says.POSSIBLE_HET):
        seen = (row.evidence or 0) >= LEAST_SEEN
        return translated("poss {gene}").format(gene=row.name) if seen else ""
    chance = printed_chance(row)
    if chance <= 0:
        return ""
    line = translated("{percent} het {gene}").format(percent=rounded_down(chance), gene=name)
    trade = trade_percent(chance)
    if trade is not None and trade != int(100 * chance):
        # exact, rounded down; and the word the trade has for it, which is never more
        line = translated("{line} (sold as {trade}%)").format(line=line, trade=trade)
    if says_more(row):
        both = translated("{line} from parents; {evidence}")
        if row.basis is None:
            both = translated("{line} as recorded; {evidence}")
        line = both.format(line=line, evidence=_evidence(row))
    return line


def printed_chance(row: GeneRow) -> Fraction:
    """The chance a card prints of a possible het: its paper value, or less where the keeper or a claim says less."""
    chance = row.paper if row.paper is not None else Fraction(0)
    if row.claim is not None and not _is_certain(row):
        chance = min(chance, row.claim)
    return chance if row.card_at_most is None else min(chance, row.card_at_most)


def says_more(row: GeneRow) -> bool:
    """Whether the percentage a card prints of a possible het is more than the evidence, rounded, says."""
    carried = row.says in (Says.HET, Says.POSSIBLE_HET) and row.evidence is not None
    return carried and int(100 * printed_chance(row)) > 100 * (row.evidence or 0) + 0.5


def _evidence(row: GeneRow) -> str:
    if row.young:
        return translated("{shown} of {n} shown").format(shown=row.shown, n=row.young)
    return translated("{percent} with evidence").format(percent=percent(row.evidence or 0, 0))


def more_than_known(row: GeneRow) -> Message:
    """The warning of a card that says more than the evidence."""
    words = "{gene}: {paper} from parents is more than the {evidence} with evidence, so the card prints both."
    if row.basis is None:
        words = "{gene}: {paper} as recorded is more than the {evidence} with evidence, so the card prints both."
    return say(
        words,
        gene=row.name,
        paper=rounded_down(printed_chance(row)),
        evidence=percent(row.evidence or 0, 0),
    )


def _is_certain(row: GeneRow) -> bool:
    return not row.doubt and row.evidence == 1.0
