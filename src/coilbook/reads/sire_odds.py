"""Who sired a clutch, before anything hatched and now: what each gene seen of its young said, and what would say more.

Asks inference again for each gene, all genes weighed together: on a worker.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from coilbook.derived.genetics_book import Herd, book_of
from coilbook.genetics.evidence import likelihood
from coilbook.genetics.inference import Joined, Solved
from coilbook.genetics.known import Known
from coilbook.genetics.problem import NONE
from coilbook.genetics.states import Floats, LocusStates
from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.records.ids import AnimalId, ClutchId
from coilbook.records.message import Message, say
from coilbook.storage.collection import Collection

#: a step or a look is told from this change of a chance on
WORTH_TELLING = 0.01
#: a look that would leave one sire this sure would mean him
_MEANS = 0.95
#: looks asked about that none has shown so far
_MOST_LOOKS = 24


@dataclass(frozen=True, slots=True)
class SireStep:
    """A gene, which young showed what of it, and the chance of each sire after it."""

    told: Message
    after: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SireOdds:
    """The sires of one clutch by the keeper's ids ("" is a male not on record), their chances before and now.

    `start` the chances with nothing seen of these young; `steps` lead from there to `now`. `would` says which look of
    a hatchling would mean which sire. `notes` what is to be said beside. `young` how many stand on record.
    """

    sires: tuple[str, ...]
    before: tuple[float, ...]
    start: tuple[float, ...]
    now: tuple[float, ...]
    steps: tuple[SireStep, ...]
    would: tuple[Message, ...]
    notes: tuple[Message, ...]
    young: int


def doubtful_clutches(collection: Collection, clutches: Iterable[ClutchId]) -> tuple[ClutchId, ...]:
    """Those of these clutches with more than one possible sire (one below 100% leaves another) and young on record."""
    found = []
    for clutch in clutches:
        sires = collection.read("SELECT percent FROM clutch_sire WHERE clutch_id = ?", (clutch,))
        if (len(sires) > 1 or any(percent < 100 for (percent,) in sires)) and _young(collection, clutch):
            found.append(clutch)
    return tuple(found)


def sire_odds(
    collection: Collection, clutches: Iterable[ClutchId], cancelled: Callable[[], bool] = lambda: False
) -> Mapping[ClutchId, SireOdds]:
    """The odds of each of these clutches whose young share one doubtful sire; the others are not named."""
    wanted = doubtful_clutches(collection, clutches)
    genetics = book_of(collection).current(cancelled) if wanted else None
    found: dict[ClutchId, SireOdds] = {}
    for clutch in wanted:
        young = _young(collection, clutch)
        herd = genetics.herd_of(young[0]) if genetics is not None else None
        joined = herd.together.joined if herd is not None else None
        if herd is None or joined is None or cancelled():
            continue
        places = [herd.rows.place[one] for one in young if one in herd.rows.place]
        doubts = [joined.selector_of(place) for place in places]
        shared = next((d for d in doubts if d is not None), None)
        mine = [place for place, doubt in zip(places, doubts) if doubt == shared]
        if shared is None or (len(mine) == 1 and len(places) > 1):
            continue  # each egg may have a sire of its own, or the keeper said of each who it was
        found[clutch] = _Clutch(collection, herd, joined, shared, mine, cancelled).odds()
    return found


def _young(collection: Collection, clutch: ClutchId) -> list[AnimalId]:
    rows = collection.read(
        "SELECT h.animal_id FROM hatchling h JOIN egg e ON e.id = h.egg_id WHERE e.clutch_id = ? ORDER BY e.number,"
        " h.animal_id",
        (clutch,),
    )
    return [AnimalId(animal) for (animal,) in rows]


class _Clutch:
    """One litter with one doubtful sire, asked again with less or more seen of its young."""

    def __init__(
        self,
        collection: Collection,
        herd: Herd,
        joined: Joined,
        doubt: int,
        young: list[int],
        cancelled: Callable[[], bool],
    ) -> None:
        self._collection, self._herd, self._joined, self._doubt = collection, herd, joined, doubt
        self._young, self._cancelled = young, cancelled
        self._keys = tuple(herd.loci)
        #: by locus, those of the young of which something is known there
        self._seen = {number: [one for one in young if self._is_seen(number, one)] for number in range(len(self._keys))}

    def odds(self) -> SireOdds:
        """Before, now, and what lies between."""
        sires, now = self._joined.with_answers({}, keep=[self._doubt]).sires(self._doubt)
        seen = [number for number, its in self._seen.items() if its]
        start = self._law(self._silent(seen))
        steps, before = [], start
        for at, number in enumerate(seen):
            after = self._law(self._silent(seen[at + 1 :])) if at + 1 < len(seen) else now
            if np.abs(after - before).max() >= WORTH_TELLING:
                steps.append(SireStep(self._told(number), tuple(after.tolist())))
            before = after
        return SireOdds(
            tuple(self._name(sire) for sire in sires),
            self._prior(),
            tuple(start.tolist()),
            tuple(now.tolist()),
            tuple(steps),
            tuple(self._would(sires, now)),
            self._notes(start),
            len(self._young),
        )

    def _prior(self) -> tuple[float, ...]:
        """As recorded before any look at anything."""
        bare = Joined(self._joined.alone)
        return tuple(bare.sires(self._doubt)[1].tolist())

    def _notes(self, start: Floats) -> tuple[Message, ...]:
        notes = []
        if any(self._herd.loci[key].by_gene(one) for key in self._keys for one in self._young):
            notes.append(SIRES_BY_GENE)
        if any(self._doubt in cluster.selectors for cluster in self._joined.contradictions()):
            notes.append(say("What was seen of these young fits no sire here: settle that on Identify first."))
        elif np.abs(start - np.array(self._prior())).max() >= WORTH_TELLING:
            notes.append(say("What other relatives show is in it before the first gene."))
        return tuple(notes)

    # --- asking again ------------------------------------------------------------------------------------------
    def _silent(self, loci: Iterable[int]) -> dict[int, Solved]:
        """The answers of these loci as if nothing had been seen there of the young."""
        return {
            number: self._joined.alone[number].with_evidence(
                dict.fromkeys(self._seen[number], likelihood(self._states(number), Known()))
            )
            for number in loci
        }

    def _law(self, answers: dict[int, Solved]) -> Floats:
        return self._joined.with_answers(answers, keep=[self._doubt]).sires(self._doubt)[1]

    def _states(self, number: int) -> LocusStates:
        return self._herd.loci[self._keys[number]].states

    def _is_seen(self, number: int, young: int) -> bool:
        rows = self._joined.alone[number].problem.evidence
        nothing = likelihood(self._states(number), Known())
        return not np.array_equal(rows.rows[rows.of[young]], nothing)

    # --- words -------------------------------------------------------------------------------------------------
    def _name(self, place: int) -> str:
        if place == NONE:
            return ""
        row = self._collection.read_one("SELECT keeper_id FROM animal WHERE id = ?", (int(self._herd.rows.ids[place]),))
        return str(row[0]) if row is not None else "?"

    def _told(self, number: int) -> Message:
        """ "Super Pastel: 26-01-3; Pastel: 26-01-1, 26-01-4"."""
        states, view = self._states(number), self._herd.loci[self._keys[number]]
        by_look: dict[tuple[str, ...], list[str]] = {}
        for one in self._seen[number]:
            known = view.known(one)
            fits = likelihood(states, Known(known.sightings, hidden=known.hidden))
            looks = dict.fromkeys(look.key for look, chance in zip(states.looks, fits.tolist()) if chance > 0)
            by_look.setdefault(tuple(looks), []).append(self._name(one))
        parts = [self._part(number, keys, ", ".join(who)) for keys, who in by_look.items()]
        told = parts[0]
        for part in parts[1:]:
            told = say("{first}; {rest}", first=told, rest=part)
        return told

    def _part(self, number: int, looks: tuple[str, ...], young: str) -> Message:
        if looks == ("",):
            return say("no {gene}: {young}", gene=self._gene(number), young=young)
        if "" in looks or not looks:
            return say("{gene}, not sure: {young}", gene=self._gene(number), young=young)
        named = " / ".join(self._look(number, key) for key in looks)
        return say("{look}: {young}", look=named, young=young)

    def _look(self, number: int, key: str) -> str:
        return next(look.name for look in self._states(number).looks if look.key == key)

    def _gene(self, number: int) -> str:
        catalogue = self._herd.inputs.catalogue
        alleles = catalogue.loci[self._keys[number]].alleles
        return ", ".join(catalogue.genes[allele].name for allele in alleles if allele in catalogue.genes)

    def _would(self, sires: tuple[int, ...], now: Floats) -> list[Message]:
        """Looks of a hatchling not looked at there so far that would leave one sire all but sure."""
        if now.max() >= _MEANS:
            return []
        found, asked = [], 0
        for number in range(len(self._keys)):
            unseen = [one for one in self._young if one not in self._seen[number]]
            if not unseen:
                continue
            states, answer = self._states(number), self._joined.alone[number]
            law = self._joined.answers[number].posterior(unseen[0])
            for key in dict.fromkeys(look.key for look in states.looks if look.key and not look.lethal):
                row = states.with_look(key).astype(np.float64)
                if float(law @ row) < 1e-6 or asked >= _MOST_LOOKS or self._cancelled():
                    continue
                asked += 1
                after = self._law({number: answer.with_evidence({unseen[0]: row})})
                if after.max() >= _MEANS:
                    sire = self._name(sires[int(after.argmax())])
                    look = self._look(number, key)
                    found.append(
                        say("{look} would mean {sire}", look=look, sire=sire)
                        if sire
                        else say("{look} would mean a male not on record", look=look)
                    )
        return found
