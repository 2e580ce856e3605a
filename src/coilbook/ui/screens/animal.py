"""The page of one animal: who it is, what is known, the facts of today, its curve, its timeline, its family."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout

from coilbook.operations.animals import delete_animal
from coilbook.reads.animal_chart import charted, series_of
from coilbook.reads.animal_examples import busiest
from coilbook.reads.animal_page import animal_page
from coilbook.reads.animal_rows import AnimalPage, Entry, Relative
from coilbook.reads.named import animals_named
from coilbook.records.changes import Changes
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.ui.animal.among import Among
from coilbook.ui.animal.body import AnimalBody
from coilbook.ui.animal.commands import animal_commands, log_command, who_changed
from coilbook.ui.animal.edit_in_place import EditInPlace
from coilbook.ui.animal.edit_kinds import CORRECTABLE, asks_for, correction, removal
from coilbook.ui.animal.entry_form import EntryForm
from coilbook.ui.animal.genes_keeper import GenesKeeper
from coilbook.ui.animal.line_keeper import LineKeeper
from coilbook.ui.animal.log_all import EXPLAINS
from coilbook.ui.animal.margin import AnimalMargin, Ways
from coilbook.ui.animal.photo_keeper import PhotoKeeper
from coilbook.ui.animal.tour import tour_papers, tour_states
from coilbook.ui.animal.words import strip
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated

#: what a column of the strip logs when it is opened
_LOGS = {"place": "move", "weight": "weight", "meal": "feeding", "fast": "feeding", "shed": "shed", "sale": "feeding"}

#: tables whose changes may show on any page, beside what belongs to the animal and its family
_BESIDE = ("place", "person", "setting", "stay", "lock_seen", "shed_mark", "rack_cooling")


class AnimalScreen(Screen):
    """Opened at an animal, from anywhere; has no word in the column of its own."""

    key = "animal"
    title = ""
    column_key = "animals"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.page: AnimalPage | None = None
        self.among = Among()
        self._focus = "who"
        self._editing: Entry | None = None
        self._commands = animal_commands(self)
        self._log = log_command(self)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(translated("Animal"))
        self.body = AnimalBody(desk, self._commands, self._log)
        self.photos = PhotoKeeper(desk, self.body, lambda: self.page)
        self._lines = LineKeeper(desk, self.body.asking, lambda: self.page)
        self.genes = GenesKeeper(desk, self.body.genes, lambda: self.page, self._genes_told)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.body)
        self._connect()

    def _connect(self) -> None:
        body = self.body
        for name, line in body.head_lines().items():
            line.saved.connect(self._saver(name, line))
            line.focused.connect(lambda: self._look("who"))
            line.editing_changed.connect(self._show_edited)
        for line in body.details.lines.values():
            line.editing_changed.connect(self._show_edited)
        for name in ("dam", "sires"):
            body.details.lines[name].suggest = self._parents_like
        body.details.saved.connect(self._save_detail)
        body.details.focused.connect(lambda name: self._look("claim" if name == "claim" else "who"))
        body.genes.list.walked.connect(lambda: self._look("gene"))
        body.genes.entry.editing_changed.connect(self._show_edited)
        body.photo.focused.connect(lambda: self._look("who"))
        body.photo.removed.connect(self.photos.remove)
        body.photo.wanted.connect(self.photos.choose)
        body.strip.walked.connect(lambda: self._look(body.strip.name))
        body.strip.opened.connect(lambda name: self.log(_LOGS[name]))
        body.chart.focused.connect(lambda: self._look("weight"))
        body.chart.picked.connect(self._weight_picked)
        body.timeline.walked.connect(lambda: self._look("entry"))
        body.timeline.opened.connect(self.correct)
        body.timeline.removed.connect(self.take_out)
        body.asking.closed.connect(body.focus_open_line)
        body.family.walked.connect(lambda: self._look("relative"))
        body.family.travelled.connect(self.travel)
        body.family.edited.connect(lambda: body.details.lines["dam"].edit())
        body.log.begun.connect(lambda name: self._look(EXPLAINS.get(name, "who")))
        body.log.closed.connect(self._log_closed)
        self.desk.settings_changed.connect(self._settings_changed)

    # --- opening -------------------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show `animal`; `among` is the list it came from (`Among`, or ids), for PgUp and PgDn."""
        given = target.get("animal")
        if given is None:
            return
        animal = AnimalId(int(str(given)))
        self.among = Among.of(target.get("among"), animal)
        self._show(self.among.here or animal)

    def _show(self, animal: AnimalId) -> None:
        if self.page is None or self.page.who.id != animal:
            self._tell_let_go()
            self._leave_edit()
            self.body.close_lines()
            self._focus = "who"
            self.page = None
            self.body.timeline.narrow.clear()
            self.body.to_top()
        self.read(animal)

    def _tell_let_go(self) -> None:
        """A scan opens another animal at once; what stood half typed in a line is told, so that it is not lost."""
        text = self.body.half_typed()
        if self.page is not None and text:
            told = "{animal}: what was typed was not kept: {text}"
            self.desk.notices.warn(say(told, animal=self.page.who.keeper_id, text=text))

    def read(self, animal: AnimalId) -> None:
        """Read the animal from the book and show it."""
        same = self.page is not None and self.page.who.id == animal
        try:
            page = animal_page(self.desk.collection, animal, self.desk.clock().date())
        except Refusal as gone:
            self.page = None
            self.body.show_gone(self.desk.render(gone.message))
        else:
            self.page = page
            today = self.desk.clock().date()
            self.body.show_page(page, today, same)
            self.body.chart.show_series(series_of(page, today), keep_view=same)
            self.genes.read(animal)

    def refresh(self, changes: Changes) -> None:
        if self.page is None:
            if self.among.here is not None:
                self.read(self.among.here)
            return
        if changes.touches(*_BESIDE) or changes.animals & self._around():
            self.read(self.page.who.id)
        elif self.genes.rests_on(changes):
            self.genes.read(self.page.who.id)

    def _genes_told(self) -> None:
        part = self.body.genes.part
        if part is not None:
            self.body.head.show_genetics(part)
            self.body.fit_curve()
        if self._focus == "gene":
            self.margin_changed.emit()

    def _around(self) -> frozenset[int]:
        """Animals that this page speaks of."""
        page = self.page
        if page is None:
            return frozenset()
        family = page.family
        others = (*family.sires, *family.young, *page.home.companions, *([family.dam] if family.dam else ()))
        return frozenset({page.who.id, *(r.id for r in others)})

    def _settings_changed(self) -> None:
        if self.page is not None:
            self.read(self.page.who.id)
            self._look(self._focus)

    def step(self, by: int) -> None:
        """The next or previous animal of the list this one came from."""
        animal = self.among.step(by)
        if animal is not None:
            self._show(animal)
            self._look("who")

    def travel(self, relative: Relative) -> None:
        """Open the page of a relative; Back returns here."""
        self.desk.go_animal(relative.id)

    # --- logging -------------------------------------------------------------------------------------------
    def log(self, kind: str | None = None) -> None:
        """Open the panel that logs something."""
        if self.page is not None:
            self.body.open_log()
            if kind is None:
                self._look("who")
            self.body.log.begin(kind)

    def _log_closed(self) -> None:
        self.body.close_log()
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.hint_changed.emit()

    # --- lines of the page ---------------------------------------------------------------------------------
    def _saver(self, name: str, line: EditInPlace) -> Callable[[str], None]:
        return lambda text: self._lines.keep(name, line, text)

    def _save_detail(self, name: str, text: str) -> None:
        self._lines.keep(name, self.body.details.lines[name], text)

    def _parents_like(self, text: str) -> list[str]:
        """Ids that begin with what was typed of a parent."""
        begun = text.strip()
        found = animals_named(self.desk.collection, begun, 8) if begun else []
        return [animal.keeper_id for animal in found]

    def _show_edited(self) -> None:
        """A line was opened: it must be in sight, and the foot says its keys."""
        line = self.sender()
        if isinstance(line, EditInPlace) and line.editing:
            self.body.show_widget(line)
        self.hint_changed.emit()

    # --- entries -------------------------------------------------------------------------------------------
    def correct(self, entry: Entry) -> None:
        """Open the form that corrects an entry, above the timeline."""
        asks = asks_for(entry, self.desk)
        if asks is None:
            self.desk.notices.tell(say("An entry of this kind is taken back through History (Ctrl H)."))
            return
        self._editing = entry
        form = EntryForm(self.desk, translated("Correct this entry"), asks, translated("Keep it"))
        form.saved.connect(self._keep_edit)
        form.left.connect(self._leave_edit)
        self.body.editing.show_form(form)
        self.body.editing.show()
        form.begin()
        self.body.show_widget(form)
        self.hint_changed.emit()

    def _keep_edit(self) -> None:
        form, entry = self.body.editing.form, self._editing
        values = form.values() if form is not None else None
        if form is None or entry is None or values is None:
            return
        changed = {name: values[name] for name in form.changed()}
        if not changed:
            self._leave_edit()
        else:
            operation, arguments = correction(entry, changed)
            self.body.editing.run(operation, lambda _outcome: self._leave_edit(), **arguments)

    def _leave_edit(self) -> None:
        form = self.body.editing.form
        if form is None:
            return
        self._editing = None
        self.body.editing.clear()
        self.body.editing.hide()
        form.deleteLater()
        self.body.timeline.to_list()
        self.hint_changed.emit()

    def take_out(self, entry: Entry) -> None:
        """Take an entry out of the book; Undo brings it back."""
        way = removal(entry)
        if way is not None:
            self.desk.run(way[0], **way[1])
        else:
            self.desk.notices.tell(say("An entry of this kind is taken back through History (Ctrl H)."))

    def dropped(self, paths: list[Path]) -> bool:
        """Pictures dropped on the page go to this animal; other files are for other screens."""
        return self.photos.take(paths)

    # --- ways ----------------------------------------------------------------------------------------------
    def card(self) -> None:
        """Her cage card, on the Labels screen."""
        if self.page is not None:
            self.desk.go("labels", animals=(self.page.who.id,))

    def tree(self) -> None:
        """Her ancestors, on the Pedigree screen."""
        if self.page is not None:
            self.desk.go("pedigree", animal=self.page.who.id)

    def history(self) -> None:
        """What was done with this animal, on the History screen."""
        if self.page is not None:
            self.desk.go("history", animal=self.page.who.id)

    def delete(self) -> None:
        """Take a record entered by mistake out of the book; refused once anything is recorded of the animal."""
        if self.page is not None:
            self.desk.run(delete_animal, lambda _outcome: self.desk.go("animals"), animal=self.page.who.id)

    # --- what the window asks ------------------------------------------------------------------------------
    def primary_action(self) -> Command:
        return self._log

    def commands(self) -> list[Command]:
        return self._commands

    def may_leave(self) -> bool:
        if not self.body.log.dirty and not self.body.half_typed():
            return True
        self.desk.notices.warn(say("Something typed here is not kept yet. Enter keeps it, Esc leaves it."))
        return False

    def foot_hint(self) -> str:
        if self.page is None:
            return translated("`Esc` back")
        if self.body.busy:
            return translated("`Enter` keeps  `Esc` leaves  `Tab` next field")
        if self.body.genes.list.hasFocus():
            return translated("`↑` `↓` genes  any letter: a finding  `Enter` an empty one  `Esc` back")
        beside = translated("`PgUp` `PgDn` {place}").format(place=self.among.words()) if self.among.many else ""
        parts = [translated("`Enter` log  `F2` correct"), beside, translated("`Esc` back")]
        return "  ".join(part for part in parts if part)

    def margin_content(self) -> MarginContent:
        page = self.page
        if page is None:
            return MarginContent()
        correct, take_out = self._with_entry(self.correct), self._with_entry(self.take_out)
        ways = Ways(
            self.log, self.card, self.history, self.travel, correct, take_out, self.delete, lambda: who_changed(self),
            lambda: self.desk.go("numbers", number="sale_meals_in_a_row"),
        )  # fmt: skip
        margin = AnimalMargin(page, self.desk.clock().date(), self.desk.style, ways)
        entry, relative = self.body.timeline.entry, self.body.family.relative
        if self._focus == "entry" and entry is not None:
            return margin.entry(entry, entry.table in CORRECTABLE, removal(entry) is not None)
        if self._focus == "relative" and relative is not None:
            return margin.relative(relative)
        if self._focus == "gene" and (content := self.genes.margin(page)) is not None:
            return content
        return margin.of(self._focus)

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return tour_states(self)

    def tour_target(self) -> dict[str, object]:
        animal = busiest(self.desk.collection)
        return {} if animal is None else {"animal": animal}

    def tour_papers(self, folder: Path) -> list[Path]:
        # the sheet of an animal with a life on record, not of whichever state the pictures ended at
        self.open(**self.tour_target())
        return tour_papers(self, folder)

    # --- focus and keys ------------------------------------------------------------------------------------
    def _look(self, name: str) -> None:
        self._focus = name
        # numbers on their way are told with their margin when they are there
        if name != "gene" or not self.genes.waiting:
            self.margin_changed.emit()
        self.hint_changed.emit()

    def _weight_picked(self, index: int) -> None:
        weights = charted(self.page) if self.page is not None else ()
        if 0 <= index < len(weights):
            self.body.timeline.focus_entry("weight", weights[index].row)
            self._look("entry")

    def _with_entry(self, act: Callable[[Entry], None]) -> Callable[[], None]:
        """The act on the entry in focus, for the links of the margin."""
        entry = self.body.timeline.entry
        return lambda: act(entry) if entry is not None else None

    def facts(self) -> dict[str, Any]:
        """The columns of the strip as they stand, by name."""
        page, today = self.page, self.desk.clock().date()
        return {} if page is None else dict(strip(page, today, self.desk.style))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, text = event.key(), event.text()
        if self.page is None:
            super().keyPressEvent(event)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.log()
        elif key == Qt.Key.Key_Down:
            self.body.timeline.to_list()
        elif key == Qt.Key.Key_F2:
            self.body.head.genetics.edit()
        elif text.isalnum() and not event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
            self.body.timeline.begin_narrowing(text)
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.body.fit(self.size())
