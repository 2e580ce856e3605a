"""Why a number on an animal's page is what it is, and what would settle it. Asks inference again: on a worker."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from coilbook.derived.genetics_book import Genetics, Herd, book_of
from coilbook.derived.genetics_clash import Cause, suspects
from coilbook.derived.genetics_explain import Explanation, Step, explain
from coilbook.derived.genetics_locus import LocusView
from coilbook.genetics.evidence import likelihood
from coilbook.genetics.known import Known
from coilbook.genetics.settling import by_test
from coilbook.genetics.states import Bools
from coilbook.reads.genetics_mates import mates_that_settle, tenths
from coilbook.reads.genetics_rows import Asks, GeneRow, Way
from coilbook.reads.genetics_words import joined as joined_words
from coilbook.reads.genetics_young import showing
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection

#: how often a test is taken to be wrong here (from memory; the keeper says otherwise when entering one)
TEST_ERROR = 0.01


@dataclass(frozen=True, slots=True)
class WhyStep:
    """A relative's finding: what it is, the number after it, and the number without it alone."""

    words: Message
    after: float
    without: float


@dataclass(frozen=True, slots=True)
class Why:
    """The explanation of one number; `ground` is where the stair begins."""

    animal: AnimalId
    gene: str
    revision: int
    value: float
    ground: Message
    start: float
    steps: tuple[WhyStep, ...]
    notes: tuple[Message, ...]
    ways: tuple[Way, ...]


def why(collection: Collection, row: GeneRow, animal: AnimalId, cancelled: Callable[[], bool]) -> Why | None:
    """The explanation of a row's number; None where there is none to explain. Raises `WorkStopped`."""
    book = book_of(collection)
    genetics, solver = book.current(cancelled), partial(book.solver, cancelled=cancelled)
    found = genetics.view(animal, row.locus)
    herd = genetics.herd_of(animal)
    if row.contradiction is not None:
        told_causes = causes(collection, row, animal, cancelled)
        return Why(animal, row.gene, genetics.revision, 0.0, row.contradiction, 0.0, (), told_causes, ())
    if found is None or herd is None or not row.numbered:
        return None
    view, place = found
    states = asked_states(view, row)
    names = Names(collection, herd)
    dates = _dates(collection, herd)
    told = explain(view, solver, place, states, lambda a: dates(a), cancelled)
    if told is None:
        return None
    ways = _ways(collection, genetics, herd, view, place, row, names) if row.doubt else ()
    steps = tuple(WhyStep(_step_words(view, s, row, names), s.after, s.without) for s in told.steps)
    ground = row.basis or (row.rests_on if not told.steps else say("what is said of it"))
    return Why(
        animal,
        row.gene,
        genetics.revision,
        told.value,
        ground,
        told.start,
        steps,
        _notes(told, names, row, joined=view.knows_of_sires(place)),
        ways,
    )


def causes(
    collection: Collection, row: GeneRow, animal: AnimalId, cancelled: Callable[[], bool] = lambda: False
) -> tuple[Message, ...]:
    """What single mistakes would explain the contradiction an animal's family is in; computes."""
    book = book_of(collection)
    genetics, solver = book.current(cancelled), partial(book.solver, cancelled=cancelled)
    found, herd = genetics.view(animal, row.locus), genetics.herd_of(animal)
    if found is None or herd is None:
        return ()
    view, place = found
    clashes = view.answer.clashes
    clash = next((c for c in clashes if place in c.animals), next(iter(clashes), None))
    if clash is None:
        return ()
    names = Names(collection, herd)
    return tuple(
        say(_CAUSES[one.cause], animal=names(one.animal), gene=row.name) for one in suspects(view, solver, clash)
    )


_CAUSES = {
    Cause.MISREAD: "What is known of {animal} is wrong: a misread look, a mistaken test or label.",
    Cause.WRONG_SIRE: "{animal} has another sire.",
    Cause.SWAPPED_EGG: "{animal} comes from another clutch: a swapped egg.",
    Cause.DAM_ONLY: "{animal} has no sire at all; rare, and looked into only when the rest is ruled out.",
}


