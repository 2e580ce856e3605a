"""The genetics of a collection, kept current: for every locus in play the law of every animal, both on paper and known.

`book_of(collection)` is one for a collection and may be asked from any thread but the window's: `current()` looks how
far the journal has gone, reads again what was touched and computes the loci that changed. What it returns is frozen and
may be used on a worker while the book moves on. The window asks `ready()`, which never computes.

    book = book_of(collection)
    genetics = book.current()                    # Genetics at this revision
    law = genetics.law(animal, "clown")          # (S,) with evidence; genetics.states("clown") says of which states
    value = genetics.paper(animal, "clown")      # PaperValue of a gene, exact
    laws = genetics.pair_laws(dam=f, sire=m)     # {locus key: (LocusStates, (S, S) joint [sire state, dam state])}

Animals are `AnimalId`s here; `Genetics.herds` gives the arrays below them by species.
"""

from __future__ import annotations

import threading
import time
import weakref
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from types import MappingProxyType
from typing import Protocol

import numpy as np

from coilbook.derived.genetics_findings import with_findings_of_today
from coilbook.derived.genetics_joined import Loci, joined_loci
from coilbook.derived.genetics_lift import Descent
from coilbook.derived.genetics_locus import Inputs, LocusView, build_locus, loci_in_play
from coilbook.derived.genetics_rows import Rows, read_rows, reread
from coilbook.derived.genetics_words import Words
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.inference import Cancelled, Solved, solve
from coilbook.genetics.paper import PaperValue
from coilbook.genetics.problem import Answer, Clash, Problem
from coilbook.genetics.statement import Reading
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.changes import ODDS_REST_ON
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Act
from coilbook.storage.collection import Collection
from coilbook.storage.without_act import Readable

#: with more animals touched than this everything is read again, which is then quicker
MANY = 500
#: acts whose consequences can still be told by comparison
STEPS_KEPT = 4
#: an act that is followed within this time is followed at once, as long as it does not take `PATIENCE_S` after all
QUICK_S, PATIENCE_S = 0.03, 0.1


@dataclass(frozen=True, eq=False)
class Herd:
    """The animals of one species at one revision; animals are places in `inputs.rows`."""

    inputs: Inputs
    together: Loci

    @property
    def loci(self) -> Mapping[str, LocusView]:
        """The loci in play, by key."""
        return self.together.views

    @property
    def rows(self) -> Rows:
        """Who there is."""
        return self.inputs.rows


@dataclass(frozen=True, eq=False)
class Genetics:
    """All genetics of a collection at one revision (the newest act it knows). Frozen."""

    revision: int
    herds: Mapping[str, Herd]

    def herd_of(self, animal: AnimalId) -> Herd | None:
        """The herd an animal belongs to; None for one that is not in the book or of a species without a catalogue."""
        return next((h for h in self.herds.values() if animal in h.rows.place), None)

    def catalogue_of(self, animal: AnimalId) -> Catalogue | None:
        """The catalogue of the animal's species."""
        herd = self.herd_of(animal)
        return herd.inputs.catalogue if herd is not None else None

    def view(self, animal: AnimalId, locus: str) -> tuple[LocusView, int] | None:
        """A locus answered and the animal's place in it; None where the locus is not in play."""
        herd = self.herd_of(animal)
        if herd is None or locus not in herd.loci:
            return None
        return herd.loci[locus], herd.rows.place[animal]

    def law(self, animal: AnimalId, locus: str) -> Floats | None:
        """(S,) law with evidence, NaN where the family contradicts itself; None where the locus is not in play."""
        found = self.view(animal, locus)
        return found[0].law(found[1]) if found else None

    def paper(self, animal: AnimalId, gene: str) -> PaperValue | None:
        """What follows for a gene from the parents' statuses alone; None where the locus is not in play."""
        catalogue = self.catalogue_of(animal)
        if catalogue is None or gene not in catalogue.genes:
            return None
        found = self.view(animal, catalogue.genes[gene].locus)
        return found[0].paper.value(found[1], catalogue.allele_of(gene)) if found else None

    def exact(self, animal: AnimalId, locus: str) -> bool:
        """False where the number was drawn, not counted (see `error`), or weighs sires by itself (see `by_gene`)."""
        found = self.view(animal, locus)
        return found is None or (found[0].answer.error(found[1]) == 0 and not found[0].by_gene(found[1]))

    def by_gene(self, animal: AnimalId, locus: str) -> bool:
        """True where too many sires are possible, so that what other loci show of them is not counted here."""
        found = self.view(animal, locus)
        return found is not None and found[0].by_gene(found[1])

    def error(self, animal: AnimalId, locus: str) -> float:
        """Standard error of an approximate law; 0 where exact."""
        found = self.view(animal, locus)
        return found[0].answer.error(found[1]) if found else 0.0

    def pair_laws(self, *, sire: AnimalId, dam: AnimalId) -> dict[str, tuple[LocusStates, Floats]]:
        """By locus, the joint law of two animals, [sire state, dam state], where either may carry something."""
        herd = self.herd_of(sire)
        if herd is None or herd is not self.herd_of(dam):
            return {}
        male, female = herd.rows.place[sire], herd.rows.place[dam]
        found = {}
        for key, view in herd.loci.items():
            mutant = _mutant(view.states)
            if view.law(male)[mutant].sum() > 0 or view.law(female)[mutant].sum() > 0:
                found[key] = (view.states, view.answer.joint(male, female))
        return found

    def clashes(self) -> list[tuple[str, Clash, tuple[AnimalId, ...]]]:
        """Every contradiction: locus key, the clash, and the animals whose findings cannot all be true."""
        return [
            (key, clash, tuple(AnimalId(int(herd.rows.ids[a])) for a in clash.animals))
            for herd in self.herds.values()
            for key, view in herd.loci.items()
            for clash in view.answer.clashes
        ]


