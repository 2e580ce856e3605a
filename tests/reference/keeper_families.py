"""Random small families as a keeper enters them, with what each text means written out by hand beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from random import Random

from tests.reference.keeper_worlds import HALF, ONE, Creature, Genotype, Household, Law, Trait

THIRDS = Fraction(2, 3)


def recessive(name: str) -> Callable[[str, str], str]:
    return lambda a, b: name if a == b == name else ""


def by_dose(name: str) -> Callable[[str, str], str]:
    return lambda a, b: ("", name, f"super {name}")[(a == name) + (b == name)]


def albino_complex(a: str, b: str) -> str:
    if not a or not b:
        return ""
    return a if a == b else " + ".join(sorted((a, b)))


TRAITS = {
    "clown": Trait("clown", ("", "clown"), recessive("clown")),
    "TYR": Trait("TYR", ("", "albino", "toffee"), albino_complex),
    "pastel": Trait("pastel", ("", "pastel"), by_dose("pastel")),
    "lantern": Trait("lantern", ("", "lantern"), by_dose("lantern"), lethal=frozenset({"super lantern"})),
    "coral glow": Trait("coral glow", ("", "coral glow"), by_dose("coral glow"), recombination=Fraction(1, 20)),
}


@dataclass(frozen=True)
class Text:
    """A text: the looks it allows (None: any), the founder's alleles with their chances, and what is claimed."""

    words: str
    looks: tuple[str, ...] | None
    founder: tuple[tuple[tuple[str, str], Fraction], ...]
    claims: tuple[tuple[str, Fraction], ...] = ()


def _het(words: str, gene: str, chance: Fraction) -> Text:
    founder = ((("", gene), chance), (("", ""), 1 - chance))
    return Text(words, ("",), founder, ((gene, chance),))


def _plain(*words: str) -> list[Text]:
    return [Text(w, ("",) if w.endswith("normal") else None, ((("", ""), ONE),)) for w in words]


TEXTS = {
    "clown": [
        *_plain("", "normal", "Blorpfen", "0.1"),
        _het("het clown", "clown", ONE), _het("66% het clown", "clown", THIRDS), _het("50% het clown", "clown", HALF),
        Text("Clown", ("clown",), ((("clown", "clown"), ONE),)),
    ],
    "TYR": [
        *_plain("", "normal"),
        _het("66% het albino", "albino", THIRDS), _het("het toffee", "toffee", ONE),
        Text("Albino", ("albino",), ((("albino", "albino"), ONE),)),
        Text("Toffino", ("albino + toffee",), ((("albino", "toffee"), ONE),)),
        Text("Toffee", ("toffee",), ((("toffee", "toffee"), ONE),)),
    ],
    "pastel": [
        *_plain("", "normal"),
        Text("Clown", ("", "pastel"), ((("", ""), ONE),)),
        Text("Pastel", ("pastel",), ((("", "pastel"), ONE),)),
        Text("super pastel", ("super pastel",), ((("pastel", "pastel"), ONE),)),
        Text("poss super pastel", ("pastel", "super pastel"),
             ((("", "pastel"), HALF), (("pastel", "pastel"), HALF))),
    ],
    "lantern": [*_plain("", "normal"), Text("Lantern", ("lantern",), ((("", "lantern"), ONE),))],
    "coral glow": [
        *_plain("", "normal"),
        Text("Coral Glow", ("coral glow",), ((("", "coral glow"), ONE),)),
        Text("super coral glow", ("super coral glow",), ((("coral glow", "coral glow"), ONE),)),
    ],
}  # fmt: skip


