"""`coilbook import`: a spreadsheet, or a book that was exported, into a collection.

Without `--accept` it only shows what the sheet would become. Questions are answered with `--answer KEY=VALUE`; those
left open keep their cells as text.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.app.exit_codes import ExitCode, Misuse
from coilbook.app.on_collection import add_collection_argument, answer, is_there, opened, worded
from coilbook.records.message import Refusal, say

if TYPE_CHECKING:
    from coilbook.intake.plan import ImportPlan
    from coilbook.storage.collection import Collection


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The file, and what to do with it."""
    parser.add_argument("file", type=Path, help="a .csv or .xlsx sheet, or a .json book")
    parser.add_argument("--accept", action="store_true", help="write it; a sheet is only shown without this")
    parser.add_argument(
        "--answer", action="append", default=[], metavar="KEY=VALUE", help="answer one question; may be repeated"
    )
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Show or write; a book is written at once."""
    from coilbook.operations.import_book import import_book, is_book

    if not arguments.file.exists():
        raise Refusal(say("There is no file {file}.", file=str(arguments.file)))
    book = is_book(arguments.file)
    if not (book or arguments.accept or is_there(arguments)):
        _show(arguments, _plan(arguments, None))
        return ExitCode.OK
    with opened(arguments, create=True) as collection:
        if book:
            outcome = import_book(collection, file=arguments.file)
            answer(arguments, {"imported": dict(outcome.value.rows)}, worded(outcome.notice))
        else:
            _sheet(arguments, collection)
    return ExitCode.OK


def _sheet(arguments: argparse.Namespace, collection: Collection) -> None:
    from coilbook.operations.import_sheet import accept_import

    plan = _plan(arguments, collection)
    if not arguments.accept:
        _show(arguments, plan)
        return
    outcome = accept_import(collection, plan=plan, file=arguments.file)
    _show(arguments, plan, worded(outcome.notice))


def _plan(arguments: argparse.Namespace, collection: Collection | None) -> ImportPlan:
    from coilbook.app.start import real_clock
    from coilbook.intake.plan import propose
    from coilbook.intake.planned import Known
    from coilbook.intake.workbook import read_sheets
    from coilbook.operations.uncollected import without_collector
    from coilbook.reads.import_known import genetics_for_import, known_for_import, remembered_answers

    before = remembered_answers(collection) if collection is not None else {}
    given = dict(_pair(text) for text in arguments.answer)
    answers = {**before, **given}
    with without_collector():
        known = known_for_import(collection) if collection is not None else Known(today=real_clock().date())
        plan = propose(read_sheets(arguments.file), answers, known, genetics_reader=genetics_for_import(collection))
    _all_used(plan, given)
    return plan


def _all_used(plan: ImportPlan, given: dict[str, str]) -> None:
    """Refuse an answer that nothing asked for, or that is none of those there are: it would be lost without a word."""
    asked = {question.key: question for question in plan.questions}
    columns = {column.key: column for sheet in plan.sheets for column in sheet.columns}
    for key, value in given.items():
        question = asked.get(key)
        if question is None and key not in columns:
            raise Refusal(say("Nothing of this sheet asks '{key}'.", key=key))
        if question is not None and question.answer != value:
            options = ", ".join(option.value for option in question.options)
            raise Refusal(say("'{value}' is no answer to '{key}'. There are: {options}.", value=value, key=key,
                              options=options))  # fmt: skip
        if question is None and columns[key].meaning.value != value:
            raise Refusal(say("'{value}' is nothing a column can be.", value=value))


def _show(arguments: argparse.Namespace, plan: ImportPlan, done: str = "") -> None:
    told: dict[str, object] = {"accepted": bool(done), "counts": _counts(plan), "open": _open(plan)}
    end = done or "Nothing was written. Add --accept to import it."
    answer(
        arguments, told, _summary(plan), *_notes(plan), *_kept_as_text(plan), *_refused(plan), *_questions(plan), end
    )


def _pair(text: str) -> tuple[str, str]:
    key, sign, value = text.rpartition("=")
    if not sign:
        raise Misuse(say("'{text}' is no answer; write KEY=VALUE.", text=text))
    return key, value


def _counts(plan: ImportPlan) -> dict[str, int]:
    from dataclasses import asdict

    return dict(asdict(plan.counts))


def _summary(plan: ImportPlan) -> str:
    c = plan.counts
    return (
        f"{c.rows} rows: {c.ready} ready, {c.question} with one question, {c.text_kept} text kept, "
        f"{c.refused} refused; "
        f"{c.animals} animals, {c.duplicate_ids} duplicate ids, {c.ambiguous_dates} ambiguous dates"
    )


def _notes(plan: ImportPlan) -> list[str]:
    """Columns whose cells become notes because nobody can place them."""
    from coilbook.intake.columns import Meaning

    other = [c.title for sheet in plan.sheets for c in sheet.columns if c.meaning is Meaning.OTHER and c.filled]
    return [f"  kept as notes: {', '.join(dict.fromkeys(other))}"] if other else []


def _kept_as_text(plan: ImportPlan) -> list[str]:
    """Rows in which a text is not understood and kept as it is."""
    from coilbook.intake.tiers import Tier

    rows = [f"{row.sheet} row {row.number}" for row in plan.rows if row.tier is Tier.TEXT_KEPT]
    return [f"  text kept as it is: {', '.join(rows)}"] if rows else []


def _refused(plan: ImportPlan) -> list[str]:
    return [f"  refused, {r.sheet} row {r.number}: {worded(r.reason)}" for r in plan.rows if r.reason is not None]


def _open(plan: ImportPlan) -> list[dict[str, object]]:
    return [
        {"key": q.key, "text": worded(q.text), "options": [o.value for o in q.options], "count": q.count}
        for q in plan.open_questions
    ]


def _questions(plan: ImportPlan) -> list[str]:
    lines: list[str] = []
    for question in plan.open_questions:
        lines.append(f"  question ({question.count}): {worded(question.text)}")
        lines += [f"      --answer '{question.key}={o.value}'  {worded(o.label)}" for o in question.options]
    return lines