def _mutant(states: LocusStates) -> Bools:
    return np.array([s.first > 0 or s.second > 0 for s in states.states])


@dataclass(frozen=True, eq=False)
class _Begun:
    """A herd under way at one revision: the loci that are done."""

    newest: tuple[int, str]
    inputs: Inputs
    loci: dict[str, LocusView]


def _never() -> bool:
    return False


class StoppableSolver(Protocol):
    """What answers the questions of a book."""

    def __call__(self, problem: Problem, before: Answer | None, cancelled: Callable[[], bool] = _never) -> Answer:
        """The answer; `before` is one to an earlier question of the same pedigree, of which anything may be used again.

        Raises `Cancelled` soon after `cancelled` says so.
        """


class GeneticsBook:
    """Keeps `Genetics` current for one collection."""

    def __init__(self, collection: Readable, solver: StoppableSolver) -> None:
        self._collection = weakref.ref(collection)
        self._solver = solver
        self._lock = threading.RLock()
        #: texts are read while something long is computed
        self._reading = threading.RLock()
        self._genetics: Genetics | None = None
        self._seen: tuple[int, str] = (0, "")
        #: seconds the last coming up to an act took
        self._took = float("inf")
        self._words = Words()
        self._begun: dict[str, _Begun] = {}
        self._steps: deque[tuple[Genetics, Genetics]] = deque(maxlen=STEPS_KEPT)

    @property
    def solver(self) -> StoppableSolver:
        """What answers its questions."""
        return self._solver

    def reading_of(self, text: str, catalogue: Catalogue) -> Reading:
        """A genetics text as this book reads it."""
        with self._reading:
            return self._words.reading(text, catalogue)

    def catalogue_of(self, animal: AnimalId) -> Catalogue | None:
        """The catalogue an animal's genes are read by, lines of the keeper's included."""
        genetics = self._genetics
        found = genetics.catalogue_of(animal) if genetics is not None else None
        if found is not None:
            return found
        row = self._book.read_one("SELECT species FROM animal WHERE id = ?", (animal,))
        with self._reading:
            return self._words.catalogues(self._book, fresh=False).get(str(row[0])) if row is not None else None

    def ready(self) -> Genetics | None:
        """The newest computed genetics, however old; None before the first `current`."""
        return self._genetics

    def is_current(self) -> bool:
        """True when nothing was written since the newest computed genetics."""
        return self._genetics is not None and self._newest() == self._seen

    def forget(self) -> None:
        """Let everything computed go; the next `current` begins anew."""
        with self._lock, self._reading:
            self._genetics, self._seen = None, (0, "")
            self._words = Words()
            self._begun.clear()
            self._steps.clear()

    def current(self, cancelled: Callable[[], bool] = _never) -> Genetics:
        """Genetics as the book stands now; computes what changed since it was asked last.

        Raises `Cancelled` soon after it is asked to stop; loci that are done are there for the next call.
        """
        with self._lock:
            newest = self._newest()
            if self._genetics is None or newest != self._seen:
                began = time.perf_counter()
                before, self._genetics = self._genetics, self._advanced(newest, cancelled)
                self._seen, self._took = newest, time.perf_counter() - began
                if before is not None:
                    self._steps.append((before, self._genetics))
            return self._genetics

    def follow(self) -> None:
        """Come up to an act just made, on the thread that made it, where the last one cost next to nothing.

        The window then asks for numbers that are there, instead of drawing the page and computing at once. The next act
        waits for this thread: what takes long after all, or is computed already, is left to whoever asks for it.
        """
        if self._genetics is None or self._took >= QUICK_S or not self._lock.acquire(blocking=False):
            return
        end = time.perf_counter() + PATIENCE_S
        try:
            self.current(lambda: time.perf_counter() > end)
        except Cancelled:
            self._took = float("inf")
        finally:
            self._lock.release()

    def step_of(self, act: int) -> tuple[Genetics, Genetics] | None:
        """Genetics before and after an act, if it is among the last few; acts made at once are one step."""
        with self._lock:
            found = (step for step in self._steps if step[0].revision < act <= step[1].revision)
            return next(found, None)

    @property
    def _book(self) -> Readable:
        collection = self._collection()
        if collection is None:
            raise RuntimeError("the collection of this book is gone")
        return collection

    def _newest(self) -> tuple[int, str]:
        row = self._book.read_one("SELECT id, at FROM act ORDER BY id DESC LIMIT 1")
        return (int(row[0]), str(row[1])) if row is not None else (0, "")

    def _advanced(self, newest: tuple[int, str], cancelled: Callable[[], bool]) -> Genetics:
        before = self._genetics
        touched = self._touched(newest[0]) if before is not None else None
        if before is not None and touched is not None and not touched:
            return Genetics(newest[0], before.herds)
        if any(begun.newest != newest for begun in self._begun.values()):
            self._begun.clear()
        herds = {}
        fresh = touched is None and not self._begun
        with self._reading:
            catalogues = self._words.catalogues(self._book, fresh=fresh)
        for species, catalogue in catalogues.items():
            earlier = before.herds.get(species) if before is not None else None
            if species not in self._begun:
                self._begun[species] = _Begun(newest, self._inputs(species, catalogue, earlier, touched), {})
            herds[species] = self._herd(self._begun[species], earlier, touched, cancelled)
        self._begun.clear()
        return Genetics(newest[0], MappingProxyType(herds))

    def _touched(self, newest: int) -> set[int] | None:
        """Animals whose rows changed since; None where everything is to be read again."""
        book, seen = self._book, self._seen
        if book.read_one("SELECT 1 FROM act WHERE id = ? AND at = ?", seen) is None or newest < seen[0]:
            return None
        rows = book.read("SELECT DISTINCT +tbl, animal, row FROM change WHERE act > ?", (seen[0],))
        if any(table in ("own_gene", "import_answer") for table, _, _ in rows):
            return None
        if book.read_one("SELECT 1 FROM act WHERE id > ? AND kind = ?", (seen[0], Act.RESTORE.value)):
            return None
        touched = {int(animal) for table, animal, _ in rows if table in ODDS_REST_ON and animal is not None}
        return touched if len(touched) <= MANY else None

    def _inputs(self, species: str, catalogue: Catalogue, before: Herd | None, touched: set[int] | None) -> Inputs:
        """What the herd is computed from, read again as far as it was touched."""
        rows = reread(self._book, before.rows, species, touched) if before is not None and touched is not None else None
        descent = before.inputs.descent if before is not None and rows is not None else None
        if rows is None:
            rows = read_rows(self._book, species)
        with self._reading:
            catalogue, words, claims = self._words.read(rows, catalogue, before.inputs if before is not None else None)
        rows = with_findings_of_today(rows, catalogue)
        return Inputs(rows, descent or Descent(rows.pedigree, rows.litter_of), catalogue, words, claims)

    def _herd(
        self, begun: _Begun, before: Herd | None, touched: set[int] | None, cancelled: Callable[[], bool]
    ) -> Herd:
        inputs, loci, solver = begun.inputs, begun.loci, partial(self._solver, cancelled=cancelled)
        descends = before is not None and before.inputs.descent is inputs.descent
        earlier = before.together if before is not None and descends else None
        kept = before is not None and descends and before.inputs.catalogue is inputs.catalogue
        places = [inputs.rows.place[animal] for animal in touched or () if animal in inputs.rows.place]
        for key in loci_in_play(inputs):
            if key in loci:
                continue
            if cancelled():
                raise Cancelled
            view = _begun_at(earlier, key)
            same = view is not None and view.states.locus == inputs.catalogue.loci[key]
            loci[key] = build_locus(inputs, key, solver, view if same else None, places if kept else None)
        return Herd(inputs, joined_loci(inputs, MappingProxyType(loci), solver, cancelled, earlier))


def _begun_at(earlier: Loci | None, key: str) -> LocusView | None:
    """A locus as it answered by itself, with the paper values worked out since."""
    if earlier is None or key not in earlier.alone:
        return None
    alone, view = earlier.alone[key], earlier.views[key]
    return alone if view is alone else replace(alone, earlier=view.paper_kept())


def solve_again(problem: Problem, before: Answer | None, cancelled: Callable[[], bool] = _never) -> Answer:
    """Put a question to inference, with what an earlier answer can give where there is one."""
    return solve(problem, before=before if isinstance(before, Solved) else None, cancelled=cancelled)


_BOOKS: weakref.WeakKeyDictionary[Collection, GeneticsBook] = weakref.WeakKeyDictionary()
_BOOKS_LOCK = threading.Lock()


def book_of(collection: Collection) -> GeneticsBook:
    """The genetics book of a collection, made when first asked for."""
    with _BOOKS_LOCK:
        book = _BOOKS.get(collection)
        if book is None:
            book = _BOOKS[collection] = GeneticsBook(collection, solve_again)
        return book
