"""Makes the hourly backup while the window stands open; asks every few minutes whether one is due."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Slot

from coilbook.operations.safekeeping import back_up_if_due
from coilbook.records.backups import Backup
from coilbook.records.message import CoilbookError
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk

#: how often it is asked; the backup itself is made at most once an hour
ASKED_EVERY_MS = 5 * 60_000


class Safekeeper(QObject):
    """Works on the worker for long reads, so that neither the window nor an act waits for it."""

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._asked = False
        self._timer = QTimer(self)
        self._timer.setInterval(ASKED_EVERY_MS)
        self._timer.timeout.connect(self.ask)
        self._timer.start()

    def stop(self) -> None:
        """Ask no more."""
        self._timer.stop()

    @Slot()
    def ask(self) -> None:
        """Make a backup if one is due; a trouble is told once in the foot."""
        if self._asked:
            return
        self._asked = True
        collection = self._desk.collection

        def work(control: Control) -> Backup | None:
            return back_up_if_due(collection, cancelled=control.cancelled)

        self._desk.background.read(work, self._done, self._failed)

    def _done(self, _made: Backup | None) -> None:
        self._asked = False

    def _failed(self, error: CoilbookError) -> None:
        self._asked = False
        self._desk.notices.refuse(error)
