"""The numbers of the species a season counts with: shipped with where each is from, and the keeper's own over them."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QVBoxLayout

from coilbook.husbandry.number_words import GROUP_NAMES
from coilbook.husbandry.own_numbers import NumberKey
from coilbook.operations.own_numbers import set_number, shipped_number
from coilbook.reads.species_numbers import NumberRow, NumbersPage, numbers_page, species_kept
from coilbook.records.changes import Changes
from coilbook.records.message import CoilbookError, Refusal
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import MarginContent, MarginLink
from coilbook.ui.numbers.words import HEADS, NUMBERS, looks_of, number_margin, number_text, typed_number
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.form_place import FormPlace
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.parts.table import ReadyRows, TableView
from coilbook.ui.parts.text import PageHead
from coilbook.ui.screen import Screen, TermSpan
from coilbook.wording.language import translated, translated_plural

#: shares of the width
_SHARES = (0.11, 0.36, 0.12, 0.1, 0.14, 0.17)


class NumbersScreen(Screen):
    """One table; Enter sets the keeper's own number in a line above it, Del returns to the shipped one."""

    key = "numbers"
    column_key = "settings"
    takes_line = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.page: NumbersPage = numbers_page(desk.collection)
        self._rows: list[NumberRow] = []
        self._typed = ""
        self._species = species_kept(desk.collection)
        self._value = QLineEdit()
        self._set = Command("numbers.set", translated("Set your own number"), self.ask, "E", self._has_row, self.key,
                            "edit change yours profile")  # fmt: skip
        self._shipped = Command("numbers.shipped", translated("Back to the shipped number"), self.take_shipped, "Del",
                                self._is_own, self.key, "reset default")  # fmt: skip
        self._other = Command("numbers.species", translated("Numbers of another species"), self.next_species, "N",
                              lambda: len(self._species) > 1, self.key, "profile")  # fmt: skip
        self._build()
        desk.settings_changed.connect(self._show)

    def _build(self) -> None:
        theme, px = self.desk.theme, self.desk.theme.px
        self.model = ReadyRows(HEADS, NUMBERS)
        self.table = TableView(theme, translated("Numbers of the species"))
        self.table.setModel(self.model)
        self.table.setSelectionMode(TableView.SelectionMode.SingleSelection)
        self.table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.table.walked.connect(self._walked)
        self.table.opened.connect(lambda _index: self.ask())
        self.head = PageHead(translated("Numbers of the species"))
        self.shipped_button, self.set_button = QuietButton.of(theme, self._shipped), PrimaryButton.of(theme, self._set)
        self.other_button = QuietButton.of(theme, self._other)
        self.head.buttons.addWidget(self.other_button)
        self.head.buttons.addWidget(self.shipped_button)
        self.head.buttons.addWidget(self.set_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(24), px(16), px(16), 0)
        column.setSpacing(px(12))
        column.addWidget(self.head)
        column.addWidget(self.table, 1)
        self.forms: FormPlace[InlineForm] = FormPlace(self, column, 1, self._to_table)
        self.begins_at(self.table)
        self.table.horizontalHeader().geometriesChanged.connect(self._share)
        theme.changed.connect(self._share)

    def _walked(self) -> None:
        self.set_button.setEnabled(self._has_row())
        self.shipped_button.setEnabled(self._is_own())
        self.margin_changed.emit()

    def _share(self) -> None:
        width = self.table.viewport().width()
        for column, share in enumerate(_SHARES):
            self.table.setColumnWidth(column, int(width * share))

    # --- what the window asks ------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show the numbers, the focus on a `number` (its stored key) when given."""
        wanted = target.get("number")
        self._read()
        if isinstance(wanted, str):
            self._typed = ""
            self._show()
            keys = [row.key.value for row in self._rows]
            if wanted in keys:
                self.table.setCurrentIndex(self.model.index(keys.index(wanted), 1))
        elif self.table.current_row() < 0 and self._rows:
            self.table.setCurrentIndex(self.model.index(0, 1))

    def refresh(self, changes: Changes) -> None:
        if changes.touches("setting"):
            self._read()

    def filter_text(self, text: str) -> None:
        self._typed = text
        self._show()

    def line_hint(self) -> str:
        return translated("Filter: a word of a number, windows, pairing, eggs, young, published, yours")

    def line_text(self) -> str:
        return self._typed

    def terms(self, text: str) -> tuple[TermSpan, ...]:
        spans, at = [], 0
        for term in text.split():
            start = text.index(term, at)
            at = start + len(term)
            found = any(term.casefold() in self._words(row) for row in self.page.rows)
            spans.append(TermSpan(start, len(term), found))
        return tuple(spans)

    def primary_action(self) -> Command | None:
        return self._set

    def commands(self) -> list[Command]:
        return [self._set, self._shipped, self._other]

    def foot_hint(self) -> str:
        if self.forms.form is not None:
            return translated("`Enter` keeps it  `Esc` leaves")
        return translated("`Enter` your own number  `Del` the shipped one again  `Esc` back")

    def margin_content(self) -> MarginContent:
        links = [MarginLink(self._set.words, self.ask)]
        if self._is_own():
            links.append(MarginLink(self._shipped.words, self.take_shipped))
        return number_margin(self.row, self.desk.style, self.desk.render, self.page.scientific_name, tuple(links))

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return [("own", self.ask)]

    # --- showing -------------------------------------------------------------------------------------------
    def _read(self) -> None:
        self._species = species_kept(self.desk.collection)
        shown = self.page.species if self.page.species in self._species else None
        self.page = numbers_page(self.desk.collection, shown)
        self._show()

    def next_species(self) -> None:
        """The numbers of the next species there is."""
        at = self._species.index(self.page.species) + 1
        self.page = numbers_page(self.desk.collection, self._species[at % len(self._species)])
        self._show()

    def _words(self, row: NumberRow) -> str:
        group = self.desk.render(GROUP_NAMES[row.group])
        own = translated("yours") if row.own is not None else ""
        return f"{group} {self.desk.render(row.name)} {row.provenance} {own}".casefold()

    def _show(self) -> None:
        held = self.row.key if self.row is not None else None
        terms = self._typed.casefold().split()
        self._rows = [row for row in self.page.rows if all(term in self._words(row) for term in terms)]
        style, render = self.desk.style, self.desk.render
        self.model.show_rows([looks_of(row, style, render, render(GROUP_NAMES[row.group])) for row in self._rows])
        self._share()
        keys = [row.key for row in self._rows]
        if self._rows:
            self.table.setCurrentIndex(self.model.index(keys.index(held) if held in keys else 0, 1))
        own = sum(row.own is not None for row in self.page.rows)
        changed = sum(row.shipped_then is not None for row in self.page.rows)
        told = translated_plural("{n} number is yours", "{n} numbers are yours", own)
        if changed:
            told += ", " + translated_plural("{n} shipped otherwise since", "{n} shipped otherwise since", changed)
        self.head.say(f"{self.page.name}: {told}.")
        self.other_button.setVisible(len(self._species) > 1)
        self._walked()

    @property
    def row(self) -> NumberRow | None:
        """The number in focus."""
        at = self.table.current_row()
        return self._rows[at] if 0 <= at < len(self._rows) else None

    def _has_row(self) -> bool:
        return self.row is not None

    def _is_own(self) -> bool:
        return self.row is not None and self.row.own is not None

    # --- setting -------------------------------------------------------------------------------------------
    def ask(self) -> None:
        """Open the line in which the number in focus is typed."""
        row = self.row
        if row is None:
            return
        self._value = QLineEdit(number_text(self.desk.style, row.unit, row.used))
        form = InlineForm(self.desk.theme, self.desk.render(row.name), translated("Count with this"))
        shipped = number_text(self.desk.style, row.unit, row.shipped)
        words = translated("Your number (shipped: {shipped}, {mark})").format(shipped=shipped, mark=row.provenance)
        form.add("value", words, self._value, span=3)
        self.forms.open(form, lambda: self._keep(row.key))
        self._value.selectAll()
        self.hint_changed.emit()

    def _keep(self, key: NumberKey) -> None:
        row = next(row for row in self.page.rows if row.key is key)
        try:
            value = typed_number(self.desk.style, row.unit, self._value.text())
        except Refusal as error:
            self._complain(error)
            return
        self.desk.run(set_number, lambda _outcome: self.leave_form(), on_refused=self._complain, key=key, value=value,
                      species=self.page.species)  # fmt: skip

    def _complain(self, error: CoilbookError) -> bool:
        if self.forms.form is None or not isinstance(error, Refusal):
            return False
        self.forms.refuse(self.desk.render(error.message), "value")
        return True

    def take_shipped(self) -> None:
        """Count with the shipped number again."""
        if self.row is not None and self._is_own():
            self.desk.run(shipped_number, key=self.row.key, species=self.page.species)

    def leave_form(self) -> None:
        """Close the line."""
        self.forms.close()

    def _to_table(self) -> None:
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)
        self.hint_changed.emit()
