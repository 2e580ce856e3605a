"""The herd at the desk: read at once when that is quick, else by a worker; followed through every act."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from coilbook.reads.herd import Herd, load
from coilbook.reads.herd_snapshot import is_worth_keeping, keep_fresh, kept_herd
from coilbook.reads.lookup import animal_count
from coilbook.records.changes import Changes
from coilbook.records.message import say
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk

#: a book with fewer animals is read at once, and needs no snapshot
SMALL_BOOK = 3_000
#: the first picture of the list comes before work that only makes later steps quicker
LATER_MS = 400


class HerdAtDesk(QObject):
    """Holds the herd of the window; it is used on the window's thread only."""

    #: ids of the animals that may look different, None for all
    changed = Signal(object)

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self.herd: Herd | None = None

    def begin(self) -> None:
        """Read the herd for the first time."""
        collection = self._desk.collection
        if self._is_small():
            self._take(load(collection))
            return
        herd = kept_herd(collection)
        if herd is None:
            self._read_beside()
            return
        self._take(herd)
        later = QTimer(self)
        later.setSingleShot(True)
        later.timeout.connect(self._make_ready)
        later.start(LATER_MS)

    def _make_ready(self) -> None:
        """The list stands: what the first "in R2" would wait for, and a snapshot when the kept one is old."""
        herd = self.herd
        if herd is None:
            return
        self._desk.background.read(lambda _control: herd.places.warm())
        if is_worth_keeping(self._desk.collection, herd):
            self._keep_beside()

    def follow(self, changes: Changes) -> None:
        """An act is committed, by this window or another program."""
        if self.herd is None:
            return
        if self.herd.is_far_behind(self._desk.collection):
            self._read_anew()
            return
        touched = self.herd.advance(self._desk.collection)
        if touched is None or touched or changes.touches("place", "setting"):
            self.changed.emit(touched)

    def _read_anew(self) -> None:
        """So much was written that looking for whom it touched would take longer than reading everyone."""
        if self._is_small():
            self._take(load(self._desk.collection))
        else:
            self._read_beside()

    def _is_small(self) -> bool:
        return animal_count(self._desk.collection) < SMALL_BOOK

    def _read_beside(self) -> None:
        collection = self._desk.collection

        def work(_control: Control) -> Herd:
            herd = load(collection)
            herd.make_ready()
            return herd

        self._desk.background.read(work, self._take_and_keep, what=say("Reading the animals"))

    def _keep_beside(self) -> None:
        collection = self._desk.collection
        self._desk.background.read(lambda _control: keep_fresh(collection))

    def _take_and_keep(self, herd: Herd) -> None:
        self._take(herd)
        self._keep_beside()

    def _take(self, herd: Herd) -> None:
        herd.advance(self._desk.collection)
        self.herd = herd
        self.changed.emit(None)
