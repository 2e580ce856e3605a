"""The outlook of pairings: frozen rows for the screen, computed from the parents' joint laws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice

import numpy as np

from coilbook.genetics import outlook_chance as chance
from coilbook.genetics.masking import NOTHING
from coilbook.genetics.outlook import Group, Outlook, Part
from coilbook.genetics.outlook_clutch import ClutchLaw
from coilbook.genetics.outlook_mind import Mind, Unhatched, to_mind, unhatched
from coilbook.genetics.outlook_pair import Cases
from coilbook.genetics.outlook_sires import hang_together
from coilbook.genetics.states import Bools
from coilbook.genetics.wish import Wish
from coilbook.reads.look_words import carried_words, group_title
from coilbook.reads.outlook_cards import CardOfTheRest, cards_of_the_rest
from coilbook.reads.outlook_source import GeneticsNow, Mate, WorldLoci, as_parents, mates
from coilbook.reads.outlook_unsaid import LeftOpen, left_open
from coilbook.reads.own_clutches import NextClutch, OwnClutch, OwnClutches, next_clutch, own_clutches
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection

#: groups listed before the rest is opened
FIRST_GROUPS = 12
#: animals named of a contradiction, at most
MOST_NAMED = 6
#: chances a keeper plans for
PLANNED = (0.5, 0.8, 0.9)


@dataclass(frozen=True, slots=True)
class Pairing:
    """A dam and her sire, or several with the chance of each in percent: of the clutch, or of each egg (`each_own`)."""

    dam: AnimalId
    sires: tuple[tuple[AnimalId, int], ...]
    each_own: bool = False


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of every pairing on the page: how many hatchlings, and what is looked for."""

    hatchlings: int = 6
    wish: Wish | None = None


@dataclass(frozen=True, eq=False)
class LookRow:
    """Young that cannot be told apart at hatch. `in_doubt`: only if the parents carry what it takes.

    `carried`: what it carries without showing ("60% het clown").
    `wanted`: every one of them is what is looked for; `several`: it can be opened to looks that hide in it.
    """

    title: str
    carried: str
    each: float
    expected: float
    at_least_one: float
    by_sex: tuple[float, float]
    in_doubt: bool
    wanted: bool
    several: bool
    group: Group


@dataclass(frozen=True, slots=True)
class Proven:
    """What the chances become once a parent is proven to carry what is looked for."""

    parent: Sex
    each: float
    at_least_one: float


@dataclass(frozen=True, slots=True)
class WishOdds:
    """The answer to what is looked for."""

    parts: chance.TwoParts
    cells: tuple[chance.Cell, ...]
    each: float
    each_egg: float
    by_sex: tuple[float, float]
    in_a_clutch: float
    eggs: tuple[chance.Needs, ...]
    clutches: tuple[chance.Needs, ...]
    how_many: tuple[float, ...]
    before: chance.Learnt
    if_none: chance.Learnt
    proven: tuple[Proven, ...]
    #: young that must all miss until the dam, the sire is below 5%; None where no number does
    to_settle: tuple[int | None, int | None]
    #: another look of these young may hide it, so that some cannot be told when they hatch
    may_hide: bool = False
    #: the males were taken as independent given the dam, which their doubts may not be
    males_apart: bool = False


@dataclass(frozen=True, slots=True)
class Related:
    """The young's inbreeding at least, and how much of three generations is known."""

    inbreeding: float
    known: int
    of: int


