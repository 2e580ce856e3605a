"""Identification of a hatchling: what its parents can give, what was seen, and both together, as frozen rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import islice

import numpy as np

from coilbook.genetics.evidence import likelihood
from coilbook.genetics.hatchling_card import Settling, card, ways
from coilbook.genetics.identify import SEX_UNSEEN, Candidate, Doubt, Identification
from coilbook.genetics.impossible import Suspect, faults, suspects
from coilbook.genetics.known import Known
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.notation_printer import in_order, print_statements
from coilbook.genetics.outlook import Outlook, Part
from coilbook.genetics.outlook_pair import NEVER
from coilbook.genetics.sights import Sight, lean
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.genetics.wish import showing
from coilbook.reads.outlook_genetics import KeptGenetics
from coilbook.reads.outlook_source import Mate, PairWorlds, WorldLoci, mates
from coilbook.records.ids import AnimalId, FindingId
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection

#: candidates listed
FIRST_CANDIDATES = 8


class Call(StrEnum):
    """What a keeper says of one gene of the hatchling at hand."""

    SEEN = "seen"
    TWO = "two"
    NOT_SEEN = "not seen"
    LEAN = "lean"


@dataclass(frozen=True, slots=True)
class Said:
    """A call about an allele; `percent` of a lean: how far towards it."""

    allele: int
    call: Call
    percent: int = 100


@dataclass(frozen=True, eq=False)
class Base:
    """What identification starts from. `refused` where there is nothing to identify it by.

    `recorded` are the sights the book has of it by locus, tests among them; `tests` the tests alone, which stand
    whatever is said now; `findings` the finding in force that holds each look.
    """

    animal: Mate
    dam: Mate | None = None
    sires: tuple[tuple[Mate, float], ...] = ()
    #: the chance that the sire is a male not on record, the last of the outlook's sires
    unknown: float = 0.0
    outlook: Outlook | None = None
    recorded: Mapping[str, Sight] = field(default_factory=dict)
    tests: Mapping[str, Floats] = field(default_factory=dict)
    findings: Mapping[str, FindingId] = field(default_factory=dict)
    sex_seen: tuple[float, float] = SEX_UNSEEN
    #: its own young say more than is told here
    has_young: bool = False
    #: too many sires are possible to be weighed over all loci together (`genetics_words.SIRES_BY_GENE` is said of it)
    by_gene: bool = False
    refused: Message | None = None


@dataclass(frozen=True, slots=True)
class Trait:
    """One gene the parents may have given: chances of no, one and two copies; `said` now, `recorded` before.

    `by_one`: one copy shows. `ways` what would settle it.
    """

    locus: str
    allele: int
    name: str
    by_one: bool
    doubt: Doubt
    said: Said | None
    recorded: bool
    ways: tuple[Settling, ...]


@dataclass(frozen=True, eq=False)
class Identity:
    """The answer for what was seen so far."""

    base: Base
    traits: tuple[Trait, ...]
    candidates: tuple[tuple[str, Candidate], ...]
    rest: float
    sex: tuple[float, float]
    sex_by_look: tuple[float, float]
    sires: tuple[float, ...]
    card: str
    suspects: tuple[Suspect, ...] = ()
    faults: tuple[str, ...] = ()


def read_base(collection: Collection, genetics: KeptGenetics, animal: AnimalId) -> Base:
    """Parents' odds without the hatchling's own evidence, and what the book has seen of it."""
    parents, listed = genetics.parents_of(animal)
    known = mates(collection, [animal, *parents, *(sire for sire, _ in listed)])
    base = Base(known[animal])
    if not parents or not listed:
        return replace(base, refused=say("Name its dam and its sire first; then its parents say what it can be."))
    dam, unknown = parents[0], max(0.0, 1 - sum(weight for _, weight in listed))
    sires = tuple((known[sire], weight) for sire, weight in listed)
    states = genetics.loci_of([dam, *(sire.id for sire, _ in sires), animal])
    found = genetics.worlds_without(dam, [sire.id for sire, _ in sires], animal, [one.locus.key for one in states])
    if any(np.isnan(joints).any() for joints in found.joints.values()):
        words = say("Its family contradicts itself beside it; settle that first.")
        return replace(base, refused=words)
    chances = [*(weight for _, weight in sires), unknown]
    parts = _parts(states, found, chances, _places(genetics.candidates(animal), [sire.id for sire, _ in sires]))
    recorded, tests = {}, {}
    for one in states:
        known_of_it = genetics.known_of(one.locus.key, animal)
        sight = _recorded(one, known_of_it)
        if sight is not None:
            recorded[one.locus.key] = sight
        if known_of_it.tests:
            tests[one.locus.key] = likelihood(one, Known(tests=known_of_it.tests))
    return replace(
        base,
        dam=known[dam],
        sires=sires,
        unknown=unknown if unknown > NEVER else 0.0,
        outlook=Outlook(genetics.catalogue, parts),
        recorded=recorded,
        tests=tests,
        findings=genetics.sight_findings(animal),
        sex_seen=_sexed(base.animal),
        has_young=genetics.has_young(animal),
        by_gene=found.by_gene or bool(genetics.by_gene([animal, dam, *(sire.id for sire, _ in sires)])),
    )


def _places(candidates: Sequence[AnimalId | None], sires: Sequence[AnimalId]) -> list[int]:
    """The place of each candidate among the sires listed; the one after them is a male not on record."""
    return [sires.index(one) if one is not None else len(sires) for one in candidates]


def _parts(
    states: Sequence[LocusStates], found: PairWorlds, chances: Sequence[float], places: Sequence[int]
) -> tuple[Part, ...]:
    """Every sire in every world; `chances` of the sires and a male not on record where a world does not say who it was.

    What siblings and other genes show of the sire is in the chances of the worlds.
    """
    loci, parts = WorldLoci(states, found), []
    for world, weight in enumerate(found.weights.tolist()):
        said = int(found.sires[world])
        listed = [(places[said], 1.0)] if said >= 0 else list(enumerate(chances))
        for sire, chance in listed:
            if weight * chance > NEVER:
                parts.append(Part(weight * chance, loci.of(world, sire), sire, world))
    total = sum(part.weight for part in parts)
    return tuple(replace(part, weight=part.weight / total) for part in parts)


def _recorded(states: LocusStates, known: Known) -> Sight | None:
    """What the book has seen at a locus; a look seen to be normal for sure is a plain sight."""
    if not known.sightings and not known.tests:
        return None
    plain = not known.tests and all(s.seen and s.sure == 1 and s.looks == frozenset({""}) for s in known.sightings)
    bare = Known(known.sightings, known.tests, hidden=frozenset() if plain else known.hidden)
    return Sight(likelihood(states, bare), plain)


def _sexed(animal: Mate) -> tuple[float, float]:
    if animal.sex is Sex.UNSEXED:
        return SEX_UNSEEN
    sure = animal.sex_percent / 100
    return (sure, 1 - sure) if animal.sex is Sex.MALE else (1 - sure, sure)


def sight_of(states: LocusStates, said: Said) -> Sight:
    """A call as evidence."""
    shows = showing(states, said.allele)
    match said.call:
        case Call.SEEN:
            return Sight(shows.astype(np.float64))
        case Call.TWO:
            return Sight(_two(states, said.allele).astype(np.float64))
        case Call.NOT_SEEN:
            return Sight((~shows).astype(np.float64), plain=True)
        case Call.LEAN:
            return lean(shows, said.percent)


def looks_said(states: LocusStates, said: Said) -> tuple[str, ...]:
    """The looks (keys) a call is about, as a finding holds them."""
    mask = _two(states, said.allele) if said.call is Call.TWO else showing(states, said.allele)
    return tuple(dict.fromkeys(look.key for look, there in zip(states.looks, mask.tolist()) if there))


def _two(states: LocusStates, allele: int) -> Bools:
    return states.with_look(states.locus.look(allele, allele).key)


def identity(base: Base, said: Mapping[str, Said]) -> Identity | None:
    """What it can be, with what is said now in the place of what was recorded at those loci."""
    outlook = base.outlook
    if outlook is None:
        return None
    states = {locus.key: locus.states for locus in outlook.loci}
    sights = dict(base.recorded)
    for key, one in said.items():
        if key in states:
            sight = sight_of(states[key], one)
            tested = base.tests.get(key)
            sights[key] = sight if tested is None else Sight(sight.likelihood * tested)
    found = Identification(outlook, sights, base.sex_seen)
    if not found.possible:
        return _impossible(base, found, said)
    doubts = found.doubts()
    traits = _traits(base, doubts, said)
    first = tuple(islice(found.candidates(), FIRST_CANDIDATES))
    catalogue = outlook.catalogue
    return Identity(
        base,
        traits,
        tuple((_named(outlook, candidate), candidate) for candidate in first),
        max(0.0, 1 - sum(candidate.chance for candidate in first)),
        found.sex,
        found.sex_by_look,
        _of_all(base, found.sires),
        print_statements(in_order(card(catalogue, doubts), catalogue), catalogue),
    )


def _of_all(base: Base, sires: tuple[float, ...]) -> tuple[float, ...]:
    """The chance of every sire listed, and of a male not on record, the last ones that cannot be it included."""
    count = len(base.sires) + (base.unknown > 0)
    return (*sires, *(0.0 for _ in range(count - len(sires))))


def _impossible(base: Base, found: Identification, said: Mapping[str, Said]) -> Identity:
    doubts = replace(found, sights={}, sex_seen=SEX_UNSEEN).doubts()
    traits = _traits(base, doubts, said)
    return Identity(
        base,
        traits,
        (),
        0.0,
        found.sex_seen,
        SEX_UNSEEN,
        (),
        "",
        tuple(suspects(found)),
        tuple(faults(found)),
    )


def _traits(base: Base, doubts: list[Doubt], said: Mapping[str, Said]) -> tuple[Trait, ...]:
    """What the parents leave in doubt first: an order that no call changes."""
    made = (_trait(base, doubt, said) for doubt in doubts)
    return tuple(sorted(made, key=lambda trait: max(trait.doubt.parents) > 1 - NEVER))


def _trait(base: Base, doubt: Doubt, said: Mapping[str, Said]) -> Trait:
    assert base.outlook is not None
    catalogue = base.outlook.catalogue
    locus = catalogue.loci[doubt.locus]
    gene = catalogue.genes[locus.alleles[doubt.allele]]
    now = said.get(doubt.locus)
    by_one = locus.inheritance(doubt.allele) is not Inheritance.RECESSIVE
    return Trait(
        doubt.locus,
        doubt.allele,
        gene.name,
        by_one,
        doubt,
        now if now is not None and now.allele == doubt.allele else None,
        doubt.locus in base.recorded,
        tuple(ways(catalogue, doubt)),
    )


def _named(outlook: Outlook, candidate: Candidate) -> str:
    """A genotype as a keeper says it: "Clown Super Enchi", "Pastel het clown"."""
    catalogue = outlook.catalogue
    doubts = []
    for key, allele, copies in candidate.copies:
        law = (0.0, 1.0, 0.0) if copies == 1 else (0.0, 0.0, 1.0)
        doubts.append(Doubt(key, allele, law, None, law))
    words = print_statements(in_order(card(catalogue, doubts), catalogue), catalogue)
    return words or "normal"
