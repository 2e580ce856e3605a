"""From a key press to the page: a finding committed, every posterior right, the genes repainted; at 2,000 animals."""

from __future__ import annotations

import datetime as dt
import json
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from coilbook.app.bench.figures import Line, median, p95
from coilbook.app.bench.herds import Herd
from coilbook.app.bench.own_process import NotMeasured, measured
from coilbook.genetics.problem import NONE, Ints

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from coilbook.app.bench.in_window import PaintWatch
    from coilbook.storage.collection import Collection
    from coilbook.ui.main_window import MainWindow

ANIMALS, PRESSES, GOAL_MS = 2_000, 100, 50.0
REST_S = 0.15
#: gene, how many founders of a hundred have one copy, whether one copy shows
GENES = (("Clown", 12, False), ("Piebald", 10, False), ("Albino", 8, False), ("Ghost", 6, False),
         ("Pastel", 15, True), ("Enchi", 12, True), ("Fire", 8, True))  # fmt: skip


def finding_lines(told: Callable[[str], None]) -> list[Line]:
    """The lines; measured in a process of its own, in the real window."""
    told(f"  a finding at {ANIMALS:,} animals")
    what = f"a finding at {ANIMALS:,} animals: key to committed, posteriors right and repainted, p95"
    try:
        found = measured("coilbook.app.bench.of_findings")
    except NotMeasured as error:
        return [Line(what, GOAL_MS, None, note=str(error))]
    note = f"{len(found['whole'])} tests typed, {len(GENES)} loci in play, each on another animal"
    return [
        Line(what, GOAL_MS, p95(found["whole"]), note=note),
        Line("  the same, median", None, median(found["whole"])),
        Line("  of it: posteriors of all animals after the commit, median", None, median(found["posteriors"])),
        Line(f"genetics of {ANIMALS:,} animals from the stored rows, cold", None, found["cold"][0]),
    ]


def _clock() -> dt.datetime:
    return dt.datetime(2026, 3, 29, 20, 0, tzinfo=dt.UTC)


def _build(folder: Path) -> Collection:
    from coilbook.records.vocabulary import Act
    from coilbook.storage.collection import Collection
    from coilbook.storage.tables import Animal, Sire

    herd = Herd(ANIMALS, 11)
    labels = list(_labels(herd))
    sire, dam = herd.pedigree.sire, herd.pedigree.dam
    male = np.isin(np.arange(ANIMALS), sire)
    collection = Collection.create(folder, _clock)
    rows = [
        (f"A-{n}", "male" if male[n] else "female", labels[n], int(dam[n]) + 1 if dam[n] != NONE else None)
        for n in range(ANIMALS)
    ]
    sires = [(n + 1, int(sire[n]) + 1) for n in range(ANIMALS) if sire[n] != NONE]
    with collection.building(), collection.act(Act.IMPORT) as act:
        act.run("PRAGMA defer_foreign_keys = ON")
        act.insert_many(Animal, ("keeper_id", "sex", "genetics", "dam_id"), rows)
        act.insert_many(Sire, ("animal_id", "sire_id"), sires)
    return collection


def _labels(herd: Herd) -> Iterator[str]:
    """Looks of all, and of founders what they carry: as a keeper would write them."""
    copies = [_copies(herd, percent, seed) for seed, (_, percent, _) in enumerate(GENES)]
    founders = set(herd.founders.tolist())
    for animal in range(herd.size):
        words = []
        for (name, _, shows), found in zip(GENES, copies, strict=True):
            count = int(found[animal])
            if shows and count:
                words.append(f"Super {name}" if count == 2 else name)
            elif count == 2:
                words.append(name)
            elif count and animal in founders:
                words.append(f"100% het {name.lower()}")
        # what shows comes first, or "het" would be read on
        yield " ".join(sorted(words, key=lambda word: "het" in word)) or "normal"


def _copies(herd: Herd, percent: int, seed: int) -> Ints:
    chance = np.random.default_rng(seed)
    copies = np.zeros(herd.size, dtype=np.int64)
    copies[herd.founders] = chance.random(len(herd.founders)) * 100 < percent
    for level in range(1, int(herd.depth.max()) + 1):
        now = np.flatnonzero(herd.depth == level)
        for parent in (herd.pedigree.sire[now], herd.pedigree.dam[now]):
            copies[now] += chance.random(len(now)) * 2 < copies[parent]
    return copies


def _measure(folder: Path) -> dict[str, list[float]]:
    from coilbook.app.bench.in_window import PaintWatch, wait
    from coilbook.app.start import close_window, make_application, make_window, open_collection
    from coilbook.derived.genetics_book import book_of

    _build(folder).close()
    app = make_application()
    with open_collection(folder, _clock) as collection:
        book = book_of(collection)
        began = time.perf_counter()
        book.current()
        found: dict[str, list[float]] = {"cold": [(time.perf_counter() - began) * 1000]}
        window = make_window(collection)
        window.show()
        watch = PaintWatch()
        chosen = np.random.default_rng(4).choice(np.arange(ANIMALS // 2, ANIMALS), PRESSES + 3, replace=False)
        found["whole"] = [_press(app, window, watch, int(animal) + 1) for animal in chosen][3:]
        # the last page is still explaining its numbers
        wait(app, lambda: not window.desk.background.busy, sleeping=True)
        found["posteriors"] = list(_posteriors(collection))
        close_window(window.desk, window)
    return found


def _press(app: QApplication, window: MainWindow, watch: PaintWatch, animal: int) -> float:
    """Type a test on the page of an animal; ms from Enter until its genes are painted with the new numbers."""
    from PySide6.QtCore import Qt
    from PySide6.QtTest import QTest

    from coilbook.app.bench.in_window import idle, wait
    from coilbook.ui.screens.animal import AnimalScreen

    window.open_screen("animal", animal=animal)
    page = window.made("animal")
    assert isinstance(page, AnimalScreen)
    genes = page.body.genes
    genes.list.installEventFilter(watch)
    wait(app, lambda: genes.part is not None and genes.part.animal == animal, sleeping=True)
    idle(app, REST_S)
    page.body.add_finding()
    field, part = genes.entry.field, genes.part
    assert field is not None and part is not None
    QTest.keyClicks(field, "test clown none")
    # Enter comes when the last letter has been drawn: a hand is no quicker
    idle(app, 0.03)

    def shown() -> bool:
        if genes.part is None or genes.part.revision <= part.revision:
            watch.painted = False
        return watch.painted

    watch.painted = False
    began = time.perf_counter()
    QTest.keyClick(field, Qt.Key.Key_Return)
    wait(app, shown, sleeping=True)
    taken = (time.perf_counter() - began) * 1000
    idle(app, REST_S)
    return taken


def _posteriors(collection: Collection) -> Iterator[float]:
    from coilbook.derived.genetics_book import book_of
    from coilbook.operations.findings import FindingDetails, add_finding
    from coilbook.records.ids import AnimalId
    from coilbook.records.vocabulary import FindingKind

    book = book_of(collection)
    book.current()
    for animal in range(ANIMALS - 20, ANIMALS):
        details = FindingDetails(kind=FindingKind.TEST, locus="piebald", gene="piebald", copies=0, ppm=10_000)
        add_finding(collection, animal=AnimalId(animal), details=details)
        began = time.perf_counter()
        book.current()
        yield (time.perf_counter() - began) * 1000


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(prefix="coilbook-bench-") as place:
        print(json.dumps(_measure(Path(place) / "book")))
