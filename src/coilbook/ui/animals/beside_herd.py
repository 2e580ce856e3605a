"""What the filter asks that no column holds (odds, how hatchlings get on): worked out beside the window when asked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, Signal

from coilbook.reads.filter_genes import asks_for_genes, genes_known
from coilbook.reads.filter_young import asks_for_young
from coilbook.reads.herd import Herd
from coilbook.records.changes import ODDS_REST_ON, Changes
from coilbook.records.message import CoilbookError
from coilbook.ui.background import Control, Lane
from coilbook.ui.desk import Desk

#: what moves a hatchling's being ready, or started
_YOUNG_REST_ON = ("animal", "hatchling", "feeding", "regurgitation", "weight", "shed", "health_course", "course_step",
                  "setting")  # fmt: skip


@dataclass
class _Kind:
    """One thing to work out: `name` the herd's field for it."""

    name: str
    asks: Callable[[str], bool]
    rests_on: tuple[str, ...]
    #: of an open collection, a day and whether to stop
    work: Callable[[Any, dt.date, Callable[[], bool]], Any]
    lane: Lane
    #: the day the answer is of, None while there is none of now
    of: dt.date | None = None
    waits: bool = False


def _genes(collection: Any, _today: dt.date, cancelled: Callable[[], bool]) -> object:
    return genes_known(collection, cancelled)


def _young(collection: Any, today: dt.date, _cancelled: Callable[[], bool]) -> object:
    from coilbook.reads.young import young_known

    return young_known(collection, today)


class BesideHerd(QObject):
    """`changed` comes when a herd was given an answer; those of before stay until then."""

    changed = Signal()

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._kinds = (
            _Kind("genes", asks_for_genes, ODDS_REST_ON, _genes, Lane.ODDS),
            _Kind("young", asks_for_young, _YOUNG_REST_ON, _young, Lane.READ),
        )

    def follow(self, changes: Changes) -> bool:
        """Take note of an act; True when it may have moved an answer."""
        moved = [kind for kind in self._kinds if changes.touches(*kind.rests_on)]
        for kind in moved:
            kind.of = None
        return bool(moved)

    def want(self, herd: Herd, text: str) -> None:
        """Work out what the line asks for and is not there, or not of now."""
        today = self._desk.clock().date()
        for kind in self._kinds:
            there = kind.of == today and getattr(herd, kind.name) is not None
            if kind.asks(text) and not kind.waits and not there:
                self._begin(herd, kind, today)

    def _begin(self, herd: Herd, kind: _Kind, today: dt.date) -> None:
        kind.waits, kind.of = True, today
        collection = self._desk.collection

        def work(control: Control) -> object:
            return kind.work(collection, today, control.cancelled)

        known, failed = partial(self._known, herd, kind), partial(self._failed, kind)
        self._desk.background.read_after_paint(work, known, failed, lane=kind.lane)

    def _known(self, herd: Herd, kind: _Kind, found: object) -> None:
        kind.waits = False
        setattr(herd, kind.name, found)
        self.changed.emit()

    def _failed(self, kind: _Kind, error: CoilbookError) -> None:
        """The list still shows the answer of before, or none: the foot says why, and the next key asks again."""
        kind.waits, kind.of = False, None
        self._desk.tell_failed(error)