@dataclass(frozen=True, eq=False)
class PairingOdds:
    """Everything the page says of one pairing. `refused` instead of numbers where there are none."""

    pairing: Pairing
    dam: Mate
    sires: tuple[tuple[Mate, float], ...]
    asked: Asked
    next: NextClutch
    refused: Message | None = None
    outlook: Outlook | None = None
    #: largest standard error of what a parent carries; 0 where everything is counted
    error: float = 0.0
    sex_linked: bool = False
    wish: WishOdds | None = None
    related: tuple[Related, ...] = ()
    mind: tuple[Mind, ...] = ()
    unhatched: tuple[Unhatched, ...] = ()
    #: those of the pair with too many possible sires to be weighed together (`genetics_words.SIRES_BY_GENE` is said)
    by_gene: tuple[Mate, ...] = ()
    #: what cards of the young that do not show it may say of each recessive looked for
    cards: tuple[CardOfTheRest, ...] = ()
    #: what the labels of the pair leave open
    left_open: tuple[LeftOpen, ...] = ()

    @property
    def clutch(self) -> ClutchLaw:
        """How many eggs, and how many of them hatch."""
        return self.next.law

    @cached_property
    def wished(self) -> dict[str, Bools]:
        """The states looked for, by locus."""
        if self.outlook is None or self.asked.wish is None:
            return {}
        return self.asked.wish.masks(self.outlook.catalogue, [locus.states for locus in self.outlook.loci])

    @property
    def count(self) -> int:
        """How many groups there are."""
        return self.outlook.count if self.outlook is not None else 0

    def looks(self, stop: int = FIRST_GROUPS) -> list[LookRow]:
        """The groups, likeliest first; those looked for stand before the others among the first ones."""
        if self.outlook is None:
            return []
        rows = [look_row(self, group) for group in self.outlook.groups(0, stop)]
        return sorted(rows, key=lambda row: not row.wanted)

    def inside(self, row: LookRow, most: int = 8) -> list[LookRow]:
        """The looks that hide in a group."""
        assert self.outlook is not None
        return [look_row(self, group) for group in islice(self.outlook.inside(row.group), most)]


def look_row(odds: PairingOdds, group: Group) -> LookRow:
    """A group as a row."""
    assert odds.outlook is not None
    cases = odds.outlook.cases(group.masks)
    each = chance.each(cases)
    wanted = bool(odds.wished) and all(
        not (group.masks[key] & ~mask & _possible(odds.outlook, key)).any() for key, mask in odds.wished.items()
    )
    several = sum(
        len(odds.outlook.telling.single_looks(place, group.masks[locus.key] & _possible(odds.outlook, locus.key))) > 1
        for place, locus in enumerate(odds.outlook.loci)
    )
    return LookRow(
        group_title(odds.outlook, group),
        ", ".join(carried_words(odds.outlook, group)),
        each,
        each * odds.asked.hatchlings,
        chance.at_least_one(cases, odds.asked.hatchlings),
        _by_sex(odds.outlook, group),
        bool((cases.each <= 0).any()),
        wanted,
        several > 0,
        group,
    )


def _by_sex(outlook: Outlook, group: Group) -> tuple[float, float]:
    if not outlook.eggs_apart:
        return group.by_sex
    sons, daughters = (chance.each(outlook.cases(group.masks, sex)) for sex in (Sex.MALE, Sex.FEMALE))
    return sons, daughters


def _possible(outlook: Outlook, key: str) -> Bools:
    place = next(place for place, locus in enumerate(outlook.loci) if locus.key == key)
    return np.asarray(outlook.young[place].max(axis=0) > 0)


def read_outlook(
    collection: Collection, genetics: GeneticsNow, pairing: Pairing, asked: Asked, own: OwnClutches | None = None
) -> PairingOdds:
    """The odds of one pairing; `own` the keeper's clutches, read where not given.

    Raises Refusal for an animal that is not in the book, or of another species.
    """
    known = mates(collection, [pairing.dam, *(sire for sire, _ in pairing.sires)])
    missing = [animal for animal in (pairing.dam, *(s for s, _ in pairing.sires)) if animal not in known]
    if missing or not pairing.sires:
        raise Refusal(say("One of this pair is no longer in the book."))
    strangers = [mate.keeper_id for mate in known.values() if not genetics.knows(mate.id)]
    if strangers:
        raise Refusal(say("{animal} is of another species than the odds are of.", animal=strangers[0]))
    total = sum(percent for _, percent in pairing.sires)
    sires = tuple((known[sire], percent / total) for sire, percent in pairing.sires)
    clutches = own if own is not None else own_clutches(collection)
    expected = next_clutch(clutches, pairing.dam, genetics.catalogue.species, lambda one: could_hatch(genetics, one))
    odds = PairingOdds(pairing, known[pairing.dam], sires, asked, expected)
    refused = why_no_pair(odds.dam, [sire for sire, _ in sires])
    if refused is not None:
        return replace(odds, refused=refused)
    found = _outlook(genetics, pairing, sires)
    if found is None:
        return replace(odds, refused=_contradiction(collection, genetics, odds))
    outlook, by_gene = found
    open_words = left_open(collection, genetics, [odds.dam, *(sire for sire, _ in sires)])
    return _counted(replace(odds, outlook=outlook, left_open=open_words), genetics, by_gene=by_gene)


