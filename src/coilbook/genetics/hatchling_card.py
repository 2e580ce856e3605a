"""What would settle a doubt about one hatchling, by cost and wait; and what its card may say today."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import floor

from coilbook.genetics.catalogue import Catalogue, Grade
from coilbook.genetics.identify import Doubt
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.outlook_chance import to_be_sure
from coilbook.genetics.outlook_pair import NEVER
from coilbook.genetics.statement import Says, Statement


class Way(StrEnum):
    """How a doubt can be settled."""

    #: adult colour resolves many doubts: photographs at 3, 6 and 12 months (common practice)
    LATER_PHOTO = "later photo"
    #: of a gene whose mutation is published; whether a laboratory offers it is another matter
    SHED_TEST = "shed test"
    #: bred to a normal-looking mate without the gene, or to one that shows it where it is recessive
    BREED = "breed"


@dataclass(frozen=True, slots=True)
class Settling:
    """One way: `young` of it all alike leave 5% of doubt; None where it does not count young."""

    way: Way
    young: int | None = None


def settled(doubt: Doubt) -> bool:
    """Whether nothing of an allele is in doubt."""
    return max(doubt.both) > 1 - NEVER


def ways(catalogue: Catalogue, doubt: Doubt) -> list[Settling]:
    """The ways to settle a doubt, cheapest first; empty where there is none."""
    if settled(doubt):
        return []
    locus = catalogue.loci[doubt.locus]
    gene = catalogue.genes[locus.alleles[doubt.allele]]
    recessive = locus.inheritance(doubt.allele) is Inheritance.RECESSIVE
    found = [] if recessive else [Settling(Way.LATER_PHOTO)]
    if gene.gene and gene.provenance.grade is Grade.PUBLISHED:
        found.append(Settling(Way.SHED_TEST))
    none, one, two = doubt.both
    # one copy is handed on half the time: the doubt is whether it is there at all, or whether it is alone
    if none > NEVER:
        found.append(Settling(Way.BREED, to_be_sure(1 - none, 0.5)))
    elif one > NEVER and two > NEVER:
        found.append(Settling(Way.BREED, to_be_sure(one, 0.5)))
    return found


def card(catalogue: Catalogue, doubts: Iterable[Doubt]) -> tuple[Statement, ...]:
    """What a card may say today: nothing more than is known, a possible het never above its chance."""
    said = (_statement(catalogue, doubt) for doubt in doubts)
    return tuple(statement for statement in said if statement is not None)


def _statement(catalogue: Catalogue, doubt: Doubt) -> Statement | None:
    locus = catalogue.loci[doubt.locus]
    gene = locus.alleles[doubt.allele]
    none, one, two = doubt.both
    some = one + two
    if some < NEVER:
        return None
    if locus.inheritance(doubt.allele) is Inheritance.RECESSIVE:
        if two > NEVER:
            return Statement(gene, Says.VISUAL, doubtful=two < 1 - NEVER)
        if some > 1 - NEVER:
            return Statement(gene, Says.HET)
        return Statement(gene, Says.POSSIBLE_HET, percent=floor(100 * some + 1e-9))
    if none > NEVER:
        return Statement(gene, Says.ONE, doubtful=True)
    if two < NEVER:
        return Statement(gene, Says.ONE)
    return Statement(gene, Says.TWO if one < NEVER else Says.ONE_OR_TWO)
