"""The plan of an import: `propose` reads sheets into rows with a tier, animals to write, and questions to ask.

Call it again with more answers until the keeper accepts; it writes nothing and keeps nothing between calls.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from coilbook.intake.asking import column_question, date_numbers_question, header_order_question, header_year_question
from coilbook.intake.columns import Basis, Column, Meaning, guess_columns
from coilbook.intake.dates import header_order
from coilbook.intake.draft import Draft
from coilbook.intake.family_check import check_findings
from coilbook.intake.identity import Identities
from coilbook.intake.layout import STRUCTURE, RowKind, RowSorter, Section, find_header, rack_of_tab, read_title
from coilbook.intake.linking import gather, link_parents, place_drafts
from coilbook.intake.marks import parse_mark_answer
from coilbook.intake.planned import Fate, GeneticsReader, Known, PlannedAnimal, PlanRow
from coilbook.intake.questions import Question, QuestionBook
from coilbook.intake.rows import RowReader
from coilbook.intake.sheet import Cancel, Pace, Progress, Row, Sheet
from coilbook.intake.tiers import Tier, tier_of
from coilbook.records.message import Message, say
from coilbook.records.settings import DateOrder

_YEAR = re.compile(r"(?<!\d)((?:19|20)\d\d)(?!\d)")


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """How one tab was understood; `header_row` is its number as the spreadsheet shows it, 0 for none."""

    name: str
    columns: tuple[Column, ...]
    header_row: int
    sayings: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Counts:
    """The plan in numbers; `rows` are those that stand where an animal could (titles and headers are none)."""

    rows: int
    ready: int
    question: int
    text_kept: int
    refused: int
    animals: int
    duplicate_ids: int
    ambiguous_dates: int


@dataclass(frozen=True, slots=True)
class ImportPlan:
    """Everything an import would do. Write `animals`; show `rows`; ask `questions`."""

    sheets: tuple[SheetPlan, ...]
    rows: tuple[PlanRow, ...]
    animals: tuple[PlannedAnimal, ...]
    questions: tuple[Question, ...]
    counts: Counts

    @property
    def open_questions(self) -> tuple[Question, ...]:
        """Questions without an answer; the plan may be accepted with them open, their cells are kept as text."""
        return tuple(question for question in self.questions if question.open)

    @property
    def given_answers(self) -> dict[str, str]:
        """Answers worth remembering for the next file, by key; the keeper's column mapping included."""
        answers = {q.key: q.answer for q in self.questions if q.remembered and q.answer is not None}
        for sheet in self.sheets:
            for column in sheet.columns:
                if column.basis is Basis.ANSWER:
                    answers[column.key] = column.meaning.value
        return answers


def propose(
    sheets: Sequence[Sheet],
    answers: Mapping[str, str],
    known: Known,
    *,
    genetics_reader: GeneticsReader | None = None,
    progress: Progress | None = None,
    cancelled: Cancel | None = None,
) -> ImportPlan:
    """What importing `sheets` would do, given the answers so far and what the collection has.

    Pure: the same input gives the same plan. Raises `Cancelled` when `cancelled()` says so.
    """
    book = QuestionBook(answers, _is_answer)
    pace = Pace(progress, cancelled, sum(len(sheet.rows) for sheet in sheets))
    reading = _Reading(answers, known, book, genetics_reader, pace)
    plans = [reading.read(sheet) for sheet in sheets]
    drafts = reading.drafts
    animals_rows = [draft for draft in drafts if draft.kind is RowKind.ANIMAL]
    Identities(known, book, several_tabs=len(sheets) > 1).settle(animals_rows)
    pace.look(pace.total)
    place_drafts(animals_rows, known)
    link_parents(animals_rows, known)
    if genetics_reader is not None:
        check_findings(animals_rows, known, genetics_reader, book, answers)
    animals = gather(animals_rows)
    pace.look(pace.total)
    rows = tuple(_finish(draft, book) for draft in drafts)
    questions = book.questions()
    return ImportPlan(tuple(plans), rows, animals, questions, _count(rows, animals, questions))


def _is_answer(question: Question, answer: str) -> bool:
    if any(option.value == answer for option in question.options):
        return True
    return question.free and parse_mark_answer(answer) is not None


