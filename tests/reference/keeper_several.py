"""Families of clutches with several possible sires, at two genes at once, entered and compared as `keeper_books` does.

Given who sired whom the genes are independent, so that every world of each gene is summed for every choice of sires.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import product
from random import Random

from tests.reference.keeper_books import enter, genotype_of
from tests.reference.keeper_families import THIRDS, TRAITS, Text, creature
from tests.reference.keeper_worlds import HALF, ONE, Creature, Genotype, Household, young

from coilbook.derived.genetics_book import book_of
from coilbook.genetics.wish import wish_for
from coilbook.reads.identify import identity, read_base
from coilbook.reads.outlook import Asked, Pairing, read_outlook
from coilbook.reads.outlook_genetics import kept_genetics
from coilbook.records.ids import AnimalId
from coilbook.storage.collection import Collection

GENES = ("clown", "pastel")
#: the worlds of one gene: genotypes of all animals, weight
Worlds = list[tuple[tuple[Genotype, ...], Fraction]]
#: chance of a choice of sires, who sired whom, the worlds of each gene
Case = tuple[Fraction, dict[int, int | None], list[Worlds]]
_WILD = ((("", ""), ONE),)
_PASTEL = Text("", ("pastel",), ((("", "pastel"), ONE),))
_CLOWN = Text("", ("clown",), ((("clown", "clown"), ONE),))
#: what a text says of clown and of pastel
TEXTS: dict[str, tuple[Text, Text]] = {
    "": (Text("", None, _WILD), Text("", None, _WILD)),
    "normal": (Text("", ("",), _WILD), Text("", ("",), _WILD)),
    "Pastel": (Text("", ("",), _WILD), _PASTEL),
    "Clown": (_CLOWN, Text("", ("", "pastel"), _WILD)),
    "Pastel Clown": (_CLOWN, _PASTEL),
    **{
        f"Pastel {words}het clown": (
            Text("", ("",), ((("", "clown"), p), (("", ""), 1 - p)), (("clown", p),)),
            _PASTEL,
        )
        for words, p in (("", ONE), ("66% ", THIRDS), ("50% ", HALF))
    },
}  # fmt: skip


@dataclass
class Several:
    """One family at each gene: the same animals, parents and texts."""

    homes: tuple[Household, ...] = field(default_factory=lambda: tuple(Household(TRAITS[gene]) for gene in GENES))

    @property
    def creatures(self) -> list[Creature]:
        """The animals, as the first gene knows them."""
        return self.homes[0].creatures

    def doubts(self) -> list[tuple[tuple[int, ...], tuple[tuple[int | None, Fraction], ...]]]:
        """Young that share an unknown sire, and who it may be."""
        found: dict[object, tuple[tuple[int, ...], tuple[tuple[int | None, Fraction], ...]]] = {}
        for place, one in enumerate(self.creatures):
            if len(one.sires) > 1:
                key = ("litter", one.litter) if one.litter is not None else place
                found[key] = ((*found.get(key, ((), ()))[0], place), one.sires)
        return list(found.values())

    def cases(self) -> Iterator[Case]:
        """(chance, sire of each young in doubt, the worlds of each gene) of every choice of sires that can be."""
        doubts = self.doubts()
        for picks in product(*(sires for _, sires in doubts)):
            chance = ONE
            sires: dict[int, int | None] = {}
            for (members, _), (sire, share) in zip(doubts, picks):
                chance *= share
                sires |= dict.fromkeys(members, sire)
            worlds = []
            for home in self.homes:
                fixed = [
                    replace(one, sires=((sires[at], ONE),)) if at in sires else one
                    for at, one in enumerate(home.creatures)
                ]
                worlds.append(list(Household(home.trait, fixed).worlds()))
            if all(worlds):
                yield chance, sires, worlds

    def possible(self) -> bool:
        """Whether any choice of sires allows all that was seen."""
        return next(self.cases(), None) is not None


def random_several(chance: Random, size: int = 6) -> Several:
    """Two males and a dam or two, then young of doubtful and of known sires, whose looks are possible together."""
    home = Several()
    females = chance.randint(1, 2)
    for place in range(size):
        founder = place < 2 + females
        sex = "MMFF"[place] if founder else chance.choice("FM")
        bare = Creature("", "", sex, 100, lambda g: ONE, {}, {})
        if not founder:
            _parents(home, bare, chance)
        words = list(TEXTS)
        chance.shuffle(words)
        for text in words:
            _add(home, text, place, bare)
            if founder or home.possible():
                break
            for one in home.homes:
                one.creatures.pop()
    return home


def _parents(home: Several, one: Creature, chance: Random) -> None:
    animals = home.creatures
    one.dam = chance.choice([at for at, c in enumerate(animals) if c.sex == "F"])
    males = [at for at, c in enumerate(animals) if c.sex == "M"]
    way, last = chance.random(), animals[-1]
    if way < 0.35 and last.litter is not None:
        one.dam, one.sires, one.litter = last.dam, last.sires, last.litter
    elif way < 0.75:
        first, second = chance.sample([*males, None], 2)
        first, second = (first, second) if first is not None else (second, first)
        one.sires = ((first, Fraction(3, 5)), (second, Fraction(2, 5)))
        # a dam lays one clutch at a time: young of one dam and one list of males that hatched together are one
        same = [c.litter for c in animals if c.dam == one.dam and set(c.sires) == set(one.sires)]
        one.litter = same[0] if same else len(animals)
        if chance.random() < 0.3:
            # not known when it hatched: its sire is its own
            one.litter = None
    elif way < 0.9:
        one.sires = ((chance.choice(males), Fraction(7, 10)), (None, Fraction(3, 10)))
    else:
        one.sires = ((chance.choice(males), ONE),)


def _add(home: Several, text: str, place: int, bare: Creature) -> None:
    for one, said in zip(home.homes, TEXTS[text]):
        made = creature(one.trait, f"A-{place}", said, bare.sex, 100, Random(0), founder=True)
        made.text, made.typed = text, []
        made.sees = _sees(one, said)
        made.dam, made.sires, made.litter = bare.dam, bare.sires, bare.litter
        one.creatures.append(made)


def _sees(home: Household, said: Text) -> Callable[[Genotype], Fraction]:
    looks, trait = said.looks, home.trait
    return lambda g: ONE if looks is None or trait.look(g) in looks else Fraction(0)


@dataclass
class Found:
    """The largest differences met, and how many numbers were compared."""

    law: float = 0.0
    outlook: float = 0.0
    identity: float = 0.0
    numbers: int = 0
    #: how far the worst law of a gene by itself would have been off
    moved: float = 0.0


def compare_several(book: Collection, home: Several, found: Found) -> None:
    """Enter a family and compare laws, the outlook of every pair for both genes at once, and identification."""
    ids = enter(book, home.homes[0])
    cases = list(home.cases())
    _laws(book, home, ids, cases, found)
    _outlooks(book, home, ids, cases, found)
    _identities(book, home, ids, cases, found)


def _total(worlds: Worlds) -> Fraction:
    return sum((weight for _, weight in worlds), Fraction(0))


def _weights(cases: list[Case]) -> list[Case]:
    """(chance of each choice with everything known, sires, worlds of each gene)."""
    listed = []
    for chance, sires, worlds in cases:
        for one in worlds:
            chance *= _total(one)
        listed.append((chance, sires, worlds))
    whole = sum(chance for chance, _, _ in listed)
    return [(chance / whole, sires, worlds) for chance, sires, worlds in listed]


def _laws(book: Collection, home: Several, ids: list[AnimalId], cases: list[Case], found: Found) -> None:
    herd = book_of(book).current().herds["ball_python"]
    for at, one in enumerate(home.homes):
        view = herd.loci.get(one.trait.key)
        for place, animal in enumerate(ids):
            law: dict[Genotype, Fraction] = {}
            for chance, _, worlds in _weights(cases):
                total = _total(worlds[at])
                for genotypes, weight in worlds[at]:
                    law[genotypes[place]] = law.get(genotypes[place], Fraction(0)) + chance * weight / total
            if view is None:
                assert law == {("", ""): 1}
                continue
            alone = herd.together.joined.alone[list(herd.loci).index(one.trait.key)] if herd.together.joined else None
            for state, p in zip(view.states.states, view.law(herd.rows.place[animal]), strict=True):
                wanted = float(law.get(genotype_of(view.states.locus.alleles, state), Fraction(0)))
                found.law = max(found.law, abs(float(p) - wanted))
                found.numbers += 1
                if alone is not None:
                    by_itself = alone.posterior(herd.rows.place[animal])[view.states.index[state]]
                    found.moved = max(found.moved, abs(float(by_itself) - wanted))


def _outlooks(book: Collection, home: Several, ids: list[AnimalId], cases: list[Case], found: Found) -> None:
    genetics = kept_genetics(book, "ball_python")
    wish = wish_for(genetics.catalogue, dict.fromkeys(GENES))
    sex = [one.sex for one in home.creatures]
    males = [at for at, one in enumerate(sex) if one == "M"]
    for dam, sire in product([at for at, one in enumerate(sex) if one == "F"], males):
        odds = read_outlook(book, genetics, Pairing(ids[dam], ((ids[sire], 100),)), Asked(6, wish))
        assert odds.wish is not None and odds.by_gene == ()
        each, any_of_six = Fraction(0), Fraction(0)
        for chance, _, worlds in _weights(cases):
            shown = [_shown(one, home.homes[at], sire, dam) for at, one in enumerate(worlds)]
            for (p, first), (q, second) in product(*(by_pair.items() for by_pair in shown)):
                each += chance * first * second * p * q
                any_of_six += chance * first * second * (1 - (1 - p * q) ** 6)
        told = (odds.wish.each, odds.wish.parts.overall)
        found.outlook = max(found.outlook, *(abs(t - float(w)) for t, w in zip(told, (each, any_of_six))))
        found.numbers += 2


def _shown(worlds: Worlds, home: Household, sire: int, dam: int) -> dict[Fraction, Fraction]:
    """The law of the chance that a young of a pair shows the gene, over the worlds of one choice of sires."""
    total = _total(worlds)
    law: dict[Fraction, Fraction] = {}
    for genotypes, weight in worlds:
        p = sum((q for g, q in young(home.trait, genotypes[sire], genotypes[dam]) if home.trait.look(g)), Fraction(0))
        law[p] = law.get(p, Fraction(0)) + weight / total
    return law


def _identities(book: Collection, home: Several, ids: list[AnimalId], cases: list[Case], found: Found) -> None:
    """Who sired each young in doubt and what its parents can give it, by everything but itself."""
    genetics = kept_genetics(book, "ball_python")
    parents = {at for one in home.creatures for at in (one.dam, *(sire for sire, _ in one.sires))}
    for members, sires in home.doubts():
        # what its own young show is told on its page
        for place in set(members) - parents:
            got = identity(read_base(book, genetics, ids[place]), {})
            assert got is not None
            weights = _weights(list(_without(home, place).cases()))
            for number, (sire, _) in enumerate(sires):
                # its own look is on record, and counts towards its sire
                wanted = sum((chance for chance, by, _ in _weights(cases) if by[place] == sire), Fraction(0))
                names = [mate.id for mate, _ in got.base.sires]
                assert names[number:] == [] if sire is None else names[number] == ids[sire]
                found.identity = max(found.identity, abs(got.sires[number] - float(wanted)))
            for trait in got.traits:
                at = GENES.index(trait.locus)
                law = [Fraction(0)] * 3
                for chance, _, worlds in weights:
                    for genotypes, weight in worlds[at]:
                        law[genotypes[place].count(trait.locus)] += chance * weight / _total(worlds[at])
                off = [abs(p - float(w)) for p, w in zip(trait.doubt.parents, law)]
                found.identity = max(found.identity, *off)
                found.numbers += 4


def _without(home: Several, place: int) -> Several:
    """The same family, nothing being seen of one animal."""
    homes = []
    for one in home.homes:
        bare = [replace(c, sees=lambda g: ONE) if at == place else c for at, c in enumerate(one.creatures)]
        homes.append(Household(one.trait, bare))
    return Several(tuple(homes))
