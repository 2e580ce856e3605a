"""Looks after every act whether it moved the numbers of other animals, and offers them in the foot."""

from __future__ import annotations

import logging
import sys
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from coilbook.records.changes import ODDS_REST_ON, Changes
from coilbook.records.ids import ActId
from coilbook.records.message import CoilbookError, WorkStopped, say
from coilbook.records.vocabulary import Status
from coilbook.ui.background import Lane
from coilbook.ui.desk import Desk
from coilbook.ui.notices import NoticeChoice

if TYPE_CHECKING:
    from coilbook.reads.consequences import Moved

LOG = logging.getLogger(__name__)
#: loaded by whoever first asks for odds: before that there is nothing an act could be compared with
_KEEPS_ODDS = "coilbook.derived.genetics_book"


class GeneticsWatch(QObject):
    """Lives as long as the window. Computes on the worker for odds, never here."""

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        desk.bus.changed.connect(self._changed)

    def _changed(self, changes: Changes, _origin: object) -> None:
        act, collection = changes.act, self._desk.collection
        if act is None or not changes.touches(*ODDS_REST_ON) or _KEEPS_ODDS not in sys.modules:
            return
        from coilbook.reads.genetics_changed import changed_by

        besides = changes.animals
        self._desk.background.read_after_paint(
            lambda control: changed_by(collection, act, control.cancelled, besides=besides),
            lambda moved: self._offer(act, moved),
            self._not_now,
            lane=Lane.ODDS,
        )

    def _offer(self, act: ActId, moved: tuple[Moved, ...]) -> None:
        if not moved:
            return
        animals = {one.animal for one in moved}
        sold = {one.animal for one in moved if one.status is Status.SOLD}
        words = say("{n} animal changed", "{n} animals changed", n=len(animals))
        if sold:
            words = say("{changed}, {n} sold", "{changed}, {n} sold", changed=words, n=len(sold))
        self._desk.notices.offer_beside(
            act, NoticeChoice(words, lambda: self._desk.go("changed", act=act, moved=moved))
        )

    def _not_now(self, error: CoilbookError) -> None:
        """The act itself is done: that nobody is named beside it is a line of the log, what is wrong the odds say."""
        if not isinstance(error, WorkStopped):
            LOG.warning("whose odds an act moved is not known: %s", error)