class _Reading:
    """Reads sheet after sheet into one list of drafts."""

    def __init__(
        self,
        answers: Mapping[str, str],
        known: Known,
        book: QuestionBook,
        genetics_reader: GeneticsReader | None,
        pace: Pace,
    ) -> None:
        self._answers = answers
        self._known = known
        self._book = book
        self._genetics_reader = genetics_reader
        self._pace = pace
        self._year = known.today.year
        self.drafts: list[Draft] = []

    def read(self, sheet: Sheet) -> SheetPlan:
        """Read one sheet; its rows are added to `drafts`."""
        layout = find_header(sheet, self._year)
        body = sheet.rows[layout.header_at + 1 :]
        columns = guess_columns(layout.header, body, self._answers, this_year=self._year)
        columns = tuple(self._ask_about(column) for column in columns)
        sorter = RowSorter(columns, layout.header)
        sorter.learn(body)
        reader = RowReader(
            columns=columns,
            days=self._days(sheet, columns, sheet.rows[: max(layout.header_at, 0)]),
            rows=body,
            known=self._known,
            book=self._book,
            answers=self._answers,
            genetics_reader=self._genetics_reader,
        )
        title = read_title(sheet.name)
        rack = title.rack or rack_of_tab(sheet.name, [column.meaning for column in columns])
        section = Section(rack, title.room, title.sex, title.status)
        for row in sheet.rows[: max(layout.header_at, 0)]:
            above = section.followed_by(" ".join(cell for cell in row.cells if cell), adjoining=True)
            section = Section(above.rack, above.room, above.sex, above.status)
            self._set_aside(sheet, row, RowKind.SECTION, None)
        if layout.header_at >= 0:
            self._set_aside(sheet, sheet.rows[layout.header_at], RowKind.HEADER, None)
        self._read_body(sheet, body, sorter, reader, section)
        header_row = sheet.rows[layout.header_at].number if layout.header_at >= 0 else 0
        return SheetPlan(sheet.name, columns, header_row, sheet.sayings + _sayings(sheet, sorter, body))

    def _read_body(
        self, sheet: Sheet, body: Sequence[Row], sorter: RowSorter, reader: RowReader, section: Section
    ) -> None:
        after_title = False
        for row in body:
            self._pace.step(len(self.drafts))
            kind, reason = sorter.kind(row)
            if kind is RowKind.SECTION:
                section = section.followed_by(" ".join(cell for cell in row.cells if cell), adjoining=after_title)
            after_title = kind in STRUCTURE
            if kind is RowKind.ANIMAL:
                draft = reader.read(row, section)
                draft.sheet = sheet.name
                self.drafts.append(draft)
            else:
                self._set_aside(sheet, row, kind, reason)

    def _set_aside(self, sheet: Sheet, row: Row, kind: RowKind, reason: Message | None) -> None:
        fate = Fate.STRUCTURE if kind in STRUCTURE else Fate.KEPT
        fates = [fate if cell else Fate.EMPTY for cell in row.cells]
        self.drafts.append(Draft(sheet.name, row, kind, fates, reason=reason, withheld=True))

    def _ask_about(self, column: Column) -> Column:
        """Raise the question about a column whose header and content do not agree, or that has no header."""
        if column.doubtful and column.meaning is Meaning.WEIGHT_ON:
            question = date_numbers_question(column)
            if self._book.ask(question.key, lambda: question, column.title) == Meaning.WEIGHT_ON:
                return column
        elif column.doubtful or column.basis is Basis.CONTENT:
            suggested = Meaning.NOTES if column.doubtful else column.meaning
            self._book.ask(column.key, lambda: column_question(column, suggested), column.title)
        return replace(column, meaning=Meaning.OTHER) if column.doubtful else column

    def _days(self, sheet: Sheet, columns: Sequence[Column], above: Sequence[Row]) -> dict[int, dt.date]:
        """The day of every date column; columns whose day stays unknown are missing."""
        dated = [column for column in columns if column.date is not None]
        headers = [column.date for column in dated if column.date is not None]
        loose = [column for column in dated if column.date is not None and not column.date.sure]
        order = header_order(headers)
        if loose and order is None:
            first = loose[0]
            assert first.date is not None
            question = header_order_question(first.date, first.header, self._year)
            given = self._book.ask(question.key, lambda: question, first.header)
            if given is None:
                return {c.index: day for c in dated if c.date and c.date.sure and (day := self._sure_day(c))}
            order = DateOrder(given)
        return self._days_in_order(dated, order or DateOrder.DAY_FIRST, self._first_year(sheet, dated, above))

    def _sure_day(self, column: Column) -> dt.date | None:
        date = column.date
        return date.on(DateOrder.DAY_FIRST, date.year) if date is not None and date.year is not None else None

    def _days_in_order(self, dated: Sequence[Column], order: DateOrder, year: int | None) -> dict[int, dt.date]:
        days: dict[int, dt.date] = {}
        last: dt.date | None = None
        for column in dated:
            assert column.date is not None
            if column.date.year is None and year is None:
                continue
            day = column.date.on(order, column.date.year or year or 0)
            # columns walk on in time: a jump back by half a year is the turn of the year
            if day and last and column.date.year is None and (last - day).days > 180:
                year = (year or 0) + 1
                day = column.date.on(order, year)
            if day is not None and day <= self._known.today:
                days[column.index] = day
                last = day
        return days

    def _first_year(self, sheet: Sheet, dated: Sequence[Column], above: Sequence[Row]) -> int | None:
        """The year of the first date column without one: from the tab's name, the titles above, or the keeper."""
        yearless = [column for column in dated if column.date is not None and column.date.year is None]
        if not yearless:
            return None
        for text in (sheet.name, " ".join(cell for row in above for cell in row.cells)):
            named = set(_YEAR.findall(text))
            if len(named) == 1:
                return int(named.pop())
        question = header_year_question(sheet.name, yearless[0].header, self._year)
        given = self._book.ask(question.key, lambda: question, yearless[0].header)
        return int(given) if given is not None else None