def creature(trait: Trait, name: str, text: Text, sex: str, percent: int, chance: Random, founder: bool) -> Creature:
    """An animal of which a text and now and then more is known."""
    sees: list[Callable[[Genotype], Fraction]] = []
    if text.looks is not None:
        sees.append(lambda g: ONE if trait.look(g) in text.looks else Fraction(0))  # type: ignore[operator]
    typed = []
    if trait.recombination is not None and sex != "U":
        sure = Fraction(percent, 100)
        sees.append(lambda g: sure if g[0] == sex else 1 - sure)
    tested = trait.alleles[1]
    law = _founder_law(trait, text)
    has_claim = any(gene == tested for gene, _ in text.claims)
    if trait.recombination is None and chance.random() < 0.2 and (has_claim or not founder):
        copies, error = chance.choice([0, 1]), Fraction(chance.choice([1, 10]), 100)
        sees.append(lambda g: 1 - error if g.count(tested) == copies else error / 2)
        typed.append(f"test {tested} {copies} {100 * error}%")
    if trait.key == "pastel" and text.words == "" and not founder and chance.random() < 0.5:
        sees.append(lambda g: Fraction(3, 5) if tested in g else Fraction(2, 5))
        typed.append("pastel 60%")
    everything = tuple(sees)

    def all_seen(genotype: Genotype) -> Fraction:
        weight = ONE
        for one in everything:
            weight *= one(genotype)
        return weight

    return Creature(name, text.words, sex, percent, all_seen, law, dict(text.claims), typed=typed)


def _founder_law(trait: Trait, text: Text) -> Law:
    if trait.recombination is None:
        return {tuple(sorted(pair)): p for pair, p in text.founder if p}
    law: Law = {}
    for (a, b), p in text.founder:
        law["F", *sorted((a, b))] = law.get(("F", *sorted((a, b))), Fraction(0)) + p / 2
        for male in (("M", a, b), ("M", b, a)):
            law[male] = law.get(male, Fraction(0)) + p / 4
    return law


def random_household(key: str, chance: Random, size: int = 7) -> Household:
    """A family whose looks are possible: each young gets a text that fits a genotype drawn for it."""
    trait = TRAITS[key]
    home = Household(trait)
    texts = TEXTS[key]
    if key == "coral glow":
        size -= 1
    founders = chance.randint(3, 4)
    for place in range(size):
        founder = place < founders
        sex = "FM"[place % 2] if founder else chance.choice("FMU")
        percent = 100 if founder or sex == "U" or key != "coral glow" else chance.choice([100, 80])
        name = f"A-{place}"
        if founder:
            home.creatures.append(creature(trait, name, chance.choice(texts), sex, percent, chance, founder=True))
            continue
        bare = Creature(name, "", sex, percent, lambda g: ONE, {}, {})
        _give_parents(home, bare, chance)
        fitting = []
        for text in texts:
            one = creature(trait, name, text, sex, percent, chance, founder=False)
            one.dam, one.sires, one.litter = bare.dam, bare.sires, bare.litter
            home.creatures.append(one)
            if home.laws():
                fitting.append(one)
            home.creatures.pop()
        home.creatures.append(chance.choice(fitting))
    return home


def _give_parents(home: Household, one: Creature, chance: Random) -> None:
    place = len(home.creatures)
    sure = [c.sex if c.sex_percent == 100 else "" for c in home.creatures]
    dams = [i for i in range(place) if sure[i] == "F"]
    males = [i for i in range(place) if sure[i] == "M"]
    chance.shuffle(males)
    one_litter = [c for c in home.creatures if c.litter is not None]
    if one_litter and chance.random() < 0.5:
        one.dam, one.sires, one.litter = one_litter[0].dam, one_litter[0].sires, one_litter[0].litter
        return
    one.dam = chance.choice(dams) if chance.random() < 0.85 else None
    kind = chance.random()
    if kind < 0.6 or len(males) < 2:
        one.sires = ((males[0], ONE),)
    elif kind < 0.85 and one.dam is not None and not one_litter:
        one.sires, one.litter = ((males[0], Fraction(3, 5)), (males[1], Fraction(2, 5))), place
    elif one.dam is not None and kind < 0.95:
        one.sires = ((males[0], Fraction(7, 10)), (None, Fraction(3, 10)))
        one.litter = None
    elif one.dam is not None:
        one.sires = ()
    else:
        one.sires = ((males[0], ONE),)
