"""Genetics of a whole collection from its stored rows: the first computation, its memory, and genes after a page.

Each measurement has a process of its own: `python -m coilbook.app.bench.of_genetics_book WHAT FOLDER` prints JSON.
"""

from __future__ import annotations

import json
import os
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from coilbook.app.bench.figures import Line, median, p95
from coilbook.app.bench.own_process import NotMeasured, measured

if TYPE_CHECKING:
    from coilbook.ui.screens.animal import AnimalScreen

LONGEST_S = 600
PAGES = 20


def genetics_book_lines(folder: Path, told: Callable[[str], None]) -> list[Line]:
    """The lines of one collection; one that fails says so."""
    told("  genetics of the collection")
    try:
        cold, pages = _ask("cold", folder), _ask("pages", folder)
    except NotMeasured as error:
        return [Line("genetics of the collection", None, None, note=str(error))]
    animals, loci, later = int(cold["animals"]), int(cold["loci"]), pages["later"]
    what = f"genetics of {animals:,} animals from the stored rows"
    note = f"{loci} loci in play; processor time {cold['cpu']:,.0f} ms"
    return [
        Line(f"{what}, first time", 5000, cold["whole"], note=note),
        Line("  the same, most memory held", 700, cold["peak"], "MB", note=f"{cold['empty']:,.0f} MB before"),
        Line("  genes of the first page, after it is painted", None, pages["first"][0]),
        Line("  the longest the window did not answer meanwhile", 100, pages["gap"][0]),
        Line(
            "  genes of later pages, after they are painted, p95", None, p95(later), note=f"median {median(later):,.1f}"
        ),
    ]


def _ask(what: str, folder: Path) -> dict[str, Any]:
    return dict(measured("coilbook.app.bench.of_genetics_book", what, str(folder), longest_s=LONGEST_S))


def cold(folder: Path) -> dict[str, float]:
    """All posteriors of a collection that was just opened, ms; resident memory before and at most, MB."""
    from coilbook.app.bench.big_book import clock
    from coilbook.app.bench.in_window import memory_mb
    from coilbook.derived.genetics_book import book_of
    from coilbook.storage.collection import Collection

    with Collection.open(folder, clock) as book:
        empty = memory_mb()
        began, used = time.perf_counter(), time.process_time()
        genetics = book_of(book).current()
        whole, cpu = time.perf_counter() - began, time.process_time() - used
        herds = genetics.herds.values()
        return {
            "whole": whole * 1000,
            "cpu": cpu * 1000,
            "animals": sum(len(herd.rows.ids) for herd in herds),
            "loci": sum(len(herd.loci) for herd in herds),
            "empty": empty,
            "peak": _peak_mb(),
        }


def _peak_mb() -> float:
    """The most memory this process has held, MB."""
    try:
        import resource
    except ImportError:
        return float("nan")
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / 1e6 if sys.platform == "darwin" else most * 1024 / 1e6


def pages(folder: Path) -> dict[str, list[float]]:
    """From the picture of each of several pages to its genes, ms, and the longest gap of the window meanwhile."""
    from coilbook.app.bench.in_window import Gaps, PaintWatch, idle, ready_window, wait

    app, window, screen, _ = ready_window(folder)
    chance = random.Random(9)
    animals = [int(chance.choice(screen.model.ids)) for _ in range(PAGES + 1)]
    idle(app, 1.0)
    gaps, longest, times = Gaps(), [], []
    for animal in animals:
        watch = PaintWatch()
        window.open_screen("animal", animal=animal)
        page = cast("AnimalScreen", window.made("animal"))
        page.installEventFilter(watch)
        page.update()
        wait(app, lambda w=watch: w.painted, sleeping=True)  # type: ignore[misc]
        gaps.all.clear()
        began = time.perf_counter()
        wait(app, lambda p=page, a=animal: _has_genes(p, a), sleeping=True, longest_s=LONGEST_S)  # type: ignore[misc]
        times.append((time.perf_counter() - began) * 1000)
        page.removeEventFilter(watch)
        idle(app, 0.15)
        longest.append(max(gaps.all))
    return {"first": times[:1], "later": times[1:], "gap": longest[:1]}


def _has_genes(page: AnimalScreen, animal: int) -> bool:
    part = page.body.genes.part
    return part is not None and part.animal == animal


if __name__ == "__main__":
    place = Path(sys.argv[2])
    print(json.dumps(cold(place) if sys.argv[1] == "cold" else pages(place)), flush=True)
    os._exit(0)
