"""Import: a foreign sheet becomes a reviewed plan; questions come once, and nothing is written until accepted."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from coilbook.intake.plan import ImportPlan, propose
from coilbook.intake.questions import Question
from coilbook.intake.sheet import Sheet
from coilbook.intake.tiers import Tier
from coilbook.intake.workbook import read_sheets
from coilbook.operations.import_sheet import accept_import
from coilbook.operations.uncollected import free_by_and_by, without_collector
from coilbook.reads.import_known import genetics_for_import, known_for_import, remembered_answers
from coilbook.records.message import CoilbookError, say
from coilbook.ui.background import Control
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.importing.columns_page import ColumnsPage
from coilbook.ui.importing.margin import margin_of
from coilbook.ui.importing.question_card import QuestionCard
from coilbook.ui.importing.rows_table import PlanTable, RowsView
from coilbook.ui.importing.words import tier_word
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.emptying import empty
from coilbook.ui.parts.text import PageHead
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated, translated_plural

ENDINGS = (".csv", ".tsv", ".txt", ".xlsx", ".xlsm")
#: which rows the table shows, by key
_TIERS: tuple[tuple[str, Tier | None], ...] = (
    ("F5", None),
    ("F6", Tier.QUESTION),
    ("F3", Tier.TEXT_KEPT),
    ("F10", Tier.REFUSED),
)


class ImportScreen(Screen):
    """Reads, asks, shows what each row becomes, and writes on the keeper's word."""

    key = "import"
    column_key = "animals"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._file: Path | None = None
        self._sheets: tuple[Sheet, ...] = ()
        self._plan: ImportPlan | None = None
        self._answers: dict[str, str] = {}
        self._passed: set[str] = set()
        self._tier: Tier | None = None
        self._round = 0
        self._list = self._make_commands()
        self._build()

    # --- building ------------------------------------------------------------------------------------------
    def _make_commands(self) -> list[Command]:
        has = lambda: self._plan is not None  # noqa: E731 - one word for eight commands
        made = [
            Command("import.accept", translated("Accept"), self.accept, "Ctrl+Return", self._can_accept, self.key),
            Command("import.choose", translated("Another sheet"), self.choose, "Ctrl+O", screen=self.key),
            Command("import.columns", translated("Rows or columns"), self.switch, "F4", has, self.key, "mapping"),
            Command(
                "import.ask_again", translated("Ask the open questions again"), self.ask_again, "F2", has, self.key
            ),
        ]
        for keys, tier in _TIERS:
            what = translated("Show all rows") if tier is None else translated("Show: {tier}")
            words = what.format(tier=tier_word(tier, self.desk.style) if tier else "")
            name = f"import.show_{tier.value if tier else 'all'}"
            made.append(Command(name, words, partial(self.show_tier, tier), keys, has, self.key))
        return made

    def _build(self) -> None:
        theme = self.desk.theme
        self.head = PageHead(translated("Import"))
        self.other = QuietButton.of(theme, self._list[1])
        self.other.setEnabled(True)
        self.button = PrimaryButton.of(theme, self._list[0])
        self.head.buttons.addWidget(self.other)
        self.head.buttons.addWidget(self.button)
        choose = Command("import.first", translated("Choose the sheet"), self.choose, "Ctrl+O")
        self.empty = EmptyState(
            theme,
            translated("Bring the sheet you have"),
            translated(
                "CSV or XLSX, as it is: mixed dates, ounces, a tab for each rack, weekly columns. You see what each "
                "row becomes before anything is written, and one Undo takes it all back. Or drop the file here."
            ),
            (choose,),
        )
        self.card = QuestionCard(theme)
        self.card.answered.connect(self.answer)
        self.card.passed.connect(self.pass_by)
        self.table, self.model = RowsView(theme, translated("Rows of the sheet")), PlanTable(self.desk.style)
        self.table.setModel(self.model)
        self.table.walked.connect(self.margin_changed)
        self.columns = ColumnsPage(theme)
        self.columns.chosen.connect(self.answer)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.empty)
        self.stack.addWidget(self._review())
        column = QVBoxLayout(self)
        column.setContentsMargins(theme.px(24), theme.px(16), 0, 0)
        column.setSpacing(theme.px(12))
        self.head.setContentsMargins(0, 0, theme.px(24), 0)
        column.addWidget(self.head)
        column.addWidget(self.stack, 1)
        self._show()

    def _review(self) -> QWidget:
        theme = self.desk.theme
        self._chips = QHBoxLayout()
        self._chips.setSpacing(theme.px(8))
        self.views = QStackedWidget()
        self.views.addWidget(self.table)
        self.views.addWidget(self.columns)
        page = QWidget()
        page.setObjectName("page")
        inner = QVBoxLayout(page)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(theme.px(12))
        beside = QHBoxLayout()
        beside.setContentsMargins(0, 0, theme.px(24), 0)
        beside.addWidget(self.card)
        inner.addLayout(beside)
        inner.addLayout(self._chips)
        inner.addWidget(self.views, 1)
        return page

    # --- reading -------------------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Open with a `file` to read, or where the keeper left it."""
        file = target.get("file")
        if isinstance(file, (str, Path)):
            self.read(Path(file))

    def dropped(self, paths: list[Path]) -> bool:
        """A sheet was dropped."""
        sheets = [path for path in paths if path.suffix.lower() in ENDINGS]
        if not sheets:
            return False
        self.read(sheets[0])
        return True

    def choose(self) -> None:
        """Ask for a file."""
        kinds = translated("Sheets") + " (" + " ".join(f"*{ending}" for ending in ENDINGS) + ")"
        name, _ = QFileDialog.getOpenFileName(self, translated("The sheet to import"), "", kinds)
        if name:
            self.read(Path(name))

    def read(self, file: Path) -> None:
        """Read a sheet off the window's thread and propose a plan."""
        self._round += 1
        number = self._round
        self.head.say(translated("reading {name} ...").format(name=file.name))

        def work(control: Control) -> tuple[tuple[Sheet, ...], dict[str, str], ImportPlan]:
            with without_collector():
                sheets = read_sheets(file, progress=control.progress, cancelled=control.cancelled)
                answers = remembered_answers(self.desk.collection)
                known = known_for_import(self.desk.collection)
                genetics = genetics_for_import(self.desk.collection)
                plan = propose(sheets, answers, known, genetics_reader=genetics, cancelled=control.cancelled)
                return sheets, answers, plan

        def done(found: tuple[tuple[Sheet, ...], dict[str, str], ImportPlan]) -> None:
            if number == self._round:
                self._file, self._passed, self._tier, self._answers = file, set(), None, found[1]
                self._hold(found[0], found[2])
                self._show()

        # begun at once, it would slow the drawing of its own "reading ..."
        self.desk.background.read_after_paint(work, done, self._failed, say("Reading the sheet"))

    def _failed(self, error: CoilbookError) -> None:
        self.desk.notices.refuse(error)
        self._show()

    def answer(self, key: str, value: str) -> None:
        """Take an answer (or another meaning of a column) and read the plan anew."""
        self._answers[key] = value
        self._round += 1
        number, sheets, answers = self._round, self._sheets, dict(self._answers)

        def work(control: Control) -> ImportPlan:
            with without_collector():
                known = known_for_import(self.desk.collection)
                return propose(
                    sheets,
                    answers,
                    known,
                    genetics_reader=genetics_for_import(self.desk.collection),
                    progress=control.progress,
                    cancelled=control.cancelled,
                )

        def done(plan: ImportPlan) -> None:
            if number == self._round:
                self._hold(sheets, plan)
                self._show()

        self.desk.background.read_after_paint(work, done, self._failed, say("Reading it with your answer"))

    def _hold(self, sheets: tuple[Sheet, ...], plan: ImportPlan | None) -> None:
        """Turn to another plan; a worker frees the parts of the one before, when nothing here holds them."""
        parts: list[object] = [] if self._plan is None else [*self._plan.rows, *self._plan.animals]
        parts += [row for sheet in self._sheets if sheets is not self._sheets for row in sheet.rows]
        self._sheets, self._plan = sheets, plan
        if parts:
            self.model.show(None, None, self.desk.style)
            self.desk.background.read_after_paint(lambda _control: free_by_and_by(parts))

    def pass_by(self) -> None:
        """Leave the question in hand open; what it concerns is kept as text."""
        if self.card.question is not None:
            self._passed.add(self.card.question.key)
            self._show()

    def ask_again(self) -> None:
        """Ask what was left open once more."""
        self._passed.clear()
        self._show()

    # --- showing -------------------------------------------------------------------------------------------
    def _show(self) -> None:
        plan = self._plan
        self.stack.setCurrentIndex(0 if plan is None else 1)
        self.other.setVisible(plan is not None)
        self.button.setVisible(plan is not None)
        self.hint_changed.emit()
        if plan is None or self._file is None:
            self.begins_at(None)
            self.head.say(translated("Nothing is written until you accept."))
            return
        animals = translated_plural("Accept {n} animal", "Accept {n} animals", plan.counts.animals)
        self.button.set_words(animals)
        self.button.setEnabled(self._can_accept())
        waiting = len(plan.open_questions)
        asked = (
            translated_plural("{n} question open", "{n} questions open", waiting)
            if waiting
            else translated("all asked")
        )
        rows = translated_plural("{n} row", "{n} rows", plan.counts.rows)
        self.head.say(
            translated("nothing is written yet; {rows}, {asked}").format(rows=rows, asked=asked), self._file.name
        )
        self._show_question(plan)
        self.columns.show_plan(plan)
        self.show_tier(self._tier)

    def _open(self, plan: ImportPlan) -> list[Question]:
        return [q for q in plan.open_questions if q.key not in self._passed]

    def _show_question(self, plan: ImportPlan) -> None:
        left = self._open(plan)
        self.card.setVisible(bool(left))
        if left:
            answered = len(plan.questions) - len(plan.open_questions) + len(self._passed)
            self.card.show_question(left[0], answered + 1, len(plan.questions), self.desk.style)
        # also when the page is opened later: a digit must find the question
        hand = self.card if left else self.table
        self.begins_at(hand)
        hand.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_chips(self, plan: ImportPlan) -> None:
        empty(self._chips)
        counts = {
            None: plan.counts.rows,
            Tier.QUESTION: plan.counts.question,
            Tier.TEXT_KEPT: plan.counts.text_kept,
            Tier.REFUSED: plan.counts.refused,
        }
        for keys, tier in _TIERS:
            word = translated("all") if tier is None else tier_word(tier, self.desk.style)
            shown = "\u2713 " if tier is self._tier else ""
            chip = QuietButton(self.desk.theme, f"{shown}{word} {self.desk.style.number(counts[tier])}", keys)
            chip.clicked.connect(partial(self.show_tier, tier))
            self._chips.addWidget(chip)
        columns = QuietButton(self.desk.theme, translated("Columns"), "F4")
        columns.clicked.connect(self.switch)
        self._chips.addWidget(columns)
        self._chips.addStretch(1)

    def show_tier(self, tier: Tier | None) -> None:
        """Show all rows or those of one tier."""
        self._tier = tier
        if self._plan is not None:
            self._show_chips(self._plan)
        self.model.show(self._plan, tier, self.desk.style)
        self.views.setCurrentIndex(0)
        if self.model.rowCount():
            self.table.setCurrentIndex(self.model.index(0, 3))
        self.margin_changed.emit()

    def switch(self) -> None:
        """Rows or columns."""
        self.views.setCurrentIndex(1 - self.views.currentIndex())
        (self.columns if self.views.currentIndex() else self.table).setFocus()

    # --- writing -------------------------------------------------------------------------------------------
    def _can_accept(self) -> bool:
        return self._plan is not None and self._plan.counts.animals > 0

    def accept(self) -> None:
        """Write the plan as one act; questions left open keep their cells as text."""
        if self._plan is None or self._file is None or not self._can_accept():
            return
        self.desk.run_long(accept_import, say("Importing"), self._accepted, plan=self._plan, file=self._file)

    def _accepted(self, _outcome: object) -> None:
        self._hold((), None)
        self._show()
        self.desk.go("animals")

    # --- what the window asks ------------------------------------------------------------------------------
    def primary_action(self) -> Command | None:
        return self._list[0]

    def commands(self) -> list[Command]:
        return self._list

    def foot_hint(self) -> str:
        plan = self._plan
        if plan is None:
            return translated("`Ctrl O` chooses the sheet  `Esc` back")
        if self._open(plan):
            return translated("digits answer  `0` leaves it open  `F4` columns  `Ctrl Enter` accepts")
        again = translated("`F2` asks what was left open  ") if plan.open_questions else ""
        return again + translated("`F4` columns  `Ctrl Enter` accepts")

    def margin_content(self) -> MarginContent:
        row = self.model.row_at(self.table.current_row()) if self._plan is not None else None
        if row is None or self._plan is None:
            return MarginContent(
                heading=translated("Import"),
                verdict=translated("Nothing can be lost"),
                why=translated(
                    "The file is kept byte for byte. A cell that is not understood stays as a note on its animal or "
                    "in the report; a row that cannot be an animal is listed with the reason."
                ),
            )
        return margin_of(row, self._plan, self.desk.style)

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        from coilbook.wording.resources import demo_path

        return [
            ("old-records", lambda: self.read(demo_path("old-records.xlsx"))),
            ("columns", self.switch),
            ("refused", lambda: self.show_tier(Tier.REFUSED)),
            ("no-questions-left", self._pass_all),
        ]

    def _pass_all(self) -> None:
        if self._plan is not None:
            self._passed.update(q.key for q in self._plan.open_questions)
            self._show()
