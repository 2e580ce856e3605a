"""The report of an import as data: what was counted, asked, refused and kept as text."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from coilbook.intake.layout import STRUCTURE, RowKind
from coilbook.intake.plan import Counts, ImportPlan
from coilbook.intake.planned import PlanRow
from coilbook.intake.tiers import Tier


@dataclass(frozen=True, slots=True)
class ReportLine:
    """One row that was not written, or not wholly: where it stands, its words, and the reason."""

    sheet: str
    row: int
    text: str
    reason: str


@dataclass(frozen=True, slots=True)
class AnsweredQuestion:
    """A question as it was asked, and the answer in words; empty while open."""

    question: str
    answer: str
    concerned: int


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What an import of `file` did, or would do. Every list is in the order of the file."""

    file: str
    counts: Counts
    columns: tuple[tuple[str, str, str], ...]
    questions: tuple[AnsweredQuestion, ...]
    refused: tuple[ReportLine, ...]
    clutches: tuple[ReportLine, ...]
    not_written: tuple[ReportLine, ...]
    titles: tuple[ReportLine, ...]
    warnings: tuple[ReportLine, ...]
    sayings: tuple[str, ...]

    def as_json(self) -> str:
        """The report as JSON text, for keeping beside the original file."""
        return json.dumps(asdict(self), ensure_ascii=False, indent=1)


def report_of(plan: ImportPlan, file: str) -> ImportReport:
    """The report of `plan`; `file` is the name the keeper knows the sheet by."""
    refused = [row for row in plan.rows if row.tier is Tier.REFUSED]
    return ImportReport(
        file=file,
        counts=plan.counts,
        columns=tuple((s.name, c.title, c.meaning.value) for s in plan.sheets for c in s.columns),
        questions=_questions(plan),
        refused=tuple(_line(row) for row in refused if row.kind is not RowKind.CLUTCH),
        clutches=tuple(_line(row) for row in refused if row.kind is RowKind.CLUTCH),
        not_written=tuple(_line(row) for row in plan.rows if row.kind is RowKind.ANIMAL and not row.animals),
        titles=tuple(_line(row) for row in plan.rows if row.kind in STRUCTURE),
        warnings=tuple(
            ReportLine(row.sheet, row.number, row.text, str(warning)) for row in plan.rows for warning in row.warnings
        ),
        sayings=tuple(str(saying) for sheet in plan.sheets for saying in sheet.sayings),
    )


def _line(row: PlanRow) -> ReportLine:
    return ReportLine(row.sheet, row.number, row.text, str(row.reason) if row.reason else "")


def _questions(plan: ImportPlan) -> tuple[AnsweredQuestion, ...]:
    answered = []
    for question in plan.questions:
        words = next((str(o.label) for o in question.options if o.value == question.answer), question.answer or "")
        answered.append(AnsweredQuestion(str(question.text), words, question.count))
    return tuple(answered)
