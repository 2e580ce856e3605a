"""Labels: a queue in walking order, the sheet as it will come out, the label in focus; PDF, print, test sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout

from coilbook.labels.stock import LabelKind, Printer, shipped_stock
from coilbook.operations.settings import remember
from coilbook.reads import label_rows as read
from coilbook.reads.label_rows import LabelRow
from coilbook.reads.places import rack_labels
from coilbook.records.message import CoilbookError
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.labels import making
from coilbook.ui.labels.card_genes import CardGenes, Texts
from coilbook.ui.labels.fields import FieldsRow
from coilbook.ui.labels.margin import label_margin
from coilbook.ui.labels.offset_form import OffsetForm
from coilbook.ui.labels.run import Queue
from coilbook.ui.labels.sources import EVERYTHING, KIND_WORDS, SELECTION, Sources, by_rack, file_words
from coilbook.ui.labels.work_page import WorkPage
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.form_place import FormPlace
from coilbook.ui.parts.text import PageHead
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated, translated_plural

#: tables the words on a label are read from


class LabelsScreen(Screen):
    """The queue and its paper."""

    key = "labels"
    title = "Labels"
    rests_on = ("animal", "place", "label_print", "setting", "egg_box", "clutch", "egg", "hatchling")

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.queue: Queue | None = None
        self.sources = Sources(desk)
        self._genes = CardGenes(desk, self._take_genes)
        self._list = self._make_commands()
        self._build()
        self._show_fields()

    # --- building -------------------------------------------------------------------------------------------
    def _make_commands(self) -> list[Command]:
        def made(name: str, words: str, run: Callable[[], None], keys: str = "", listed: bool = True) -> Command:
            return Command(f"labels.{name}", translated(words), run, keys, screen=self.key, listed=listed)

        return [
            made("test", "Test sheet", self.test_sheet, "Ctrl+T"),
            made("pdf", "PDF", self.make_pdf, "Ctrl+S"),
            made("print", "Print", self.print_labels, "Ctrl+P"),
            made("everybody", "Cage cards for everybody", partial(self._fill_all, LabelKind.CAGE_CARD)),
            made("every_slot", "Slot labels for every rack", partial(self._fill_all, LabelKind.SLOT)),
            made("every_box", "Labels for every egg box", partial(self._fill_all, LabelKind.EGG_BOX)),
            made("every_cup", "Labels for every hatchling", partial(self._fill_all, LabelKind.CUP)),
            made("later", "First position one later", partial(self.step_first, 1), "+", False),
            made("earlier", "First position one earlier", partial(self.step_first, -1), "-", False),
            made("next", "Next sheet", partial(self._turn, 1), "PgDown", False),
            made("before", "Sheet before", partial(self._turn, -1), "PgUp", False),
            made("out", "Take out of the queue", self.take_out, "Del", False),
            made("up", "Move up in the queue", partial(self.move_row, -1), "Alt+Up", False),
            made("down", "Move down in the queue", partial(self.move_row, 1), "Alt+Down", False),
            made("walk", "Back to walking order", self.reload, "W"),
        ]

    def _by_name(self, name: str) -> Command:
        return next(command for command in self._list if command.id == f"labels.{name}")

    def _build(self) -> None:
        theme = self.desk.theme
        px = theme.px
        self.head = PageHead(translated("Labels"))
        self.buttons = [QuietButton.of(theme, self._by_name(name)) for name in ("test", "pdf")]
        self.print_button = PrimaryButton.of(theme, self._by_name("print"))
        for button in (*self.buttons, self.print_button):
            self.head.buttons.addWidget(button)
        self.fields = FieldsRow(theme)
        self.fields.kind_chosen.connect(self.choose_kind)
        self.fields.source_chosen.connect(self.choose_source)
        self.fields.stock_chosen.connect(self.choose_stock)
        self.fields.printer_chosen.connect(self.choose_printer)
        self.fields.first.stepped.connect(self.step_first)
        steps = (self._by_name("everybody"), self._by_name("every_slot"))
        sentence = translated("Select animals or slots and press Ctrl L there, or take them all from here.")
        self.empty = EmptyState(theme, translated("The queue is empty"), sentence, steps)
        self.stack = QStackedWidget()
        self.work = WorkPage(self.desk)
        self.work.started.connect(self.start_at)
        self.work.ticked.connect(self.toggle)
        self.work.walked.connect(self.margin_changed)
        self.begins_at(self.work.table)
        self.stack.addWidget(self.work)
        self.stack.addWidget(self.empty)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(24), px(16), px(24), px(8))
        column.setSpacing(px(12))
        column.addWidget(self.head)
        column.addWidget(self.fields)
        column.addWidget(self.stack, 1)
        self.forms: FormPlace[OffsetForm] = FormPlace(self, column, 2, self._to_table)

    # --- the window's questions -----------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Take a queue of animals or of slots, or show the one that is there."""
        if self.sources.take(target):
            self._new_queue()
        else:
            self.reload()

    def commands(self) -> list[Command]:
        return self._list

    def primary_action(self) -> Command | None:
        return self._by_name("print")

    def count(self) -> int | None:
        return len(self.queue.printed) if self.queue is not None and self.queue.printed else None

    def foot_hint(self) -> str:
        return translated(
            "`Space` in or out  `Del` leaves the queue  `Alt \u2191 \u2193` order  `+ \u2212` first position"
        )

    def margin_content(self) -> MarginContent:
        return label_margin(self.desk, self.queue, self.current_row())

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return [
            ("cards", partial(self._fill_all, LabelKind.CAGE_CARD)),
            ("started-at-four", partial(self.start_at, 3)),
            ("slots", partial(self._fill_all, LabelKind.SLOT)),
            ("egg-boxes", partial(self._fill_all, LabelKind.EGG_BOX)),
            ("cups", partial(self._fill_all, LabelKind.CUP)),
            ("test-sheet", self.test_sheet),
        ]

    def tour_papers(self, folder: Path) -> list[Path]:
        from coilbook.printing.offset_sheet import offset_test_pdf
        from coilbook.printing.sheets import label_pdf, write_pdf

        written = []
        for kind in KIND_WORDS:
            self._fill_all(kind)
            name = file_words(kind)
            made = label_pdf(self.queue.run()) if self.queue is not None and self.queue.printed else None
            if made is not None:
                write_pdf(made.pdf, folder / f"{name}.pdf")
                written.append(folder / f"{name}.pdf")
        if self.queue is not None:
            write_pdf(offset_test_pdf(self.queue.stock, self.queue.printer).pdf, folder / "test sheet.pdf")
            written.append(folder / "test sheet.pdf")
        return written

    # --- the queue ------------------------------------------------------------------------------------------
    def _fill_all(self, kind: LabelKind) -> None:
        self.sources.kind, self.sources.source = kind, EVERYTHING
        self._new_queue()

    def choose_kind(self, kind: LabelKind) -> None:
        """Cards of the same animals' slots become their labels, and the other way round."""
        if kind is not self.sources.kind:
            self.sources.choose_kind(kind)
            self._new_queue()

    def choose_source(self, source: object) -> None:
        """The selection, everything, or one rack."""
        self.sources.source = source
        self._new_queue()

    def _new_queue(self) -> None:
        """Another queue: the sheet starts afresh, stock and printer stay when they suit."""
        old = self.queue
        if old is not None and old.stock.suits(self.sources.kind):
            stock = old.stock
        else:
            stock = read.stocks_for(self.sources.kind, self.desk.settings.paper)[0]
        printer = old.printer if old is not None else self._printers()[0]
        self.queue = Queue(
            self.sources.kind, tuple(self.sources.rows()), stock, printer, 0, making.usable_prefix(self.desk)
        )
        self.work.page = 0
        self.show_queue()
        self._genes.ask(self.queue)

    def _take_genes(self, texts: Texts) -> None:
        if self.queue is not None:
            self.queue = replace(self.queue, rows=read.with_genes(self.queue.rows, texts))
            self.show_queue(self.work.table.current_row())

    def reload(self) -> None:
        """Read the rows again, in walking order; what was chosen for the paper stays."""
        if self.queue is None:
            self._new_queue()
            return
        rows, prefix = tuple(self.sources.rows()), making.usable_prefix(self.desk)
        self.queue = replace(self.queue, kind=self.sources.kind, rows=rows, prefix=prefix)
        self.show_queue()
        self._genes.ask(self.queue)

    def current_row(self) -> LabelRow | None:
        """The row in focus."""
        return self.work.current_row()

    def toggle(self) -> None:
        """Leave the row in focus out of the run, or take it in again."""
        row = self.current_row()
        if row is not None and self.queue is not None:
            self.queue = replace(self.queue, left_out=self.queue.left_out ^ {row.name})
            self.show_queue()

    def take_out(self) -> None:
        """Take the row in focus out of the queue."""
        row = self.current_row()
        if row is not None and self.queue is not None:
            self.sources.drop(row)
            self.queue = replace(self.queue, rows=tuple(r for r in self.queue.rows if r is not row))
            self.show_queue()

    def move_row(self, by: int) -> None:
        """Move the row in focus up or down."""
        place = self.work.table.current_row()
        if self.queue is None or not (0 <= place < len(self.queue.rows) and 0 <= place + by < len(self.queue.rows)):
            return
        rows = list(self.queue.rows)
        rows[place], rows[place + by] = rows[place + by], rows[place]
        self.queue = replace(self.queue, rows=tuple(rows))
        self.show_queue(place + by)

    # --- paper ----------------------------------------------------------------------------------------------
    def choose_stock(self, key: str) -> None:
        """Another stock; the first position starts over."""
        if self.queue is not None:
            stock = shipped_stock(key)
            dpi = self.queue.printer.dpi if self.queue.printer.dpi in stock.dpis else stock.dpis[0]
            self.queue = replace(self.queue, stock=stock, first=0, printer=replace(self.queue.printer, dpi=dpi))
            self.work.page = 0
            self.show_queue()

    def choose_printer(self, name: str) -> None:
        """Another printer, with the offset measured for it."""
        chosen = next((p for p in self._printers() if p.name == name), Printer(name))
        if self.queue is not None:
            self.queue = replace(self.queue, printer=chosen)
            self.show_queue()

    def _printers(self) -> list[Printer]:
        measured = read.measured_printers(self.desk.collection)
        known = {printer.name for printer in measured}
        others = [Printer(name) for name in ("", *making.printer_names()) if name not in known]
        return [*measured, *others]

    def step_first(self, by: int) -> None:
        """Move the first free position."""
        if self.queue is not None:
            self.start_at(self.queue.first + by)

    def start_at(self, position: int) -> None:
        """Start the run at a position of the first sheet."""
        if self.queue is not None and 0 <= position < self.queue.stock.per_page:
            self.queue = replace(self.queue, first=position)
            self.work.page = 0
            self.show_queue()

    def _turn(self, by: int) -> None:
        self.work.turn(by)

    # --- showing --------------------------------------------------------------------------------------------
    def show_queue(self, row: int | None = None) -> None:
        """Draw everything for the queue as it is."""
        queue = self.queue
        self.stack.setCurrentIndex(0 if queue is not None and queue.rows else 1)
        self.work.show_queue(queue, row)
        self._show_fields()
        self._show_head()
        self.count_changed.emit()

    def _show_head(self) -> None:
        queue = self.queue
        count = len(queue.printed) if queue is not None else 0
        self.print_button.set_words(translated("Print {n}").format(n=count) if count else translated("Print"))
        for button in (*self.buttons[1:], self.print_button):
            button.setEnabled(count > 0)
        if queue is None or not queue.rows:
            self.head.say(translated("Nothing in the queue."))
            return
        words = KIND_WORDS[self.sources.kind]
        counted = translated_plural(words.one, words.many, count)
        sheets = translated_plural("on {n} sheet", "on {n} sheets", queue.pages)
        used = translated_plural("{n} position already used", "{n} positions already used", queue.first)
        self.head.say(f"{counted} {sheets}" + (f"; {used}" if queue.first else ""))

    def _show_fields(self) -> None:
        fields, queue = self.fields, self.queue
        fields.show_kind(self.sources.kind)
        kind = self.sources.kind
        everything = translated(KIND_WORDS[kind].everything)
        sources: list[tuple[str, object]] = [(translated("Selection"), SELECTION), (everything, EVERYTHING)]
        if by_rack(kind):
            sources += [(label, int(rack)) for rack, label in rack_labels(self.desk.collection)]
        fields.show_sources(sources, self.sources.source)
        if queue is not None:
            fields.show_stocks(read.stocks_for(self.sources.kind, self.desk.settings.paper), queue.stock.key)
            fields.show_printers(self._printers(), queue.printer.name)
            fields.first.show_first(queue.first, queue.stock.per_page)

    # --- making ---------------------------------------------------------------------------------------------
    def make_pdf(self) -> None:
        """The PDF, in the collection's papers."""
        if self.queue is not None and self.queue.printed:
            making.make_pdf(self.desk, self.queue)

    def print_labels(self) -> None:
        """To the printer; the PDF when there is none."""
        if self.queue is not None and self.queue.printed:
            making.print_queue(self.desk, self.queue, self)

    def test_sheet(self) -> None:
        """Make the test sheet and ask for what it measures."""
        if self.queue is None:
            return
        try:
            making.make_test_sheet(self.desk, self.queue)
        except CoilbookError as error:
            self.desk.notices.refuse(error)
            return
        self.forms.open(OffsetForm(self.desk, self.queue.printer), self._keep_offset)
        self.work.show_card(False)

    def _keep_offset(self) -> None:
        printer = self.forms.form.printer() if self.forms.form is not None else None
        if printer is None or self.queue is None:
            return
        name = f"{read.PRINTER_PREFIX}{printer.name}"
        self.queue = replace(self.queue, printer=printer)
        self.forms.close()
        self.desk.run(remember, lambda _o: self.show_queue(), name=name, value=read.stored_printer(printer))

    def _to_table(self) -> None:
        self.work.show_card(True)
        self.work.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Space takes the row in or leaves it out."""
        if event.key() == Qt.Key.Key_Space:
            self.toggle()
            return
        super().keyPressEvent(event)
