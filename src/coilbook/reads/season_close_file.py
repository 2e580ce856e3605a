"""The close of a season as a sheet: CSV (RFC 4180) or a workbook, one row a clutch or female."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from coilbook.husbandry.figures import Event
from coilbook.reads.cell_safety import guarded
from coilbook.reads.season_close import CloseRow, Treated
from coilbook.storage import disk
from coilbook.storage.trouble import plainly
from coilbook.wording.texts import words

_DAYS = (
    (Event.SHED, "days_ovulation_to_shed"),
    (Event.LAYING, "days_shed_to_laying"),
    (Event.PIP, "days_laying_to_pip"),
)
HEADER = (
    "female", "clutch", "laid", "season_end", "stays", "eggs_laid", "slugs", "ever_good", "hatched", "still_open",
    "doubtful_unresolved", "hatched_share", "range_90_low", "range_90_high", *(name for _, name in _DAYS),
    "start_grams", "before_laying_grams", "after_laying_grams", "recovered_on", "now_against_start_percent",
    "done_and_what_came_of_it",
)  # fmt: skip


def cells(row: CloseRow) -> tuple[object, ...]:
    """The cells of one row; None where something is not known."""
    result, days = row.result, dict(row.days)
    span = result.range() if result is not None else None
    share = result.hatched / result.ever_good if result is not None and span is not None else None
    counts = (
        (result.laid, result.slugs, result.ever_good, result.hatched, result.still_open, result.unresolved)
        if result is not None
        else (None,) * 6
    )
    return (
        row.keeper_id, row.label, row.laid.isoformat() if row.laid is not None else None,
        words(row.outcome) if row.outcome is not None else None, row.stays, *counts,
        _rounded(share), _rounded(span[0] if span else None), _rounded(span[1] if span else None),
        *(days.get(event) for event, _ in _DAYS),
        _grams(row.start_dg), _grams(row.before_dg), _grams(row.after_dg),
        row.recovered.isoformat() if row.recovered is not None else None,
        None if row.now_permille is None else row.now_permille / 10,
        "; ".join(treated_words(one) for one in row.done),
    )  # fmt: skip


def treated_words(one: Treated) -> str:
    """What was done, how often, and what came of it."""
    came = ", ".join(f"{n} {words(outcome)}" for outcome, n in one.came_of)
    found = f" ({came})" if came else ""
    return f"{words(one.what)} {one.times}\u00d7{found}, {one.hatched} of {one.eggs} eggs hatched"


def _rounded(share: float | None) -> float | None:
    return None if share is None else round(share, 3)


def _grams(dg: int | None) -> float | None:
    return None if dg is None else dg / 10


def write_close(rows: Sequence[CloseRow], to: Path) -> Path:
    """Write the rows to a file ending in .csv or .xlsx; raises `StorageTrouble` when the disk refuses."""
    with plainly():
        to.parent.mkdir(parents=True, exist_ok=True)
        if to.suffix == ".csv":
            with disk.arriving(to) as path, path.open("w", newline="", encoding="utf-8-sig") as stream:
                writer = csv.writer(stream)
                writer.writerow(HEADER)
                writer.writerows([[guarded(cell) for cell in cells(row)] for row in rows])
            return to
        from openpyxl import Workbook

        book = Workbook()
        sheet = book.active
        assert sheet is not None
        sheet.title = "season close"
        sheet.append(HEADER)
        for row in rows:
            sheet.append([guarded(cell) for cell in cells(row)])
        sheet.freeze_panes = "C2"
        with disk.arriving(to) as path:
            book.save(path)
    return to
