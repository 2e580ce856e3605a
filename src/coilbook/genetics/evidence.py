"""From what is known of an animal itself to rows of an inference question: likelihoods and prior laws.

How claims are read (there is no published rule; each reading is the least that follows from the words):

* No parent recorded: a claim is the prior. "66% het" makes a carrier with 2/3, "het" with 1. The keeper's own carrier
  chance (`Known.assumed`) stands over claims. Where nothing is said a founder carries nothing beyond what it shows:
  the strongest assumption a keeper makes without knowing it, so the screens say it.
* One parent recorded: the claim speaks of the parent that is not. It handed the gene on with the claimed chance.
* Both recorded: a claim is no evidence, the parents' own odds stand; screens show it beside them.
* A look that one or two doses share (a dominant gene) is taken as one in a founder. Where the keeper names several
  looks ("possible super"), a founder has even odds on each: else one dose would be certain whatever its young show.
* A founder with a test and no claim has even odds before it.
* "Lifted": a descendant has shown what nobody above it is known to carry, so that some founder above must. Those
  founders may carry any allele with the chance `LIFTED` a chromosome; where only one of them can be the source, the
  number does not matter.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from coilbook.genetics.catalogue import EVERYTHING
from coilbook.genetics.known import Claim, Known, Sighting
from coilbook.genetics.masking import apparent_looks
from coilbook.genetics.states import ABSENT, Bools, Floats, LocusStates, State
from coilbook.records.vocabulary import Sex

#: chance a chromosome of a lifted founder carries one given mutant allele (an assumption, said on screen)
LIFTED = 0.005


def likelihood(states: LocusStates, known: Known) -> Floats:
    """(S,) how likely everything known of the animal itself is, given each of its states; claims are not in it."""
    row = np.where(states.alive, _of_sex(states, known), 0.0)
    for sighting in known.sightings:
        row = row * _seen(states, sighting, known.hidden)
    for gene in known.proven:
        row = row * (states.copies(states.locus.allele_index(gene)) > 0)
    for test in known.tests:
        row = row * _tested(states, test.gene, test.copies, test.error)
    return np.asarray(row, dtype=np.float64)


def founder_law(states: LocusStates, known: Known, lifted: bool = False) -> Floats:
    """(S,) prior law of an animal with neither parent recorded, from its own looks and claims; sums to 1."""
    possible = likelihood(states, Known(known.sightings, proven=known.proven, hidden=known.hidden)) > 0
    if lifted:
        law = np.where(possible, _random_law(states), 0.0)
    else:
        law = np.zeros(len(states.states))
        for cell in _cells(states, known, possible):
            law += _fewest(states, cell)
    law = _with_claims(states, law, _prior_claims(known), possible)
    total = float(law.sum())
    if total <= 0:
        law, total = np.where(states.alive, 1.0, 0.0), float(states.alive.sum())
    return np.asarray(law / total, dtype=np.float64)


def absent_law(states: LocusStates, known: Known, lifted: bool = False) -> Floats:
    """(S,) prior law of the one parent of the animal that is not recorded; sums to 1.

    Only what that parent hands on matters, for it is a parent of this animal alone. It is taken as having two copies of
    a claimed gene with the claimed chance and none otherwise, which hands the gene on with that chance.
    """
    if lifted:
        return _random_law(states)
    claims = _prior_claims(known)
    chances = [float(claim.chance or 0.0) for claim in claims]
    alleles = [0, *(states.locus.allele_index(claim.gene) for claim in claims)]
    # the animal has one allele of this parent: the claims exclude each other, whatever their order
    weights = [math.prod(c if n == kept else 1 - c for n, c in enumerate(chances, 1)) for kept in range(len(alleles))]
    if not sum(weights):  # two certain claims
        weights = [float(n > 0 and chances[n - 1] == 1) for n in range(len(alleles))]
    law = np.zeros(len(states.states))
    for allele, weight in zip(alleles, weights, strict=True):
        law += weight / sum(weights) * _both_sexes(states, [State(allele, allele)])
    return law


def _of_sex(states: LocusStates, known: Known) -> Floats:
    if states.locus.linkage is None or known.sex is Sex.UNSEXED:
        return np.ones(len(states.states))
    return np.where(states.of_sex(known.sex), known.sex_sure, 1 - known.sex_sure)


def _seen(states: LocusStates, sighting: Sighting, hidden: frozenset[str]) -> Floats:
    """A hidden dose cannot be told from none: it fits what either would look like (`masking.apparent_looks`)."""
    looks = sighting.looks
    alleles = frozenset(states.locus.allele_index(gene) for gene in hidden if gene != EVERYTHING)
    seems = apparent_looks(states, alleles, everything=EVERYTHING in hidden)
    fits = np.array(
        [
            ((look.key in looks) is sighting.seen) or ((states.locus.looks[seeming].key in looks) is sighting.seen)
            for seeming, look in zip(seems, states.looks, strict=True)
        ]
    )
    return np.where(fits, sighting.sure, 1 - sighting.sure)


def _tested(states: LocusStates, gene: str, copies: int, error: float) -> Floats:
    """Right with 1-e, otherwise e/n for each other count (n: how many copies of the locus she has)."""
    have = states.copies(states.locus.allele_index(gene))
    places = np.array([1 if state.second == ABSENT else 2 for state in states.states])
    return np.where(have == copies, 1 - error, error / places)


def _cells(states: LocusStates, known: Known, possible: Bools) -> Iterable[Bools]:
    """The possible states, parted by every sighting that is in doubt: she has that look, or she has not.

    And by each look of a sighting that names several.
    """
    cells = [possible]
    for sighting in known.sightings:
        if sighting.seen and sighting.sure == 1 and len(sighting.looks) > 1:
            named = [np.array([look.key == key for look in states.looks]) for key in sorted(sighting.looks)]
            rest = ~np.any(named, axis=0)
            cells = [cell & part for cell in cells for part in (*named, rest)]
        if 0 < sighting.sure < 1:
            has = np.array([look.key in sighting.looks for look in states.looks])
            cells = [part for cell in cells for part in (cell & has, cell & ~has)]
    for test in known.tests:
        if any(claim.gene == test.gene for claim in (*known.claims, *known.assumed)):
            continue
        have = states.copies(states.locus.allele_index(test.gene))
        cells = [part for cell in cells for part in (cell & (have == n) for n in (0, 1, 2))]
    return [cell for cell in cells if cell.any()]


def _fewest(states: LocusStates, cell: Bools) -> Floats:
    """Even odds on the states of a cell with the fewest mutant alleles, each sex half where the states have a sex."""
    mutant = np.array([(s.first > 0) + (s.second > 0) for s in states.states])
    law = np.zeros(len(states.states))
    for sex in _sexes(states):
        mine = cell & states.of_sex(sex)
        if mine.any():
            best = mine & (mutant == mutant[mine].min())
            law[best] += 1.0 / best.sum()
    return np.asarray(law / law.sum(), dtype=np.float64)


def _prior_claims(known: Known) -> tuple[Claim, ...]:
    """The claims that count as a prior: the keeper's own chance stands over what was claimed, one for a gene."""
    taken: dict[str, Claim] = {}
    for claim in (*known.assumed, *known.claims):
        if claim.chance is not None:
            taken.setdefault(claim.gene, claim)
    return tuple(taken.values())