def _sayings(sheet: Sheet, sorter: RowSorter, body: Sequence[Row]) -> tuple[Message, ...]:
    if sorter.is_clutches:
        return (
            say(
                "Tab '{tab}' holds clutches, not animals. Its {n} rows are kept as text for the records of eggs.",
                tab=sheet.name,
                n=len(body),
            ),
        )
    if not sorter.names_animals:
        return (
            say(
                "Tab '{tab}' has no column that names animals. Its {n} rows are kept as text.",
                tab=sheet.name,
                n=len(body),
            ),
        )
    return ()


def _finish(draft: Draft, book: QuestionBook) -> PlanRow:
    refused = draft.kind is not RowKind.ANIMAL and draft.kind not in STRUCTURE
    waits = tuple(key for key in draft.waits if book.is_open(key))
    return PlanRow(
        sheet=draft.sheet,
        number=draft.row.number,
        kind=draft.kind,
        tier=tier_of(
            refused=refused,
            waits=any(book.holds(key) for key in waits),
            text_kept=draft.text_kept or (draft.withheld and draft.kind is RowKind.ANIMAL),
        ),
        cells=draft.row.cells,
        fates=tuple(draft.fates),
        keeper_id=draft.keeper_id,
        reason=draft.reason,
        waits_for=waits,
        warnings=tuple(draft.warnings),
        animals=draft.animals,
    )


def _count(rows: Sequence[PlanRow], animals: Sequence[PlannedAnimal], questions: Sequence[Question]) -> Counts:
    tiers = Counter(row.tier for row in rows if row.kind not in STRUCTURE)
    return Counts(
        rows=sum(tiers.values()),
        ready=tiers[Tier.READY],
        question=tiers[Tier.QUESTION],
        text_kept=tiers[Tier.TEXT_KEPT],
        refused=tiers[Tier.REFUSED],
        animals=len(animals),
        duplicate_ids=sum(1 for question in questions if question.key.startswith("same-id|")),
        ambiguous_dates=sum(question.count for question in questions if _is_date_question(question)),
    )


def _is_date_question(question: Question) -> bool:
    return question.key.startswith("date-order|") and question.holds
