"""Pedigree: ancestors and descendants of an animal, and the whole family as one map."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout

from coilbook.records.changes import Changes
from coilbook.records.ids import AnimalId
from coilbook.records.message import CoilbookError
from coilbook.ui.background import Control
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.pedigree.commands import pedigree_commands
from coilbook.ui.pedigree.finding import found_in, next_of
from coilbook.ui.pedigree.heads import headings, sentence
from coilbook.ui.pedigree.line_key import LineKey
from coilbook.ui.pedigree.making import BACK, LEAST, MOST, Book, Kind, Made, Wanted, make, with_genes
from coilbook.ui.pedigree.margin import PedigreeMargin, Ways
from coilbook.ui.pedigree.painter import Shown
from coilbook.ui.pedigree.photos import TreePhotos
from coilbook.ui.pedigree.tools import PedigreeTools, gene_name
from coilbook.ui.pedigree.tour import tour_papers, tour_states, tour_target
from coilbook.ui.pedigree.view import PedigreeView
from coilbook.ui.screen import Screen, TermSpan
from coilbook.wording.language import translated

#: what of a change the tree must be read anew for, and what of it only the cards
_LINES = ("animal", "sire")
_CARDS = ("photo", "claim", "finding", "own_gene", "import_answer", "place", "acquisition", "departure", "person")


class PedigreeScreen(Screen):
    """One tree at a time; travelling to another animal keeps a way back."""

    key = "pedigree"
    title = "Pedigree"
    takes_line = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        theme = desk.theme
        self.made: Made | None = None
        self._book: Book | None = None
        self._asked = 0
        self._wanted = Wanted(Kind.MAP, scale=theme.scale)
        self._came_from: list[Wanted] = []
        self._on_paper = False
        self._typed = ""
        self.view = PedigreeView(theme, desk.style)
        self.photos = TreePhotos(desk, self.view.update)
        self._commands = pedigree_commands(self)
        self.tools = PedigreeTools(theme, {command.id.split(".")[1]: command for command in self._commands})
        self.line_key = LineKey(theme)
        self.empty = EmptyState(
            theme,
            translated("No family yet"),
            translated(
                "Name the dam or the sire of an animal on its page (F2 in the part Family) and the tree begins."
            ),
            (Command("pedigree.animals", translated("Open the list of animals"), lambda: desk.go("animals")),),
        )
        self._build()

    def _build(self) -> None:
        theme = self.desk.theme
        self.stack = QStackedWidget()
        self.stack.addWidget(self.view)
        self.stack.addWidget(self.empty)
        # what an empty page says must not hold a full one open
        self.empty.setMinimumSize(1, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(theme.px(24), theme.px(16), theme.px(24), theme.px(4))
        column.setSpacing(theme.px(8))
        column.addWidget(self.tools)
        column.addWidget(self.stack, 1)
        column.addWidget(self.line_key)
        self.begins_at(self.view)
        self.view.walked.connect(self._walked)
        self.view.travelled.connect(self.travel)
        self.tools.kind_chosen.connect(self.show_kind)
        self.tools.more_wanted.connect(lambda: self.change_generations(1))
        self.tools.gene_chosen.connect(self.show_gene)
        self.tools.genes_closed.connect(self.view.setFocus)
        theme.changed.connect(self._theme_changed)

    # --- opening -------------------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show `animal` with `kind` and `generations` when given; without, what was shown last, or the map."""
        wanted = self._wanted
        animal = target.get("animal")
        if animal is not None:
            wanted = replace(wanted, animal=int(str(animal)))
            kind = target.get("kind", Kind.ANCESTORS if wanted.kind is Kind.MAP else wanted.kind)
            wanted = replace(wanted, kind=Kind(kind))
        elif "kind" in target:
            wanted = replace(wanted, kind=Kind(target["kind"]))
        if "generations" in target:
            wanted = replace(wanted, generations=min(max(int(str(target["generations"])), LEAST), MOST))
        if self.made is not None and not self._same_tree(wanted, self._wanted):
            self._keep_way(wanted)
        self._ask(wanted, focus=wanted.animal or 0)

    @staticmethod
    def _same_tree(one: Wanted, other: Wanted) -> bool:
        return (one.animal, one.kind is Kind.MAP) == (other.animal, other.kind is Kind.MAP)

    def _keep_way(self, wanted: Wanted) -> None:
        """Remember where the keeper came from; going back along it shortens the way."""
        if self._came_from and self._same_tree(self._came_from[-1], wanted):
            self._came_from.pop()
        else:
            self._came_from.append(self._wanted)
            del self._came_from[:-50]

    def _ask(self, wanted: Wanted, *, focus: int | None = None, keep: bool = False) -> None:
        self._wanted = wanted = replace(wanted, scale=self.desk.theme.scale)
        self._asked += 1
        asked, collection, book, before = self._asked, self.desk.collection, self._book, self.made

        def work(_control: Control) -> Made:
            return make(collection, wanted, book, before)

        def done(made: Made) -> None:
            if asked == self._asked:
                self._show(made, focus, keep=keep)

        def failed(error: CoilbookError) -> None:
            if asked == self._asked:
                self.desk.notices.refuse(error)

        self.desk.background.read(work, done, failed)

    def _ask_genes(self, made: Made) -> None:
        """Cards stand first; bars fill in when the genetics is there."""
        asked, collection = self._asked, self.desk.collection

        def done(fuller: Made) -> None:
            if asked == self._asked:
                self.made, self._wanted = fuller, fuller.wanted
                self.view.show_genes(fuller.gene_words)
                self._show_tools(fuller)
                self.margin_changed.emit()

        self.desk.background.work_out(lambda control: with_genes(collection, made, control.cancelled), done)

    def _show(self, made: Made, focus: int | None, *, keep: bool) -> None:
        self.made, self._book, self._wanted = made, made.book, made.wanted
        before = self.view.shown.focus
        wanted = before if focus is None else focus
        here = next((key for key in (wanted, made.wanted.animal or 0) if key in made.scene.at), 0)
        names, found = dict(made.book.lines.names), found_in(made, self._typed)
        # until the genetics has answered again, the bars of before stand
        genes = self.view.shown.genes if made.wanted.gene else {}
        shown = Shown(made.facts, names, genes, self._on_paper, made.inbreeding, here, found, photo=self.photos.of)
        is_map = made.wanted.kind is Kind.MAP
        self.stack.setCurrentIndex(0 if made.scene.keys or made.too_large else 1)
        self.view.show_scene(made.scene, shown, headings(made), keep=keep)
        if not is_map:
            self.photos.want(made.facts.values())
        self._show_tools(made)
        self.margin_changed.emit()
        self.hint_changed.emit()
        self._ask_genes(made)

    def _show_tools(self, made: Made) -> None:
        before = self._came_from[-1] if self._came_from else None
        self.tools.show_tree(made, before, on_paper=self._on_paper)
        self.line_key.setVisible(bool(made.scene.keys))
        self.line_key.show_gene(gene_name(made))

    def refresh(self, changes: Changes) -> None:
        if changes.touches(*_LINES):
            self._book = None
        if self._book is None or changes.touches(*_CARDS):
            self._ask(self._wanted, keep=True)

    def _theme_changed(self) -> None:
        if self.made is not None and self.made.wanted.scale != self.desk.theme.scale:
            self._ask(self._wanted)

    # --- what can be asked ---------------------------------------------------------------------------------
    def has_tree(self) -> bool:
        """True when there is something drawn."""
        return self.made is not None and bool(self.made.scene.keys)

    def has_animal(self) -> bool:
        """True when the tree is of one animal."""
        return self.made is not None and self.made.of_animal is not None

    def has_genes(self) -> bool:
        """True when a gene can be chosen."""
        return self.made is not None and bool(self.made.genes)

    def has_gene(self) -> bool:
        """True when one is."""
        return self.made is not None and bool(self.made.wanted.gene)

    def has_before(self) -> bool:
        """True when there is a tree to go back to."""
        return bool(self._came_from)

    def may_fewer(self) -> bool:
        """True when a generation can be left out."""
        return self.has_tree() and self._wanted.kind is not Kind.MAP and self._wanted.generations > LEAST

    def may_more(self) -> bool:
        """True when a generation can be added."""
        return self.has_tree() and self._wanted.kind is not Kind.MAP and self._wanted.generations < MOST

    # --- acts ----------------------------------------------------------------------------------------------
    def show_kind(self, kind: Kind) -> None:
        """Ancestors, descendants, both, or the map; of the animal in focus when there was none."""
        wanted = replace(self._wanted, kind=Kind(kind))
        if wanted.kind is not Kind.MAP and wanted.animal is None:
            focus = self.view.shown.focus
            first = self.made.scene.animals[0] if self.made is not None and self.made.scene.animals else None
            wanted = replace(wanted, animal=focus if focus > 0 else first, generations=wanted.generations or BACK)
        if wanted != self._wanted:
            self._ask(wanted)

    def change_generations(self, by: int) -> None:
        """More or fewer generations; past the most it begins again with the fewest."""
        generations = self._wanted.generations + by
        if generations > MOST:
            generations = LEAST
        self._ask(replace(self._wanted, generations=max(generations, LEAST)), keep=True)

    def travel(self, animal: int) -> None:
        """To the tree of another animal; to the page of the one whose tree this is."""
        if self._wanted.kind is not Kind.MAP and animal == self._wanted.animal:
            self.desk.go_animal(AnimalId(animal))
        else:
            self.desk.go(self.key, animal=animal)

    def travel_focus(self) -> None:
        """To the tree of the animal in focus."""
        if self.view.shown.focus > 0:
            self.travel(self.view.shown.focus)

    def open_focus(self) -> None:
        """Open the page of the animal in focus."""
        if self.view.shown.focus > 0:
            self.desk.go_animal(AnimalId(self.view.shown.focus))

    def go_back(self) -> None:
        """To the tree before."""
        if self._came_from:
            before = self._came_from.pop()
            self._ask(before, focus=self._wanted.animal)

    def print_sheet(self) -> None:
        """Write the sheet of one page into the papers."""
        from coilbook.ui.pedigree.papers import print_pedigree

        print_pedigree(self)

    def share(self) -> None:
        """Write what is drawn as PNG and SVG into the papers."""
        from coilbook.ui.pedigree.papers import share_pictures

        share_pictures(self)

    # --- genes ---------------------------------------------------------------------------------------------
    def ask_gene(self) -> None:
        """Open the row of genes, or close it."""
        if self.tools.genes is not None:
            self.tools.close_genes()
        elif self.made is not None:
            self.tools.ask_gene(self.made)

    def show_gene(self, gene: str) -> None:
        """Show a gene by its key on every card, or none."""
        if self.made is not None:
            self._wanted = replace(self._wanted, gene=gene)
            self.made = replace(self.made, wanted=replace(self.made.wanted, gene=gene))
            self._ask_genes(self.made)

    def turn_paper(self) -> None:
        """Bars with evidence, or on paper alone."""
        self._on_paper = not self._on_paper
        self.view.shown.on_paper = self._on_paper
        if self.made is not None:
            self._show_tools(self.made)
        self.view.update()

    # --- finding -------------------------------------------------------------------------------------------
    def line_hint(self) -> str:
        return translated("Find in the tree: an id, a name, a word of the look; Enter goes to the next")

    def line_text(self) -> str:
        return self._typed

    def filter_text(self, text: str) -> None:
        """Frame what fits; everything else stays as it is."""
        self._typed = text
        if self.made is not None:
            self.view.shown.found = found_in(self.made, text)
            self.view.update()
            self.tools.head.say(sentence(self.made, len(self.view.shown.found) if text.strip() else None))

    def terms(self, text: str) -> tuple[TermSpan, ...]:
        plain = text.strip()
        return (TermSpan(text.index(plain), len(plain), bool(self.view.shown.found)),) if plain else ()

    def line_entered(self, text: str) -> bool:
        """To the next that fits; an animal that is not drawn here has its own tree opened."""
        if self.made is None or not text.strip():
            return False
        key = next_of(self.made, found_in(self.made, text), self.view.shown.focus)
        if key is not None:
            self.view.focus_on(key)
            self.view.bring(key, middle=True)
            return True
        wanted = text.strip().casefold()
        other = next((k for k, name in self.made.book.lines.names.items() if name.casefold() == wanted), None)
        if other is None:
            return True
        self.travel(other)
        return True

    def _walked(self) -> None:
        self.margin_changed.emit()
        self.hint_changed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.tools.genes is not None:
            self.ask_gene()
        else:
            super().keyPressEvent(event)

    # --- what the window asks ------------------------------------------------------------------------------
    def primary_action(self) -> Command | None:
        return self._commands[0] if self.has_animal() else None

    def commands(self) -> list[Command]:
        return self._commands

    def foot_hint(self) -> str:
        if not self.has_tree():
            return ""
        return translated(
            "`\u2190` `\u2192` `\u2191` `\u2193` along the lines  `Enter` or a second press: its tree  `0` fit"
            "  `+` `-` zoom"
        )

    def margin_content(self) -> MarginContent:
        if self.made is None:
            return MarginContent(heading=translated("Pedigree"))
        ways = Ways(self.travel, lambda animal: self.desk.go_animal(AnimalId(animal)))
        return PedigreeMargin(self.made, self.desk.style, ways).of(self.view.shown.focus)

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return tour_states(self)

    def tour_target(self) -> dict[str, object]:
        return tour_target(self.desk)

    def tour_papers(self, folder: Path) -> list[Path]:
        return tour_papers(self, folder)
