"""What screens and papers show of an animal's genetics: frozen rows of plain numbers, texts and messages."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from coilbook.genetics.statement import Flag, Says, Statement
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message


class Asks(StrEnum):
    """What the number of a row is the chance of."""

    #: at least one copy
    CARRIES = "carries"
    #: two copies, of a gene that shows
    TWO = "two"


@dataclass(frozen=True, slots=True)
class GeneRow:
    """One gene of one animal.

    `evidence` is None where her family contradicts itself, or a claim names no number; `error` 0 where it is exact.
    `by_gene`: too many sires were possible to weigh them over all genes together (`taken` says so).
    `paper` is None where nothing follows from the parents. `numbered`: the row has a number worth a bar; what is seen
    for sure has none. `doubt`: it is not settled, drawn hatched.
    """

    locus: str
    gene: str
    name: str
    says: Says
    what: Message
    asks: Asks
    evidence: float | None
    paper: Fraction | None
    numbered: bool
    doubt: bool
    rests_on: Message
    #: why the paper value is what it is
    basis: Message | None = None
    #: what was claimed, and how it differs from what follows from the parents
    claimed: Message | None = None
    #: what was taken for granted to get the number
    taken: tuple[Message, ...] = ()
    contradiction: Message | None = None
    error: float = 0.0
    by_gene: bool = False
    #: what the keeper lowered the card to, and what was claimed of an animal that lacks a parent: no card says more
    card_at_most: Fraction | None = None
    claim: Fraction | None = None
    #: young that could have shown it, and how many did
    young: int = 0
    shown: int = 0


@dataclass(frozen=True, slots=True)
class GeneticsPart:
    """All genes of one animal in the order a keeper says them; `head` the line over her page.

    `label` is what the keeper wrote; `head` the same, or what the evidence says where that is something else.
    """

    animal: AnimalId
    revision: int
    rows: tuple[GeneRow, ...]
    label: str
    head: str
    statements: tuple[Statement, ...] = ()
    #: words of the label that were not understood
    unread: str = ""
    #: the label has questions of its own: it says nothing until they are answered
    in_question: tuple[Message, ...] = ()
    #: what the label asks and can be answered, what stands in the way of counting it first
    asks: tuple[Flag, ...] = ()
    #: the label was read to its end: a look it does not name was not there
    read_whole: bool = True


@dataclass(frozen=True, slots=True)
class Way:
    """Something that would settle a doubt: what, when its answer comes, and what it would say."""

    name: Message
    wait: Message
    says: Message
