"""Settings: units, dates, look, codes and people; every choice is kept at once and can be undone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from enum import StrEnum
from functools import partial

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from coilbook.labels.code import check_prefix
from coilbook.operations.people import add_person, edit_person, erase_person
from coilbook.reads.people import PersonRow, people
from coilbook.records.changes import Changes
from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.records.quantities import MassUnit
from coilbook.records.settings import TEXT_SCALES, DateOrder, Theme
from coilbook.records.vocabulary import PersonRole, Sex
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import MarginContent, MarginSection
from coilbook.ui.notices import NoticeChoice
from coilbook.ui.numbers.floors import FloorFields
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.emptying import empty
from coilbook.ui.parts.fields import FieldRow
from coilbook.ui.parts.folding_grid import FoldingGrid
from coilbook.ui.parts.form_place import FormPlace
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.parts.text import PageHead, SectionHead, label
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated
from coilbook.wording.texts import words


class PersonForm(InlineForm):
    """A new person: name, role, how to reach them."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk.theme, translated("A new person"), translated("Add"), columns=3)
        self.name, self.contact, self.role = QLineEdit(), QLineEdit(), QComboBox()
        for role in PersonRole:
            self.role.addItem(words(role), role)
        self.role.setCurrentIndex(self.role.findData(PersonRole.HELPER))
        self.add("name", translated("Name"), self.name)
        self.add("role", translated("Role"), self.role)
        self.add("contact", translated("How to reach them"), self.contact, hint=translated("stays in this book"))


