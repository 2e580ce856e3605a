"""Reads the rows of one sheet into drafts, cell by cell, and asks what the cells do not say."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence

from coilbook.intake import values
from coilbook.intake.asking import (
    date_order_question,
    fill_question,
    group_question,
    unit_question,
)
from coilbook.intake.columns import Column, Meaning
from coilbook.intake.dates import DateReading, Orders, decide_orders, read_date
from coilbook.intake.draft import Draft
from coilbook.intake.layout import RowKind, Section, has_no_id
from coilbook.intake.marks import LONGEST_MARK, mark_key, mark_of, mark_question, parse_mark_answer
from coilbook.intake.places import split_place
from coilbook.intake.planned import Fate, GeneticsReader, Known, PlannedFeeding, PlannedNote, PlannedWeight
from coilbook.intake.questions import Question, QuestionBook
from coilbook.intake.sheet import Row
from coilbook.records.message import say
from coilbook.records.quantities import MassUnit
from coilbook.records.settings import DateOrder
from coilbook.records.vocabulary import Precision, Sex, Status
from coilbook.records.when import PartialDate

_DATES = (Meaning.HATCHED, Meaning.ACQUIRED, Meaning.WEIGHED, Meaning.SOLD, Meaning.DIED)
_NOT_KNOWN = frozenset({"?", "??", "-", "--", "–", "—", "n/a", "na", "unknown", "unk", "none", "tbd", "tba"})
_YES = frozenset({"x", "yes", "y", "✓", "✔", "true"})
_NO = frozenset({"no", "n", "false"})
#: bare numbers all below this are no grams of a whole column of snakes: hatchlings weigh 50 and more (job.md 2.4)
_TOO_LIGHT = 30

_Reader = Callable[[Draft, Column, str], Fate]


class RowReader:
    """Reads rows of one sheet with its columns' meanings; one instance a sheet."""

    def __init__(
        self,
        *,
        columns: Sequence[Column],
        days: Mapping[int, dt.date],
        rows: Sequence[Row],
        known: Known,
        book: QuestionBook,
        answers: Mapping[str, str],
        genetics_reader: GeneticsReader | None,
    ) -> None:
        self._days = days
        self._known = known
        self._book = book
        self._answers = answers
        self._genetics_reader = genetics_reader
        self._year = known.today.year
        self._orders: dict[int, Orders] = {}
        self._light: set[int] = set()
        self._fates: dict[tuple[Fate, ...], tuple[Fate, ...]] = {}
        for column in columns:
            self._learn(column, rows)
        readers = self._readers()
        # ids first, so that sentences about later cells can name the animal
        first = (Meaning.ID, Meaning.NAME, Meaning.SEX)
        self._columns = sorted(
            ((column, readers[column.meaning]) for column in columns if column.meaning is not Meaning.EMPTY),
            key=lambda pair: first.index(pair[0].meaning) if pair[0].meaning in first else len(first),
        )

    def _learn(self, column: Column, rows: Sequence[Row]) -> None:
        """What only the whole column tells: the order of its dates, the unit of its numbers, the lines of its genes."""
        at = column.index
        if column.meaning is Meaning.GENETICS and self._genetics_reader is not None:
            self._genetics_reader.learn((row.cells[at] for row in rows if at < len(row.cells)), self._answers)
        if column.meaning in _DATES:
            self._orders[at] = decide_orders(row.cells[at] for row in rows if at < len(row.cells))
        if column.meaning in (Meaning.WEIGHT, Meaning.WEIGHT_ON) and column.unit is None:
            texts = (row.cells[at] for row in rows if at < len(row.cells))
            numbers = [number for text in texts if (number := values.bare_number(text)) is not None]
            if numbers and max(numbers) < _TOO_LIGHT:
                self._light.add(at)

    def _readers(self) -> dict[Meaning, _Reader]:
        return {
            Meaning.ID: self._id,
            Meaning.NAME: self._name,
            Meaning.SEX: self._sex,
            Meaning.GENETICS: self._genetics,
            Meaning.HATCHED: self._hatched,
            Meaning.WEIGHT: self._weight,
            Meaning.WEIGHED: self._weighed,
            Meaning.ROOM: self._place_part,
            Meaning.RACK: self._place_part,
            Meaning.SLOT: self._place_part,
            Meaning.PLACE: self._place,
            Meaning.DAM: self._parent,
            Meaning.SIRE: self._parent,
            Meaning.PARENTS: self._parent,
            Meaning.ACQUIRED: self._acquired,
            Meaning.SOURCE: self._source,
            Meaning.PRICE: self._price,
            Meaning.STATUS: self._status,
            Meaning.SOLD: self._gone,
            Meaning.DIED: self._gone,
            Meaning.TAGS: self._tags,
            Meaning.PREY: self._prey,
            Meaning.NOTES: self._notes,
            Meaning.FEEDING_ON: self._feeding,
            Meaning.WEIGHT_ON: self._weight,
            Meaning.CLUTCH: self._other,
            Meaning.OTHER: self._other,
        }

    def read(self, row: Row, section: Section) -> Draft:
        """The draft of one animal row under its section title."""
        cells = row.cells
        width = len(cells)
        fates = [Fate.EMPTY] * width
        draft = Draft("", row, RowKind.ANIMAL, fates)
        for column, reader in self._columns:
            if column.index < width and cells[column.index]:
                fates[column.index] = reader(draft, column, cells[column.index])
        # most rows fill the same cells: they share one tuple
        draft.fates = self._fates.setdefault(key := tuple(fates), key)
        self._apply(section, draft)
        if draft.weighed is not None:
            draft.weights = tuple(
                PlannedWeight(weight.mass, weight.on or draft.weighed, weight.text) for weight in draft.weights
            )
        if draft.counts is not None:
            self._group(draft)
        return draft

    def _apply(self, section: Section, draft: Draft) -> None:
        draft.rack = draft.rack or section.rack
        draft.room = draft.room or section.room
        if draft.sex is None and section.sex is not None:
            draft.sex = section.sex
        if draft.status is None and section.status is not None:
            draft.status = section.status
        if section.tag:
            draft.tags += (section.tag,)
        if draft.row.fill:
            self._colour(draft)

    def _colour(self, draft: Draft) -> None:
        answer = self._ask(draft, fill_question(draft.row.fill)) or "nothing"
        if answer.startswith("tag:"):
            draft.tags += (answer[4:],)
        elif answer in (Sex.MALE.value, Sex.FEMALE.value):
            draft.sex = draft.sex if draft.sex not in (None, Sex.UNSEXED) else Sex(answer)
        elif answer != "nothing" and draft.status in (None, Status.HERE):
            draft.status = Status(answer)

    def _group(self, draft: Draft) -> None:
        answer = self._ask(draft, group_question(), f"{draft.label}: {sum(draft.counts or ())}")
        if answer == "split":
            return
        if answer is not None:
            draft.reason = say("{animal} stands for several animals and was kept as text.", animal=draft.label)
        draft.withhold()

    # one method for each meaning: takes the cell's text, answers where it went

    def _id(self, draft: Draft, column: Column, text: str) -> Fate:
        if has_no_id(text):
            return Fate.UNKNOWN
        draft.keeper_id = text
        return Fate.FIELD

    def _name(self, draft: Draft, column: Column, text: str) -> Fate:
        if has_no_id(text):
            return Fate.UNKNOWN
        draft.name = text
        return Fate.FIELD

    def _sex(self, draft: Draft, column: Column, text: str) -> Fate:
        reading = values.read_sex(text)
        if reading is None:
            return draft.keep_text(column, text)
        draft.sex, draft.sex_sure, draft.counts = reading.sex, reading.sure, reading.counts
        return Fate.FIELD

    def _genetics(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.strip("? ") == "":
            return Fate.UNKNOWN
        draft.claim, draft.claim_title = text, column.title
        if self._genetics_reader is None:
            return Fate.FIELD
        reading = self._genetics_reader.read(text, self._answers)
        draft.finding, draft.read_as = reading.finding, reading.read_as
        draft.text_kept |= reading.text_kept
        if draft.sex in (None, Sex.UNSEXED) and reading.sex is not None:
            draft.sex, draft.sex_sure = reading.sex, reading.sex_sure
        for question in reading.questions:
            self._ask(draft, question)
        return Fate.FIELD

    def _ask(self, draft: Draft, question: Question, example: str = "") -> str | None:
        answer = self._book.ask(question.key, lambda: question, example or draft.label)
        if answer is None:
            draft.wait(question.key)
        return answer

    def _date(self, draft: Draft, column: Column, text: str) -> DateReading | None:
        """The reading of a date cell; still ambiguous only while its column's question is open."""
        orders = self._orders.get(column.index)
        reading = read_date(text, orders.of(text) if orders is not None else None, self._year)
        if reading is None or not reading.ambiguous:
            return reading
        question = date_order_question(column, text, reading, self._known.date_order)
        answer = self._book.ask(question.key, lambda: question, text)
        if answer is None:
            draft.wait(question.key)
            return reading
        return read_date(text, DateOrder(answer), self._year)

    def _dated(self, draft: Draft, column: Column, text: str) -> tuple[PartialDate | None, Fate]:
        if text.lower() in _NOT_KNOWN:
            return None, Fate.UNKNOWN
        reading = self._date(draft, column, text)
        if reading is None:
            return None, draft.keep_text(column, text)
        if reading.value is None:
            return None, draft.note(column, text)
        if reading.value.first > self._known.today:
            draft.warnings += (
                say(
                    "{animal}: {column} {text} lies ahead of today.", animal=draft.label, column=column.title, text=text
                ),
            )
            return None, draft.keep_text(column, text)
        if reading.exact:
            return reading.value, Fate.FIELD
        draft.note(column, text)
        return reading.value if column.meaning is Meaning.WEIGHED else reading.value.about, Fate.FIELD_AND_NOTE

    def _hatched(self, draft: Draft, column: Column, text: str) -> Fate:
        draft.hatched, fate = self._dated(draft, column, text)
        return fate

    def _acquired(self, draft: Draft, column: Column, text: str) -> Fate:
        draft.acquired, fate = self._dated(draft, column, text)
        return fate

    def _weighed(self, draft: Draft, column: Column, text: str) -> Fate:
        value, fate = self._dated(draft, column, text)
        if value is None:
            return fate
        if value.precision is not Precision.DAY:
            return draft.note(column, text)
        draft.weighed = value.first
        return fate

    def _weight(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower() in _NOT_KNOWN:
            return Fate.UNKNOWN
        on = self._days.get(column.index)
        unit: MassUnit | None = column.unit or MassUnit.GRAM
        if column.index in self._light and values.is_bare_number(text):
            question = unit_question(column, text, self._known.mass_unit)
            answer = self._book.ask(question.key, lambda: question, text)
            if answer is None:
                draft.wait(question.key)
                return draft.note(column, text, on)
            unit = MassUnit(answer)
        reading = values.read_mass(text, unit)
        if reading is None or (column.meaning is Meaning.WEIGHT_ON and on is None):
            return draft.keep_text(column, text)
        draft.weights += (PlannedWeight(reading.mass, on, text),)
        if reading.exact:
            return Fate.FIELD
        draft.note(column, text, on)
        return Fate.FIELD_AND_NOTE

    def _place_part(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower() in _NOT_KNOWN:
            return Fate.UNKNOWN
        if column.meaning is Meaning.ROOM:
            draft.room = text
        elif column.meaning is Meaning.RACK:
            rack, slot = split_place(text)
            if not rack or (slot and draft.slot):
                rack, slot = text, draft.slot
            draft.rack, draft.slot, draft.rack_text = rack, slot or draft.slot, text
        else:
            # a rack beside a slot of its own is the whole of its text: "B2" is no slot 2 of rack B then
            draft.rack, draft.slot = draft.rack_text or draft.rack, text
        return Fate.FIELD

    def _place(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower() in _NOT_KNOWN:
            return Fate.UNKNOWN
        if draft.rack or draft.slot:
            return draft.note(column, text)
        draft.rack, draft.slot = split_place(text)
        return Fate.FIELD

    def _parent(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower().rstrip(".") in _NOT_KNOWN:
            return Fate.UNKNOWN
        if column.meaning is Meaning.PARENTS:
            draft.parents_text = text
            draft.note(column, text)
            return Fate.FIELD_AND_NOTE
        if column.meaning is Meaning.DAM:
            draft.dam_text = text
        else:
            draft.sire_text = text
        return Fate.FIELD

    def _source(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower() in _NOT_KNOWN:
            return Fate.UNKNOWN
        draft.own_bred = values.is_own_bred(text)
        draft.source = "" if draft.own_bred else text
        return Fate.FIELD

    def _price(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower() in _NOT_KNOWN:
            return Fate.UNKNOWN
        draft.price_text = text
        reading = values.read_price(text, self._known.currency)
        draft.price = reading.money if reading else None
        return Fate.FIELD

    def _status(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower() in _NOT_KNOWN:
            return Fate.UNKNOWN
        reading = values.read_status(text)
        if reading is None:
            if len(text) <= 24:
                draft.tags += (text,)
                return Fate.FIELD
            return draft.keep_text(column, text)
        draft.status = reading.status
        if reading.exact:
            return Fate.FIELD
        day = read_date(reading.rest.split(" ")[0], self._known.date_order, self._year) if reading.rest else None
        if day is not None and day.value is not None and day.value.precision is Precision.DAY:
            draft.departed = day.value.first
        draft.note(column, text)
        return Fate.FIELD_AND_NOTE

    def _gone(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower() in _NOT_KNOWN | _NO:
            return Fate.UNKNOWN
        draft.status = Status.SOLD if column.meaning is Meaning.SOLD else Status.DEAD
        if text.lower() in _YES:
            return Fate.FIELD
        reading = self._date(draft, column, text)
        if reading and reading.value and reading.exact and reading.value.precision is Precision.DAY:
            draft.departed = reading.value.first
            return Fate.FIELD
        draft.note(column, text)
        return Fate.FIELD_AND_NOTE

    def _tags(self, draft: Draft, column: Column, text: str) -> Fate:
        draft.tags += tuple(part.strip() for part in text.replace(";", ",").split(",") if part.strip())
        return Fate.FIELD

    def _prey(self, draft: Draft, column: Column, text: str) -> Fate:
        if text.lower() in _NOT_KNOWN:
            return Fate.UNKNOWN
        reading = values.read_prey(text)
        draft.prey, draft.prey_state = reading.kind, reading.state
        return Fate.FIELD if reading.exact else draft.note(column, text)

    def _notes(self, draft: Draft, column: Column, text: str) -> Fate:
        if column.meaning is Meaning.NOTES and column.header.lower() in ("notes", "note"):
            draft.notes += (PlannedNote(text),)
            return Fate.NOTE
        return draft.note(column, text)

    def _other(self, draft: Draft, column: Column, text: str) -> Fate:
        return draft.note(column, text, self._days.get(column.index))

    def _feeding(self, draft: Draft, column: Column, text: str) -> Fate:
        on = self._days.get(column.index)
        mark = mark_of(text)
        if len(mark) > LONGEST_MARK:
            return draft.note(column, text, on)
        key = mark_key(mark)
        answer = self._book.ask(key, lambda: mark_question(mark), text)
        if answer is None:
            draft.wait(key)
            return draft.note(column, text, on)
        meaning = parse_mark_answer(answer)
        if meaning is None or meaning.result is None:
            return Fate.SET_ASIDE if meaning is not None and meaning.nothing else draft.note(column, text, on)
        if on is None:
            return draft.note(column, text)
        draft.feedings += (PlannedFeeding(on, meaning.result, meaning.count, meaning.prey, text),)
        return Fate.FIELD
