"""Pairings written out by hand: every pair of parents, every egg, in fractions. Slow and plain on purpose."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from itertools import product

import numpy as np

from coilbook.genetics.catalogue import Catalogue, Gene, Grade, Provenance
from coilbook.genetics.locus import Inheritance, Linkage, Locus, Look, SexSystem, series_locus, simple_locus
from coilbook.genetics.outlook_pair import PairLocus
from coilbook.genetics.states import LocusStates, State
from coilbook.records.vocabulary import Sex

FROM_MEMORY = Provenance(Grade.FROM_MEMORY)
HALF = Fraction(1, 2)

CLOWN = simple_locus("clown", Inheritance.RECESSIVE)
PIED = simple_locus("piebald", Inheritance.RECESSIVE)
PASTEL = simple_locus("pastel", Inheritance.INCOMPLETE_DOMINANT, one="Pastel", two="Super Pastel")
ENCHI = simple_locus("enchi", Inheritance.INCOMPLETE_DOMINANT, one="Enchi", two="Super Enchi")
LEOPARD = simple_locus("leopard", Inheritance.DOMINANT)
#: a made-up gene whose double dose does not hatch
SPECKLE = simple_locus("speckle", Inheritance.INCOMPLETE_DOMINANT, lethal_double=True)
#: a made-up gene on the sex chromosomes
EMBER = simple_locus("ember", Inheritance.INCOMPLETE_DOMINANT, linkage=Linkage(0.05))
SERIES = series_locus(
    "butter",
    ("butter", "phantom"),
    (Look("", "normal"), Look("butter", "Butter"), Look("phantom", "Phantom"), Look("bel", "blue-eyed white")),
    {
        ("+", "butter"): "butter",
        ("+", "phantom"): "phantom",
        ("butter", "butter"): "bel",
        ("butter", "phantom"): "bel",
        ("phantom", "phantom"): "phantom",
    },
)


def catalogue(*loci: Locus, hides: Mapping[str, tuple[str, ...]] | None = None) -> Catalogue:
    """A catalogue of these loci, every allele a gene; `hides` by the key of the gene whose look hides."""
    genes = {
        allele: Gene(allele, allele.title(), locus.key, FROM_MEMORY) for locus in loci for allele in locus.alleles[1:]
    }
    masks = {(genes[key].locus, key): frozenset(hidden) for key, hidden in (hides or {}).items()}
    return Catalogue("test", "test", SexSystem.XY, {locus.key: locus for locus in loci}, genes, masks=masks)


class Parents:
    """One locus of a pairing by hand: `law` by (sire state, dam state) in fractions that sum to 1."""

    def __init__(self, locus: Locus, law: Mapping[tuple[State, State], Fraction]) -> None:
        self.states = LocusStates(locus, SexSystem.XY)
        self.law = law
        assert sum(law.values()) == 1

    def quick(self) -> PairLocus:
        """The same for the program."""
        size = len(self.states.states)
        joint = np.zeros((size, size))
        for (sire, dam), chance in self.law.items():
            joint[self.states.index[sire], self.states.index[dam]] = float(chance)
        return PairLocus(self.states, joint)


def doses(locus: Locus, sire: Mapping[tuple[int, int], Fraction], dam: Mapping[tuple[int, int], Fraction]) -> Parents:
    """Independent parents of an autosomal locus, by their two alleles."""
    return Parents(
        locus, {(State(*s), State(*d)): p * q for (s, p), (d, q) in product(sire.items(), dam.items()) if p * q}
    )


WILD, HET, TWO = (0, 0), (0, 1), (1, 1)


def sure(genotype: tuple[int, int]) -> dict[tuple[int, int], Fraction]:
    """A parent that is this for certain."""
    return {genotype: Fraction(1)}


def possible_het(chance: Fraction) -> dict[tuple[int, int], Fraction]:
    """A possible het."""
    return {HET: chance, WILD: 1 - chance}


def gametes(parent: State, linkage: Linkage | None) -> Iterator[tuple[int, Sex | None, Fraction]]:
    """(allele, the sex it makes where it decides, chance) of an XY species."""
    if not parent.ordered:
        yield parent.first, None, HALF
        yield parent.second, None, HALF
        return
    r = Fraction(linkage.recombination).limit_denominator(1000) if linkage else HALF
    yield parent.first, Sex.FEMALE, HALF * (1 - r)
    yield parent.second, Sex.FEMALE, HALF * r
    yield parent.second, Sex.MALE, HALF * (1 - r)
    yield parent.first, Sex.MALE, HALF * r


def eggs(locus: Locus, sire: State, dam: State) -> dict[tuple[State, Sex], Fraction]:
    """The law of a fertile egg, with its sex; lethal genotypes included."""
    law: dict[tuple[State, Sex], Fraction] = {}
    for (a, way, p), (b, _, q) in product(gametes(sire, locus.linkage), gametes(dam, locus.linkage)):
        for sex in (Sex.MALE, Sex.FEMALE) if way is None else (way,):
            if locus.linkage is None:
                state, chance = State(min(a, b), max(a, b)), p * q * HALF
            elif sex is Sex.FEMALE:
                state, chance = State(min(a, b), max(a, b), Sex.FEMALE), p * q
            else:
                state, chance = State(b, a, Sex.MALE, ordered=True), p * q
            law[state, sex] = law.get((state, sex), Fraction(0)) + chance
    return law


def look(locus: Locus, state: State) -> Look:
    """What a state looks like."""
    return locus.looks[locus.table[state.first][state.second]]


def hatched(locus: Locus, sire: State, dam: State) -> dict[Sex, dict[State, Fraction]]:
    """The law of a hatchling of each sex: lethal genotypes left out."""
    law = eggs(locus, sire, dam)
    found = {}
    for sex in (Sex.MALE, Sex.FEMALE):
        living = {state: p for (state, s), p in law.items() if s is sex and not look(locus, state).lethal}
        total = sum(living.values())
        found[sex] = {state: p / total for state, p in living.items()}
    return found


Young = tuple[State, ...]


def young_law(loci: tuple[Parents, ...], pair: tuple[tuple[State, State], ...]) -> dict[tuple[Young, Sex], Fraction]:
    """The law of a hatchling's states at all loci, and its sex, of one settled pair of parents."""
    law: dict[tuple[Young, Sex], Fraction] = {}
    laws = [hatched(parents.states.locus, *one) for parents, one in zip(loci, pair)]
    for sex in (Sex.MALE, Sex.FEMALE):
        for drawn in product(*(by_sex[sex].items() for by_sex in laws)):
            chance = HALF
            for _, p in drawn:
                chance *= p
            key = (tuple(state for state, _ in drawn), sex)
            law[key] = law.get(key, Fraction(0)) + chance
    return law


def pairs(loci: tuple[Parents, ...]) -> Iterator[tuple[Fraction, tuple[tuple[State, State], ...]]]:
    """Everything the two parents can be, with its chance."""
    for drawn in product(*(parents.law.items() for parents in loci)):
        chance = Fraction(1)
        for _, p in drawn:
            chance *= p
        yield chance, tuple(pair for pair, _ in drawn)


def chance_of(loci: tuple[Parents, ...], wanted: Callable[[Young, Sex], bool], count: int) -> Fraction:
    """The chance of at least one wanted among `count` hatchlings."""
    total = Fraction(0)
    for weight, pair in pairs(loci):
        each = sum((p for (young, sex), p in young_law(loci, pair).items() if wanted(young, sex)), Fraction(0))
        total += weight * (1 - (1 - each) ** count)
    return total
