"""Notices what another program (the command line, a second machine's import) wrote, and has everything reread."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer

from coilbook.reads.herd import newest_act
from coilbook.records.changes import Changes
from coilbook.records.message import StorageTrouble, say
from coilbook.ui.desk import Desk

#: how often the file is looked at; one pragma, some microseconds
LOOK_MS = 2000


class OtherPrograms(QObject):
    """Looks whether the newest act is one this window has heard of."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self._version = -1
        self._known = 0
        self._lost = False
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)
        desk.bus.changed.connect(self._heard)

    def begin(self) -> None:
        """Take what is there as known and look from now on."""
        self._version = self._desk.collection.data_version()
        self._known = newest_act(self._desk.collection)
        self._timer.start()

    def end(self) -> None:
        """Look no more."""
        self._timer.stop()

    def look(self) -> None:
        """Publish a change of everything when acts are there that this window did not begin."""
        if self._desk.background.busy:
            return
        try:
            version = self._desk.collection.data_version()
            if version == self._version:
                return
            newest = newest_act(self._desk.collection)
        except StorageTrouble as trouble:
            if not self._lost:
                self._desk.notices.refuse(trouble)
            self._lost = True
            return
        self._version, self._lost = version, False
        if newest > self._known:
            self._known = newest
            self._desk.notices.tell(say("Another program wrote to this collection; everything was read again."))
            self._desk.bus.publish(Changes(everything=True))

    def _heard(self, changes: Changes, _origin: object) -> None:
        if changes.act is not None:
            self._known = max(self._known, changes.act)
