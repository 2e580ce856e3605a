"""The kept genetics of a collection, as the outlook asks for it; pure questions, for a worker."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cached_property, lru_cache

import numpy as np

from coilbook.derived.genetics_book import Genetics, Herd, book_of
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.evidence import likelihood
from coilbook.genetics.inference import JoinedLocus, Worlds, unrecorded, worlds
from coilbook.genetics.kinship import Kinship
from coilbook.genetics.known import Known
from coilbook.genetics.known_ancestors import Parents, generations_known
from coilbook.genetics.problem import NONE, Pedigree
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.reads.outlook_source import PairWorlds
from coilbook.records.ids import AnimalId, FindingId
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection

#: generations of ancestors that are counted as known or not: 14 ancestors
GENERATIONS = 3
_NO_SIRES = np.full(1, -1, dtype=np.int64)


class KeptGenetics:
    """One species of one collection at one revision. Raises KeyError for an animal it does not know."""

    def __init__(self, genetics: Genetics, species: str) -> None:
        self._genetics = genetics
        self._herd: Herd = genetics.herds[species]

    @property
    def revision(self) -> int:
        """The newest act it knows."""
        return self._genetics.revision

    @property
    def catalogue(self) -> Catalogue:
        """The catalogue in force."""
        return self._herd.inputs.catalogue

    def knows(self, animal: AnimalId) -> bool:
        """Whether an animal is of the species this is about."""
        return animal in self._herd.rows.place

    def at_fault(self, animals: Sequence[AnimalId]) -> tuple[tuple[str, tuple[AnimalId, ...]], ...]:
        """The loci at which the family of these animals is in contradiction, each with whose findings are at fault;
        nobody where several families are."""
        rows, found = self._herd.rows, []
        for key, view in self._herd.loci.items():
            if any(np.isnan(view.law(rows.place[animal])).any() for animal in animals):
                clashes = view.answer.clashes
                whose = clashes[0].animals if len(clashes) == 1 else ()
                found.append((key, tuple(AnimalId(int(rows.ids[place])) for place in whose)))
        return tuple(found)

    def loci_of(self, animals: Sequence[AnimalId]) -> tuple[LocusStates, ...]:
        """The loci at which any of these animals may have more than the wild type, in the order of the catalogue."""
        places = [self._herd.rows.place[animal] for animal in animals]
        found = []
        for key in self.catalogue.loci:
            view = self._herd.loci.get(key)
            if view is not None and not all(_surely_wild(view.states, view.law(place)) for place in places):
                found.append(view.states)
        return tuple(found)

    def states_of(self, locus: str) -> LocusStates:
        """The states of a locus by its key."""
        view = self._herd.loci.get(locus)
        return view.states if view is not None else LocusStates(self.catalogue.loci[locus], self.catalogue.system)

    def joint(self, locus: str, sire: AnimalId, dam: AnimalId) -> Floats:
        """(S, S) the joint law of [sire state, dam state] at one locus."""
        place = self._herd.rows.place
        return self._herd.loci[locus].answer.joint(place[sire], place[dam])

    def worlds(self, one: AnimalId, others: Sequence[AnimalId], loci: Sequence[str]) -> PairWorlds:
        """One animal (axis 2) with each of others (axis 3) at several loci, world by world."""
        joined = self._herd.together.joined
        place = self._herd.rows.place
        them = np.array([place[other] for other in others], dtype=np.int64)
        in_play = [key for key in loci if key in self._herd.loci]
        absent = {key: self._all_wild(key, len(others))[None] for key in loci if key not in in_play}
        if joined is None:
            joints = {key: self._herd.loci[key].answer.joints(place[one], them)[None] for key in in_play}
            return PairWorlds(np.ones(1), joints | absent, _NO_SIRES)
        found = worlds(joined, place[one], them.tolist(), [self._number[key] for key in in_play])
        return _by_key(found, in_play, self._number, absent)

    def tied(self, one: AnimalId, others: Sequence[AnimalId], loci: Sequence[str]) -> list[list[int]]:
        """The places of `others` in groups, those that hang on the same sires at these loci together."""
        joined, place = self._herd.together.joined, self._herd.rows.place
        if joined is None or not joined.clusters:
            return [list(range(len(others)))]
        answers = [self._herd.loci[key].answer for key in loci if key in self._herd.loci]
        known = [answer for answer in answers if isinstance(answer, JoinedLocus)]
        groups: dict[tuple[int, ...], list[int]] = {}
        for at, other in enumerate(others):
            found = (answer.group_of(place[other]) for answer in known)
            groups.setdefault(tuple(id(group) if group else 0 for group in found), []).append(at)
        return list(groups.values())

    def worlds_without(
        self, dam: AnimalId, sires: Sequence[AnimalId], animal: AnimalId, loci: Sequence[str]
    ) -> PairWorlds:
        """A dam with each possible sire as if nothing had been seen of `animal`, her young, at any locus.

        A male not on record, where he may be the sire, comes after the others.
        """
        place = self._herd.rows.place
        them = np.array([place[sire] for sire in sires], dtype=np.int64)
        joined = self._herd.together.joined
        if joined is None:
            joints = {}
            for key in loci:
                answer = self._herd.loci[key].answer.with_evidence({place[animal]: self._nothing(key)})
                joints[key] = np.stack([answer.joint(place[sire], place[dam]).T for sire in sires])[None]
            return PairWorlds(np.ones(1), joints, _NO_SIRES)
        silent = {}
        for key, number in self._number.items():
            own, nothing = joined.alone[number], self._nothing(key)
            rows = own.problem.evidence
            if not np.array_equal(rows.rows[rows.of[place[animal]]], nothing):
                silent[number] = own.with_evidence({place[animal]: nothing})
        doubt = joined.selector_of(place[animal])
        asked = [doubt] if doubt is not None else []
        if None in self.candidates(animal):
            them = np.append(them, [unrecorded(number) for number in asked])
        found = worlds(joined.with_answers(silent, keep=asked), place[dam], them.tolist(),
                       [self._number[key] for key in loci], asked)  # fmt: skip
        return _by_key(found, loci, self._number, {})

    def candidates(self, animal: AnimalId) -> tuple[AnimalId | None, ...]:
        """The possible sires of an animal in the order in which `worlds_without` numbers them; None: not recorded."""
        joined, rows = self._herd.together.joined, self._herd.rows
        doubt = joined.selector_of(rows.place[animal]) if joined is not None else None
        if joined is None or doubt is None:
            return ()
        sires, _ = joined.sires(doubt)
        return tuple(AnimalId(int(rows.ids[sire])) if sire != NONE else None for sire in sires)

    def _nothing(self, locus: str) -> Floats:
        return likelihood(self._herd.loci[locus].states, Known())

    @cached_property
    def _number(self) -> dict[str, int]:
        """The number of each locus among those that are weighed together."""
        return {key: number for number, key in enumerate(self._herd.loci)}

    def _all_wild(self, locus: str, count: int) -> Floats:
        """A locus at which nobody of the collection has anything: every animal is wild type."""
        states = self.states_of(locus)
        law = np.array([_is_wild(states, state) for state in range(len(states.states))], dtype=np.float64)
        return np.broadcast_to(np.outer(law, law) / law.sum() ** 2, (count, len(law), len(law)))

    def known_of(self, locus: str, animal: AnimalId) -> Known:
        """What is known of an animal itself at a locus."""
        view = self._herd.loci.get(locus)
        return view.known(self._herd.rows.place[animal]) if view is not None else Known()

    def sight_findings(self, animal: AnimalId) -> dict[str, FindingId]:
        """The newest finding of what was seen of an animal, by locus."""
        rows = self._herd.rows
        found = rows.findings.get(rows.place[animal], ())
        seen = (FindingKind.SEEN, FindingKind.NOT_SEEN)
        return {row.locus: FindingId(row.id) for row in reversed(found) if row.kind in seen}

    def has_young(self, animal: AnimalId) -> bool:
        """Whether an animal is a parent of another, or may be."""
        rows = self._herd.rows
        place, pedigree = rows.place[animal], rows.pedigree
        own = bool((pedigree.sire == place).any() or (pedigree.dam == place).any())
        return own or any(place in litter.sires for litter in pedigree.litters)

    def by_gene(self, animals: Sequence[AnimalId]) -> tuple[AnimalId, ...]:
        """Those of these animals whose possible sires were too many to be weighed over all loci together."""
        place = self._herd.rows.place
        views = self._herd.loci.values()
        return tuple(animal for animal in animals if any(view.by_gene(place[animal]) for view in views))

    def parents_of(self, animal: AnimalId) -> tuple[list[AnimalId], list[tuple[AnimalId, float]]]:
        """The dam, if recorded, and the recorded sires with the chance of each."""
        rows = self._herd.rows
        found = self._parents.of(rows.place[animal])
        dam = [AnimalId(int(rows.ids[found.dam]))] if found.dam != NONE else []
        return dam, [(AnimalId(int(rows.ids[sire])), weight) for sire, weight in found.sires if sire != NONE]

    def error(self, locus: str, animals: Sequence[AnimalId]) -> float:
        """The largest standard error of the laws of these animals; 0 where they are exact."""
        view, place = self._herd.loci.get(locus), self._herd.rows.place
        return max((view.answer.error(place[animal]) for animal in animals), default=0.0) if view is not None else 0.0

    def lethal_loci(self, animals: Sequence[AnimalId] | None = None) -> tuple[LocusStates, ...]:
        """The loci in play at which some genotype cannot hatch; of `animals`, those at which one may be not wild."""
        found = [view for view in self._herd.loci.values() if not view.states.alive.all()]
        if animals is not None:
            places = [self._herd.rows.place[one] for one in animals]
            found = [v for v in found if not all(_surely_wild(v.states, v.law(place)) for place in places)]
        return tuple(view.states for view in found)

    def paper_of_young(
        self, locus: str, dam: AnimalId, sires: Sequence[tuple[AnimalId, Fraction]], allele: int, among: Bools
    ) -> Fraction | None:
        """On paper: the chance of an allele in young of these parents that are in one of the states `among`."""
        view, place = self._herd.loci.get(locus), self._herd.rows.place
        if view is None:
            return Fraction(0)
        return view.paper.of_young(place[dam], [(place[sire], share) for sire, share in sires], allele, among)

    @property
    def _kinship(self) -> Kinship:
        return _kinship_of(self._herd.rows.pedigree)

    @cached_property
    def _parents(self) -> Parents:
        return Parents(self._herd.rows.pedigree)

    def inbreeding(self, dam: AnimalId, sires: Sequence[AnimalId]) -> Sequence[float]:
        """The least inbreeding of young of the dam with each sire (the kinship of the two)."""
        place = self._herd.rows.place
        with_all = self._kinship.with_all(place[dam])
        return [float(with_all[place[sire]]) for sire in sires]

    def ancestors_known(self, dam: AnimalId, sire: AnimalId) -> tuple[int, int]:
        """Of the young of a pair: how many ancestors in three generations are known, and of how many."""
        known, of = 2, 2
        for parent in (dam, sire):
            for generation in generations_known(self._parents, self._herd.rows.place[parent], GENERATIONS - 1):
                known, of = known + generation.known, of + generation.places
        return known, of


def _by_key(found: Worlds, loci: Sequence[str], number: dict[str, int], absent: dict[str, Floats]) -> PairWorlds:
    joints = {key: found.joints[number[key]] for key in loci}
    alike = {key: np.broadcast_to(law, (len(found.weights), *law.shape[1:])) for key, law in absent.items()}
    # the worlds may differ in the sires of the parents alone, while nobody doubts who sired the hatchling
    sires = found.sires[:, 0] if found.sires.size else np.full(len(found.weights), -1, dtype=np.int64)
    return PairWorlds(found.weights, joints | alike, sires, found.apart)


def _is_wild(states: LocusStates, state: int) -> bool:
    one = states.states[state]
    return one.first <= 0 and one.second <= 0


def _surely_wild(states: LocusStates, law: Floats) -> bool:
    """False also for a law that is not known."""
    wild = [_is_wild(states, state) for state in range(len(states.states))]
    return bool(law[wild].sum() > 1 - 1e-12)


@lru_cache(maxsize=2)
def _kinship_of(pedigree: Pedigree) -> Kinship:
    """Relatedness moves only when somebody's parents do."""
    return Kinship(pedigree)


@lru_cache(maxsize=1)
def _kept(genetics: Genetics, species: str) -> KeptGenetics:
    return KeptGenetics(genetics, species)


def kept_genetics(collection: Collection, species: str, cancelled: Callable[[], bool] = lambda: False) -> KeptGenetics:
    """The genetics of a species as the book stands now; computes what changed. For a worker. Raises `WorkStopped`."""
    return _kept(book_of(collection).current(cancelled), species)
