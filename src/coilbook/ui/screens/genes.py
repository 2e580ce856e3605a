"""Genes: the catalogue of a species, the keeper's own entries over the shipped ones, conflicts first."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QHeaderView, QStackedWidget, QVBoxLayout

from coilbook.operations import catalogue as acts
from coilbook.operations.own_genes import remove_own_gene
from coilbook.reads.genes import (
    CatalogueBook,
    CatalogueRow,
    EntryConflict,
    EntryKind,
    read_catalogue_book,
    species_with_catalogue,
)
from coilbook.records.changes import ODDS_REST_ON, Outcome
from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.records.vocabulary import OwnKind
from coilbook.ui.background import Control, Job
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk, Operation
from coilbook.ui.genes.asking import Asking
from coilbook.ui.genes.commands import genes_commands
from coilbook.ui.genes.forms import CatalogueForm
from coilbook.ui.genes.margin import entry_margin, nothing_margin
from coilbook.ui.genes.model import LEAST_NAME, SPARED, STRETCHED, WIDTHS, GenesModel
from coilbook.ui.genes.tour import genes_tour
from coilbook.ui.genes.words import entry_words, field_words
from coilbook.ui.margin_content import MarginContent, MarginLink
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.form_place import FormPlace
from coilbook.ui.parts.table import TableView
from coilbook.ui.parts.text import PageHead
from coilbook.ui.screen import Screen, TermSpan
from coilbook.wording.language import translated, translated_plural


class GenesScreen(Screen):
    """Every word of the trade the program knows, and what the keeper says otherwise."""

    key = "genes"
    title = "Genes"
    rests_on = ODDS_REST_ON
    takes_line = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.book: CatalogueBook | None = None
        self.species = desk.settings.species
        self._typed = ""
        #: the width in px the columns were shared out for
        self._sized_for = -1
        self._job: Job | None = None
        #: the entry to put the focus on when the catalogue is there again
        self._wanted: tuple[EntryKind, str] | None = None
        self.asking = Asking(self)
        self._named = genes_commands(self)
        self.model = GenesModel(desk.render)
        self._build()

    def _build(self) -> None:
        theme, px = self.desk.theme, self.desk.theme.px
        self.stack = QStackedWidget()
        self.table = TableView(theme, translated("Genes, lines and combinations"))
        self.table.setModel(self.model)
        self.table.setSelectionMode(TableView.SelectionMode.SingleSelection)
        self.table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.table.walked.connect(self._walked)
        self.table.opened.connect(lambda _index: self.asking.correction())
        sentence = translated(
            "No gene, line or combination has all these words. Empty the line, or add one of your own."
        )
        steps = (self._named["add"], self._named["combination"])
        self.empty = EmptyState(theme, translated("Nothing fits"), sentence, steps)
        self.stack.addWidget(self.table)
        self.stack.addWidget(self.empty)
        self.head = PageHead(translated("Genes"))
        self.correct_button = QuietButton.of(theme, self._named["correct"])
        self.add_button = PrimaryButton.of(theme, self._named["add"])
        for button in (self.correct_button, QuietButton.of(theme, self._named["combination"]), self.add_button):
            self.head.buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(24), px(16), px(16), 0)
        column.setSpacing(px(12))
        column.addWidget(self.head)
        column.addWidget(self.stack, 1)
        self.forms: FormPlace[CatalogueForm] = FormPlace(self, column, 1, self._to_table)
        self.begins_at(self.table)
        theme.changed.connect(self._size_columns)
        self.table.horizontalHeader().geometriesChanged.connect(self._share)

    # --- the window's questions -----------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show the catalogue, the focus on a `gene` (the key of a gene or a line) when given."""
        if (species := target.get("species")) in species_with_catalogue():
            self.species = str(species)
        gene = target.get("gene")
        if isinstance(gene, str):
            self._wanted = (EntryKind.GENE, gene)
            self._typed = ""
            self.model.filter("")
        self.reload()

    def filter_text(self, text: str) -> None:
        held = self._held()
        self._typed = text
        self.model.filter(text)
        self._show(held)

    def line_hint(self) -> str:
        return translated("Filter: a word, recessive, line, complex, combination, published, yours, conflict")

    def line_text(self) -> str:
        return self._typed

    def count(self) -> int | None:
        """Entries in conflict, of every species."""
        if self.book is None:
            return None
        return sum(bool(row.conflicts) for row in self.book.rows) + self.book.elsewhere or None

    def terms(self, text: str) -> tuple[TermSpan, ...]:
        return self.model.terms(text)

    def commands(self) -> list[Command]:
        return list(self._named.values())

    def primary_action(self) -> Command | None:
        return self._named["add"]

    def foot_hint(self) -> str:
        if self.row is None:
            return ""
        if self.has_conflict():
            return translated("`K` yours stands  `T` as shipped  `E` corrects  `Del` takes your entry back")
        if not self.is_gene():
            return translated("`E` corrects  `F2` renames  `Ctrl+N` adds a gene  `C` names a combination")
        if self.has_complex():
            return translated("`E` corrects  `F2` renames  `M` merges  `L` adds a line  `X` corrects its complex")
        return translated("`E` corrects  `F2` renames  `M` merges  `L` adds a line  `C` names a combination")

    def margin_content(self) -> MarginContent:
        if self.book is None or self.row is None:
            return nothing_margin(self.model.filtered)
        return entry_margin(self.book, self.row, self.desk.render, self._links(self.row))

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return genes_tour(self)

    # --- reading --------------------------------------------------------------------------------------------
    def reload(self) -> None:
        """Read the catalogue again; what stands stays until the answer is there."""
        if self._job is not None:
            self._job.cancel()
        collection, species = self.desk.collection, self.species

        def work(control: Control) -> CatalogueBook:
            return read_catalogue_book(collection, species, control.cancelled)

        self._job = self.desk.background.work_out(
            work, self._arrived, self.desk.tell_failed, say("Reading the catalogue")
        )

    def _arrived(self, book: CatalogueBook) -> None:
        held = self._wanted or self._held()
        self._wanted, self.book = None, book
        self.model.show_rows(book.rows)
        self._show(held)
        self.count_changed.emit()

    def _held(self) -> tuple[EntryKind, str] | None:
        row = self.row
        return (row.kind, row.key) if row is not None else None

    def _show(self, held: tuple[EntryKind, str] | None) -> None:
        count = self.model.rowCount()
        self.stack.setCurrentWidget(self.table if count or not self.model.filtered else self.empty)
        # an empty page has its one filled button in the middle
        self.add_button.setVisible(self.stack.currentWidget() is self.table)
        if count:
            number = self._number(held) if held is not None else 0
            self.table.setCurrentIndex(self.model.index(max(number, 0), 0))
            self._size_columns()
        self._say_head()
        self._walked()

    def _number(self, held: tuple[EntryKind, str]) -> int:
        kind, key = held
        found = self.model.number_of(kind, key)
        return self.model.number_of(EntryKind.LINE, key) if found < 0 and kind is EntryKind.GENE else found

    def _walked(self) -> None:
        self.correct_button.setEnabled(self.is_named())
        self.margin_changed.emit()
        self.hint_changed.emit()

    def _say_head(self) -> None:
        if self.book is None:
            return
        conflicts = sum(bool(row.conflicts) for row in self.book.rows)
        own = sum(bool(row.own) for row in self.book.rows)
        genes = sum(row.inheritance is not None for row in self.book.rows)
        complexes = sum(row.kind is EntryKind.COMPLEX for row in self.book.rows)
        combinations = sum(row.kind is EntryKind.COMBINATION for row in self.book.rows)
        parts = [
            self.book.catalogue.name,
            translated_plural("{n} gene", "{n} genes", genes),
            translated_plural("{n} complex", "{n} complexes", complexes),
            translated_plural("{n} combination", "{n} combinations", combinations),
        ]
        if own:
            parts.append(translated_plural("{n} added or corrected by you", "{n} added or corrected by you", own))
        if self.model.filtered:
            parts.append(translated("{n} found").format(n=self.model.rowCount()))
        if self.book.elsewhere:
            one, several = "{n} conflict of another species (S)", "{n} conflicts of another species (S)"
            parts.append(translated_plural(one, several, self.book.elsewhere))
        strong = translated_plural("{n} conflict", "{n} conflicts", conflicts) if conflicts else ""
        self.head.say(", ".join(parts), strong)

    def _share(self) -> None:
        """The width of the table is known only once it is laid out."""
        if self.table.viewport().width() != self._sized_for:
            self._size_columns()

    def _size_columns(self) -> None:
        px = self.desk.theme.px
        room = self._sized_for = self.table.viewport().width() or self.width()
        hidden: set[int] = set()
        for column in SPARED:
            if sum(px(w) for n, w in enumerate(WIDTHS) if n not in hidden) > room:
                hidden.add(column)
        lacking = sum(px(width) for column, width in enumerate(WIDTHS) if column not in hidden) - room
        for column, width in enumerate(WIDTHS):
            self.table.setColumnHidden(column, column in hidden)
            self.table.setColumnWidth(column, px(width))
        # the longest names give way before how a gene is inherited does
        self.table.setColumnWidth(0, max(px(WIDTHS[0]) - max(lacking, 0), px(LEAST_NAME)))
        head = self.table.horizontalHeader()
        head.setStretchLastSection(False)
        head.setSectionResizeMode(STRETCHED, QHeaderView.ResizeMode.Stretch)

    @property
    def row(self) -> CatalogueRow | None:
        """The entry in focus."""
        return self.model.row_at(self.table.current_row()) if self.stack.currentWidget() is self.table else None

    def book_genes(self) -> frozenset[str]:
        """The keys of the genes and lines shown."""
        return frozenset(self.book.catalogue.genes) if self.book is not None else frozenset()

    # --- what can be done with it ----------------------------------------------------------------------------
    def is_gene(self) -> bool:
        """Whether a gene or a line is in focus."""
        return self.row is not None and self.row.inheritance is not None

    def is_complex(self) -> bool:
        """Whether a locus that several genes share is in focus."""
        return self.row is not None and self.row.kind is EntryKind.COMPLEX

    def complex_key(self) -> str | None:
        """The complex in focus, or that of the gene in focus; None where there is none."""
        if self.row is None or self.book is None:
            return None
        gene = self.book.catalogue.genes.get(self.row.key) if self.is_gene() else None
        key = gene.locus if gene is not None else self.row.key if self.is_complex() else ""
        return key if key in self.book.catalogue.complexes else None

    def has_complex(self) -> bool:
        """Whether a complex, or a gene of one, is in focus."""
        return self.complex_key() is not None

    def is_written(self) -> bool:
        """Whether something is in focus that stands in the texts of animals."""
        return self.is_named() and not self.is_complex()

    def is_named(self) -> bool:
        """Whether something with a name of its own is in focus."""
        return self.row is not None and self.row.kind is not EntryKind.LEFT_OUT

    def is_own(self) -> bool:
        """Whether the keeper has said something of what is in focus."""
        return self.row is not None and bool(self.row.own)

    def has_conflict(self) -> bool:
        """Whether a conflict that can be settled is in focus."""
        return self.is_named() and self.row is not None and bool(self.row.conflicts)

    def _links(self, row: CatalogueRow) -> tuple[MarginLink, ...]:
        links = []
        if row.kind is not EntryKind.LEFT_OUT:
            for one in row.conflicts:
                what = field_words(one.what)
                links.append(
                    MarginLink(
                        translated("Yours: {field}").format(field=what), partial(self._settle, acts.keep_yours, one)
                    )
                )
                links.append(
                    MarginLink(
                        translated("As shipped: {field}").format(field=what),
                        partial(self._settle, acts.take_shipped, one),
                    )
                )
        if row.kind is EntryKind.GENE:
            links.append(MarginLink(translated("Note a caution (W)"), self.asking.caution))
            links.append(MarginLink(translated("Say what it hides (H)"), self.asking.hides))
            if self.has_complex():
                links.append(MarginLink(translated("Correct its complex (X)"), self.asking.complex))
        for entry in row.own:
            words = translated("Take back your {entry}").format(entry=entry_words(entry))
            links.append(MarginLink(words, partial(self._remove, entry)))
        return tuple(links)

    def keep_yours(self) -> None:
        """Settle the first conflict in focus for the keeper."""
        if self.row is not None and self.has_conflict():
            self._settle(acts.keep_yours, self.row.conflicts[0])

    def take_shipped(self) -> None:
        """Settle the first conflict in focus for the shipped catalogue."""
        if self.row is not None and self.has_conflict():
            self._settle(acts.take_shipped, self.row.conflicts[0])

    def _settle(self, operation: Operation, conflict: EntryConflict) -> None:
        self.desk.run(operation, entry=conflict.entry, what=conflict.what, species=self.species)

    def take_back(self) -> None:
        """Take the newest of the keeper's entries on what is in focus out again."""
        if self.row is not None and self.row.own:
            self._remove(self.row.own[-1])

    def _remove(self, entry: str) -> None:
        kind, _, key = entry.partition(" ")
        self.desk.run(remove_own_gene, kind=OwnKind(kind), key=key, species=self.species)

    def show_animals(self) -> None:
        """Show the animals whose text names what is in focus."""
        if self.row is not None:
            self.desk.go("animals", text=f'"{self.row.name}"' if " " in self.row.name else self.row.name)

    def next_species(self) -> None:
        """Show the catalogue of the next species there is one of."""
        there = species_with_catalogue()
        at = there.index(self.species) if self.species in there else -1
        self.species = there[(at + 1) % len(there)]
        self.close_form()
        self.reload()

    # --- forms ------------------------------------------------------------------------------------------
    def run(self, operation: Operation, wanted: tuple[EntryKind, str] | None, **arguments: object) -> None:
        """Run an act on the catalogue shown; the form closes when it is done, and says what is wrong else."""

        def done(_outcome: Outcome[int]) -> None:
            self.close_form()

        def refused(error: CoilbookError) -> bool:
            self._wanted = None
            if self.forms.form is None or not isinstance(error, Refusal):
                return False
            self.forms.form.complain(error)
            return True

        self._wanted = wanted
        self.desk.run(operation, done, on_refused=refused, species=self.species, **arguments)

    def show_form(self, form: CatalogueForm, save: Callable[[], None]) -> None:
        """Open a form over the table; Enter runs `save`, Esc leaves."""
        self.forms.open(form, save)
        # what the form is about stays in sight above its foot, once the table has its new height
        QTimer.singleShot(0, self.table, self._keep_in_sight)

    def _keep_in_sight(self) -> None:
        self.table.scrollTo(self.table.currentIndex(), self.table.ScrollHint.EnsureVisible)

    def close_form(self) -> None:
        """Put the open form away."""
        self.forms.close()

    def _to_table(self) -> None:
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)
