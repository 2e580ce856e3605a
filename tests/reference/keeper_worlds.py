"""What a keeper's texts and parents come to, worked out a second time: every world of a family, in exact fractions.

Nothing of the program's genetics is used here. A genotype is a tuple: (allele, allele) sorted, or on the sex
chromosomes ("F", allele, allele) sorted and ("M", allele on X, allele on Y). Readings of texts are the documented ones,
written out gene by gene. Families are drawn from their own law, so that their looks are possible.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from itertools import product
from random import Random

Genotype = tuple[object, ...]
Law = dict[Genotype, Fraction]
HALF, ONE = Fraction(1, 2), Fraction(1)


@dataclass(frozen=True)
class Trait:
    """A locus: alleles ("" the wild one), looks by alleles, whether linked (recombination) and which looks kill."""

    key: str
    alleles: tuple[str, ...]
    look_of: Callable[[str, str], str]
    recombination: Fraction | None = None
    lethal: frozenset[str] = frozenset()

    @property
    def genotypes(self) -> list[Genotype]:
        """All of them, those that cannot hatch left out."""
        pairs = [tuple(sorted(p)) for p in product(self.alleles, repeat=2)]
        found: list[Genotype] = sorted(set(pairs))
        if self.recombination is not None:
            found = [("F", *p) for p in sorted(set(pairs))] + [("M", *p) for p in product(self.alleles, repeat=2)]
        return [g for g in found if self.look(g) not in self.lethal]

    def look(self, genotype: Genotype) -> str:
        """What an animal of this genotype looks like."""
        first, second = genotype[-2:]
        return self.look_of(str(first), str(second))

    def gametes(self, genotype: Genotype) -> list[tuple[str, str, Fraction]]:
        """(allele, sex it makes or "", chance)."""
        first, second = (str(a) for a in genotype[-2:])
        if genotype[0] != "M" or self.recombination is None:
            return [(first, "", HALF), (second, "", HALF)]
        stay, cross = (1 - self.recombination) / 2, self.recombination / 2
        return [(first, "F", stay), (second, "M", stay), (first, "M", cross), (second, "F", cross)]


@lru_cache(maxsize=100_000)
def young(trait: Trait, sire: Genotype, dam: Genotype) -> tuple[tuple[Genotype, Fraction], ...]:
    """The law of a hatched young; what cannot hatch is left out within each sex."""
    law: Law = {}
    for (a, sex, p), (b, _, q) in product(trait.gametes(sire), trait.gametes(dam)):
        child: Genotype = tuple(sorted((a, b)))
        if trait.recombination is not None:
            child = ("F", *sorted((a, b))) if sex == "F" else ("M", b, a)
        law[child] = law.get(child, Fraction(0)) + p * q
    hatched = {g: p for g, p in law.items() if trait.look(g) not in trait.lethal}
    found: Law = {}
    for sex in ("F", "M") if trait.recombination is not None else ("",):
        mine = {g: p for g, p in hatched.items() if not sex or g[0] == sex}
        total = sum(mine.values()) * (2 if sex else 1)
        found |= {g: p / total for g, p in mine.items()}
    return tuple(found.items())


@lru_cache(maxsize=100_000)
def alive(trait: Trait, sire: Genotype, dam: Genotype) -> Fraction:
    """The share of a pair's eggs whose genotype can hatch."""
    eggs = product(trait.gametes(sire), trait.gametes(dam))
    return sum((p * q for (a, _, p), (b, _, q) in eggs if trait.look_of(a, b) not in trait.lethal), Fraction(0))


@dataclass
class Creature:
    """One animal. `sees` weighs each genotype by what is known of it; `founder` and `handed` are priors."""

    name: str
    text: str
    sex: str
    sex_percent: int
    sees: Callable[[Genotype], Fraction]
    founder: Law
    #: chance that an unrecorded parent of it hands on each allele
    handed: dict[str, Fraction]
    dam: int | None = None
    sires: tuple[tuple[int | None, Fraction], ...] = ()
    #: young with the same number have one sire; None: each its own
    litter: int | None = None
    typed: list[str] = field(default_factory=list)


