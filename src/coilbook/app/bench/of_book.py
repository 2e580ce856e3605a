"""Figures without a window: acts, reads, imports, papers."""

from __future__ import annotations

import os
import random
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from coilbook.app.bench.big_book import clock
from coilbook.app.bench.figures import Line, each_ms, milliseconds, p95
from coilbook.app.bench.wide_sheet import ROWS, write_csv, write_xlsx
from coilbook.derived import summary
from coilbook.records.ids import AnimalId
from coilbook.storage.collection import Collection

#: how many times the quick things are done
TIMES = 200


def book_lines(folder: Path, told: Callable[[str], None], *, sheet_rows: int = ROWS) -> list[Line]:
    """Every line that needs no window, measured on a copy that may be written to."""
    lines: list[Line] = []
    with Collection.open(folder, clock) as book:
        summary.attach(book)
        steps: dict[str, Callable[[Collection], list[Line]]] = {
            "acts": _acts,
            "the disk": _disk,
            "racks": _racks,
            "imports": partial(_imports, sheet_rows=sheet_rows),
            "papers": _papers,
        }
        for name, measure in steps.items():
            told(f"  {name}")
            lines += measure(book)
    return lines


def _acts(book: Collection) -> list[Line]:
    from coilbook.operations.feeding import offer_feeding
    from coilbook.operations.weighing import weigh
    from coilbook.records.quantities import Mass
    from coilbook.records.vocabulary import FeedingResult

    count = int(book.read("SELECT count(*) FROM animal")[0][0])
    chance = random.Random(5)
    animals = [AnimalId(n) for n in chance.sample(range(1, count + 1), TIMES)]
    meals = each_ms(
        lambda a=a: offer_feeding(book, animal=a, result=FeedingResult.TAKEN, again=True)  # type: ignore[misc]
        for a in animals
    )
    masses = each_ms(lambda a=a: weigh(book, animal=a, mass=Mass(15_000), sure=True) for a in animals)  # type: ignore[misc]
    both = meals + masses
    return [Line("a logged act, commit included, p95", 3, p95(both), note=f"{len(both)} meals and weights")]


def _disk(book: Collection) -> list[Line]:
    times: list[float] = []
    handle, name = tempfile.mkstemp(dir=book.folder)
    try:
        for _ in range(TIMES):
            os.write(handle, b"x" * 4096)
            began = time.perf_counter()
            getattr(os, "fdatasync", os.fsync)(handle)
            times.append((time.perf_counter() - began) * 1000)
    finally:
        os.close(handle)
        Path(name).unlink()
    return [Line("the disk's own fdatasync of 4 KiB, p95", None, p95(times), note="the floor under a logged act")]


def _racks(book: Collection) -> list[Line]:
    from coilbook.reads.round import RoundTime, tubs_of_round

    racks = [row for (row,) in book.read("SELECT id FROM place WHERE kind = 'rack' ORDER BY id")]
    chosen = random.Random(6).sample(racks, min(len(racks), TIMES))
    moment = RoundTime.at(book.clock())
    times = each_ms(lambda r=rack: tubs_of_round(book, moment, r, 10) for rack in chosen)  # type: ignore[misc]
    return [Line("the meals of a rack, p95", 5, p95(times), note=f"{len(chosen)} racks of 20 tubs")]


def _imports(book: Collection, *, sheet_rows: int) -> list[Line]:
    with tempfile.TemporaryDirectory(prefix="coilbook-bench-") as place:
        csv, xlsx = Path(place) / "wide.csv", Path(place) / "wide.xlsx"
        write_csv(csv, sheet_rows)
        write_xlsx(xlsx, sheet_rows)
        preview, accept, undo, rows = _one_import(book, csv)
        in_all = sum(_one_import(book, xlsx)[:3])
    note = f"{rows:,} rows x 12 columns"
    return [
        Line("CSV: preview", 5000, preview, note=note),
        Line("CSV: accept", 6000, accept, note=note),
        Line("CSV: undo", 5000, undo, note=note),
        Line("XLSX: preview, accept and undo in all", 20_000, in_all, note=note),
    ]


def _one_import(book: Collection, file: Path) -> tuple[float, float, float, int]:
    from coilbook.intake.plan import ImportPlan, propose
    from coilbook.intake.workbook import read_sheets
    from coilbook.operations.import_sheet import accept_import
    from coilbook.operations.uncollected import without_collector
    from coilbook.operations.undo import undo_last
    from coilbook.reads.import_known import genetics_for_import, known_for_import

    plans: list[ImportPlan] = []
    with without_collector():
        preview = milliseconds(
            lambda: plans.append(
                propose(read_sheets(file), {}, known_for_import(book), genetics_reader=genetics_for_import(book))
            )
        )
    accept = milliseconds(lambda: accept_import(book, plan=plans[0], file=file))
    undo = milliseconds(lambda: undo_last(book))
    return preview, accept, undo, plans[0].counts.rows


def _papers(book: Collection) -> list[Line]:
    from coilbook.labels.stock import shipped_stock
    from coilbook.printing.sheets import LabelRun, label_pdf
    from coilbook.reads.label_rows import animals_here, cage_card_rows

    stock = shipped_stock("a4-cards-85x54")
    animals = animals_here(book)
    wanted = [animals[n % len(animals)] for n in range(1000)]
    contents = [row.content for row in cage_card_rows(book, wanted) if row.content is not None]
    while len(contents) < 1000:
        contents += contents[: 1000 - len(contents)]
    # the first sheet loads what draws; a keeper who prints a thousand cards has printed before
    label_pdf(LabelRun(contents[:1], stock))
    run = LabelRun(contents, stock)
    return [Line("1,000 cage cards with two symbols to PDF", 3000, milliseconds(lambda: label_pdf(run)))]
