"""Season: every female as one line from the first stay to hatching, the males' load, plans, and the season's close."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QStackedWidget, QVBoxLayout, QWidget

from coilbook.derived.season_book import season_start
from coilbook.operations.pairing_plans import PlanDetails, edit_plan
from coilbook.reads.health_now import courses_now
from coilbook.reads.lookup import keeper_id_of
from coilbook.reads.season import season_page
from coilbook.reads.season_calendar import former_text, season_calendar
from coilbook.reads.season_close import CloseRow, season_close
from coilbook.reads.season_close_file import write_close
from coilbook.reads.season_lines import FemaleLine, MaleLine, PlanRow, SeasonPage
from coilbook.reads.sire_odds import SireOdds, sire_odds
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, ClutchId
from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.records.season_vocabulary import PlanState
from coilbook.records.vocabulary import Sex
from coilbook.ui.animal.asking import AskingRoom
from coilbook.ui.animal.entry_form import EntryForm
from coilbook.ui.background import Control, Job, Lane
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.health_words import Courses
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.share_table import ShareTable
from coilbook.ui.parts.text import PageHead
from coilbook.ui.screen import Screen
from coilbook.ui.season import tables
from coilbook.ui.season.commands import season_commands
from coilbook.ui.season.kinds import KINDS, SeasonKind, Who
from coilbook.ui.season.legend import SeasonLegend
from coilbook.ui.season.margin import season_margin
from coilbook.ui.season.tour import season_tour
from coilbook.ui.season.view import SeasonView
from coilbook.ui.season.words import empty_words, season_title, summary
from coilbook.ui.written_file import tell_written
from coilbook.wording.language import translated

Read = tuple[SeasonPage, tuple[CloseRow, ...], Courses]


class SeasonScreen(Screen):
    """Three pages of one season: its lines, planned against happened, its close."""

    key = "season"
    title = "Season"
    rests_on = (
        "animal", "place", "setting", "stay", "lock_seen", "follicle", "ovulation", "shed", "shed_mark", "rack_cooling",
        "season_outcome", "pairing_plan", "clutch", "egg", "hatching", "weight", "feeding", "incubator_reading",
        "logger_day", "egg_box", "egg_look", "egg_done", "clutch_sire", "finding", "sire", "hatchling",
        "health_course", "course_step",
    )  # fmt: skip

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.page: SeasonPage | None = None
        self.close_rows: tuple[CloseRow, ...] = ()
        self.sires: Mapping[ClutchId, SireOdds] = {}
        self.health: Courses = {}
        self._start: dt.date | None = None
        self._job: Job | None = None
        self._wanted: AnimalId | None = None
        self._asked: tuple[SeasonKind, Who] | None = None
        self.lines = SeasonView(desk.theme, desk.style)
        self._named = season_commands(self)
        self._build()

    def _build(self) -> None:
        theme, px = self.desk.theme, self.desk.theme.px
        self.head = PageHead(translated("Season"))
        for name, words in (("plan", "Plan"), ("plans", "Planned, happened"), ("close", "Close")):
            button = QuietButton.of(theme, self._named[name])
            button.set_words(translated(words))
            self.head.buttons.addWidget(button)
        self.head.buttons.addWidget(PrimaryButton.of(theme, self._named["stay"]))
        self.room = AskingRoom(self.desk)
        self.room.hide()
        self.legend = SeasonLegend(theme)
        heads, right = [translated(head) for head in tables.PLAN_HEADS], tables.CLOSE_RIGHT
        self.plan_table = ShareTable(theme, translated("Planned pairings"), heads, tables.PLAN_SHARES)
        heads = [translated(head) for head in tables.CLOSE_HEADS]
        self.close_table = ShareTable(
            theme, translated("The close of the season"), heads, tables.CLOSE_SHARES, right, tables.CLOSE_YIELDS
        )
        for table in (self.plan_table, self.close_table):
            table.walked.connect(self.margin_changed)
            table.opened.connect(self.open_animal)
        steps = (self._named["stay"], self._named["plan"], self._named["earlier"])
        self.empty = EmptyState(theme, *empty_words(None), steps)
        self.stack = QStackedWidget()
        for page in (self.lines, self.plan_table, self.close_table, self.empty):
            self.stack.addWidget(page)
        self.lines.walked.connect(self.margin_changed)
        self.lines.opened.connect(self.open_animal)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(24), px(16), px(16), px(8))
        column.setSpacing(px(8))
        for part in (self.head, self.room):
            column.addWidget(part)
        column.addWidget(self.stack, 1)
        column.addWidget(self.legend)
        self.begins_at(self.lines)

    # --- the window's questions -------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show the season; `animal` puts the focus on her line, `plan` (a female, a male) opens the form of a plan."""
        animal, plan = target.get("animal"), target.get("plan")
        self._wanted = AnimalId(animal) if isinstance(animal, int) else None
        self.reload()
        if isinstance(plan, list) and plan:
            # taken out, so that coming back here later does not ask again
            self._ask_plan(plan.pop(0), plan.pop(0))

    def commands(self) -> list[Command]:
        return list(self._named.values())

    def primary_action(self) -> Command | None:
        return self._named["stay"]

    def foot_hint(self) -> str:
        if self.stack.currentWidget() is not self.lines:
            return translated("`A` lines  `H` plans  `K` close  `Enter` opens")
        return translated("`\u2191 \u2193` move  `Enter` opens  `\u2190 \u2192` axis  `+ -` zoom  `Y` other years")

    def margin_content(self) -> MarginContent:
        style = self.desk.style
        if self.stack.currentWidget() is self.plan_table:
            against = tables.stopped(self.page, style) if self.page is not None else {}
            return tables.plan_margin(self.plan(), style, against)
        if self.stack.currentWidget() is self.close_table:
            at = self.close_table.current_row()
            return tables.close_margin(self.close_rows[at] if 0 <= at < len(self.close_rows) else None, style)
        return season_margin(
            self.desk.theme, style, self.page, self.lines.row, self.open_animal, self.sires, self.health
        )

    def may_leave(self) -> bool:
        return self.room.form is None or not self.room.form.dirty

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return season_tour(self)

    # --- reading ----------------------------------------------------------------------------------------------
    def reload(self) -> None:
        """Read the season again; what stands stays until the answer is there."""
        if self._job is not None:
            self._job.cancel()
        collection, settings, start = self.desk.collection, self.desk.settings, self._start
        today = self.desk.clock().date()

        def work(control: Control) -> Read:
            page = season_page(collection, today, settings, start)
            control.check()
            return page, season_close(collection, page.start, settings), courses_now(collection)

        self._job = self.desk.background.read(work, self._arrived, self.desk.tell_failed, say("Reading the season"))

    def _arrived(self, read: Read) -> None:
        self.page, self.close_rows, self.health = read
        style = self.desk.style
        self.lines.show_page(self.page)
        against = tables.stopped(self.page, style)
        self.plan_table.show_rows([tables.plan_cells(plan, style, against) for plan in self.page.plans])
        self.close_table.show_rows([tables.close_cells(row, style) for row in self.close_rows])
        if self._wanted is not None:
            self.lines.focus_on_animal(self._wanted)
            self._wanted = None
        self._show_page()
        self._weigh_sires(self.page)

    def _weigh_sires(self, page: SeasonPage) -> None:
        """Ask who sired what hatched: the genetics of the whole book, beside the window once the lines are drawn."""
        collection = self.desk.collection
        asked = [one.laying.clutch for line in page.females for one in line.season.rounds if one.laying is not None]

        def work(control: Control) -> Mapping[ClutchId, SireOdds]:
            return sire_odds(collection, asked, control.cancelled)

        def arrived(found: Mapping[ClutchId, SireOdds]) -> None:
            if self.page is page and found != self.sires:
                self.sires = found
                self.margin_changed.emit()

        def failed(error: CoilbookError) -> None:
            if self.page is page:
                self.desk.tell_failed(error)

        self._job = self.desk.background.read_after_paint(work, arrived, failed, lane=Lane.ODDS)

    def _show_page(self) -> None:
        page = self.page
        if page is None:
            return
        nothing = not page.females and not page.males
        if nothing and self.stack.currentWidget() in (self.lines, self.empty):
            self.stack.setCurrentWidget(self.empty)
            self.empty.say(*empty_words(page))
            self.empty.steps[-1].setVisible(len(page.seasons) > 1)
        elif self.stack.currentWidget() is self.empty:
            self.stack.setCurrentWidget(self.lines)
        self.legend.setVisible(self.stack.currentWidget() is self.lines)
        self.head.title.setText(season_title(page))
        self.head.say(summary(page, self.desk.style))
        self.margin_changed.emit()
        self.hint_changed.emit()

    # --- pages ------------------------------------------------------------------------------------------------
    def show_part(self, name: str) -> None:
        """Show one of the pages by name."""
        pages: dict[str, QWidget] = {"lines": self.lines, "plans": self.plan_table, "close": self.close_table}
        self.stack.setCurrentWidget(pages[name])
        self._show_page()
        pages[name].setFocus(Qt.FocusReason.OtherFocusReason)

    def turn(self, by: int) -> None:
        """Another season on record; after the newest comes the oldest."""
        if self.page is None or len(self.page.seasons) < 2:
            return
        seasons = self.page.seasons
        at = seasons.index(self.page.start)
        self._start = seasons[(at + by) % len(seasons)]
        self.reload()

    def fit(self) -> None:
        """The axis as wide as what is on it."""
        self.lines.fit()
        self.lines.lay_out()

    def plan(self) -> PlanRow | None:
        """The plan in focus on the page of plans."""
        at = self.plan_table.current_row()
        return self.page.plans[at] if self.page is not None and 0 <= at < len(self.page.plans) else None

    def who(self) -> Who:
        """The animal in focus."""
        row: FemaleLine | MaleLine | None = self.lines.row
        if self.stack.currentWidget() is self.plan_table and (plan := self.plan()) is not None:
            return Who(plan.female, plan.female_name)
        if row is None or self.stack.currentWidget() is self.close_table:
            return Who()
        return Who(row.id, row.keeper_id, Sex.FEMALE if isinstance(row, FemaleLine) else Sex.MALE)

    def open_animal(self, _index: object = None) -> None:
        """Open the page of the animal in focus."""
        animal = self.who().id
        if self.stack.currentWidget() is self.close_table:
            at = self.close_table.current_row()
            animal = self.close_rows[at].female if 0 <= at < len(self.close_rows) else None
        if animal is not None:
            self.desk.go_animal(animal)

    # --- forms ------------------------------------------------------------------------------------------------
    def ask(self, name: str) -> None:
        """Open the form of something that is logged."""
        self.leave_form()
        kind, who = KINDS[name], self.who()
        title = translated(kind.words) + (f", {who.keeper_id}" if who.keeper_id and name != "cooling" else "")
        form = EntryForm(self.desk, title, kind.asks(self.desk, who), translated("Keep it"))
        form.saved.connect(self._keep)
        form.left.connect(self.leave_form)
        self._asked = (kind, who)
        self.room.show_form(form)
        self.room.show()
        form.begin()

    def _ask_plan(self, female: AnimalId, male: AnimalId) -> None:
        """The form of a plan with both animals in it, the keyboard on its day."""
        self.ask("plan")
        form = self.room.form
        if form is None:
            return
        for name, animal in (("female", female), ("male", male)):
            editor = form.rows[name].editor
            if isinstance(editor, QLineEdit):
                editor.setText(keeper_id_of(self.desk.collection, animal))
        form.rows["day"].editor.setFocus(Qt.FocusReason.OtherFocusReason)

    def take_focus(self) -> None:
        """The keyboard goes to an open form: to the day of a plan, else to its first empty field."""
        form = self.room.form
        if form is None:
            super().take_focus()
            return
        empty = [row for row in form.rows.values() if isinstance(row.editor, QLineEdit) and not row.editor.text()]
        later = [row for row in empty if row is form.rows.get("day")] or empty
        (later[0].editor if later else form.save).setFocus(Qt.FocusReason.OtherFocusReason)

    def _keep(self) -> None:
        form = self.room.form
        values = form.values() if form is not None else None
        if form is None or values is None or self._asked is None:
            return
        kind, who = self._asked
        try:
            call = kind.call(who, values)
        except CoilbookError as error:
            form.refuse(self.desk.render(error.message))
            return
        self.room.run(call.operation, partial(self._kept, call.arguments.get("at")), **call.arguments)

    def _kept(self, at: object, _outcome: Outcome[Any]) -> None:
        self.leave_form()
        # what was entered for a day of another season is looked for there, not on a page without it
        if isinstance(at, dt.datetime) and self.page is not None:
            start = season_start(at.date(), self.desk.settings.season_month)
            if start != self.page.start:
                self._start = start
                self.reload()

    def leave_form(self) -> None:
        """Put the open form away."""
        form = self.room.form
        self.room.clear()
        self.room.hide()
        if form is not None:
            form.deleteLater()
            (self.stack.currentWidget() or self.lines).setFocus(Qt.FocusReason.OtherFocusReason)

    def drop_plan(self) -> None:
        """Drop the plan in focus, or take it up again."""
        plan = self.plan() if self.stack.currentWidget() is self.plan_table else None
        if plan is None:
            self.desk.notices.refuse(Refusal(say("Choose a plan first: H shows them.")))
            return
        state = PlanState.OPEN if plan.state is PlanState.DROPPED else PlanState.DROPPED
        self.desk.run(edit_plan, plan=plan.id, details=PlanDetails(state=state))

    # --- files ------------------------------------------------------------------------------------------------
    def write_calendar(self) -> None:
        """Write what is expected into the papers of the collection."""
        collection, settings, now = self.desk.collection, self.desk.settings, self.desk.clock()

        def work(_control: Control) -> Path:
            to: Path = collection.folder / "papers" / "season.ics"
            text, _count = season_calendar(collection, settings, now, former_text(to))
            to.parent.mkdir(exist_ok=True)
            to.write_bytes(text.encode())
            return to

        self.desk.background.read(work, self._written, self.desk.tell_failed, say("Writing the calendar"))

    def write_close(self, ending: str) -> None:
        """Write the close of the season shown into the papers of the collection."""
        if self.page is None:
            return
        rows, to = self.close_rows, self.desk.collection.folder / "papers" / f"season-{self.page.start.year}{ending}"
        self.desk.background.read(
            lambda _c: write_close(rows, to), self._written, self.desk.tell_failed, say("Writing")
        )

    def _written(self, path: Path) -> None:
        text = "{file} is in the folder papers of the collection."
        tell_written(self.desk, say(text, file=path.name), path)