def asked_states(view: LocusView, row: GeneRow) -> Bools:
    """(S,) the states whose chance a row's number is."""
    copies = view.states.copies(view.states.locus.allele_index(row.gene))
    return np.asarray(copies == 2 if row.asks is Asks.TWO else copies > 0)


class Names:
    """Keeper's ids of animals by place, each asked once."""

    def __init__(self, collection: Collection, herd: Herd) -> None:
        self._collection, self._herd = collection, herd
        self._known: dict[int, str] = {}

    def __call__(self, animal: int) -> str:
        if animal not in self._known:
            number = int(self._herd.rows.ids[animal])
            row = self._collection.read_one("SELECT keeper_id FROM animal WHERE id = ?", (number,))
            self._known[animal] = str(row[0]) if row else "?"
        return self._known[animal]


def _dates(collection: Collection, herd: Herd) -> Callable[[int], str]:
    """When something of an animal was found: its newest finding, else the day it hatched, else last."""

    def date(animal: int) -> str:
        findings = herd.rows.findings.get(animal, ())
        if findings:
            return findings[0].at
        row = collection.read_one("SELECT hatched FROM animal WHERE id = ?", (int(herd.rows.ids[animal]),))
        return str(row[0]) if row and row[0] else "9999"

    return date


def _step_words(view: LocusView, step: Step, row: GeneRow, names: Names) -> Message:
    known, who = view.known(step.animal), names(step.animal)
    tests = [say("test, {n} copy", "test, {n} copies", n=t.copies) for t in known.tests if t.gene == row.gene]
    if tests:
        # the oldest first, as they were found
        return say("{animal}: {what}", animal=who, what=joined_words(tests[::-1]))
    if row.gene in known.proven:
        return say("{animal}: proven by its young", animal=who)
    shows = showing(view, view.states.locus.allele_index(row.gene))
    fits = likelihood(view.states, Known(known.sightings, hidden=known.hidden))
    if not (fits[shows] > 0).any():
        return say("{animal} not {gene}", animal=who, gene=row.name)
    if not (fits[~shows] > 0).any():
        return say("{animal} is {gene}", animal=who, gene=row.name)
    return say("{animal}: what was seen", animal=who)


def _notes(told: Explanation, names: Names, row: GeneRow, *, joined: bool) -> tuple[Message, ...]:
    notes = [
        say(
            "Without the young of {dam} by {sire} it stands at {percent}%.",
            dam=names(dam), sire=names(sire), percent=tenths(without),
        )
        for (sire, dam), without in told.mating_without
    ]  # fmt: skip
    alone = [s for s in told.steps if abs(s.without - told.value) < 0.0005]
    if len(told.steps) > 1 and len(alone) == len(told.steps):
        notes.append(say("Each of these alone could be missing: the others say the same."))
    if told.more:
        notes.append(
            say(
                "{n} more distant relative is in the first number.",
                "{n} more distant relatives are in the first number.",
                n=told.more,
            )
        )
    if joined:
        notes.append(say("What other genes show of who the sires are is in the first number."))
    return (*notes, *row.taken)


def _ways(
    collection: Collection, genetics: Genetics, herd: Herd, view: LocusView, animal: int, row: GeneRow, names: Names
) -> tuple[Way, ...]:
    ways: list[Way] = []
    value = float(view.law(animal)[asked_states(view, row)].sum())
    if row.asks is Asks.CARRIES and 0 < value < 1:
        test = by_test(value, TEST_ERROR)
        ways.append(
            Way(
                say("Shed test"),
                say("about 3 weeks"),
                say(
                    "Where a lab offers it. Yes leaves {yes}%, no {no}%, with 1 in 100 taken as wrong.",
                    yes=tenths(test.after_yes), no=tenths(test.after_no),
                ),
            )
        )  # fmt: skip
    if herd.rows.sex_of(animal) in (Sex.MALE, Sex.FEMALE):
        ways += mates_that_settle(collection, genetics, view, animal, row, asked_states(view, row), names)
    return tuple(ways)
