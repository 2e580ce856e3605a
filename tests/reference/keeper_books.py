"""A family of `keeper_worlds` entered through the program's own acts, and what the program then tells of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, product

from tests.reference.keeper_worlds import Genotype, Household, Law, Trait, alive, young

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
    """The chance of a visual each hatchling, by sex, and of at least one in six, for every female with every male.

    And for two males with 60 : 40, one of them the sire of all, or each egg its own.
    """
    genetics, clashes = kept_genetics(book, "ball_python"), book_of(book).current().clashes()
    trait = home.trait
    gene = trait.alleles[1]
    wish = wish_for(genetics.catalogue, dict.fromkeys([gene]))
    sure = {s: [i for i, c in enumerate(home.creatures) if (c.sex, c.sex_percent) == (s, 100)] for s in "FM"}
    lists = [((sire, 100),) for sire in sure["M"]]
    lists += [((one, 60), (other, 40)) for one, other in combinations(sure["M"][:3], 2)]
    for dam, listed, own in product(sure["F"], lists, (False, True)):
        if own and len(listed) == 1:
            continue
        pairing = Pairing(ids[dam], tuple((ids[sire], percent) for sire, percent in listed), own)
        odds = read_outlook(book, genetics, pairing, Asked(6, wish))
        if odds.wish is None:
            # the family contradicts itself at another locus, which its texts name
            assert odds.refused is not None and clashes
            continue
        if odds.wish.males_apart:
            # said on screen: two males in doubt, taken as independent
            continue
        wanted = _outlook(home, gene, dam, listed, own)
        told = (odds.wish.each, *odds.wish.by_sex, odds.wish.parts.overall)
        found.outlook = max(found.outlook, *(abs(t - float(w)) for t, w in zip(told, wanted, strict=True)))
        found.outlooks += len(told)


def _outlook(
    home: Household, gene: str, dam: int, listed: tuple[tuple[int, int], ...], own: bool
) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    """Each hatchling, a son, a daughter that shows the gene, and at least one in six: summed over every world."""
    trait = home.trait
    # a look of two different alleles shows both
    shows = {look for look in map(trait.look, trait.genotypes) if gene in look}
    sums = [Fraction(0)] * 4
    total = Fraction(0)
    for genotypes, weight in home.worlds():
        total += weight
        by_sire = []
        for sire, percent in listed:
            shown = [(g, p) for g, p in young(trait, genotypes[sire], genotypes[dam]) if trait.look(g) in shows]
            sexes = [sum((p * _of_sex(trait, g, sex) for g, p in shown), Fraction(0)) for sex in "MF"]
            # of hatchlings: where each egg has its own sire, fewer are his whose young cannot all hatch
            hatch = alive(trait, genotypes[sire], genotypes[dam]) if own else Fraction(1)
            by_sire.append((Fraction(percent, 100) * hatch, sexes[0], sexes[1]))
        hatched = sum(share for share, _, _ in by_sire)
        son, daughter = (sum((share * one[at] for share, *one in by_sire), Fraction(0)) / hatched for at in (0, 1))
        shares = [(Fraction(1), son, daughter)] if own else by_sire
        missed = sum((share * (1 - m - f) ** 6 for share, m, f in shares), Fraction(0))
        for place, value in enumerate((son + daughter, son, daughter, 1 - missed)):
            sums[place] += weight * value
    each, son, daughter, at_least = (one / total for one in sums)
    return each, son, daughter, at_least


def _of_sex(trait: Trait, genotype: Genotype, sex: str) -> Fraction:
    return Fraction(int(genotype[0] == sex)) if trait.recombination is not None else Fraction(1, 2)