def _with_claims(states: LocusStates, law: Floats, claims: tuple[Claim, ...], possible: Bools) -> Floats:
    """The law after every claim, each on its own, given what the animal can be; their order does not matter.

    Two claims at one locus that her looks do not allow together ("66% het a, 50% het b", and neither shows) leave
    a alone, b alone and none in the ratio of their chances. No claim moves weight from one start to another.
    """
    if not claims:
        return law
    after = np.zeros_like(law)
    for place in np.flatnonzero(law):
        start = np.zeros_like(law)
        start[place] = 1.0
        for claim in claims:
            start = _with_claim(states, start, claim)
        start[~possible] = 0.0
        total = start.sum()
        if total > 0:
            after += law[place] * start / total
        else:
            after[place] += law[place]
    return after


def _with_claim(states: LocusStates, law: Floats, claim: Claim) -> Floats:
    """The law after one wild allele of a state is the claimed one with the claimed chance.

    An unphased claim of the sex with two different chromosomes splits 1/2 : 1/2 over them.
    """
    allele = states.locus.allele_index(claim.gene)
    chance = float(claim.chance or 0.0)
    after = np.zeros_like(law)
    for place, state in enumerate(states.states):
        carriers = [] if state.copies(allele) else _carriers(states, state, allele)
        if law[place] and carriers:
            after[place] += (1 - chance) * law[place]
            for carrier in carriers:
                after[carrier] += chance * law[place] / len(carriers)
        else:
            after[place] += law[place]
    return after


def _carriers(states: LocusStates, state: State, allele: int) -> list[int]:
    """The states with one wild allele of `state` replaced."""
    found = []
    if state.ordered:
        if state.first == 0:
            found.append(State(allele, state.second, state.sex, ordered=True))
        if state.second == 0:
            found.append(State(state.first, allele, state.sex, ordered=True))
    elif state.first == 0:
        low, high = sorted((allele, state.second))
        found.append(State(low, high, state.sex))
    return [states.index[s] for s in found]


def _random_law(states: LocusStates) -> Floats:
    """The law of an animal whose every chromosome carries each mutant allele with the chance `LIFTED`."""
    alleles = len(states.locus.alleles)
    of_allele = np.array([1 - LIFTED * (alleles - 1)] + [LIFTED] * (alleles - 1))
    law = np.array(
        [
            of_allele[s.first]
            * (1.0 if s.second == ABSENT else of_allele[s.second])
            * (2.0 if s.first != s.second and not s.ordered else 1.0)
            for s in states.states
        ]
    )
    law[~states.alive] = 0.0
    return np.asarray(law / law.sum(), dtype=np.float64)


def _both_sexes(states: LocusStates, genotypes: list[State]) -> Floats:
    law = np.zeros(len(states.states))
    for plain in genotypes:
        for sex in _sexes(states):
            wanted = [
                place
                for place, s in enumerate(states.states)
                if s.sex is _of_state(sex) and s.first == plain.first and s.second in (plain.second, ABSENT)
            ]
            law[wanted] += 1.0
    return np.asarray(law / law.sum(), dtype=np.float64)


def _of_state(sex: Sex) -> Sex | None:
    return None if sex is Sex.UNSEXED else sex


def _sexes(states: LocusStates) -> tuple[Sex, ...]:
    return (Sex.UNSEXED,) if states.locus.linkage is None else (Sex.FEMALE, Sex.MALE)