class SettingsScreen(Screen):
    """One page of choices."""

    key = "settings"
    title = "Settings"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._add = Command("settings.person", translated("Add a person"), self.ask_person, "Ctrl+N", screen=self.key)
        words = translated("Numbers of the species")
        self._numbers = Command("settings.numbers", words, partial(desk.go, "numbers"), "Ctrl+U", screen=self.key,
                                also="profile windows days limits ready for sale own")  # fmt: skip
        self._rows: list[FieldRow[QWidget]] = []
        theme = desk.theme
        head = PageHead(translated("Settings"))
        head.say(translated("Kept in this collection; each change can be undone."))
        head.buttons.addWidget(QuietButton.of(theme, self._numbers))
        head.buttons.addWidget(PrimaryButton.of(theme, self._add))
        body = QWidget()
        body.setObjectName("page")
        self._body = QVBoxLayout(body)
        self._body.setContentsMargins(0, 0, theme.px(24), theme.px(24))
        self._body.setSpacing(theme.px(12))
        self.forms: FormPlace[PersonForm] = FormPlace(self, self._body, 0, lambda: None)
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setWidget(body)
        self._inside = body
        column = QVBoxLayout(self)
        column.setContentsMargins(theme.px(24), theme.px(16), 0, 0)
        column.setSpacing(theme.px(16))
        head.setContentsMargins(0, 0, theme.px(24), 0)
        column.addWidget(head)
        column.addWidget(scroll, 1)
        self._fill()
        desk.settings_changed.connect(self._show_settings)

    def minimumSizeHint(self) -> QSize:
        # fields are never scrolled sideways: the margin folds first
        least = super().minimumSizeHint()
        wide = self._inside.minimumSizeHint().width() + self.desk.theme.px(24)
        return QSize(max(least.width(), wide), least.height())

    # --- building ------------------------------------------------------------------------------------------
    def _fill(self) -> None:
        s = self.desk.settings
        self.mass, self.dates, self.theme = self._choice(MassUnit), self._choice(DateOrder), self._choice(Theme)
        self.scale, self.paper = QComboBox(), QComboBox()
        for percent in TEXT_SCALES:
            self.scale.addItem(f"{percent}%", percent)
        for paper in ("A4", "Letter"):
            self.paper.addItem(paper, paper)
        self.currency, self.prefix, self.interval = QLineEdit(s.currency), QLineEdit(s.code_prefix), QLineEdit()
        self.ask, self.inbred, self.month = (QLineEdit() for _ in range(3))
        self._floors = FloorFields(self.desk, self._row_of, self._keep)
        self.her_floor, self.his_floor = self._floors.by_sex[Sex.FEMALE], self._floors.by_sex[Sex.MALE]
        self.clock = QCheckBox(translated("24 hours"))
        self.degrees = QCheckBox(translated("degrees Fahrenheit"))
        self.sound = QCheckBox(translated("a sound for each scan"))
        groups: Sequence[tuple[str, Sequence[tuple[str, QWidget]]]] = (
            (translated("Units and dates"), ((translated("Weights"), self.mass), (translated("Dates"), self.dates),
                (translated("Clock"), self.clock), (translated("Temperatures"), self.degrees),
                (translated("Currency"), self.currency))),
            (translated("Look"), ((translated("Theme"), self.theme), (translated("Text size"), self.scale),
                (translated("Sound"), self.sound))),
            (translated("Care"), ((translated("Days between offers, unless an animal has its own"), self.interval),
                (translated("Ask about a weight further off than, %"), self.ask),
                (translated("Name a pair whose young are inbred from, %"), self.inbred),
                (translated("Ask before pairing a female under, g"), self.her_floor),
                (translated("Ask before pairing a male under, g"), self.his_floor),
                (translated("Month a season begins with, 1 to 12"), self.month))),
            (translated("Labels and paper"), ((translated("Paper"), self.paper),
                (translated("Before each code in a symbol"), self.prefix))),
        )  # fmt: skip
        for name, fields in groups:
            self._body.addWidget(SectionHead(name))
            self._body.addWidget(self._group(fields))
        self._room_for_people()
        self._show_settings()
        self._connect()
        self._show_people()

    def _room_for_people(self) -> None:
        self.people_head = SectionHead(translated("People"))
        self._body.addWidget(self.people_head)
        self._people = QVBoxLayout()
        self._people.setSpacing(self.desk.theme.px(4))
        self._body.addLayout(self._people)
        self._body.addStretch(1)

    def _choice(self, kinds: type[StrEnum]) -> QComboBox:
        combo = QComboBox()
        for kind in kinds:
            combo.addItem(words(kind), kind)
        return combo

    def _group(self, fields: Sequence[tuple[str, QWidget]]) -> QWidget:
        rows = [FieldRow(name, editor) for name, editor in fields]
        self._rows += rows
        return FoldingGrid(self.desk.theme, rows)

    def _connect(self) -> None:
        for combo, name in (
            (self.mass, "mass_unit"),
            (self.dates, "date_order"),
            (self.theme, "theme"),
            (self.scale, "text_scale_percent"),
            (self.paper, "paper"),
        ):
            combo.activated.connect(partial(self._chosen, combo, name))
        for box, name in ((self.clock, "clock_24h"), (self.degrees, "fahrenheit"), (self.sound, "sound")):
            box.clicked.connect(partial(self._keep, name))
        self.currency.editingFinished.connect(self._currency_typed)
        self.prefix.editingFinished.connect(self._prefix_typed)
        self.interval.editingFinished.connect(
            partial(self._number_typed, self.interval, "default_interval_days", 1, 400)
        )
        self.ask.editingFinished.connect(partial(self._number_typed, self.ask, "weight_ask_percent", 1, 90))
        self.month.editingFinished.connect(partial(self._number_typed, self.month, "season_month", 1, 12))
        self.inbred.editingFinished.connect(self._inbred_typed)

    def _show_settings(self) -> None:
        s = self.desk.settings
        for combo, value in (
            (self.mass, s.mass_unit),
            (self.dates, s.date_order),
            (self.theme, s.theme),
            (self.scale, s.text_scale_percent),
            (self.paper, s.paper),
        ):
            combo.setCurrentIndex(combo.findData(value))
        for box, on in ((self.clock, s.clock_24h), (self.degrees, s.fahrenheit), (self.sound, s.sound)):
            box.setChecked(on)
        self.currency.setText(s.currency)
        self.prefix.setText(s.code_prefix)
        self.interval.setText(str(s.default_interval_days))
        self.ask.setText(str(s.weight_ask_percent))
        self._floors.show_floors()
        self.month.setText(str(s.season_month))
        self.inbred.setText(f"{s.inbreeding_limit_tenths / 10:g}")

    # --- keeping -------------------------------------------------------------------------------------------
    def _row_of(self, editor: QWidget) -> FieldRow[QWidget]:
        return next(row for row in self._rows if row.editor is editor)

    def _chosen(self, combo: QComboBox, name: str, _index: int) -> None:
        # Qt hands an enum of texts back as the plain text
        kind = type(getattr(self.desk.settings, name))
        self._keep(name, kind(combo.currentData()))

    def _keep(self, name: str, value: object) -> None:
        if getattr(self.desk.settings, name) != value:
            changed: dict[str, object] = {name: value}
            self.desk.change_settings(replace(self.desk.settings, **changed))  # type: ignore[arg-type]

    def _number_typed(self, edit: QLineEdit, name: str, least: int, most: int) -> None:
        typed = edit.text().strip()
        row = self._row_of(edit)
        if not typed.isdecimal() or not least <= int(typed) <= most:
            row.refuse(translated("A number from {least} to {most}.").format(least=least, most=most))
            return
        row.accept()
        self._keep(name, int(typed))

    def _inbred_typed(self) -> None:
        row, whole, tenth = self._row_of(self.inbred), *_cut(self.inbred.text())
        if (
            not (whole + tenth).isdecimal()
            or len(tenth) > 1
            or not 1 <= int(whole or "0") * 10 + int(tenth or "0") <= 1000
        ):
            row.refuse(translated("A percentage from 0.1 to 100, like 12.5."))
            return
        row.accept()
        self._keep("inbreeding_limit_tenths", int(whole or "0") * 10 + int(tenth or "0"))

    def _currency_typed(self) -> None:
        typed = self.currency.text().strip().upper()
        row = self._row_of(self.currency)
        if len(typed) != 3 or not typed.isascii() or not typed.isalpha():
            row.refuse(translated("Three letters, like EUR."))
            return
        row.accept()
        self._keep("currency", typed)

    def _prefix_typed(self) -> None:
        row = self._row_of(self.prefix)
        try:
            check_prefix(self.prefix.text())
        except Refusal as error:
            row.refuse(self.desk.render(error.message))
            return
        row.accept()
        self._keep("code_prefix", self.prefix.text())

    # --- people --------------------------------------------------------------------------------------------
    def _show_people(self) -> None:
        empty(self._people)
        found = people(self.desk.collection, gone=True)
        self.people_head.note.setText(translated("Who keeps and helps may sit at the keyboard (top right)."))
        if not found:
            self._people.addWidget(
                label(translated("Nobody yet. Add yourself, so that History says who did what."), "second")
            )
        for person in found:
            self._people.addWidget(self._person_row(person))

    def _person_row(self, person: PersonRow) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(self.desk.theme.px(12))
        name = label(person.name, "strong" if person.active else "second")
        name.setFixedWidth(self.desk.theme.px(200))
        role = label(words(person.role), "second")
        role.setFixedWidth(self.desk.theme.px(96))
        row.addWidget(name)
        row.addWidget(role)
        row.addWidget(label(person.contact, "second"), 1)
        switch = QuietButton(
            self.desk.theme, translated("Off the lists") if person.active else translated("Back on the lists")
        )
        switch.setAccessibleName(f"{person.name}: {switch.text()}")
        switch.clicked.connect(partial(self._switch, person))
        row.addWidget(switch)
        forget = QuietButton(self.desk.theme, translated("Forget"))
        forget.setAccessibleName(translated("Forget {name}").format(name=person.name))
        forget.clicked.connect(partial(self.ask_forget, person))
        row.addWidget(forget)
        return holder

    def _switch(self, person: PersonRow) -> None:
        self.desk.run(edit_person, person=person.id, active=not person.active)

    def ask_forget(self, person: PersonRow) -> None:
        """Forgetting is the one act no Undo takes back, so it is asked."""
        choice = NoticeChoice(say("Forget for good"), partial(self._forget, person))
        asked = say(
            "Forget {name}? The name goes from the book and its history; no Undo brings it back.", name=person.name
        )
        self.desk.notices.ask(asked, (choice,))

    def _forget(self, person: PersonRow) -> None:
        self.desk.notices.put_away()
        self.desk.run(erase_person, person=person.id)

    def ask_person(self) -> None:
        """Open the form of a new person."""
        self.forms.open(PersonForm(self.desk), self._add_person)

    def _add_person(self) -> None:
        form = self.forms.form
        if form is not None:
            arguments = {
                "name": form.name.text(),
                "role": PersonRole(form.role.currentData()),
                "contact": form.contact.text(),
            }
            self.desk.run(add_person, lambda _outcome: self.leave_form(), on_refused=self._refused, **arguments)

    def _refused(self, error: CoilbookError) -> None:
        self.forms.refuse(self.desk.render(error.message), "name")

    def leave_form(self) -> None:
        """Close the form."""
        self.forms.close()

    # --- what the window asks ------------------------------------------------------------------------------
    def refresh(self, changes: Changes) -> None:
        if changes.touches("person"):
            self._show_people()
        if changes.touches("setting"):
            self._show_settings()

    def primary_action(self) -> Command | None:
        return self._add

    def commands(self) -> list[Command]:
        return [self._add, self._numbers]

    def foot_hint(self) -> str:
        return translated("`Tab` next field  `F8` next theme  `Ctrl N` adds a person")

    def margin_content(self) -> MarginContent:
        return MarginContent(
            heading=translated("Settings"),
            verdict=translated("As you like to read it"),
            why=translated(
                "Weights are kept in tenths of a gram and dates as they are known; this only says how they are written."
            ),
            sections=(
                MarginSection(
                    translated("Where this book lies"),
                    text=str(self.desk.collection.folder),
                ),
                MarginSection(
                    translated("Before each code"),
                    text=translated(
                        "A web address later, if you want one: capitals only, and short enough that the symbol stays "
                        "readable in a wet room. Labels printed before a change stay good."
                    ),
                ),
                MarginSection(
                    translated("Days between offers"),
                    text=translated("Common practice for adults is 10 to 21 days; each animal can have its own."),
                ),
            ),
        )

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return [("new-person", self.ask_person)]

    def focusInEvent(self, event: QFocusEvent) -> None:
        self.mass.setFocus(Qt.FocusReason.OtherFocusReason)


def _cut(typed: str) -> tuple[str, str]:
    """A number before and behind its point or comma, without the percent sign."""
    whole, _, tenth = typed.strip().removesuffix("%").strip().replace(",", ".").partition(".")
    return whole, tenth
