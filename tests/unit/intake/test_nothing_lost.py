"""Whatever a sheet holds and whatever is answered: every cell with something in it ends up somewhere."""

from __future__ import annotations

import datetime as dt
import random

from hypothesis import given, settings
from hypothesis import strategies as st

from coilbook.intake.columns import Meaning
from coilbook.intake.plan import ImportPlan, propose
from coilbook.intake.planned import Fate, Known, KnownAnimal, PlannedAnimal, PlanRow
from coilbook.intake.report import ImportReport, report_of
from coilbook.intake.sheet import Row, Sheet
from coilbook.records.composed import seen
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex, Status

KNOWN = Known(dt.date(2026, 11, 25), animals=(KnownAnimal(AnimalId(1), "F-003", "Juniper", Sex.FEMALE),))
_HEADERS = (
    "Id", "Name", "Sex", "Genes", "DOB", "Weight", "Weighed", "Tub", "Rack", "Room", "Mother", "Father", "Parents",
    "From", "Got", "$", "Status", "Sold", "Died", "Tags", "Prey", "Notes", "1/3", "1/10", "1/17", "Moon", "",
)  # fmt: skip
_CELLS = (
    "F-001", "f1", "F-003", "M-03", "Juniper", "Junipper", "1.0", "0.1", "1.2", "male?", "f", "?", "-", "n/a", "pastel",
    "ph clown", "2021", "3/4/21", "25/12/20", "late May 2021", "44292", "2030-01-01", "1842", "1.8kg", "3.2", "65 oz",
    "~1500", "R2-14", "14", "Rack 2", "M-03 or m5", "F-001 x M-03", "$350", "trade", "150 + ship", "sold",
    "dead 3/2/23", "sold 3.4.2023 to Teo", "no", "x", "X", "R", "sm", "2m", "✓", "a longer remark about it", "Total",
    "Females", "slug",
    "F-1 x M-2 7+1", "F-01, F-02", "Holdbacks", "yes", "0", "1e5", "=A1", "a;b,c",
)  # fmt: skip

_NOT_KNOWN = {"n/a", "na", "no", "n", "false", "unk", "unknown", "none", "tbd", "tba"}

_cell = st.one_of(st.just(""), st.sampled_from(_CELLS), st.sampled_from(_CELLS), st.text(max_size=12).map(str.strip))


@st.composite
def _sheets(draw: st.DrawFn) -> list[Sheet]:
    sheets = []
    for name in draw(st.sampled_from([("old",), ("2023", "2024"), ("Rack 1", "Sold")])):
        headers = draw(st.lists(st.sampled_from(_HEADERS), min_size=2, max_size=9))
        lines = draw(st.lists(st.lists(_cell, min_size=1, max_size=len(headers) + 1), max_size=9))
        with_header = draw(st.integers(0, 9)) > 0
        rows = []
        for number, line in enumerate(([headers] if with_header else []) + lines, 1):
            while line and not line[-1]:
                line = line[:-1]
            if line:
                rows.append(Row(number, tuple(line), draw(st.sampled_from(("", "", "", "FFFF00")))))
        sheets.append(Sheet(name, tuple(rows)))
    return sheets


def _answers(plan: ImportPlan, chance: random.Random) -> dict[str, str]:
    """Some of the plan's questions answered, anyhow."""
    return {q.key: chance.choice(q.options).value for q in plan.questions if chance.random() < 0.7}


@settings(max_examples=120, deadline=None)
@given(_sheets(), st.integers(0, 10_000))
def test_every_cell_is_accounted_for(sheets: list[Sheet], seed: int) -> None:
    chance = random.Random(seed)
    answers: dict[str, str] = {}
    for _ in range(3):
        plan = propose(sheets, answers, KNOWN)
        assert lost_cells(plan, sheets) == []
        answers |= _answers(plan, chance)


