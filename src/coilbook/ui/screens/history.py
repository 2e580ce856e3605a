"""History: the journal, narrowed by animal, act, person and date; any act can be opened and taken back."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QHeaderView, QLineEdit, QVBoxLayout

from coilbook.intake.dates import read_date
from coilbook.reads.herd import newest_act
from coilbook.reads.history import (
    ChangedRow,
    HistoryFilter,
    HistoryRow,
    changed_rows,
    history,
    may_move_odds,
    people_in_history,
)
from coilbook.reads.lookup import animal_called, busiest_animal, first_animal_of, keeper_id_of
from coilbook.records.changes import Changes
from coilbook.records.ids import ActId, AnimalId
from coilbook.records.settings import DateOrder
from coilbook.records.vocabulary import Act
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.models.history_table import HistoryTable
from coilbook.ui.parts.buttons import PrimaryButton
from coilbook.ui.parts.fields import FieldRow
from coilbook.ui.parts.table import TableView
from coilbook.ui.parts.text import PageHead
from coilbook.ui.screen import Screen
from coilbook.wording.changed import changed_line
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words

#: rows of an act that the margin lists one by one
LISTED = 12
#: rows of an act that are read to be counted; equal ones are told once
READ = 200
#: the least width in which an act can be read, at 100 percent
LEAST = 760


class _NotUnderstood(Exception):
    """A filter field holds something that cannot be read (yet)."""

    def __init__(self, field: int, sentence: str) -> None:
        super().__init__(sentence)
        self.field, self.sentence = field, sentence


class HistoryScreen(Screen):
    """Everything that was done, newest first."""

    key = "history"
    title = "History"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        theme = desk.theme
        self.head = PageHead(translated("History"))
        self.table = TableView(theme, translated("What was done"))
        self.model = HistoryTable(desk.style, desk.clock().tzinfo)
        self.table.setModel(self.model)
        self._take_back = Command(
            "history.take_back",
            translated("Take this back"),
            self.take_back,
            "Ctrl+Backspace",
            self._can_take_back,
            self.key,
        )
        self._consequences = Command(
            "history.consequences",
            translated("Who else changed by this"),
            self.consequences,
            "Ctrl+E",
            self._has_consequences,
            self.key,
            "odds genetics consequences sold buyers note",
        )
        self.button = PrimaryButton.of(theme, self._take_back)
        self.head.buttons.addWidget(self.button)
        column = QVBoxLayout(self)
        column.setContentsMargins(theme.px(24), theme.px(16), 0, 0)
        column.setSpacing(theme.px(12))
        column.addWidget(self.head)
        column.addLayout(self._filters())
        column.addWidget(self.table, 1)
        self.head.setContentsMargins(0, 0, theme.px(24), 0)
        self.table.walked.connect(self._walked)
        self.table.opened.connect(lambda _index: self._open_animal())
        self._fill_choices()
        self.read()

    def minimumSizeHint(self) -> QSize:
        """Wide enough to read what was done: the margin folds before that."""
        wanted = super().minimumSizeHint()
        return QSize(max(wanted.width(), self.desk.theme.px(LEAST)), wanted.height())

    # --- filters -------------------------------------------------------------------------------------------
    def _filters(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(self.desk.theme.px(12))
        row.setContentsMargins(0, 0, self.desk.theme.px(24), 0)
        self.animal, self.act, self.person = QLineEdit(), QComboBox(), QComboBox()
        # the longest act must not take the room of what is typed beside it
        self.act.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.act.setMinimumContentsLength(12)
        self.since, self.until = QLineEdit(), QLineEdit()
        fields = (
            (translated("Animal"), self.animal, translated("any; type its id"), 3),
            (translated("What"), self.act, "", 3),
            (translated("By"), self.person, "", 2),
            (translated("From"), self.since, translated("any day"), 2),
            (translated("Until"), self.until, translated("today"), 2),
        )
        self.fields = []
        for name, editor, hint, stretch in fields:
            field = FieldRow(name, editor, hint)
            self.fields.append(field)
            row.addWidget(field, stretch)
        for edit in (self.animal, self.since, self.until):
            edit.textEdited.connect(lambda _text: self.read())
        for combo in (self.act, self.person):
            combo.currentIndexChanged.connect(lambda _index: self.read())
        return row

    def _fill_choices(self) -> None:
        for combo, everything, entries in (
            (self.act, translated("everything"), [(words(act), act.value) for act in Act]),
            (self.person, translated("anybody"), [(name, name) for name in people_in_history(self.desk.collection)]),
        ):
            chosen = combo.currentData()
            combo.blockSignals(True)
            combo.clear()
            combo.addItem(everything, None)
            for text, value in sorted(entries):
                combo.addItem(text, value)
            combo.setCurrentIndex(max(combo.findData(chosen), 0))
            combo.blockSignals(False)

    def _wanted(self) -> HistoryFilter | None:
        """The filter as typed; None while a part of it cannot be understood (the field says so)."""
        for field in self.fields:
            field.accept()
        try:
            animal = self._animal_typed()
            since, until = self._day(3, self.since), self._day(4, self.until)
        except _NotUnderstood as wrong:
            self.fields[wrong.field].refuse(wrong.sentence)
            return None
        act, person = self.act.currentData(), self.person.currentData()
        return HistoryFilter(
            animal=animal,
            kinds=(Act(act),) if act else (),
            person=person,
            since=self._utc(since, 0),
            until=self._utc(until, 1),
        )

    def _animal_typed(self) -> AnimalId | None:
        typed = " ".join(self.animal.text().split())
        if not typed:
            return None
        found = animal_called(self.desk.collection, typed)
        if found is None:
            raise _NotUnderstood(0, translated("No animal {id}.").format(id=typed))
        return found

    def _day(self, field: int, edit: QLineEdit) -> dt.date | None:
        typed = edit.text().strip()
        if not typed:
            return None
        order = self.desk.settings.date_order
        reading = read_date(typed, None if order is DateOrder.ISO else order, self.desk.clock().year)
        if reading is None or reading.value is None:
            raise _NotUnderstood(field, translated("Not a day."))
        return reading.value.first

    def _utc(self, day: dt.date | None, add: int) -> str | None:
        if day is None:
            return None
        start = dt.datetime.combine(day + dt.timedelta(days=add), dt.time(), tzinfo=self.desk.clock().tzinfo)
        return start.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")

    # --- the list ------------------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show everything, or what was done with one `animal` (its internal id)."""
        animal = target.get("animal")
        if animal is not None:
            self.animal.setText(keeper_id_of(self.desk.collection, AnimalId(int(str(animal)))))
        self._fill_choices()
        self.read()

    def read(self) -> None:
        """Read the acts that fit."""
        wanted = self._wanted()
        if wanted is None:
            return
        collection = self.desk.collection
        self.model.show(lambda before, limit: history(collection, wanted, before=before, limit=limit), self.desk.style)
        self._size_columns()
        count = self.model.rowCount()
        shown = translated_plural("{n} act", "{n} acts", count)
        rest = "" if self.model.whole else translated("the newest; older ones follow as you walk down")
        self.head.say(rest, shown)
        if count:
            self.table.setCurrentIndex(self.model.index(0, 2))
        self._walked()

    def _size_columns(self) -> None:
        theme = self.desk.theme
        for column, width in enumerate((184, 88, 240, 64, 88)):
            self.table.setColumnWidth(column, theme.px(width))
        # the words take what is left, so that whether an act still stands is never out of sight
        self.table.horizontalHeader().setStretchLastSection(False)
        self.table.horizontalHeader().setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)

    def refresh(self, changes: Changes) -> None:
        self._fill_choices()
        held = self._row()
        self.read()
        if held is not None and (number := self.model.number_of(held.id)) > 0:
            self.table.setCurrentIndex(self.model.index(number, 2))

    def _row(self) -> HistoryRow | None:
        return self.model.row_at(self.table.current_row())

    def _walked(self) -> None:
        self.button.setEnabled(self._can_take_back())
        self.margin_changed.emit()

    # --- acts ----------------------------------------------------------------------------------------------
    def _can_take_back(self) -> bool:
        row = self._row()
        return row is not None and row.in_force

    def take_back(self) -> None:
        """Undo the act in focus; later acts that rest on it are named in the foot first."""
        row = self._row()
        if row is not None and row.in_force:
            self.desk.undo(ActId(row.id))

    def _has_consequences(self) -> bool:
        row = self._row()
        return row is not None and row.in_force and may_move_odds(self._changed(row))

    def _changed(self, row: HistoryRow) -> list[ChangedRow]:
        return changed_rows(self.desk.collection, row.id, limit=READ)

    def consequences(self) -> None:
        """Whose odds rest on the act in focus: today's book with it and without it."""
        row = self._row()
        if row is not None and self._has_consequences():
            self.desk.go("changed", act=row.id)

    def _open_animal(self) -> None:
        row = self._row()
        if row is None:
            return
        found = first_animal_of(self.desk.collection, row.id)
        if found is not None:
            self.desk.go_animal(found)

    def primary_action(self) -> Command | None:
        return self._take_back

    def commands(self) -> list[Command]:
        return [self._take_back, self._consequences]

    def foot_hint(self) -> str:
        return translated("`Enter` opens the animal  `Ctrl Backspace` takes it back  `/` to the line")

    def margin_content(self) -> MarginContent:
        row = self._row()
        if row is None:
            verdict, why = translated("Nothing fits"), translated("Widen the filter.")
            if not newest_act(self.desk.collection):
                verdict = translated("Nothing was done yet")
                why = translated("Every act will stand here with who and when, and each can be taken back.")
            return MarginContent(heading=translated("History"), verdict=verdict, why=why)
        render = self.desk.render
        changed = self._changed(row)
        counted = Counter(changed_line(one, self.desk.style) for one in changed)
        lines = tuple(
            Fact(f"{name} × {n}" if n > 1 else name, text) for (name, text), n in list(counted.items())[:LISTED]
        )
        more = row.size - sum(list(counted.values())[:LISTED])
        return MarginContent(
            heading=translated("What this act changed"),
            verdict=render(row.told) or words(row.kind),
            why=self._standing(row),
            sections=(
                MarginSection(
                    words(row.kind),
                    lines,
                    translated_plural("and {n} entry more", "and {n} entries more", more) if more > 0 else "",
                ),
            ),
            rests_on=translated("From the journal, which keeps what stood before each change."),
            links=self._links(row, may_move_odds(changed)),
            strip=words(row.kind),
        )

    def _links(self, row: HistoryRow, moves: bool) -> tuple[MarginLink, ...]:
        """What can be done with an act; nothing with one that was taken back."""
        if not row.in_force:
            return ()
        back = MarginLink(translated("Take this back"), self.take_back)
        who = MarginLink(translated("Who else changed by this (Ctrl E)"), self.consequences)
        return (who, back) if moves else (back,)

    def _standing(self, row: HistoryRow) -> str:
        by = translated("By {person}. ").format(person=row.person) if row.person else ""
        if not row.in_force:
            return by + translated("It was taken back since; what it had done stands below.")
        if row.undoes is not None:
            return by + translated("It took an earlier act back. Taking it back does that act again.")
        return by + translated("It stands. Taking it back is an act of its own and can be taken back too.")

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        def by_animal() -> None:
            found = busiest_animal(self.desk.collection)
            self.open(animal=found) if found is not None else self.read()

        def nothing() -> None:
            self.animal.setText("Z-999")
            self.read()

        return [("one-animal", by_animal), ("no-such-animal", nothing)]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Down and not self.table.hasFocus():
            self.table.setFocus()
            return
        super().keyPressEvent(event)
