"""What was just done, warned of or refused: the one line of the foot, with its Undo."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum

from PySide6.QtCore import QObject, Signal

from coilbook.records.changes import Outcome
from coilbook.records.ids import ActId
from coilbook.records.message import CoilbookError, Message, Refusal, StorageTrouble
from coilbook.records.vocabulary import Act

LOG = logging.getLogger(__name__)


class NoticeKind(Enum):
    """How a line of the foot is told: by a word or a shape, never by its colour alone."""

    DONE = "done"
    INFO = "info"
    QUESTION = "question"
    WARNING = "warning"
    REFUSED = "refused"
    TROUBLE = "trouble"


@dataclass(frozen=True, slots=True)
class NoticeChoice:
    """A way out offered beside a notice ("Undo all 3")."""

    words: Message
    run: Callable[[], None]


@dataclass(frozen=True, slots=True)
class Notice:
    """One line. `act` is what Undo would take back."""

    kind: NoticeKind
    message: Message
    at: dt.datetime
    act: ActId | None = None
    choices: tuple[NoticeChoice, ...] = ()


class Notices(QObject):
    """Keeps the last lines and tells the foot."""

    changed = Signal()
    #: how many lines are remembered ("before that: ...")
    KEPT = 20

    def __init__(self, clock: Callable[[], dt.datetime], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._clock = clock
        self.lines: list[Notice] = []

    @property
    def current(self) -> Notice | None:
        """The line that is shown."""
        return self.lines[-1] if self.lines else None

    @property
    def undoable(self) -> ActId | None:
        """The latest act told here that was not an undo; what Ctrl+Z takes back."""
        for notice in reversed(self.lines):
            if notice.act is not None:
                return notice.act
        return None

    def done(self, outcome: Outcome[object]) -> None:
        """Something was done: its own sentence, what to mind, and Undo."""
        act = None if outcome.kind is Act.UNDO else outcome.changes.act
        self._add(NoticeKind.DONE, outcome.notice, act)
        for warning in outcome.warnings:
            self._add(NoticeKind.WARNING, warning, act)

    def tell(self, message: Message, choices: tuple[NoticeChoice, ...] = ()) -> None:
        """A plain fact that asks for nothing; `choices` lead to where it is shown."""
        self._add(NoticeKind.INFO, message, choices=choices)

    def warn(self, message: Message) -> None:
        """Something the keeper should mind."""
        self._add(NoticeKind.WARNING, message)

    def ask(self, message: Message, choices: tuple[NoticeChoice, ...]) -> None:
        """An offer that stands open until it is taken or put away."""
        self._add(NoticeKind.QUESTION, message, choices=choices)

    def refuse(self, error: CoilbookError, choices: tuple[NoticeChoice, ...] = ()) -> None:
        """Something was not done, and why; what was typed stays where it is. What is no refusal is logged as told."""
        kind = NoticeKind.REFUSED if isinstance(error, Refusal) else NoticeKind.TROUBLE
        if isinstance(error, StorageTrouble):
            LOG.warning("told: %s", error)
        self._add(kind, error.message, choices=choices)

    def offer_beside(self, act: ActId, choice: NoticeChoice) -> None:
        """A way out that came up after an act was told, beside its own line and its Undo."""
        self.lines = [replace(notice, choices=(*notice.choices, choice)) if notice.act == act else notice
                      for notice in self.lines]  # fmt: skip
        self.changed.emit()

    def forget_act(self, act: ActId) -> None:
        """An act was taken back: Undo no longer offers it."""
        self.lines = [notice if notice.act != act else Notice(notice.kind, notice.message, notice.at)
                      for notice in self.lines]  # fmt: skip
        self.changed.emit()

    def put_away(self) -> None:
        """Put the present line away when it was a question, a refusal or a warning."""
        if self.lines and self.lines[-1].kind is not NoticeKind.DONE:
            self.lines.pop()
            self.changed.emit()

    def _add(
        self,
        kind: NoticeKind,
        message: Message,
        act: ActId | None = None,
        choices: tuple[NoticeChoice, ...] = (),
    ) -> None:
        self.lines.append(Notice(kind, message, self._clock(), act, choices))
        del self.lines[: -self.KEPT]
        self.changed.emit()
