"""The demo's old spreadsheet, read from the disk by the real reader."""

from __future__ import annotations

import csv
import datetime as dt
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tests.barred_genes import BARRED

from coilbook.app.demo_sheet import DOUBTFUL_GENETICS, PLAIN_GENETICS, lines, write_demo_sheet
from coilbook.genetics.statement import Reading
from coilbook.intake.layout import RowKind
from coilbook.intake.plan import ImportPlan, propose
from coilbook.intake.planned import Known
from coilbook.intake.report import report_of
from coilbook.intake.tiers import Tier
from coilbook.intake.workbook import read_sheets
from coilbook.reads.import_known import genetics_for_import

DEMO = Path(__file__).parents[3] / "demo"
FILES = ("old-records.xlsx", "old-records.csv")
KNOWN = Known(dt.date(2026, 11, 25))
#: what a keeper would answer to everything the sheet leaves open
ANSWERS = {
    "year|old-records": "2025",
    "date-order|dob": "day_first",
    "groups": "split",
    "mark|x": "taken",
    "mark|✓": "taken",
    "mark|r": "refused",
    "mark|sm": "taken|1|small rat",
    "mark|2m": "taken|2|mouse",
    "mark|-": "nothing",
    "fill|FFFF99": "tag:holdback",
}


def _plan(file: str, **answers: str) -> ImportPlan:
    return propose(read_sheets(DEMO / file), answers, KNOWN)


@pytest.mark.parametrize("file", FILES)
def test_its_counts(file: str) -> None:
    plan = _plan(file)
    counts = plan.counts
    assert (counts.rows, counts.duplicate_ids, counts.ambiguous_dates, counts.refused) == (214, 4, 6, 12)
    assert (counts.ready, counts.question, counts.text_kept) == (190, 12, 0)
    assert all(row.reason for row in plan.rows if row.tier is Tier.REFUSED)
    claims = [row.cells[3] for row in plan.rows if row.kind is RowKind.ANIMAL and len(row.cells) > 3 and row.cells[3]]
    assert len(set(claims)) == 41 and set(claims) == {*PLAIN_GENETICS, *DOUBTFUL_GENETICS}
    # rows a reader of genetics will have to ask about are none that already wait for another answer
    doubtful = [row for row in plan.rows if len(row.cells) > 3 and row.cells[3] in DOUBTFUL_GENETICS]
    assert len(doubtful) == 17 and {row.tier for row in doubtful} == {Tier.READY}


@pytest.mark.parametrize("file", FILES)
def test_answered_it_becomes_a_collection(file: str) -> None:
    first = _plan(file, **ANSWERS)
    repeated = {question.key: "merge" for question in first.open_questions}
    assert len(repeated) == 4 and all(key.startswith("same-id|") for key in repeated)
    plan = _plan(file, **ANSWERS, **repeated)
    assert not plan.open_questions
    assert plan.counts.ready == 202 and plan.counts.animals == 196 + 7
    assert sum(len(animal.feedings) for animal in plan.animals) > 1000
    assert len(report_of(plan, file).clutches) == 1


@pytest.mark.parametrize("file", FILES)
def test_read_by_the_catalogue_it_is_the_sheet_of_the_tenth_scenario(file: str) -> None:
    """job.md 6, S10: of 214 rows 173 are ready, 29 need a click, 12 are refused with reasons."""
    plan = propose(read_sheets(DEMO / file), {}, KNOWN, genetics_reader=genetics_for_import(None))
    counts = plan.counts
    assert (counts.ready, counts.question, counts.refused) == (173, 29, 12)
    assert (counts.rows, counts.text_kept, counts.duplicate_ids, counts.ambiguous_dates) == (214, 0, 4, 6)
    # those that need a click for their genes are the doubtful ones, and no others
    asked = [row for row in plan.rows if any(key.startswith("genetics|") for key in row.waits_for)]
    assert len(asked) == 17 and {row.cells[3] for row in asked} == set(DOUBTFUL_GENETICS)
    # animals of known parents are there to be compared with them
    by_id = {animal.keeper_id for animal in plan.animals}
    families = [a for a in plan.animals if a.dam and a.sire and {a.dam.keeper_id, a.sire[0].keeper_id} <= by_id]
    assert len(families) > 20


@pytest.mark.parametrize("file", FILES)
def test_one_click_each_settles_its_genetics(file: str) -> None:
    answers = dict(ANSWERS)
    for _ in range(3):  # an answer may lead to one more question
        plan = propose(read_sheets(DEMO / file), answers, KNOWN, genetics_reader=genetics_for_import(None))
        answers |= {q.key: q.suggested or q.options[0].value for q in plan.open_questions}
    assert not plan.open_questions and plan.counts.ready == 202
    given = [key for key in answers if key.startswith("genetics|")]
    assert len(given) == 13 and set(given) <= set(plan.given_answers)
    readings = {a.claim: a.finding for a in plan.animals if isinstance(a.finding, Reading)}
    assert {reading.tier.value for reading in readings.values()} == {"ready"}
    assert [s.mark for s in readings["pastal clwon het peid"].statements] == ["1", "V", "het"]


def test_both_files_say_the_same() -> None:
    book, text = (_plan(file, **ANSWERS) for file in FILES)
    assert [row.cells for row in book.rows] == [row.cells for row in text.rows]
    without_colour = [animal for animal in book.animals if "holdback" not in animal.tags]
    assert len(without_colour) < len(book.animals)
    by_id = {animal.keeper_id: animal for animal in text.animals}
    assert all(by_id[a.keeper_id].weights == a.weights and by_id[a.keeper_id].sire == a.sire for a in book.animals)


def test_the_files_are_what_the_builder_makes(tmp_path: Path) -> None:
    workbook, text = write_demo_sheet(tmp_path)
    assert text.read_bytes() == (DEMO / "old-records.csv").read_bytes()
    made, kept = (load_workbook(path).active for path in (workbook, DEMO / "old-records.xlsx"))
    assert made is not None and kept is not None
    assert made.title == kept.title and made.dimensions == kept.dimensions
    assert sorted(map(str, made.merged_cells.ranges)) == sorted(map(str, kept.merged_cells.ranges))
    for ours, theirs in zip(made.iter_rows(), kept.iter_rows(), strict=True):
        for cell, other in zip(ours, theirs, strict=True):
            assert (cell.value, cell.number_format, cell.fill.fgColor.rgb) == (
                other.value,
                other.number_format,
                other.fill.fgColor.rgb,
            )


def test_it_names_no_barred_gene_and_nobody_real() -> None:
    with (DEMO / "old-records.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert BARRED.found_in(cell for row in rows for cell in row) == set()
    assert {row[9] for row in rows[2:] if len(row) > 9 and row[9]} == {"Wren", "Teo", "swap at the show"}
    assert len(rows) == len(lines())
