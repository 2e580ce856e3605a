"""A family of `keeper_worlds` entered through the program's own acts, and what the program then tells of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

from tests.reference.keeper_worlds import Genotype, Household, Law, young

from coilbook.derived.genetics_book import book_of
from coilbook.genetics.states import State
from coilbook.genetics.wish import wish_for
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.finding_typed import enter_typed
from coilbook.operations.own_genes import keep_own_gene
from coilbook.reads.outlook import Asked, Pairing, read_outlook
from coilbook.reads.outlook_genetics import kept_genetics
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import OwnKind, Sex
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection

SEXES = {"F": Sex.FEMALE, "M": Sex.MALE, "U": Sex.UNSEXED}
LANTERN = '[[gene]]\nkey = "lantern"\nname = "Lantern"\ninheritance = "incomplete dominant"\ntwo_lethal = true\n'


@dataclass
class Deviations:
    """The largest difference met, by what was compared, and how many numbers were."""

    law: float = 0.0
    paper: float = 0.0
    outlook: float = 0.0
    laws: int = 0
    papers: int = 0
    outlooks: int = 0


def enter(book: Collection, home: Household) -> list[AnimalId]:
    """The family, animal by animal."""
    if home.trait.key == "lantern":
        keep_own_gene(book, kind=OwnKind.GENE, key="lantern", body=LANTERN)
    ids: list[AnimalId] = []
    for one in home.creatures:
        details = AnimalDetails(
            keeper_id=one.name,
            sex=SEXES[one.sex],
            sex_percent=one.sex_percent,
            genetics=one.text,
            dam_id=ids[one.dam] if one.dam is not None else None,
            hatched=PartialDate(dt.date(2025, 8, 1)) if one.litter is not None else None,
        )
        sires = {ids[sire]: int(share * 100) for sire, share in one.sires if sire is not None}
        ids.append(add_animal(book, details=details, sires=sires).value)
        for typed in one.typed:
            enter_typed(book, animal=ids[-1], text=typed)
    return ids


def compare(book: Collection, home: Household, found: Deviations) -> None:
    """Enter a family and compare every law, every paper value, and the outlook of every pair that could be one."""
    ids = enter(book, home)
    genetics = book_of(book).current()
    laws, papers, trait = home.laws(), home.paper(), home.trait
    herd = genetics.herds["ball_python"]
    view = herd.loci.get(trait.key)
    for place, animal in enumerate(ids):
        if view is None:
            continue
        got = view.law(herd.rows.place[animal])
        for state, chance in zip(view.states.states, got, strict=True):
            wanted = laws[place].get(genotype_of(view.states.locus.alleles, state), Fraction(0))
            found.law = max(found.law, abs(float(chance) - float(wanted)))
            found.laws += 1
        for gene in trait.alleles[1:]:
            value, law = genetics.paper(animal, gene), papers[place]
            assert (value is None) == (law is None), (animal, gene)
            if value is not None and law is not None:
                off = [value.carrier - _with(law, gene, 1), value.two - _with(law, gene, 2)]
                found.paper = max(found.paper, *(abs(float(o)) for o in off))
                found.papers += 1
    compare_outlooks(book, home, ids, found)


def genotype_of(alleles: tuple[str, ...], state: State) -> Genotype:
    """A state of the program in words of `keeper_worlds`."""
    names = [alleles[a] if a else "" for a in (state.first, state.second)]
    if state.sex is None:
        return tuple(sorted(names))
    return ("M", *names) if state.ordered else ("F", *sorted(names))


def _with(law: Law, gene: str, copies: int) -> Fraction:
    return sum((p for g, p in law.items() if g[-2:].count(gene) >= copies), Fraction(0))


def compare_outlooks(book: Collection, home: Household, ids: list[AnimalId], found: Deviations) -> None:
    """The chance of a visual each hatchling and of at least one in six, for every female with every male."""
    genetics, clashes = kept_genetics(book, "ball_python"), book_of(book).current().clashes()
    trait = home.trait
    gene = trait.alleles[1]
    # a look of two different alleles shows both
    shows = {look for look in map(trait.look, trait.genotypes) if gene in look}
    wish = wish_for(genetics.catalogue, dict.fromkeys([gene]))
    for dam, sire in ((d, s) for d in range(len(ids)) for s in range(len(ids))):
        if home.creatures[dam].sex != "F" or home.creatures[sire].sex != "M" or found.outlooks > 400:
            continue
        if {home.creatures[dam].sex_percent, home.creatures[sire].sex_percent} != {100}:
            continue
        odds = read_outlook(book, genetics, Pairing(ids[dam], ((ids[sire], 100),)), Asked(6, wish))
        if odds.wish is None:
            # the family contradicts itself at another locus, which its texts name
            assert odds.refused is not None and clashes
            continue
        each = at_least = Fraction(0)
        for (mother, father), weight in home.joint(dam, sire).items():
            shown = sum((p for g, p in young(trait, father, mother) if trait.look(g) in shows), Fraction(0))
            each, at_least = each + weight * shown, at_least + weight * (1 - (1 - shown) ** 6)
        off = abs(odds.wish.each - float(each)), abs(odds.wish.parts.overall - float(at_least))
        found.outlook = max(found.outlook, *off)
        found.outlooks += 1