def _contradiction(collection: Collection, genetics: GeneticsNow, odds: PairingOdds) -> Message:
    """What contradicts what in the family of a pair, as far as it can be named."""
    found = genetics.at_fault([odds.dam.id, *(sire.id for sire, _ in odds.sires)])
    names = {gene.locus: gene.name for gene in reversed(tuple(genetics.catalogue.genes.values()))}
    genes = ", ".join(names.get(key, key) for key, _ in found)
    whose = mates(collection, sorted({animal for _, animals in found for animal in animals}))
    if not genes or not whose:
        return say("Something known of this family contradicts the rest; until that is settled there are no odds.")
    who = ", ".join(mate.keeper_id for mate in list(whose.values())[:MOST_NAMED])
    return say(
        "{genes}: what is known of {animals} cannot all be true; until that is settled on their pages this family has "
        "no odds.",
        genes=genes, animals=who,
    )  # fmt: skip


def could_hatch(genetics: GeneticsNow, clutch: OwnClutch) -> float:
    """The share of a clutch's fertile eggs whose genotype could hatch, by what its parents are known to be today."""
    if clutch.dam is None or not clutch.sires:
        return 1.0
    parents = [clutch.dam, *(sire for sire, _ in clutch.sires)]
    lethal = genetics.lethal_loci(parents) if all(genetics.knows(one) for one in parents) else ()
    if not lethal:
        return 1.0
    total = sum(percent for _, percent in clutch.sires)
    sires = [(sire, percent / total) for sire, percent in clutch.sires]
    found = as_parents(genetics.worlds(clutch.dam, [sire for sire, _ in sires], [one.locus.key for one in lethal]),
                       lethal, Sex.FEMALE)  # fmt: skip
    if any(np.isnan(joints).any() for joints in found.joints.values()):
        return 1.0
    loci = WorldLoci(lethal, found)
    return sum(
        float(chance) * weight * float(np.prod([one.weights @ one.alive for one in loci.of(world, place)]))
        for world, chance in enumerate(found.weights)
        for place, (_, weight) in enumerate(sires)
    )


def why_no_pair(dam: Mate, sires: Sequence[Mate]) -> Message | None:
    """Why two animals cannot be a pair, in a sentence; None where they can."""
    for sire in sires:
        if sire.id == dam.id:
            return say("{animal} cannot be both parents.", animal=dam.keeper_id)
        if sire.sex is dam.sex and dam.sex is not Sex.UNSEXED:
            if dam.sex is Sex.FEMALE:
                return say("{one} and {other} are both female.", one=dam.keeper_id, other=sire.keeper_id)
            return say("{one} and {other} are both male.", one=dam.keeper_id, other=sire.keeper_id)
        if sire.sex is Sex.FEMALE or dam.sex is Sex.MALE:
            return say("{dam} is entered as the dam, {sire} as the sire: the other way round.",
                       dam=dam.keeper_id, sire=sire.keeper_id)  # fmt: skip
    return None


def _outlook(
    genetics: GeneticsNow, pairing: Pairing, sires: Sequence[tuple[Mate, float]]
) -> tuple[Outlook, bool] | None:
    """The pairing at every locus in play, and whether its loci had to weigh sires by themselves.

    None where the family is in contradiction at one of them.
    """
    dam = pairing.dam
    states = genetics.loci_of([dam, *(sire.id for sire, _ in sires)])
    found = genetics.worlds(dam, [sire.id for sire, _ in sires], [one.locus.key for one in states])
    found = as_parents(found, states, Sex.FEMALE)
    if any(np.isnan(joints).any() for joints in found.joints.values()):
        return None
    loci = WorldLoci(states, found)
    parts = [
        Part(float(chance) * weight, loci.of(world, place), place, world)
        for world, chance in enumerate(found.weights)
        for place, (_, weight) in enumerate(sires)
    ]
    return Outlook(genetics.catalogue, tuple(parts), pairing.each_own), found.by_gene


