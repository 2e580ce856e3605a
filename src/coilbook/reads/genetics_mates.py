"""Mates at hand whose young would settle a doubt about an animal's gene, and how many young it takes. Computes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np

from coilbook.derived.genetics_book import Genetics, Herd
from coilbook.derived.genetics_locus import CERTAIN, LocusView
from coilbook.genetics.catalogue import EVERYTHING
from coilbook.genetics.masking import apparent_looks, looks_showing
from coilbook.genetics.settling import ByYoung, Veils, World, by_young
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.reads.genetics_rows import GeneRow, Way
from coilbook.reads.outlook_genetics import KeptGenetics
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.wording.chances import percent
from coilbook.wording.language import translated

#: a locus, its states that hide a dose, those that hide all, and whose dose (alleles)
_Hiding = tuple[LocusView, Bools, Bools, list[int]]

#: mates looked through, and told
MOST_MATES, MATES_TOLD = 400, 3
#: shares of young that agree to this many places are one
_PLACES = 9


def mates_that_settle(
    collection: Collection, genetics: Genetics, view: LocusView, animal: int, row: GeneRow, yes: Bools,
    names: Callable[[int], str],
) -> list[Way]:  # fmt: skip
    """The best mate of those at hand, the best of another kind, and one whose young would settle nothing.

    `animal` (a place) is sexed; `yes` (S,) are the states its doubt is about.
    """
    species, herd = next((key, one) for key, one in genetics.herds.items() if one.loci.get(row.locus) is view)
    sex = herd.rows.sex_of(animal)
    mates = _mates(collection, herd, view, animal, Sex.FEMALE if sex is Sex.MALE else Sex.MALE)
    if not mates:
        return []
    had = _mates_had(herd, animal)
    kinds: dict[tuple[float, bool, bool, int | None], tuple[ByYoung, int]] = {}
    for mate, worlds in _worlds(KeptGenetics(genetics, species), herd, view, animal, mates, sex):
        found = by_young(view.states, worlds, yes, sex)
        kind = (round(found.hit, 6), found.proves, found.hidden, found.young)
        if kind not in kinds or (mate in had and kinds[kind][1] not in had):
            kinds[kind] = found, mate
    ranked = sorted(kinds.values(), key=lambda item: (item[0].young or 10_000, -item[0].hit, item[1] not in had))
    told = [item for item in ranked if item[0].young is not None][: MATES_TOLD - 1]
    told += [item for item in ranked if item[0].young is None][:1]
    return [_way(found, names(mate), row, view.states) for found, mate in told]


def _mates(collection: Collection, herd: Herd, view: LocusView, animal: int, sex: Sex) -> list[int]:
    rows = collection.read(
        "SELECT id FROM animal WHERE sex = ? AND status IN ('here', 'loan') ORDER BY id LIMIT ?",
        (sex.value, MOST_MATES),
    )
    found = (herd.rows.place.get(int(ident)) for (ident,) in rows)
    return [one for one in found if one is not None and one != animal and not np.isnan(view.law(one)).any()]


def _mates_had(herd: Herd, animal: int) -> set[int]:
    pedigree = herd.rows.pedigree
    return {
        int(parent)
        for child in herd.inputs.descent.children(animal)
        for parent in (pedigree.sire[child], pedigree.dam[child])
        if parent not in (animal, -1)
    }


def _unlike(views: Sequence[LocusView], mates: Sequence[int], had: set[int]) -> list[int]:
    """Of mates that are surely the same at all of these loci one, of those she was bred to before any other."""
    found: dict[object, int] = {}
    for mate in mates:
        laws = [view.law(mate) for view in views]
        sure = all(law.max() > CERTAIN for law in laws)
        key = tuple(int(law.argmax()) for law in laws) if sure else mate
        if key not in found or (mate in had and found[key] not in had):
            found[key] = mate
    return list(found.values())


def _worlds(
    genetics: KeptGenetics, herd: Herd, view: LocusView, animal: int, mates: Sequence[int], sex: Sex
) -> Iterator[tuple[int, list[World]]]:
    """Every mate with what the pair may be at this gene and at those that hide it, all weighed together."""
    hiding = list(_hiding(herd, view))
    mates = _unlike([view, *(other for other, *_ in hiding)], mates, _mates_had(herd, animal))
    ids = [AnimalId(int(herd.rows.ids[mate])) for mate in mates]
    seems = apparent_looks(view.states, {allele for *_, alleles in hiding for allele in alleles})
    one, own = AnimalId(int(herd.rows.ids[animal])), view.states.locus.key
    keys = [own, *(other.states.locus.key for other, *_ in hiding)]
    for places in genetics.tied(one, ids, keys):
        found = genetics.worlds(one, [ids[place] for place in places], keys)
        for at, place in enumerate(places):
            worlds = []
            for world, weight in enumerate(found.weights.tolist()):
                pairs = {key: found.joints[key][world, at] for key in keys}
                veils = Veils(seems, _cases(hiding, pairs, sex)) if hiding else None
                worlds.append(World(pairs[own], veils, weight))
            yield mates[place], worlds


def _cases(hiding: Sequence[_Hiding], pairs: Mapping[str, Floats], sex: Sex) -> list[tuple[float, float, float]]:
    """(chance, share of the young that hide nothing, share that hide one dose), by what the parents may be."""
    cases = {(1.0, 0.0): 1.0}
    for other, dose, whole, _ in hiding:
        after: dict[tuple[float, float], float] = {}
        for dosed, gone, chance in _shares(other, dose, whole, pairs[other.states.locus.key], sex):
            for (clear, before), weight in cases.items():
                still = before * (1 - gone) + clear * dosed
                key = round(clear * (1 - dosed - gone), _PLACES), round(still, _PLACES)
                after[key] = after.get(key, 0.0) + weight * chance
        cases = after
    return [(chance, *shares) for shares, chance in cases.items()]


def _hiding(herd: Herd, view: LocusView) -> Iterator[_Hiding]:
    """Other loci in play that hide this one: the states that hide a dose, those that hide it all, and whose dose."""
    locus = view.states.locus
    for key, other in herd.loci.items():
        dose, whole = np.zeros((2, len(other.states.states)), dtype=np.bool_)
        alleles: list[int] = []
        for look in other.states.locus.looks if key != locus.key else ():
            hidden = herd.inputs.catalogue.masks.get((key, look.key), frozenset())
            here = [locus.allele_index(gene) for gene in hidden if gene in locus.alleles[1:]]
            if EVERYTHING in hidden:
                whole |= other.states.with_look(look.key)
            elif here:
                dose |= other.states.with_look(look.key)
                alleles += here
        if dose.any() or whole.any():
            yield other, dose, whole, alleles


def _shares(other: LocusView, dose: Bools, whole: Bools, pair: Floats, sex: Sex) -> list[tuple[float, float, float]]:
    """(share of the young that hide a dose, that hide it all, chance), by what the parents can be at another locus.

    None of them where that is not known.
    """
    if np.isnan(pair).any():
        return [(0.0, 0.0, 1.0)]
    law = other.states.transmission if sex is Sex.MALE else other.states.transmission.transpose(1, 0, 2)
    there = pair > 0
    shares = np.stack([law[:, :, mask].sum(axis=2)[there] for mask in (dose, whole)], axis=1)
    found, of = np.unique(np.round(shares, _PLACES), axis=0, return_inverse=True)
    chances = np.bincount(of.ravel(), weights=pair[there], minlength=len(found))
    return [(float(dosed), float(gone), float(chance)) for (dosed, gone), chance in zip(found, chances, strict=True)]


def _way(found: ByYoung, mate: str, row: GeneRow, states: LocusStates) -> Way:
    name, wait = say("Young by {mate}", mate=mate), say("next season")
    if found.young is None:
        return Way(name, say("any season"), _settles_nothing(found, mate, row, states))
    looks = _deciding(found, row, states)
    words = _WORDS[found.proves, found.proves or looks is None]
    return Way(name, wait, say(*words, n=found.young, looks=looks or row.name, left=tenths(found.left)))


#: by whether a young proves it, and whether it is shown by the gene itself: of one young, of several
_WORDS = {
    (True, True): (
        "{n}, not {looks}: {left}%. One {looks}: proven.", "{n}, none {looks}: {left}%. One {looks}: proven.",
    ),
    (False, True): (
        "{n}, with {looks}: {left}%. One without: settled.", "{n}, all with {looks}: {left}%. One without: settled.",
    ),
    (False, False): (
        "{n}, not {looks}: {left}%. One {looks}: settled.", "{n}, none {looks}: {left}%. One {looks}: settled.",
    ),
}  # fmt: skip


def tenths(chance: float) -> str:
    """A chance in percent without its sign: never 0 for what is possible, never 100 for what is not sure."""
    return percent(chance).removesuffix("%")


def _deciding(found: ByYoung, row: GeneRow, states: LocusStates) -> str | None:
    """The looks that decide; None where they are all that show the gene, or, to disprove it, all that do not."""
    showing = looks_showing(states.locus, states.locus.allele_index(row.gene))
    if found.looks == (found.fall & showing if found.proves else found.fall - showing):
        return None
    return translated(" or ").join(states.locus.looks[index].name for index in sorted(found.looks))


def _settles_nothing(found: ByYoung, mate: str, row: GeneRow, states: LocusStates) -> Message:
    if found.hidden:
        return say("Say nothing when they hatch: another look of theirs hides {gene}.", gene=row.name)
    if found.hit <= 0:
        return say("Say nothing: {mate} is taken as not carrying {gene}.", mate=mate, gene=row.name)
    looks = _deciding(found, row, states)
    words = "One {looks}: proven. No number without one settles it: what {mate} carries is in doubt too."
    if not found.proves and looks is None:
        words = "One without {looks}: settled. No number with it settles it: what {mate} carries is in doubt too."
    elif not found.proves:
        words = "One {looks}: settled. No number without one settles it: what {mate} carries is in doubt too."
    return say(words, looks=looks or row.name, mate=mate)
