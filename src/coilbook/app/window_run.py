"""Runs the window from start to end: one window a collection, the log, the hooks, what was handed over."""

from __future__ import annotations

from pathlib import Path

from coilbook.app import paths
from coilbook.app.crash import LOG, start_log, stop_telling, tell_bugs
from coilbook.app.one_window import Doorbell, hand_over
from coilbook.app.rescue import ask_in_a_window, open_or_rescue
from coilbook.app.start import Clock, close_window, make_application, make_window, real_clock
from coilbook.records.message import Message, StorageTrouble


def run_window(folder: Path, words: list[str], clock: Clock = real_clock) -> int:
    """Open the window on `folder` and return when it is closed; 0 at once when another window took the words."""
    from coilbook.operations.safekeeping import back_up_on_close
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
        try:
            return int(app.exec())
        finally:
            stop_telling(told)
            keeper.stop()
            bell.close()
            close_window(desk, window)
            back_up_on_close(collection)
