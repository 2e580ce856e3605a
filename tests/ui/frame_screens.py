"""Two small real screens for tests of the frame: a list the line filters, and a page reached from it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QLineEdit, QVBoxLayout

from coilbook.reads.codes import Found
from coilbook.records.changes import Changes
from coilbook.records.ids import AnimalId
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import Evidence, Fact, MarginContent
from coilbook.ui.screen import Screen, TermSpan


class ListScreen(Screen):
    """Remembers what the window told it."""

    key, title, takes_line = "animals", "Animals", True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.filters: list[str] = []
        self.refreshed: list[Changes] = []
        self.opened_at: list[dict[str, object]] = []
        self.files: list[Path] = []
        self.leave = True
        self.field = QLineEdit()
        self.field.setAccessibleName("a field")
        QVBoxLayout(self).addWidget(self.field)

    def open(self, **target: object) -> None:
        self.opened_at.append(target)

    def refresh(self, changes: Changes) -> None:
        self.refreshed.append(changes)

    def filter_text(self, text: str) -> None:
        self.filters.append(text)

    def line_text(self) -> str:
        return self.filters[-1] if self.filters else ""

    def complete(self, text: str) -> tuple[str, ...]:
        return ("female over 1500 g",)

    def terms(self, text: str) -> tuple[TermSpan, ...]:
        return (TermSpan(0, len(text)),)

    def dropped(self, paths: list[Path]) -> bool:
        self.files += paths
        return any(path.suffix == ".csv" for path in paths)

    def primary_action(self) -> Command:
        return Command("add", "Add an animal", lambda: self.filters.append("added"), "Ctrl+N", screen=self.key)

    def foot_hint(self) -> str:
        return "`Enter` opens"

    def count(self) -> int:
        return 20

    def may_leave(self) -> bool:
        return self.leave

    def margin_content(self) -> MarginContent:
        return MarginContent(
            heading="Why",
            whose="F-036",
            sex=("♀", "F"),
            verdict="50 days since a meal taken",
            needs_you=True,
            evidence=(Evidence("19 Mar", "refused", "refused", "left in 11 h"),),
            facts=(Fact("Baseline", "1,880 g"),),
        )


class PageScreen(Screen):
    """A page without a word in the column."""

    key, column_key = "animal", "animals"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.animal: AnimalId | None = None
        self.scans: list[Found] = []
        self.takes_scans = False

    def open(self, **target: object) -> None:
        animal = target.get("animal")
        self.animal = AnimalId(animal) if isinstance(animal, int) else None

    def scanned(self, found: Found) -> bool:
        self.scans.append(found)
        return self.takes_scans


class RoomScreen(Screen):
    """A screen for the snake room."""

    key, title, room_size = "round", "Round", True
