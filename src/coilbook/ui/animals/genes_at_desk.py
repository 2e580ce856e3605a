"""Who carries what, for the filter of the list: worked out beside the window, only once a line asks for it."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from coilbook.reads.filter_genes import asks_for_genes, genes_known
from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import GenesKnown
from coilbook.records.changes import ODDS_REST_ON, Changes
from coilbook.records.message import CoilbookError
from coilbook.ui.desk import Desk


class GenesAtDesk(QObject):
    """`changed` comes when a herd was given odds; those of before stay until then."""

    changed = Signal()

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._stale = True
        self._waits = False

    def follow(self, changes: Changes) -> bool:
        """Take note of an act; True when it may have moved odds."""
        moved = changes.touches(*ODDS_REST_ON)
        self._stale = self._stale or moved
        return moved

    def want(self, herd: Herd, text: str) -> None:
        """Work the odds out when the line asks for them and they are not there, or not those of now."""
        if not asks_for_genes(text) or self._waits or not (self._stale or herd.genes is None):
            return
        collection, self._stale = self._desk.collection, False

        def known(found: GenesKnown) -> None:
            self._waits = False
            herd.genes = found
            self.changed.emit()

        def failed(_error: CoilbookError) -> None:
            # what is wrong is told where the numbers are shown
            self._waits = False

        self._waits = True
        self._desk.background.read_after_paint(lambda _control: genes_known(collection), known, failed)
