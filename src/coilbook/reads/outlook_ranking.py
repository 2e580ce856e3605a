"""Every mate for one animal by the chance of at least one of the look the keeper picks; those left out with why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coilbook.genetics.outlook_rank import Asked as AskedLocus
from coilbook.genetics.outlook_rank import Ranking, rank
from coilbook.genetics.states import Floats
from coilbook.genetics.wish import Wish
from coilbook.husbandry.fit_to_pair import Floors
from coilbook.reads.outlook_fit import unfit
from coilbook.reads.outlook_source import GeneticsNow, Mate, as_parents, mates, mates_of_sex
from coilbook.reads.outlook_unsaid import in_question
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.vocabulary import Sex, Status
from coilbook.storage.collection import Collection

#: the young's inbreeding from which a pair is left out, unless the keeper sets another (common practice)
USUAL_LIMIT = 0.125
_AWAY = frozenset({Status.SOLD, Status.DEAD, Status.LOST, Status.LOAN})


@dataclass(frozen=True, slots=True)
class RankedMate:
    """A mate by what the young would be. `carries`: the chance that any such young can fall at all."""

    mate: Mate
    at_least_one: float
    each: float
    carries: float
    inbreeding: float


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A mate that is not ranked, and why; its chance all the same, None without an answer."""

    mate: Mate
    why: Message
    at_least_one: float | None


@dataclass(frozen=True, slots=True)
class Ranked:
    """All mates of one animal."""

    of: Mate
    wish: Wish
    hatchlings: int
    mates: tuple[RankedMate, ...]
    left_out: tuple[LeftOut, ...]
    #: why the animal itself is not to be paired now
    not_now: Message | None = None
    #: some of these have too many possible sires to be weighed together (`genetics_words.SIRES_BY_GENE` is said)
    by_gene: bool = False


def read_ranking(
    collection: Collection,
    genetics: GeneticsNow,
    animal: AnimalId,
    wish: Wish,
    hatchlings: int,
    species: str,
    *,
    limit: float = USUAL_LIMIT,
    floors: Floors | None = None,
) -> Ranked:
    """Rank every animal of the other sex, those below the `floors` left out.

    Raises Refusal where the animal's sex is not known, or nothing is asked.
    """
    of = _to_rank(collection, genetics, animal, wish)
    others = mates_of_sex(collection, Sex.MALE if of.sex is Sex.FEMALE else Sex.FEMALE, species)
    found = rank_pairs(genetics, of, others, wish, hatchlings)
    related = _inbreeding(genetics, of, others)
    not_now = {**in_question(collection, genetics, [of, *others])}
    if floors is not None:
        not_now |= unfit(collection, [of, *others], floors)
    ranked, left_out = [], []
    best = np.nan_to_num(np.round(found.at_least_one, 9), nan=-1.0)
    # of equal chances the less related mate first, then the heavier, who is likelier to be grown
    for place in sorted(range(len(others)), key=lambda at: (-best[at], related[at], -others[at].weight_dg)):
        mate, chance = others[place], float(found.at_least_one[place])
        why = _why_not(mate, found, place, related[place], limit, not_now.get(mate.id))
        if why is not None:
            left_out.append(LeftOut(mate, why, None if np.isnan(chance) else chance))
        else:
            ranked.append(_ranked(mate, found, place, related[place]))
    by_gene = genetics.by_gene([animal, *(mate.id for mate in others)]) != ()
    return Ranked(of, wish, hatchlings, tuple(ranked), tuple(left_out), not_now.get(of.id), by_gene)


def _ranked(mate: Mate, found: Ranking, place: int, inbreeding: float) -> RankedMate:
    each, carries = float(found.each[place]), float(found.possible[place])
    return RankedMate(mate, float(found.at_least_one[place]), each, carries, inbreeding)


def _to_rank(collection: Collection, genetics: GeneticsNow, animal: AnimalId, wish: Wish) -> Mate:
    """The animal whose mates are ranked; refused where that cannot be."""
    of = mates(collection, [animal]).get(animal)
    if of is None:
        raise Refusal(say("That animal is no longer in the book."))
    if not genetics.knows(animal):
        raise Refusal(say("{animal} is of another species than the odds are of.", animal=of.keeper_id))
    if of.sex is Sex.UNSEXED:
        raise Refusal(say("{animal} is not sexed, so nobody can be ranked as a mate.", animal=of.keeper_id))
    if not wish.statements:
        raise Refusal(say("Say which look you look for; mates are ranked by the chance of it."))
    return of


def rank_pairs(genetics: GeneticsNow, of: Mate, others: Sequence[Mate], wish: Wish, hatchlings: int) -> Ranking:
    """The chances of one animal with each of others, from the joint law of each pair."""
    ids = [mate.id for mate in others]
    states = [genetics.states_of(key) for key in wish.loci(genetics.catalogue)]
    masks = wish.masks(genetics.catalogue, states)
    # where a genotype cannot hatch the pair is asked too, whatever is looked for
    for one in genetics.lethal_loci():
        if one.locus.key not in masks:
            states.append(one)
            masks[one.locus.key] = one.alive
    keys = [one.locus.key for one in states]
    found = np.zeros((4, len(ids)))
    for places in genetics.tied(of.id, ids, keys) if ids else ():
        worlds = as_parents(genetics.worlds(of.id, [ids[place] for place in places], keys), states, of.sex)
        for world, weight in enumerate(worlds.weights):
            asked = [
                AskedLocus(one, masks[one.locus.key], _by_sire(worlds.joints[one.locus.key][world], of))
                for one in states
            ]
            # every figure of a ranking is a mean over what the parents may be, and so over the worlds
            one_world = rank(asked, hatchlings, wish.sex)
            found[:, places] += weight * np.stack(
                [one_world.each, one_world.lethal, one_world.at_least_one, one_world.possible]
            )
    return Ranking(*found)


def _by_sire(joints: Floats, of: Mate) -> Floats:
    """(N, sire S, dam S)"""
    return joints if of.sex is Sex.MALE else np.asarray(joints.transpose(0, 2, 1))


def _inbreeding(genetics: GeneticsNow, of: Mate, others: Sequence[Mate]) -> Sequence[float]:
    return genetics.inbreeding(of.id, [mate.id for mate in others])


def _why_not(
    mate: Mate, found: Ranking, place: int, inbreeding: float, limit: float, not_now: Message | None
) -> Message | None:
    if mate.status in _AWAY:
        return say("{status}", status=mate.status)
    if mate.quarantined:
        return say("in quarantine, {place}", place=mate.place)
    if not_now is not None:
        return not_now
    if np.isnan(found.at_least_one[place]):
        return say("what is known of the family contradicts itself")
    if inbreeding >= limit:
        return say("the young would be inbred {percent} at least", percent=f"{100 * inbreeding:.1f}%")
    if found.lethal[place] > 0:
        return say("{percent} of the eggs could not hatch", percent=f"{100 * found.lethal[place]:.0f}%")
    return None
