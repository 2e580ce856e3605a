"""What to mind before a pairing: the welfare cautions of what its young can be, with how many of them."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.genetics.catalogue import Caution
from coilbook.genetics.outlook import Outlook
from coilbook.genetics.outlook_chance import each
from coilbook.genetics.outlook_pair import NEVER
from coilbook.genetics.states import Bools
from coilbook.genetics.wish import showing


@dataclass(frozen=True, slots=True)
class Mind:
    """A caution, the genes it is about, and the share of hatchlings it is about."""

    caution: Caution
    genes: tuple[str, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Unhatched:
    """A share of the fertile eggs whose look at this locus cannot hatch; it is no part of the hatch rate."""

    locus: str
    share: float


def to_mind(outlook: Outlook) -> list[Mind]:
    """The cautions that apply to some of the young, the most of them first. Each is said once."""
    catalogue = outlook.catalogue
    states = {locus.key: locus.states for locus in outlook.loci}
    here = {key: gene for key, gene in catalogue.genes.items() if gene.locus in states}
    shows = {key: showing(states[gene.locus], catalogue.allele_of(key)) for key, gene in here.items()}
    found = []
    for key, gene in here.items():
        share = each(outlook.cases({gene.locus: shows[key]})) if gene.cautions else 0.0
        found += [Mind(caution, (key,), share) for caution in gene.cautions if share > NEVER]
    for pair, cautions in catalogue.pair_cautions.items():
        if all(key in here for key in pair):
            share = each(outlook.cases(_together(outlook, pair)))
            found += [Mind(caution, pair, share) for caution in cautions if share > NEVER]
    return sorted(found, key=lambda mind: -mind.share)


def _together(outlook: Outlook, pair: tuple[str, str]) -> dict[str, Bools]:
    """The states of animals that have both genes of a pair (two doses, where it is one gene twice)."""
    catalogue = outlook.catalogue
    first, second = (catalogue.genes[key] for key in pair)
    states = {locus.key: locus.states for locus in outlook.loci}
    one = states[first.locus].copies(catalogue.allele_of(first.key))
    two = states[second.locus].copies(catalogue.allele_of(second.key))
    if first.key == second.key:
        return {first.locus: one == 2}
    if first.locus == second.locus:
        return {first.locus: (one > 0) & (two > 0)}
    return {first.locus: one > 0, second.locus: two > 0}


def unhatched(outlook: Outlook) -> list[Unhatched]:
    """By locus, the share of fertile eggs that cannot hatch; loci where all can are left out."""
    found = []
    for place, locus in enumerate(outlook.loci):
        if locus.states.alive.all():
            continue
        share = sum(
            part.weight * float(part.loci[place].weights @ (1 - part.loci[place].alive)) for part in outlook.parts
        )
        if share > NEVER:
            found.append(Unhatched(locus.key, share))
    return found
