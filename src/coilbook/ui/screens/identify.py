"""Identify: a hatchling among everything its parents can give; what is seen is kept as findings, never as an answer."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from coilbook.operations.findings import FindingDetails, add_findings, correct_finding
from coilbook.reads.animal_examples import young_with_parents
from coilbook.reads.identify import Base, Call, Identity, Said, Trait, identity, looks_said, read_base
from coilbook.reads.outlook_genetics import kept_genetics
from coilbook.records.changes import ODDS_REST_ON
from coilbook.records.finding_words import SURE
from coilbook.records.ids import AnimalId
from coilbook.records.message import CoilbookError, say
from coilbook.records.vocabulary import FindingKind
from coilbook.ui.background import Control
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.identify.margin import identity_margin, refused_margin
from coilbook.ui.identify.tables import CANDIDATE_WIDTHS, CandidatesModel, TraitsModel, TraitsTable
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.table import TableView
from coilbook.ui.parts.text import PageHead, SectionHead, label
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated

_CALLS = {"Y": Call.SEEN, "N": Call.NOT_SEEN, "S": Call.TWO}


class IdentifyScreen(Screen):
    """Opened at a hatchling from its page."""

    key = "identify"
    title = ""
    rests_on = ODDS_REST_ON
    column_key = "animals"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.animal: AnimalId | None = None
        self.base: Base | None = None
        self.identity: Identity | None = None
        self.said: dict[str, Said] = {}
        self._typing = ""
        self._make_commands()
        self._build()

    def _make_commands(self) -> None:
        def made(name: str, words: str, run: Callable[[], None], key: str, enabled: Callable[[], bool]) -> Command:
            return Command(f"identify.{name}", translated(words), run, key, enabled, self.key)

        self._keep = made("keep", "Keep what I saw", self.keep, "Ctrl+S", lambda: bool(self.said))
        self._page = made("page", "Open its page", self.open_page, "P", lambda: self.animal is not None)

    def _build(self) -> None:
        theme, px = self.desk.theme, self.desk.theme.px
        self.head = PageHead(translated("Identify"))
        self.page_button = QuietButton.of(theme, self._page)
        self.keep_button = PrimaryButton.of(theme, self._keep)
        for button in (self.page_button, self.keep_button):
            self.head.buttons.addWidget(button)
        self.warning = label("", "clay", wrap=True)
        self.warning.hide()
        self.traits = TraitsModel()
        self.table = TraitsTable(theme, self.traits)
        self.table.walked.connect(self._walked)
        self.table.said.connect(self._key)
        self.candidates = CandidatesModel()
        self.list = TableView(theme, translated("What it can be, likeliest first"))
        self.list.setModel(self.candidates)
        for place, width in enumerate(CANDIDATE_WIDTHS):
            self.list.setColumnWidth(place, px(width))
        self.card = label("", "strong", wrap=True)
        self.empty = EmptyState(theme, translated("Nothing to identify it by"), "", (self._page,))
        words = translated("Bar: with what you see. Tick: from its parents, with evidence.")
        self.bar_key = label(words, "small", wrap=True)
        self.work = QWidget()
        column = QVBoxLayout(self.work)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(px(8))
        self.can_be = SectionHead(translated("What it can be"), translated("from these parents, with what you see"))
        for widget in (self.warning, self.table, self.bar_key, self.can_be, self.list, self.card):
            column.addWidget(widget)
        column.addStretch(1)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.work)
        self.stack.addWidget(self.empty)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(px(24), px(16), px(24), px(8))
        outer.setSpacing(px(12))
        outer.addWidget(self.head)
        outer.addWidget(self.stack, 1)
        self.begins_at(self.table)

    # --- the window's questions -------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Identify `animal`."""
        given = target.get("animal")
        if isinstance(given, int):
            self.animal, self.said, self._typing = AnimalId(given), {}, ""
        self.reload()

    def commands(self) -> list[Command]:
        return [self._keep, self._page]

    def primary_action(self) -> Command | None:
        return self._keep

    def may_leave(self) -> bool:
        """What was said and not kept is only thinking aloud."""
        return True

    def foot_hint(self) -> str:
        if self.identity is None:
            return translated("`P` its page  `Esc` back") if self.base is not None else ""
        return translated("`Y` seen  `N` not seen  `S` two doses  `6 0 Enter` 60 : 40  `U` unsaid  `Ctrl S` keeps it")

    def margin_content(self) -> MarginContent:
        if self.identity is None and self.base is not None:
            return refused_margin(self.base, self.desk.style)
        return identity_margin(self.identity, self.trait, self.desk.style)

    def tour_target(self) -> dict[str, object]:
        found = young_with_parents(self.desk.collection)
        return {"animal": found} if found is not None else {}

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return [("said", self._tour_said), ("impossible", partial(self._say_all, Call.TWO))]

    def _tour_said(self) -> None:
        if self.identity is not None and self.identity.traits:
            first = self.identity.traits[0]
            self.say(first, Said(first.allele, Call.LEAN, 60))

    def _say_all(self, call: Call) -> None:
        for trait in self.identity.traits if self.identity is not None else ():
            self.say(trait, Said(trait.allele, call))

    # --- reading ----------------------------------------------------------------------------------------------
    def reload(self) -> None:
        """Read the parents' odds again."""
        animal, collection, species = self.animal, self.desk.collection, self.desk.settings.species
        if animal is None:
            self.stack.setCurrentWidget(self.empty)
            return

        def work(control: Control) -> Base:
            return read_base(collection, kept_genetics(collection, species, control.cancelled), animal)

        self.desk.background.work_out(work, self._arrived, self._failed, say("Reading what its parents can give"))

    def _arrived(self, base: Base) -> None:
        if base.animal.id != self.animal:
            return
        self.base = base
        self._count()
        if self.traits.rowCount() and self.table.current_row() < 0:
            self.table.setCurrentIndex(self.traits.index(0, 2))

    def _failed(self, error: CoilbookError) -> None:
        self.desk.notices.refuse(error)

    def _count(self) -> None:
        base = self.base
        if base is None:
            return
        self.identity = identity(base, self.said)
        self.head.title.setText(translated("Identify {animal}").format(animal=base.animal.keeper_id))
        if self.identity is None:
            said = self.desk.render(base.refused) if base.refused else ""
            self.empty.say(translated("Nothing to identify it by"), said)
            self.head.say("")
            self.stack.setCurrentWidget(self.empty)
        else:
            self._show(base, self.identity)
        self.keep_button.setEnabled(bool(self.said))
        self.page_button.setEnabled(True)
        step = self.empty.findChild(PrimaryButton)
        if step is not None:
            step.setEnabled(True)
        self.begins_at(self.table if self.identity is not None else step)
        if self.identity is None and step is not None and self.isVisible():
            step.setFocus(Qt.FocusReason.OtherFocusReason)
        self.margin_changed.emit()
        self.hint_changed.emit()

    def _show(self, base: Base, found: Identity) -> None:
        assert base.dam is not None
        sires = translated(" or ").join(sire.keeper_id for sire, _ in base.sires)
        self.head.say(
            translated("{dam} \u00d7 {sires}: what they can give, weighed with what you see").format(
                dam=base.dam.keeper_id, sires=sires
            )
        )
        self.traits.show_identity(found, self._typing, self.table.current_row())
        self.candidates.show_identity(found)
        self.warning.setVisible(bool(found.suspects))
        # a table without a row says nothing: the warning and the margin do
        for part in (self.bar_key, self.can_be, self.list):
            part.setVisible(not found.suspects)
        self.warning.setText(
            translated("Cannot come from these parents: check the sire, the dam, the egg, or what you saw.")
        )
        self.card.setText(translated("So far, with evidence: {card}").format(card=found.card) if found.card else "")
        for table in (self.table, self.list):
            self._fit(table)
        self.stack.setCurrentWidget(self.work)

    def _fit(self, table: TableView) -> None:
        """As high as its rows, while they fit."""
        rows = table.model().rowCount() if table.model() is not None else 0
        height = table.horizontalHeader().height() + rows * table.verticalHeader().defaultSectionSize()
        table.setFixedHeight(min(height + self.desk.theme.px(4), self.work.height() * 3 // 5 or height))

    # --- saying -----------------------------------------------------------------------------------------------
    @property
    def trait(self) -> Trait | None:
        """The gene in focus."""
        row = self.table.current_row()
        traits = self.identity.traits if self.identity is not None else ()
        return traits[row] if 0 <= row < len(traits) else (traits[0] if traits else None)

    def say(self, trait: Trait, said: Said | None) -> None:
        """Say something of a gene, or nothing any more."""
        if said is None:
            self.said.pop(trait.locus, None)
        else:
            self.said[trait.locus] = said
        self._typing = ""
        self._count()

    def _walked(self) -> None:
        if self._typing:
            self._typing = ""
            self._count()
        self.margin_changed.emit()

    def _key(self, event: QKeyEvent) -> None:
        trait, text = self.trait, event.text().upper()
        if trait is None:
            event.ignore()
        elif text in _CALLS:
            self.say(trait, Said(trait.allele, _CALLS[text]))
        elif text == "U" or event.key() == Qt.Key.Key_Delete:
            self.say(trait, None)
        elif text.isdecimal() and text:
            self._type((self._typing + text)[-2:])
        elif self._typing and event.key() == Qt.Key.Key_Backspace:
            self._type(self._typing[:-1])
        elif self._typing and event.key() == Qt.Key.Key_Escape:
            self._type("")
        elif self._typing:
            number = int(self._typing)
            self.say(trait, Said(trait.allele, Call.LEAN, number) if 0 < number < 100 else None)
        else:
            event.ignore()

    def _type(self, text: str) -> None:
        self._typing = text
        self._count()

    def open_page(self) -> None:
        """Its page."""
        if self.animal is not None:
            self.desk.go_animal(self.animal)

    def keep(self) -> None:
        """Keep what was said as findings; one that says something else than before corrects it, and both stay."""
        base, animal = self.base, self.animal
        if base is None or animal is None or base.outlook is None:
            return
        states = {locus.key: locus.states for locus in base.outlook.loci}
        new = []
        for key, said in self.said.items():
            details = _details(key, said, looks_said(states[key], said))
            if key in base.findings:
                self.desk.run(correct_finding, finding=base.findings[key], details=details)
            else:
                new.append(details)
        self.said = {}
        if new:
            self.desk.run(add_findings, animal=animal, details=tuple(new))


def _details(locus: str, said: Said, looks: tuple[str, ...]) -> FindingDetails:
    kind = FindingKind.NOT_SEEN if said.call is Call.NOT_SEEN else FindingKind.SEEN
    ppm = said.percent * SURE // 100 if said.call is Call.LEAN else SURE
    return FindingDetails(kind=kind, locus=locus, looks=looks, ppm=ppm)
