"""Outlook: up to eight pairings side by side, what is looked for, and the ranking of every mate."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from coilbook.genetics.wish import Wish
from coilbook.reads.outlook import FIRST_GROUPS, Pairing
from coilbook.reads.outlook_ranking import LeftOut, Ranked, RankedMate
from coilbook.records.changes import ODDS_REST_ON
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Sex
from coilbook.ui.background import Control, Job
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.outlook.commands import outlook_commands
from coilbook.ui.outlook.forms import OutlookForm
from coilbook.ui.outlook.layout import Piece, Shown
from coilbook.ui.outlook.margin import outlook_margin
from coilbook.ui.outlook.rank_page import RankPage
from coilbook.ui.outlook.reading import MORE_GROUPS, Page, Request, opened, read_mates, read_page
from coilbook.ui.outlook.sorts import PieceKind
from coilbook.ui.outlook.tour import outlook_tour
from coilbook.ui.outlook.view import PairingColumns
from coilbook.ui.outlook.words import wish_words
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.form_place import FormPlace
from coilbook.ui.parts.text import PageHead
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated, translated_form, translated_plural

MOST_PAIRINGS = 8


class OutlookScreen(Screen):
    """The pairings on the page are the keeper's scratch pad: nothing of them is written into the book."""

    key = "outlook"
    title = "Outlook"
    rests_on = (*ODDS_REST_ON, "place", "setting", "clutch", "egg", "hatching")

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.pairings: list[Pairing] = []
        self.hatchlings = 6
        self.wish: Wish | None = None
        self._looked_for = ""
        self._listed: dict[Pairing, int] = {}
        self._job: Job | None = None
        self._named = outlook_commands(self)
        self._build()
        self._show()

    def _build(self) -> None:
        theme, px = self.desk.theme, self.desk.theme.px
        self.head = PageHead(translated("Outlook"))
        self.look_button = QuietButton.of(theme, self._named["look"])
        self.count_button = QuietButton.of(theme, self._named["count"])
        self.rank_button = QuietButton.of(theme, self._named["rank"])
        self.add_button = PrimaryButton.of(theme, self._named["add"])
        for button in (self.look_button, self.count_button, self.rank_button, self.add_button):
            self.head.buttons.addWidget(button)
        self.columns = PairingColumns(theme, self.desk.style)
        self.columns.walked.connect(self.margin_changed)
        self.columns.opened.connect(self.open_piece)
        self.ranking = RankPage(theme, self.desk.style)
        self.ranking.walked.connect(self.margin_changed)
        self.ranking.chosen.connect(self.take_mate)
        sentence = translated("Pick a female and a male, or rank all males for her by the chance of the look you want.")
        steps = (self._named["add"], self._named["mates"])
        self.empty = EmptyState(theme, translated("No pairing yet"), sentence, steps)
        self.stack = QStackedWidget()
        for page in (self.columns, self.ranking, self.empty):
            self.stack.addWidget(page)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(24), px(16), px(16), px(8))
        column.setSpacing(px(12))
        column.addWidget(self.head)
        column.addWidget(self.stack, 1)
        self.forms: FormPlace[OutlookForm] = FormPlace(self, column, 1, self._to_page)
        self.begins_at(self.columns)

    # --- the window's questions -------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show what is there; `dam` and `sire` add a pairing, `animal` ranks its mates."""
        dam, sire, animal = target.get("dam"), target.get("sire"), target.get("animal")
        if isinstance(dam, int) and isinstance(sire, int):
            self.add(Pairing(AnimalId(dam), ((AnimalId(sire), 100),)))
        elif isinstance(animal, int):
            self.rank(AnimalId(animal))
        else:
            self.reload()

    def commands(self) -> list[Command]:
        return list(self._named.values())

    def primary_action(self) -> Command | None:
        return self._named["add"]

    def count(self) -> int | None:
        return len(self.pairings) or None

    def foot_hint(self) -> str:
        if self.stack.currentWidget() is self.ranking:
            return translated("`Enter` puts the pairing on the page  `Esc` back to the pairings")
        if not self.pairings:
            return ""
        return translated("`Enter` opens a look  `\u2190 \u2192` next pairing  `P` plans it  `Del` takes it off")

    def margin_content(self) -> MarginContent:
        if self.stack.currentWidget() is self.ranking:
            return self.ranking.margin(self.desk.style)
        return outlook_margin(self.desk.theme, self.columns.piece, self.shown(), self.looked_for())

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return outlook_tour(self)

    # --- reading ----------------------------------------------------------------------------------------------
    def reload(self) -> None:
        """Read every pairing again; what stands stays until the answer is there."""
        if self._job is not None:
            self._job.cancel()
        if not self.pairings:
            self._show()
            return
        request = Request(
            tuple(self.pairings),
            self.hatchlings,
            self.wish,
            self.desk.settings.species,
            self._limit(),
            dict(self._listed),
        )

        def work(control: Control) -> Page:
            return read_page(self.desk.collection, request, control)

        self._job = self.desk.background.work_out(
            work, self._arrived, self.desk.tell_failed, say("Working out the odds")
        )

    def _arrived(self, page: Page) -> None:
        for pairing in page.gone:
            if pairing in self.pairings:
                self.pairings.remove(pairing)
        if page.gone:
            self.desk.notices.tell(say("A pairing was taken off the page: one of the two is no longer in the book."))
        self.wish, self._looked_for = page.wish, page.looked_for
        self.columns.show_pairings(page.shown)
        self._show()

    def _limit(self) -> float:
        """The young's inbreeding from which the keeper wants a pair named."""
        return self.desk.settings.inbreeding_limit_tenths / 1000

    def _show(self) -> None:
        """Title line, buttons and which page stands."""
        if self.stack.currentWidget() is not self.ranking or not self.ranking.model.rowCount():
            self.stack.setCurrentWidget(self.columns if self.pairings else self.empty)
        self._stand_back()
        self.begins_at(self.page_in_front())
        count = len(self.pairings)
        one = "{n} pairing, room for {most} side by side; odds with evidence"
        many = "{n} pairings side by side, room for {most}; odds with evidence"
        rest = translated_form(one, many, count).format(n=count, most=MOST_PAIRINGS)
        self.head.say(rest if count else translated("Odds of any female with any male, with everything known"))
        self.look_button.set_words(translated("looking for {look}").format(look=self.looked_for()))
        self.count_button.set_words(translated_plural("{n} hatchling", "{n} hatchlings", self.hatchlings))
        self.rank_button.set_words(translated("Rank all males"))
        self.rank_button.setEnabled(bool(count))
        self.look_button.setEnabled(bool(count) or self.wish is not None)
        self.margin_changed.emit()
        self.hint_changed.emit()
        self.count_changed.emit()

    def _stand_back(self) -> None:
        """One filled button a page: the empty page has its own."""
        if isinstance(self.add_button, PrimaryButton):
            self.add_button.stand_back(self.stack.currentWidget() is self.empty)

    def looked_for(self) -> str:
        """What is looked for, in words."""
        return self._looked_for if self.wish is not None else wish_words(None, None)

    def shown(self) -> Shown | None:
        """The pairing in focus."""
        shown = self.columns.shown
        return shown[self.columns.column] if self.pairings and shown else None

    def has_pairing(self) -> bool:
        """Whether a pairing is in focus."""
        return bool(self.pairings)

    # --- pairings ---------------------------------------------------------------------------------------------
    def add(self, pairing: Pairing) -> None:
        """Put a pairing at the right, with the focus on its number."""
        if pairing in self.pairings:
            place = self.pairings.index(pairing)
        elif len(self.pairings) >= MOST_PAIRINGS:
            self.desk.notices.refuse(Refusal(say("Eight pairings fit side by side. Take one off first.")))
            return
        else:
            self.pairings.append(pairing)
            place = len(self.pairings) - 1
        self.show_pairings()
        self.columns.focus_on(PieceKind.NUMBER, place)

    def remove(self) -> None:
        """Take the pairing in focus off the page."""
        if self.pairings:
            self._listed.pop(self.pairings.pop(self.columns.column), None)
            self.columns.show_pairings([s for n, s in enumerate(self.columns.shown) if n != self.columns.column])
            self.reload()

    def shift(self, by: int) -> None:
        """Move the pairing in focus to the left or right."""
        at = self.columns.column
        to = at + by
        if 0 <= to < len(self.pairings) and len(self.columns.shown) == len(self.pairings):
            shown = list(self.columns.shown)
            self.pairings.insert(to, self.pairings.pop(at))
            shown.insert(to, shown.pop(at))
            piece = self.columns.piece
            self.columns.show_pairings(shown)
            if piece is not None:
                self.columns.focus_on(piece.kind, to, piece.row)

    def show_pairings(self) -> None:
        """Back from the ranking, with everything read again."""
        self.close_form()
        self.ranking.model.show(None)
        self.reload()
        self._show()
        self.columns.setFocus(Qt.FocusReason.OtherFocusReason)

    def open_piece(self, piece: Piece) -> None:
        """Open a look, the rest of the looks, or the dam's page from the title."""
        shown = list(self.columns.shown)
        if piece.kind is PieceKind.LOOK:
            at = next((n for n, (row, _) in enumerate(shown[piece.column].looks) if row is piece.content), None)
            if at is not None:
                shown[piece.column] = opened(shown[piece.column], at)
                self.columns.show_pairings(shown)
        elif piece.kind is PieceKind.MORE:
            pairing = self.pairings[piece.column]
            self._listed[pairing] = self._listed.get(pairing, FIRST_GROUPS) + MORE_GROUPS
            self.reload()
        elif piece.kind is PieceKind.TITLE:
            self.open_parent(True)

    def open_parent(self, dam: bool) -> None:
        """Open the page of a parent of the pairing in focus."""
        shown = self.shown()
        if shown is not None:
            self.desk.go_animal(shown.odds.dam.id if dam else shown.odds.sires[0][0].id)

    def plan(self) -> None:
        """Open the plan of the pairing in focus in the season; of several possible sires the likeliest is proposed."""
        if self.pairings:
            pairing = self.pairings[self.columns.column]
            sire = max(pairing.sires, key=lambda one: one[1])[0]
            self.desk.go("season", plan=[pairing.dam, sire])

    # --- ranking ----------------------------------------------------------------------------------------------
    def rank_males(self) -> None:
        """Rank every male for the dam in focus."""
        if self.pairings:
            self.rank(self.pairings[self.columns.column].dam)

    def rank_females(self) -> None:
        """Rank every female for the sire in focus."""
        if self.pairings:
            self.rank(self.pairings[self.columns.column].sires[0][0])

    def rank(self, animal: AnimalId) -> None:
        """Rank every mate of an animal by the look looked for."""
        self.close_form()
        collection, settings, today = self.desk.collection, self.desk.settings, self.desk.clock().date()
        wish, count = self.wish, self.hatchlings

        def work(control: Control) -> tuple[Ranked, str]:
            return read_mates(collection, animal, wish, count, settings, today, control.cancelled)

        self.desk.background.work_out(work, self._ranked, self.desk.tell_failed, say("Ranking the mates"))

    def _ranked(self, answer: tuple[Ranked, str]) -> None:
        ranked, self._looked_for = answer
        self.wish = ranked.wish
        self.ranking.show_ranked(ranked, self._looked_for)
        self.stack.setCurrentWidget(self.ranking)
        self._show()
        self.ranking.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def take_mate(self, entry: object) -> None:
        """Put the pairing with a ranked mate on the page."""
        ranked = self.ranking.model.ranked
        if ranked is None or not isinstance(entry, RankedMate | LeftOut):
            return
        of = ranked.of
        dam, sire = (of.id, entry.mate.id) if of.sex is Sex.FEMALE else (entry.mate.id, of.id)
        self.add(Pairing(dam, ((sire, 100),)))

    # --- forms ------------------------------------------------------------------------------------------------
    def look_for(self, wish: Wish) -> None:
        """Look for something else, on the page that stands."""
        self.wish = wish
        self.count_again()

    def count_again(self) -> None:
        """Work out the page that stands anew."""
        ranked = self.ranking.model.ranked
        self.close_form()
        if self.stack.currentWidget() is self.ranking and ranked is not None:
            self.rank(ranked.of.id)
        else:
            self.reload()

    def put_form(self, form: OutlookForm, save: Callable[[], None]) -> None:
        """Show a form over the page, in the place of another."""
        self.forms.open(form, save)

    def close_form(self) -> None:
        """Put the open form away."""
        self.forms.close()

    def _to_page(self) -> None:
        self._stand_back()
        self.page_in_front().setFocus(Qt.FocusReason.OtherFocusReason)

    def page_in_front(self) -> QWidget:
        """What takes the keys on the page that stands."""
        page = self.stack.currentWidget()
        if page is self.empty:
            return self.empty.findChild(PrimaryButton) or self.columns
        return self.ranking if page is self.ranking else self.columns

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.stack.currentWidget() is self.ranking:
            self.show_pairings()
        else:
            super().keyPressEvent(event)