def _counted(odds: PairingOdds, genetics: GeneticsNow, *, by_gene: bool) -> PairingOdds:
    outlook = odds.outlook
    assert outlook is not None
    dam, sires = odds.pairing.dam, [sire for sire, _ in odds.pairing.sires]
    related = [
        Related(inbreeding, *genetics.ancestors_known(dam, sire))
        for sire, inbreeding in zip(sires, genetics.inbreeding(dam, sires))
    ]
    return replace(
        odds,
        error=max((genetics.error(locus.key, [dam, *sires]) for locus in outlook.loci), default=0.0),
        sex_linked=any(locus.states.locus.linkage is not None for locus in outlook.loci),
        wish=_wish_odds(odds, outlook),
        cards=cards_of_the_rest(genetics, outlook, odds.asked.wish, dam, odds.pairing.sires),
        related=tuple(related),
        mind=tuple(to_mind(outlook)),
        unhatched=tuple(unhatched(outlook)),
        by_gene=_by_gene(odds, genetics, all_of_them=by_gene),
    )


def _by_gene(odds: PairingOdds, genetics: GeneticsNow, *, all_of_them: bool) -> tuple[Mate, ...]:
    pair = {mate.id: mate for mate in (odds.dam, *(sire for sire, _ in odds.sires))}
    return tuple(pair.values()) if all_of_them else tuple(pair[animal] for animal in genetics.by_gene(list(pair)))


def _wish_odds(odds: PairingOdds, outlook: Outlook) -> WishOdds | None:
    wish = odds.asked.wish
    if wish is None or not wish.statements:
        return None
    asked = set(wish.loci(outlook.catalogue))
    if not asked <= {locus.key for locus in outlook.loci}:
        # a gene neither parent can have: nothing of it ever comes
        cases = Cases(np.ones(1), np.zeros(1), np.ones(1), np.zeros(1, bool), np.zeros(1, bool))
        return _answered(odds, cases, (0.0, 0.0))
    cases = outlook.cases(odds.wished, wish.sex)
    sexes = tuple(chance.each(outlook.cases(odds.wished, sex)) for sex in (Sex.MALE, Sex.FEMALE))
    apart = outlook.each_own and any(hang_together(sires, odds.wished) for _, sires in outlook.by_world())
    answer = _answered(odds, cases, (sexes[0], sexes[1]))
    return replace(answer, may_hide=_may_hide(odds, outlook), males_apart=apart)


def _may_hide(odds: PairingOdds, outlook: Outlook) -> bool:
    """Whether some look of the young leaves it open if they are what is looked for."""
    telling = outlook.telling
    possible = [_possible(outlook, locus.key) for locus in outlook.loci]
    hidden = NOTHING.union(*(telling.hides(place, mask) for place, mask in enumerate(possible)))
    return any(
        (mask & there & odds.wished[locus.key]).any() and (mask & there & ~odds.wished[locus.key]).any()
        for place, (locus, there) in enumerate(zip(outlook.loci, possible))
        if locus.key in odds.wished
        for mask in telling.classes(place, hidden)
    )


def _answered(odds: PairingOdds, cases: Cases, by_sex: tuple[float, float]) -> WishOdds:
    count, clutch = odds.asked.hatchlings, odds.clutch
    before = chance.carried(cases)
    proven = []
    for parent, doubt in ((Sex.FEMALE, before.dam), (Sex.MALE, before.sire)):
        if 0 < doubt < 1:
            after = chance.if_proven(cases, dam=parent is Sex.FEMALE, sire=parent is Sex.MALE)
            if after is not None:
                proven.append(Proven(parent, chance.each(after), chance.at_least_one(after, count)))
    return WishOdds(
        chance.two_parts(cases, count),
        chance.cells(cases, count),
        chance.each(cases),
        chance.each_egg(cases, clutch.rate.mean),
        by_sex,
        chance.in_a_clutch(cases, clutch),
        tuple(chance.needed_eggs(cases, clutch.rate.mean, planned) for planned in PLANNED),
        tuple(chance.needed_clutches(cases, clutch, planned) for planned in PLANNED),
        tuple(chance.how_many(cases, count).tolist()),
        before,
        chance.if_none(cases, count),
        tuple(proven),
        (chance.young_to_settle(cases, dam=True), chance.young_to_settle(cases, dam=False)),
    )
