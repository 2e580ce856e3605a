"""Runs the window from start to end: one window a collection, the log, the hooks, what was handed over."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.app import paths
from coilbook.app.crash import LOG, start_log, stop_telling, tell_bugs
from coilbook.app.one_window import Doorbell, hand_over
from coilbook.app.rescue import ask_in_a_window, open_or_rescue
from coilbook.app.start import Clock, close_window, make_application, make_window, real_clock
from coilbook.records.message import Message, StorageTrouble

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow


def run_window(folder: Path, words: list[str], clock: Clock = real_clock) -> int:
    """Open the window on `folder` and return when it is closed; 0 at once when another window took the words."""
    from coilbook.operations.safekeeping import back_up_on_close
    from coilbook.ui.genes.first_look import look_for_conflicts
    from coilbook.ui.safekeeper import Safekeeper

    start_log()
    app = make_application()
    if hand_over(folder, words):
        LOG.info("handed over to the open window")
        return 0
    with open_or_rescue(folder, clock, ask_in_a_window(clock)) as collection:
        window = make_window(collection, state_file=paths.window_state())
        desk = window.desk

        def told(sentence: Message) -> None:
            desk.notices.refuse(StorageTrouble(sentence, "bug"))

        tell_bugs(told)
        keeper = Safekeeper(desk)
        bell = Doorbell(folder, window.take_words, window)
        window.show()
        window.take_words(words)
        look_for_conflicts(window)
        close_when_told(window)
        try:
            return int(app.exec())
        finally:
            stop_telling(told)
            keeper.stop()
            bell.close()
            close_window(desk, window)
            back_up_on_close(collection)


def close_when_told(window: MainWindow) -> None:
    """Logging out, or Ctrl+C in the terminal, closes the window as the keeper would: with its backup.

    Python sees a signal at its next own step; the clock of the line takes one every few seconds.
    """

    def told(_number: int, _frame: object) -> None:
        window.close()

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, told)
