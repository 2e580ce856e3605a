"""What an act changed in the numbers of other animals: who, by how much, who of them is sold and to whom.

Compares two frozen states of the genetics, so that it can be asked on a worker. A note to a buyer is drafted from the
same numbers; nothing is sent.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from coilbook.derived.genetics_book import Genetics, Herd, solve_again
from coilbook.derived.genetics_locus import LocusView, build_locus
from coilbook.genetics.paper import rounded_down
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import DepartureKind, Sex, Status
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection
from coilbook.wording.chances import percent

#: a number that moved by less than this is the same number
MOVED = 0.0005


@dataclass(frozen=True, slots=True)
class Moved:
    """One animal whose chance of carrying a gene changed; None where her family contradicts itself."""

    animal: AnimalId
    keeper_id: str
    sex: Sex
    sex_percent: int
    gene: str
    name: str
    before: float | None
    after: float | None
    paper_before: Fraction | None
    paper_after: Fraction | None
    label: str
    status: Status
    #: who has her now and since when, where she was sold
    buyer: str = ""
    sold_on: str = ""
    #: False where she was sold when the act was in the book already: what it says was known, and no news
    sold_before: bool = True

    @property
    def note(self) -> Message | None:
        """A note to the buyer, drafted; None for an animal that was not sold."""
        if self.status is not Status.SOLD or self.after is None or not self.sold_before:
            return None
        values = {
            "who": self.buyer or say("her keeper"),
            "animal": self.keeper_id,
            "label": self.label or say("without a word on her genes"),
            "gene": self.name,
            "date": moment_from(self.sold_on).date() if self.sold_on else "",
            "now": percent(self.after, 0),
            "paper": rounded_down(self.paper_after) if self.paper_after is not None else "-",
        }
        return say(
            'To {who}: {animal} went to you on {date} as "{label}". What her relatives have shown since changes what '
            "is known of {gene}: it is {now} with everything known now, and {paper} on paper from her parents.",
            **values,
        )


def consequences(
    collection: Collection, before: Genetics, after: Genetics, *, besides: Iterable[int] = ()
) -> tuple[Moved, ...]:
    """Animals whose chances differ between two states, the largest change first; `besides` are left out."""
    left_out = set(besides)
    found: list[tuple[float, AnimalId, LocusView, LocusView, str]] = []
    for species, herd in after.herds.items():
        earlier = before.herds.get(species)
        if earlier is None:
            continue
        for key in dict.fromkeys((*herd.loci, *earlier.loci)):
            old, new = earlier.loci.get(key), herd.loci.get(key)
            if old is None or new is None:
                # the first animal of a gene, or the last: nobody had it before, or has it now
                old, new = old or _of_nobody(earlier, herd, key), new or _of_nobody(herd, earlier, key)
            if old.answer is not new.answer:
                found += [m for m in _moved(earlier, herd, old, new) if m[1] not in left_out]
    found.sort(key=lambda m: (-m[0], m[1]))
    return _told(collection, found)


def _of_nobody(herd: Herd, other: Herd, key: str) -> LocusView:
    """A locus of which nothing is said of anybody in a herd, as the catalogue of the other has it."""
    return build_locus(replace(herd.inputs, catalogue=other.inputs.catalogue), key, solve_again)


def _moved(
    earlier: Herd, herd: Herd, old: LocusView, new: LocusView
) -> list[tuple[float, AnimalId, LocusView, LocusView, str]]:
    ids, was, now = np.intersect1d(earlier.rows.ids, herd.rows.ids, assume_unique=True, return_indices=True)
    laws = old.answer.all_posteriors()[was], new.answer.all_posteriors()[now]
    found = []
    views = old, new
    # by key, not by place: the catalogue may have changed between the two
    for gene in (key for key in new.states.locus.alleles[1:] if key in old.states.locus.alleles):
        has = [view.states.copies(view.states.locus.allele_index(gene)) > 0 for view in views]
        first, second = (law[:, mask].sum(axis=1) for law, mask in zip(laws, has, strict=True))
        change = np.abs(second - first)
        # a number that appears or vanishes with a contradiction has moved as far as a number can
        change[np.isnan(first) != np.isnan(second)] = 1.0
        moved = np.flatnonzero(np.nan_to_num(change) > MOVED)
        found += [(float(change[m]), AnimalId(int(ids[m])), old, new, gene) for m in moved]
    return found


def _told(collection: Collection, found: list[tuple[float, AnimalId, LocusView, LocusView, str]]) -> tuple[Moved, ...]:
    listed = json.dumps(sorted({animal for _, animal, _, _, _ in found}))
    rows = collection.read(
        "SELECT id, keeper_id, sex, sex_percent, genetics, status FROM animal WHERE id IN"
        " (SELECT value FROM json_each(?))",
        (listed,),
    )
    who = {int(row[0]): row[1:] for row in rows}
    sold = collection.read(
        "SELECT d.animal_id, coalesce(p.name, ''), d.at FROM departure d LEFT JOIN person p ON p.id = d.person_id"
        " WHERE d.kind = ? AND d.animal_id IN (SELECT value FROM json_each(?)) ORDER BY d.at, d.id",
        (DepartureKind.SOLD.value, listed),
    )
    buyers = {int(animal): (str(name), str(at)) for animal, name, at in sold}
    told = []
    for _, animal, old, new, gene in found:
        keeper_id, sex, percent, label, status = who[animal]
        places = old.inputs.rows.place[animal], new.inputs.rows.place[animal]
        buyer, sold_on = buyers.get(animal, ("", "")) if status == Status.SOLD else ("", "")
        told.append(
            Moved(
                animal,
                str(keeper_id),
                Sex(sex),
                int(percent),
                gene,
                new.inputs.catalogue.genes[gene].name,
                _number(old, places[0], gene),
                _number(new, places[1], gene),
                _paper(old, places[0], gene),
                _paper(new, places[1], gene),
                str(label),
                Status(status),
                buyer,
                sold_on,
            )
        )
    return tuple(told)


def _number(view: LocusView, animal: int, gene: str) -> float | None:
    chance = view.carrier(animal, gene)
    return None if np.isnan(chance) else chance


def _paper(view: LocusView, animal: int, gene: str) -> Fraction | None:
    value = view.paper.value(animal, view.states.locus.allele_index(gene))
    return value.carrier if value is not None else None
