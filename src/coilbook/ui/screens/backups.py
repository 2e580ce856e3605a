"""Backups: what there is, one more now, and any of them in the place of everything, with Undo."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QStackedWidget, QVBoxLayout

from coilbook.operations.safekeeping import back_up, backups_there, choose_backup_folder, restore_backup
from coilbook.reads.export import ExportFormat, export_everything
from coilbook.records.backups import Backup
from coilbook.records.changes import Changes
from coilbook.records.message import say
from coilbook.ui.background import Control
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.models.backups_table import BackupsTable
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.table import TableView
from coilbook.ui.parts.text import PageHead
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words


class BackupsScreen(Screen):
    """The list of backups."""

    key = "backups"
    title = "Backups"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        theme = desk.theme
        self.table, self.model = TableView(theme, translated("Backups")), BackupsTable(desk.clock().tzinfo)
        self.table.setModel(self.model)
        self._make_commands()
        self.head = PageHead(translated("Backups"))
        self.restore_button = QuietButton.of(theme, self._restore)
        self.head.buttons.addWidget(self.restore_button)
        self.make_button = PrimaryButton.of(theme, self._make)
        self.head.buttons.addWidget(self.make_button)
        self.empty = EmptyState(
            theme,
            translated("No backup yet"),
            translated("One is made on closing and every hour in which something changed, photos included."),
            (self._make,),
        )
        self.stack = QStackedWidget()
        self.stack.addWidget(self.table)
        self.stack.addWidget(self.empty)
        column = QVBoxLayout(self)
        column.setContentsMargins(theme.px(24), theme.px(16), 0, 0)
        column.setSpacing(theme.px(12))
        self.head.setContentsMargins(0, 0, theme.px(24), 0)
        column.addWidget(self.head)
        column.addWidget(self.stack, 1)
        self.table.walked.connect(self._walked)
        self.read()

    def _make_commands(self) -> None:
        self._make = Command("backups.make", translated("Back up now"), self.back_up, "Ctrl+N", screen=self.key)
        self._restore = Command(
            "backups.restore", translated("Restore this one"), self.restore, "Ctrl+R", self._has_row, self.key
        )
        self._exports = [
            Command(
                f"backups.{form.value}", words_.format(form=form.name), partial(self.ask_export, form), screen=self.key
            )
            for form in ExportFormat
            for words_ in (translated("Export everything as {form}"),)
        ]
        self._elsewhere = Command(
            "backups.elsewhere",
            translated("Keep backups on another disk"),
            self.ask_folder,
            screen=self.key,
            also="folder",
        )

    def open(self, **target: object) -> None:
        """Show what there is now."""
        self.read()

    def refresh(self, changes: Changes) -> None:
        if changes.everything:
            self.read()

    def read(self) -> None:
        """List the backups."""
        found = backups_there(self.desk.collection)
        self.model.show(found, self.desk.style)
        for column, width in enumerate((200, 160, 88, 88, 96, 200)):
            self.table.setColumnWidth(column, self.desk.theme.px(width))
        self.table.horizontalHeader().setStretchLastSection(True)
        self.stack.setCurrentIndex(0 if found else 1)
        # an empty page has its one filled button in the middle
        for button in (self.make_button, self.restore_button):
            button.setVisible(bool(found))
        count = translated_plural("{n} backup", "{n} backups", len(found)) if found else ""
        own = translated("in the collection's own folder; another disk is safer")
        elsewhere = self.desk.settings.backup_folder
        rest = "" if not found else translated("new ones go to {place}").format(place=elsewhere) if elsewhere else own
        self.head.say(rest, count)
        if found:
            self.table.setCurrentIndex(self.model.index(0, 0))
        self._walked()

    def _row(self) -> Backup | None:
        return self.model.row_at(self.table.current_row())

    def _has_row(self) -> bool:
        return self._row() is not None

    def _walked(self) -> None:
        self.restore_button.setEnabled(self._has_row())
        self.margin_changed.emit()

    def back_up(self) -> None:
        """Make one now, off the window's thread."""
        collection = self.desk.collection

        def work(control: Control) -> Backup:
            return back_up(collection, progress=control.progress, cancelled=control.cancelled)

        def done(made: Backup) -> None:
            self.desk.notices.tell(say("backup made and opened: {name}", name=self.model.made(made)))
            self.read()

        self.desk.background.read(work, done, self.desk.notices.refuse, say("Backing up"))

    def restore(self) -> None:
        """Put the backup in focus in the place of everything; the foot has Undo."""
        row = self._row()
        if row is not None:
            self.desk.run_long(restore_backup, say("Restoring"), name=row.name)

    def ask_folder(self) -> None:
        """Ask for a folder on another disk where backups go from now on."""
        chosen = QFileDialog.getExistingDirectory(self, translated("A folder on another disk"))
        if chosen:
            self.desk.run(choose_backup_folder, lambda _outcome: self.read(), folder=chosen)

    # --- everything out again ------------------------------------------------------------------------------
    def ask_export(self, form: ExportFormat) -> None:
        """Ask where to, then write everything there."""
        day = self.desk.clock().strftime("%Y-%m-%d")
        if form is ExportFormat.CSV:
            named = QFileDialog.getExistingDirectory(self, translated("An empty folder for the tables"))
        else:
            suggested = str(Path.home() / f"coilbook-{day}.{form.value}")
            named, _ = QFileDialog.getSaveFileName(self, translated("Where to"), suggested, f"*.{form.value}")
        if named:
            self.export(form, Path(named))

    def export(self, form: ExportFormat, to: Path) -> None:
        """Write everything to a file, or a folder for CSV, off the window's thread."""
        collection = self.desk.collection

        def work(control: Control) -> list[Path]:
            return export_everything(
                collection, form=form, to=to, progress=control.progress, cancelled=control.cancelled
            )

        def done(written: list[Path]) -> None:
            self.desk.notices.tell(
                say("{n} file written to {place}", "{n} files written to {place}", n=len(written), place=str(to))
            )

        self.desk.background.read(work, done, self.desk.notices.refuse, say("Exporting"))

    def primary_action(self) -> Command | None:
        return self._make

    def commands(self) -> list[Command]:
        return [self._make, self._restore, self._elsewhere, *self._exports]

    def foot_hint(self) -> str:
        return translated("`Ctrl N` backs up now  `Ctrl R` restores the one in focus")

    def margin_content(self) -> MarginContent:
        row = self._row()
        sections = (
            MarginSection(
                translated("Restoring"),
                text=translated(
                    "What is here now becomes a backup first, then the chosen one takes its place. Undo brings the "
                    "present back. Codes and ids given since stay used up, so no label ever opens another animal."
                ),
            ),
            MarginSection(
                translated("Which are kept"),
                text=translated(
                    "Every hour of the last day, then one a day, a week and a month. Those made before a restore or an "
                    "update stay longest."
                ),
            ),
        )
        out = tuple(MarginLink(command.words, command.run) for command in (self._elsewhere, *self._exports))
        if row is None:
            return MarginContent(
                heading=translated("Backups"), verdict=translated("Nothing yet"), sections=sections, links=out
            )
        facts = tuple(
            Fact(translated(name), self.desk.style.number(row.counts.get(table, 0)))
            for name, table in (("animals", "animal"), ("offers", "feeding"), ("weights", "weight"), ("acts", "act"))
        )
        return MarginContent(
            heading=translated("The backup in focus"),
            verdict=self.model.made(row),
            why=words(row.reason),
            facts=facts,
            sections=sections,
            rests_on=translated("Opened and read through when it was made; read again before it is restored."),
            links=(MarginLink(translated("Restore this one"), self.restore), *out),
        )
