"""Who else changed: the animals whose odds an act moved, who of them is sold and to whom, with a note drafted."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QGuiApplication, QHideEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout

from coilbook.reads.consequences import Moved
from coilbook.reads.genetics_changed import changed_without
from coilbook.reads.history import act_words
from coilbook.records.ids import ActId
from coilbook.records.message import CoilbookError, say
from coilbook.ui.animal.genes_words import percent_of
from coilbook.ui.background import Job
from coilbook.ui.changed_example import tested_dam
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.models.changed_table import ChangedTable
from coilbook.ui.parts.buttons import QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.table import TableView
from coilbook.ui.parts.text import PageHead, label
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words

WIDTHS = (112, 104, 64, 64, 112, 152)
#: the least width in which every column can be read, at 100 percent
LEAST = 760

_EMPTY = (
    "A finding, a parent or a look that is corrected moves the odds of relatives. The foot then says how many, and"
    " shows them here with a note for the buyer of each that was sold. Of an older act, History tells it."
)
_BEFORE = "Compared with how the book stood before. Nothing is sent; the note is yours to change."
_WITHOUT = (
    "Both numbers are of today: with everything known now, and the same without this act. Whoever bought one later"
    " could know it then and gets no note. Nothing is sent; the note is yours to change."
)
_NOBODY = (
    "With it and without it, every other animal has the same odds today: what it says shows in nobody else, or was"
    " corrected, taken back or outweighed since."
)


class ChangedScreen(Screen):
    """Reached from the foot right after an act, or from History and a timeline for an act of any day.

    After the act it compares with how the book stood before. Later it works today's book out without the act, beside
    the window; it is no record of what stood then, and says so.
    """

    key = "changed"
    title = ""
    column_key = "history"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        theme = desk.theme
        self.moved: tuple[Moved, ...] = ()
        self._act: ActId | None = None
        self._without = False
        self._job: Job | None = None
        self._asked = 0
        self._copy = Command(
            "changed.copy", translated("Copy the note"), self.copy_note, "Ctrl+C", self._has_note, self.key
        )
        self._notes = Command(
            "changed.notes", translated("Copy all notes"), self.copy_all, "Ctrl+Shift+C", self._has_notes, self.key
        )
        self.head = PageHead(translated("Who else changed"))
        self.notes_button = QuietButton.of(theme, self._notes)
        self.head.buttons.addWidget(self.notes_button)
        self.sentence = label("", "second", wrap=True)
        self.table = TableView(theme, translated("Who else changed"))
        self.model = ChangedTable()
        self.table.setModel(self.model)
        self.table.walked.connect(self.margin_changed)
        self.table.opened.connect(lambda _index: self.open_animal())
        self.table.horizontalHeader().setStretchLastSection(True)
        for column, wide in enumerate(WIDTHS):
            self.table.setColumnWidth(column, theme.px(wide))
        self.begins_at(self.table)
        animals = Command("changed.animals", translated("Open the list of animals"), lambda: desk.go("animals"))
        self.empty = EmptyState(theme, translated("Nobody else changed"), translated(_EMPTY), (animals,))
        self.stack = QStackedWidget()
        self.stack.addWidget(self.table)
        self.stack.addWidget(self.empty)
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(theme.px(24), theme.px(16), theme.px(24), theme.px(8))
        column_box.setSpacing(theme.px(8))
        for widget in (self.head, self.sentence):
            column_box.addWidget(widget)
        column_box.addWidget(self.stack, 1)
        self._show_rows()

    def room_wanted(self) -> int:
        """The margin gives its room before a column of the table is cut."""
        return max(self.desk.theme.px(LEAST), super().room_wanted())

    def open(self, **target: object) -> None:
        """Show what an act moved: `act`, and the `moved` animals; without these they are worked out, beside."""
        moved, act = target.get("moved"), target.get("act")
        number = ActId(int(str(act))) if act is not None else None
        self._stop()
        if isinstance(moved, tuple):
            self.empty.say(translated("Nobody else changed"), translated(_EMPTY))
            self._show(moved, number, without=False)
        elif number is not None:
            self._compare(number)

    def _compare(self, act: ActId) -> None:
        """Today's book with an act and without it; what it would be is worked out on a worker."""
        self._show((), act, without=True)
        self.empty.say(translated("Working it out"), translated("Today's book is worked out without this act."))
        asked, collection = self._asked, self.desk.collection
        self._job = self.desk.background.work_out(
            lambda control: changed_without(collection, act, control.cancelled),
            lambda moved: self._compared(moved, act) if asked == self._asked else None,
            lambda error: self._not_compared(error) if asked == self._asked else None,
            say("Working the odds out without one act"),
        )

    def _compared(self, moved: tuple[Moved, ...], act: ActId) -> None:
        self._job = None
        self.empty.say(translated("Nobody else's odds rest on it"), translated(_NOBODY))
        self._show(moved, act, without=True)
        self.margin_changed.emit()

    def _not_compared(self, error: CoilbookError) -> None:
        self._job = None
        self.empty.say(translated("Not worked out"), self.desk.render(error.message))

    def _stop(self) -> None:
        """Nobody waits for what is still being worked out: its answer is not shown any more."""
        self._asked += 1
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def hideEvent(self, event: QHideEvent) -> None:
        self._stop()
        super().hideEvent(event)

    def _show(self, moved: tuple[Moved, ...], act: ActId | None, *, without: bool) -> None:
        self.moved, self._act, self._without = moved, act, without
        why = act_words(self.desk.collection, act) if act is not None else None
        self.sentence.setText(self._sentence(self.desk.render(why) if why else ""))
        self._show_rows()
        if moved:
            self.table.setCurrentIndex(self.model.index(0, 0))

    def _sentence(self, what: str) -> str:
        animals = len({one.animal for one in self.moved})
        count = translated_plural(
            "{n} animal has other odds with evidence", "{n} animals have other odds with evidence", animals
        )
        if not self._without:
            since = translated("{count} since: {what}").format(count=count, what=what) if what else count
            return f"{since}."
        compared = translated("Everything known today, without this act and with it: {what}.").format(what=what)
        return f"{compared} {count}." if self.moved else compared

    def _show_rows(self) -> None:
        """The table, or a sentence where it would be empty."""
        self.model.show(self.moved, self.desk.style, without=self._without)
        self.stack.setCurrentWidget(self.table if self.moved else self.empty)
        self.sentence.setVisible(bool(self.moved) or self._without)
        self.notes_button.setEnabled(self._has_notes())
        self.hint_changed.emit()

    @property
    def row(self) -> Moved | None:
        """The animal in focus."""
        return self.model.row_at(self.table.current_row())

    def open_animal(self) -> None:
        """The page of the animal in focus; Back returns here."""
        if self.row is not None:
            self.desk.go_animal(self.row.animal)

    def copy_note(self) -> None:
        """The note to the buyer of the animal in focus, for a letter or a message."""
        note = self.row.note if self.row is not None else None
        if note is not None:
            QGuiApplication.clipboard().setText(self.desk.render(note))
            self.desk.notices.tell(say("The note is copied."))

    def copy_all(self) -> None:
        """Every note, one paragraph each."""
        notes = [self.desk.render(one.note) for one in self.moved if one.note is not None]
        QGuiApplication.clipboard().setText("\n\n".join(notes))
        self.desk.notices.tell(say("{n} note copied.", "{n} notes copied.", n=len(notes)))

    def _has_note(self) -> bool:
        return self.row is not None and self.row.note is not None

    def _has_notes(self) -> bool:
        return any(one.note is not None for one in self.moved)

    def commands(self) -> list[Command]:
        return [self._copy, self._notes]

    def foot_hint(self) -> str:
        if not self.moved:
            return translated("`Esc` back")
        return translated("`Enter` opens the animal  `Ctrl C` copies the note  `Esc` back")

    def margin_content(self) -> MarginContent:
        one = self.row
        if one is None:
            return MarginContent(heading=translated("Who else changed"))
        before, after = (
            translated("contradiction") if c is None else percent_of(c, 1) for c in (one.before, one.after)
        )
        verdict = translated("{gene}: {before} → {after}").format(gene=one.name, before=before, after=after)
        note = one.note
        sections = (
            (MarginSection(translated("A note, drafted"), text=self.desk.render(note)),) if note is not None else ()
        )
        links = [MarginLink(translated("Open {id}").format(id=one.keeper_id), self.open_animal)]
        if note is not None:
            links.append(MarginLink(translated("Copy the note"), self.copy_note))
        return MarginContent(
            heading=translated("Who else changed"),
            whose=one.keeper_id,
            sex=self.desk.style.sex_sign(one.sex, one.sex_percent),
            about=one.label,
            verdict=verdict,
            facts=(Fact(translated("where"), words(one.status)),),
            sections=sections,
            rests_on=translated(_WITHOUT if self._without else _BEFORE),
            links=tuple(links),
            strip=verdict,
        )

    def tour_target(self) -> dict[str, object]:
        return tested_dam(self.desk)

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        def of_today() -> None:
            # the act that the first picture was of, as History asks for it
            self.open(act=self._act)

        def nobody() -> None:
            self.desk.undo()
            self.open(moved=())
            self.margin_changed.emit()

        return [("today-without-it", of_today), ("nobody", nobody)]
