"""After the window came up: whether an update of the shipped catalogue says otherwise than the keeper, told once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

from coilbook.records.message import say
from coilbook.ui.background import Control
from coilbook.ui.load_beside import AFTER_START_MS
from coilbook.ui.notices import NoticeChoice

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow

KEY = "genes"


def look_for_conflicts(window: MainWindow, after_ms: int = AFTER_START_MS) -> None:
    """Count them beside the window, show the number beside the word in the column, and a sentence in the foot."""
    desk = window.desk

    def work(_control: Control) -> dict[str, int]:
        from coilbook.reads.genes import conflicts_by_species

        return conflicts_by_species(desk.collection)

    def found(by_species: dict[str, int]) -> None:
        count = sum(by_species.values())
        if not count or any(screen.key == KEY for screen in window.screens_made()):
            return  # the screen itself says it
        window.column.count(KEY, count)
        said = say(
            "The catalogue that came with the program says otherwise now than {n} entry of yours; yours stands",
            "The catalogue that came with the program says otherwise now than {n} entries of yours; yours stand",
            n=count,
        )
        # of the keeper's species first, else of one that has a conflict
        wanted = desk.settings.species if desk.settings.species in by_species else next(iter(by_species))
        desk.notices.tell(said, (NoticeChoice(say("Look at it"), lambda: desk.go(KEY, species=wanted)),))

    QTimer.singleShot(after_ms, window, lambda: desk.background.read(work, found, desk.tell_failed))
