"""Animals: the whole collection in one list, narrowed by plain words typed in the line."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QProcess, QSize, QTimer
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from coilbook.reads.behind_cell import behind
from coilbook.reads.filter import Filtered, filtered, in_order, read_terms
from coilbook.reads.filter_next import completions
from coilbook.reads.filter_text import TermState
from coilbook.reads.herd import Herd
from coilbook.reads.lookup import animal_called
from coilbook.reads.views import View
from coilbook.records.changes import Changes
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.ui.animal.among import Among
from coilbook.ui.animals.acts import AnimalActs
from coilbook.ui.animals.beside_herd import BesideHerd
from coilbook.ui.animals.columns import BY_KEY
from coilbook.ui.animals.herd_at_desk import HerdAtDesk
from coilbook.ui.animals.kept_views import KeptViews
from coilbook.ui.animals.layout import Layout, kept_layout
from coilbook.ui.animals.margin import Asked, answer
from coilbook.ui.animals.sentence import leaves, nothing_fits, whole
from coilbook.ui.animals.table import LEAST, AnimalList
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import Fact, MarginContent
from coilbook.ui.models.animal_table import AnimalTable
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.text import ElidedLabel, label
from coilbook.ui.screen import Screen, TermSpan
from coilbook.wording.language import translated, translated_plural

#: while the keeper types, the margin follows this long after the last key
MARGIN_MS = 60
#: room left of the list
SIDE = 16
#: so many animals at once are an import: their ids and places may want other widths
MANY = 20


class AnimalsScreen(Screen):
    """The list; the line filters it."""

    key = "animals"
    title = "Animals"
    takes_line = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._text = ""
        self._buttons: list[QWidget] = []
        self._left: Filtered | None = None
        self.model = AnimalTable(desk.collection, desk.style, desk.clock().date())
        folder = desk.collection.folder
        self.table = AnimalList(desk.theme, self.model, folder, kept_layout(folder))
        self.acts = AnimalActs(self, self.table, lambda: self._text)
        self._commands = self._make_commands()
        self.kept = KeptViews(self, self.show_view)
        self._build()
        self._margin_later = QTimer(self)
        self._margin_later.setSingleShot(True)
        self._margin_later.setInterval(MARGIN_MS)
        self._margin_later.timeout.connect(self.margin_changed)
        self.table.walked.connect(self._walked)
        self.table.gathered.connect(self._gathered)
        self.table.opened.connect(lambda _index: self.open_animal())
        self.table.sorted_anew.connect(self._apply)
        desk.settings_changed.connect(self._write_anew)
        self.herd_at_desk = HerdAtDesk(desk, self)
        self.herd_at_desk.changed.connect(self._herd_changed)
        self.beside_herd = BesideHerd(desk, self)
        self.beside_herd.changed.connect(self._apply)
        self.beside_herd.changed.connect(self.line_changed)
        self.herd_at_desk.begin()

    # --- building -------------------------------------------------------------------------------------------
    def _make_commands(self) -> dict[str, Command]:
        def command(name: str, words: str, run: Callable[[], None], keys: str, also: str = "", **more: Any) -> Command:
            return Command(f"animals.{name}", translated(words), run, keys, screen=self.key, also=also, **more)

        some = self._any_row
        made = (
            command("add", "Add an animal", self.acts.begin_add, "Ctrl+N", "new"),
            command("save_view", "Save as view", self.acts.begin_view, "Ctrl+S", "keep filter"),
            command("edit", "Edit all selected", self.acts.begin_edit, "Ctrl+E", "several together", enabled=some),
            command(
                "move", "Move the selected to ...", self.acts.begin_move, "Ctrl+M", "place slot rack", enabled=some
            ),
            command("copy", "Copy the selected rows", self.acts.copy, "Ctrl+C", "csv text", enabled=some),
            command(
                "labels", "Labels for the selected", self.acts.go_labels, "Ctrl+L", "cage cards print", enabled=some
            ),
            command("columns", "Choose columns", self.table.choose_columns, "Ctrl+Shift+C", "show hide"),
            command("import", "Import a spreadsheet", lambda: self.desk.go("import"), "Ctrl+I", "csv xlsx"),
            command("demo", "Look at the demo", _open_demo, "", "example room"),
        )
        return {one.id.removeprefix("animals."): one for one in made}

    def _build(self) -> None:
        theme = self.desk.theme
        self.strong, self.rest = label("", "strong"), ElidedLabel(theme, token="second")
        self.rest.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.nothing = EmptyState(theme, "", "")
        steps = [self._commands[name] for name in ("import", "add", "demo")]
        self.empty = EmptyState(
            theme,
            translated("Your animals will stand here"),
            translated(
                "Bring the spreadsheet you have had for years, add the first animal by hand, "
                "or look at an invented room first. Nothing is written until you say so, and all of it can be undone."
            ),
            steps,
        )
        self.reading = EmptyState(theme, translated("Reading the animals"), translated("A large book takes a moment."))
        self.places = QStackedWidget()
        for widget in (self.table, self.nothing, self.empty, self.reading):
            self.places.addWidget(widget)
        for widget in (self.nothing, self.empty, self.reading):
            inside = widget.layout()
            if inside is not None:
                inside.setContentsMargins(theme.px(8), theme.px(72), theme.px(24), 0)
        column = QVBoxLayout(self)
        column.setContentsMargins(theme.px(SIDE), theme.px(16), 0, 0)
        column.setSpacing(0)
        column.addLayout(self._head())
        column.addLayout(self.acts.box)
        column.addWidget(self.places, 1)
        self.begins_at(self.table)

    def _head(self) -> QVBoxLayout:
        """Title and buttons over the sentence."""
        theme = self.desk.theme
        head, first, sentence = QVBoxLayout(), QHBoxLayout(), QHBoxLayout()
        head.setContentsMargins(theme.px(8), 0, theme.px(24), theme.px(10))
        head.setSpacing(0)
        first.setSpacing(theme.px(8))
        sentence.setSpacing(theme.px(8))
        sentence.addWidget(self.strong)
        sentence.addWidget(self.rest, 1)
        first.addWidget(label(translated("Animals"), "title"), 1)
        first.addWidget(self.kept.button)
        for name, kind in (("save_view", QuietButton), ("add", PrimaryButton)):
            button = kind.of(theme, self._commands[name])
            self._buttons.append(button)
            first.addWidget(button)
        head.addLayout(first)
        # on a line of its own: beside the buttons it would lose its end on a narrow page
        head.addLayout(sentence)
        return head

    def minimumSizeHint(self) -> QSize:
        """Wide enough for the usual columns: the margin folds before the last of them is cut off."""
        wanted, px = super().minimumSizeHint(), self.desk.theme.px
        bar = self.table.verticalScrollBar().sizeHint().width()
        return QSize(max(wanted.width(), px(LEAST + SIDE) + bar), wanted.height())

    # --- the herd -------------------------------------------------------------------------------------------
    @property
    def herd(self) -> Herd | None:
        """The herd, None while it is being read."""
        return self.herd_at_desk.herd

    def _herd_changed(self, animals: object) -> None:
        """The herd was read (None) or these animals changed in it."""
        if self.herd is not None:
            self.model.use_herd(self.herd)
            if not isinstance(animals, set) or len(animals) >= MANY:
                self.table.fit_content()
            self._apply()

    def _write_anew(self) -> None:
        self.model.write_as(self.desk.style, self.desk.clock().date())
        self._apply()

    def refresh(self, changes: Changes) -> None:
        if changes.touches("saved_view"):
            self.kept.read()
        moved = self.beside_herd.follow(changes)
        self.herd_at_desk.follow(changes)
        if moved and self.herd is not None:
            self.beside_herd.want(self.herd, self._text)

    # --- the filter -----------------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show everything, what a text leaves (`text`), or who lives in a place (`place`, its internal id)."""
        place, text, before = target.get("place"), target.get("text"), self._text
        if isinstance(text, str):
            self._text = text
        elif place is not None and self.herd is not None:
            self._text = translated("in {place}").format(place=self.herd.places.label(PlaceId(int(str(place)))))
        if self._text != before or self._left is None:
            self._apply()
        animal = target.get("animal")
        if isinstance(animal, int):
            self.table.focus_animal(animal)

    def filter_text(self, text: str) -> None:
        self._text = text
        self._apply(typing=True)

    def line_text(self) -> str:
        return self._text

    def line_hint(self) -> str:
        return translated("Type what you look for: an id, a gene, female, over 1500 g, in R2, hatched 2023")

    def _apply(self, *, typing: bool = False) -> None:
        """Filter and order the herd, and show what is left."""
        herd, today = self.herd, self.desk.clock().date()
        if herd is None:
            self._show(self.reading)
            return
        if today != self.model.writing.today:
            self.model.write_as(self.desk.style, today)
            self.model.use_herd(herd)
        self.beside_herd.want(herd, self._text)
        left = filtered(herd, self._text, today, self.desk.settings.mass_unit)
        self._left = left
        column = BY_KEY[self.table.sort]
        self.table.show_ids(in_order(herd, left.mask, column.sort, descending=self.table.descending))
        self._say(left)
        if typing:
            self._margin_later.start()
        else:
            self.margin_changed.emit()

    def _say(self, left: Filtered) -> None:
        herd, style, render = self.herd, self.desk.style, self.desk.render
        if herd is None:
            return
        strong, rest = whole(herd, left, style) if not left.terms else leaves(left, style, render)
        self.strong.setText(strong)
        self.rest.set_text(rest)
        if not len(herd):
            self._show(self.empty)
        elif not left.count:
            self.nothing.say(*nothing_fits(left, render))
            self._show(self.nothing)
        else:
            self._show(self.table)

    def _show(self, widget: QWidget) -> None:
        if self.places.currentWidget() is not widget:
            self.places.setCurrentWidget(widget)
            # the empty book names its own next steps, and one filled button is enough
            for button in self._buttons:
                button.setVisible(widget is not self.empty)
            self.hint_changed.emit()
            self.begins_at(self.table if widget is self.table else self.places)

    def terms(self, text: str) -> tuple[TermSpan, ...]:
        if self._left is None:
            return ()
        spans = []
        for found in self._left.terms:
            term = found.term
            if term.state in (TermState.UNDERSTOOD, TermState.UNKNOWN):
                spans.append(TermSpan(term.start, term.end - term.start, term.state is TermState.UNDERSTOOD))
        return tuple(spans)

    def complete(self, text: str) -> tuple[str, ...]:
        today, unit = self.desk.clock().date(), self.desk.settings.mass_unit
        return completions(self.herd, text, today, unit) if self.herd is not None else ()

    def reads_line(self, text: str) -> bool:
        today, unit = self.desk.clock().date(), self.desk.settings.mass_unit
        states = [term.state for term in read_terms(self.herd, text, today, unit)] if self.herd is not None else []
        return set(states) == {TermState.UNDERSTOOD}

    def line_entered(self, text: str) -> bool:
        meant = animal_called(self.desk.collection, text)  # typed in full, though others hold it in their ids
        if meant is not None and meant in self.model.ids:
            self.table.focus_animal(meant)
        elif len(self.model.ids) != 1 or not text.strip():
            return False
        self.open_animal()
        return True

    # --- focus and margin -----------------------------------------------------------------------------------
    def _any_row(self) -> bool:
        return len(self.model.ids) > 0

    def _walked(self) -> None:
        if not self._margin_later.isActive():
            self.margin_changed.emit()

    def _gathered(self) -> None:
        self.hint_changed.emit()
        if not self._margin_later.isActive():
            self.margin_changed.emit()

    def hideEvent(self, event: QHideEvent) -> None:
        self._margin_later.stop()
        super().hideEvent(event)

    def foot_hint(self) -> str:
        if self.places.currentWidget() is not self.table:
            return translated("`Ctrl F` to the line  `Ctrl N` adds an animal")
        count = self.table.count_selected()
        if count > 1:
            return translated(
                "{n} selected:  `Ctrl E` edits  `Ctrl M` moves  `Ctrl C` copies  `Ctrl L` labels  `Esc` selects none"
            ).format(n=self.desk.style.number(count))
        return translated(
            "In focus:  `Enter` opens  `Space` selects  `Ctrl F` to the line  `Ctrl E` edits all selected"
        )

    def margin_content(self) -> MarginContent:
        row = self.model.row(self.table.current_row())
        if row is None:
            return MarginContent(
                heading=translated("Why, for the cell in focus"),
                why=translated("Whatever is in focus in the list explains itself here: a weight, a place, a meal."),
            )
        if self.table.count_selected() > 1:
            return self._several()
        asked = Asked(row, behind(self.desk.collection, row.id), self.model.writing, self.desk.theme, self.open_animal)
        return answer(asked, self.table.focused_column())

    def _several(self) -> MarginContent:
        count = self.table.count_selected()
        shown = self.table.selected_rows()[:12]
        rows = [row for row in (self.model.row(number) for number in shown) if row is not None]
        facts = tuple(Fact(row.keeper_id, row.place or row.genetics) for row in rows)
        more = count - len(facts)
        return MarginContent(
            heading=translated("Selected"),
            verdict=translated_plural("{n} animal selected", "{n} animals selected", count),
            why=translated("What you do now is done to all of them, in one act that Undo takes back."),
            facts=facts,
            rests_on=translated_plural("and {n} more", "and {n} more", more) if more > 0 else "",
        )

    def open_animal(self) -> None:
        """Open the page of the animal in focus."""
        animal = self.table.focused()
        if animal:
            ids = [AnimalId(one) for one in self.table.animals.ids.tolist()]
            self.desk.go("animal", animal=AnimalId(animal), among=Among(ids, AnimalId(animal)))

    def show_view(self, view: View) -> None:
        """Show a kept view: its filter and its layout."""
        if view.layout:
            self.table.arrange(Layout.from_stored(view.layout))
        self.desk.go(self.key, text=view.query)

    # --- what the window asks -------------------------------------------------------------------------------
    def primary_action(self) -> Command | None:
        return self._commands["add"]

    def commands(self) -> list[Command]:
        return [*self._commands.values(), *self.kept.commands()]

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        def typed(text: str) -> Callable[[], None]:
            return lambda: self.desk.go(self.key, text=text)

        def several() -> None:
            self.desk.go(self.key, text="female")
            for _ in range(4):
                self.table.gather()
                self.table.focus_row(self.table.current_row() + 1, select=False)
            self.acts.begin_edit()

        def add() -> None:
            self.desk.go(self.key, text="")
            self.table.let_go()
            self.acts.begin_add()

        def nothing() -> None:
            self.acts.close_form()
            self.desk.go(self.key, text="female over 1500 g in R99")

        def moving() -> None:
            self.acts.close_form()
            self.acts.begin_move()

        return [
            ("filtered", typed("female over 1500 g in R1 or R2")),
            ("may-carry", typed("female may carry clown")),
            ("several", several),
            ("moving", moving),
            ("adding", add),
            ("nothing-found", nothing),
            ("all-again", typed("")),
        ]


def _open_demo() -> None:
    """The demo is a book of its own: it opens in a window of its own."""
    QProcess.startDetached(sys.executable, ["-m", "coilbook", "demo"])