@dataclass
class Household:
    """A family at one locus, parents before young."""

    trait: Trait
    creatures: list[Creature] = field(default_factory=list)

    def worlds(self) -> Iterator[tuple[tuple[Genotype, ...], Fraction]]:
        """Every possible world with its weight."""
        yield from self._grow((), ONE, {})

    def _grow(
        self, so_far: tuple[Genotype, ...], weight: Fraction, chosen: dict[int, tuple[int | None, Genotype | None]]
    ) -> Iterator[tuple[tuple[Genotype, ...], Fraction]]:
        if len(so_far) == len(self.creatures):
            yield so_far, weight
            return
        one = self.creatures[len(so_far)]
        if one.dam is None and not one.sires:
            for genotype, p in one.founder.items():
                if seen := p * one.sees(genotype):
                    yield from self._grow((*so_far, genotype), weight * seen, chosen)
            return
        mothers: Law = {so_far[one.dam]: ONE} if one.dam is not None else self.unrecorded(one, "F")
        for sire, father, share, after in self._fathers(one, so_far, chosen):
            assert sire is None or father == so_far[sire]
            for mother, q in mothers.items():
                for genotype, p in young(self.trait, father, mother):
                    if seen := share * q * p * one.sees(genotype):
                        yield from self._grow((*so_far, genotype), weight * seen, after)

    def _fathers(
        self, one: Creature, so_far: tuple[Genotype, ...], chosen: dict[int, tuple[int | None, Genotype | None]]
    ) -> Iterator[tuple[int | None, Genotype, Fraction, dict[int, tuple[int | None, Genotype | None]]]]:
        if one.litter is not None and one.litter in chosen:
            sire, genotype = chosen[one.litter]
            yield sire, so_far[sire] if sire is not None else genotype, ONE, chosen  # type: ignore[misc]
            return
        for sire, share in one.sires or ((None, ONE),):
            options: Law = {so_far[sire]: ONE} if sire is not None else self.unrecorded(one, "M")
            for genotype, p in options.items():
                after = chosen if one.litter is None else {**chosen, one.litter: (sire, genotype)}
                yield sire, genotype, share * p, after

    def unrecorded(self, one: Creature, sex: str) -> Law:
        """The parent that is not recorded: two copies of a claimed allele with its chance, one claim after another."""
        law: Law = {("", ""): ONE}
        for allele, chance in one.handed.items():
            law = {g: p * (1 - chance) for g, p in law.items()}
            law[allele, allele] = law.get((allele, allele), Fraction(0)) + chance
        if self.trait.recombination is not None:
            return {(sex, *g): p for g, p in law.items()}
        return law

    def laws(self) -> list[Law]:
        """By creature, the law of its genotype; empty where no world is possible."""
        found: list[Law] = [{} for _ in self.creatures]
        total = Fraction(0)
        for genotypes, weight in self.worlds():
            total += weight
            for law, genotype in zip(found, genotypes, strict=True):
                law[genotype] = law.get(genotype, Fraction(0)) + weight
        return [{g: p / total for g, p in law.items()} for law in found] if total else []

    def joint(self, one: int, other: int) -> dict[tuple[Genotype, Genotype], Fraction]:
        """The joint law of two of them."""
        found: dict[tuple[Genotype, Genotype], Fraction] = {}
        for genotypes, weight in self.worlds():
            key = genotypes[one], genotypes[other]
            found[key] = found.get(key, Fraction(0)) + weight
        total = sum(found.values())
        return {key: p / total for key, p in found.items()}

    def paper(self) -> list[Law | None]:
        """On paper: parents by their own paper law, raised where proven, taken as independent; and the sure look."""
        laws = self.laws()
        papers: list[Law | None] = []
        for place, one in enumerate(self.creatures):
            if one.dam is None and not one.sires:
                papers.append(one.founder)
                continue
            mothers = self._status(one.dam, papers, laws, "F") if one.dam is not None else self.unrecorded(one, "F")
            law: Law = {}
            for sire, share in one.sires or ((None, ONE),):
                known = sire is not None
                fathers = self._status(sire, papers, laws, "M") if known else self.unrecorded(one, "M")  # type: ignore[arg-type]
                for (father, p), (mother, q) in product(fathers.items(), mothers.items()):
                    for genotype, chance in young(self.trait, father, mother):
                        if self.creatures[place].sees(genotype):
                            law[genotype] = law.get(genotype, Fraction(0)) + share * p * q * chance
            total = sum(law.values())
            papers.append({g: p / total for g, p in law.items()} if total else None)
        return papers

    def _status(self, place: int, papers: list[Law | None], laws: list[Law], sex: str) -> Law:
        proven = {a for a in self.trait.alleles[1:] if all(a in g[-2:] for g in laws[place])}
        law = papers[place] or {}
        kept = {g: p for g, p in law.items() if all(a in g[-2:] for a in proven)}
        if self.trait.recombination is not None:
            kept = {g: p for g, p in kept.items() if g[0] == sex}
        total = sum(kept.values())
        return {g: p / total for g, p in kept.items()}

    def draw(self, chance: Random) -> tuple[Genotype, ...] | None:
        """One world, by its weight."""
        worlds = list(self.worlds())
        if not worlds:
            return None
        return chance.choices([w for w, _ in worlds], [float(p) for _, p in worlds])[0]