def lost_cells(plan: ImportPlan, sheets: list[Sheet]) -> list[str]:
    """Cells of the sheets that cannot be found again in what the plan writes or keeps."""
    report = report_of(plan, "x")
    lost = []
    rows = {(row.sheet, row.number): row for row in plan.rows}
    columns = {(sheet.name, column.index): column.meaning for sheet in plan.sheets for column in sheet.columns}
    for sheet in sheets:
        for source in sheet.rows:
            row = rows[sheet.name, source.number]
            animals = [plan.animals[at] for at in row.animals]
            for index, text in enumerate(source.cells):
                if text and not _found(text, row, row.fates[index], columns.get((sheet.name, index)), animals, report):
                    lost.append(f"{sheet.name} row {source.number}: {text!r} ({row.fates[index]})")
    return lost


def _found(
    text: str, row: PlanRow, fate: Fate, meaning: Meaning | None, animals: list[PlannedAnimal], report: ImportReport
) -> bool:
    if fate in (Fate.KEPT, Fate.STRUCTURE):
        lines = (*report.refused, *report.clutches, *report.not_written, *report.titles)
        return any((line.sheet, line.row) == (row.sheet, row.number) and text in line.text for line in lines)
    if fate is Fate.UNKNOWN:
        return text.lower() in _NOT_KNOWN or not any(map(str.isalnum, text))
    if fate is Fate.SET_ASIDE:
        return meaning is Meaning.FEEDING_ON
    if not animals:
        return False
    return all(_in_animal(text, fate, meaning, animal) for animal in animals)


def _in_animal(text: str, fate: Fate, meaning: Meaning | None, animal: PlannedAnimal) -> bool:
    noted = any(text in note.text for note in animal.notes)
    if fate in (Fate.NOTE, Fate.FIELD_AND_NOTE) or noted:
        return noted
    kept = {
        # an id is kept as it is seen
        Meaning.ID: animal.keeper_id.startswith(seen(text) or text) or _same_animal(text, animal),
        Meaning.NAME: animal.name == text,
        Meaning.GENETICS: animal.claim == text,
        Meaning.SOURCE: animal.source == text,
        Meaning.PRICE: animal.price_text == text,
        Meaning.PREY: animal.prey == text,
        Meaning.SEX: animal.sex is not Sex.UNSEXED or not text[0].isdigit() or text.startswith("0.0"),
        Meaning.HATCHED: animal.hatched is not None,
        Meaning.ACQUIRED: animal.acquired is not None,
        Meaning.WEIGHED: any(weight.on for weight in animal.weights) or not animal.weights,
        Meaning.STATUS: animal.status is not Status.HERE or text in animal.tags or text.lower() in ("yes", "here"),
        Meaning.SOLD: animal.status is not Status.HERE,
        Meaning.DIED: animal.status is not Status.HERE,
        Meaning.DAM: animal.dam is not None and animal.dam.text == text,
        Meaning.SIRE: bool(animal.sire) and all(parent.text in text for parent in animal.sire),
        Meaning.TAGS: all(part.strip() in animal.tags for part in text.replace(";", ",").split(",") if part.strip()),
        Meaning.WEIGHT: any(weight.text == text for weight in animal.weights),
        Meaning.WEIGHT_ON: any(weight.text == text for weight in animal.weights),
        Meaning.FEEDING_ON: any(meal.text == text for meal in animal.feedings),
    }
    if meaning in (Meaning.PLACE, Meaning.RACK, Meaning.SLOT, Meaning.ROOM):
        place, squeezed = animal.place, "".join(text.split())
        if place is None:
            return False
        parts = ["".join(part.split()) for part in (place.room, place.rack, place.slot) if part]
        return squeezed in parts or any(part in squeezed for part in parts)
    return meaning is not None and kept.get(meaning, False)


def _same_animal(text: str, animal: PlannedAnimal) -> bool:
    return animal.existing is not None and text.casefold().replace("-", "").lstrip("f0") == "3"
