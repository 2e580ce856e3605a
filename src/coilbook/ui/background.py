"""Work off the UI thread: workers that own writes, read, work odds out and load; answers come back on the UI thread.

A job is a callable that takes its `Control`; it reports progress, looks whether it was cancelled, and returns a value.
Results cross the threads through one signal of an object born on the UI thread, connected to a method of that object.
"""

from __future__ import annotations

import logging
import sys
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from enum import Enum
from threading import Event
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from coilbook.records.message import CoilbookError, Message, StorageTrouble, WorkStopped, say

LOG = logging.getLogger(__name__)

#: how far a job is is shown so often at most
TOLD_EVERY_S = 0.05
#: by then a page has been drawn; whoever turns pages faster has no use for what is worked out beside them
AFTER_PAINT_MS = 120


class Lane(Enum):
    """The workers. What loads modules has its own: a screen must not wait for a long read before it opens.

    Nor is what the genes of a whole book take a reason for a page to wait.
    """

    WRITE = "write"
    READ = "read"
    ODDS = "odds"
    LOAD = "load"


class Cancelled(WorkStopped):
    """Raised by `Control.check` inside a job that the keeper stopped."""

    def __init__(self) -> None:
        super().__init__(say("Stopped. Nothing of it was kept."))


class Bug(CoilbookError):
    """An error of the program itself, already handed to the log."""

    def __init__(self, error: BaseException) -> None:
        super().__init__(
            say("Something in the program went wrong ({kind}). Your records are as they were; the log has the rest.",
                kind=type(error).__name__)
        )  # fmt: skip


@dataclass(eq=False)
class Job:
    """One piece of work on its way. `what` names it in the foot when it is long ("Reading the sheet")."""

    work: Callable[[Control], Any]
    done: Callable[[Any], None] | None
    failed: Callable[[CoilbookError], None] | None
    what: Message | None
    lane: Lane
    at: int = 0
    total: int = 0
    #: as the worker told it last; whether that has been sent and is not shown yet, and when it was sent
    latest: tuple[int, int] = (0, 0)
    sent: bool = False
    sent_at: float = float("-inf")
    stopped: Event = field(default_factory=Event)

    def cancel(self) -> None:
        """Ask the work to stop at its next look."""
        self.stopped.set()


class Control:
    """What a job holds in its hands while it runs."""

    def __init__(self, job: Job, report: Callable[[Job, int, int], None]) -> None:
        self._job, self._report = job, report

    def progress(self, at: int, total: int) -> None:
        """Say how far the work is: `at` of `total` of whatever `what` counts."""
        self._report(self._job, at, total)

    def cancelled(self) -> bool:
        """True once the keeper asked to stop."""
        return self._job.stopped.is_set()

    def check(self) -> None:
        """Raise `Cancelled` if the keeper asked to stop."""
        if self.cancelled():
            raise Cancelled()


class Background(QObject):
    """Runs jobs on the workers; `jobs` are those under way. A `StorageTrouble` of a job goes into the log."""

    #: Job: began, moved on, or ended
    moved = Signal(object)
    #: CoilbookError: a job went wrong that was begun without `failed`, so that nobody has told of it
    untold = Signal(object)
    _arrived = Signal(object, object, object)
    _progressed = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pools: dict[Lane, ThreadPoolExecutor] = {}
        self.jobs: list[Job] = []
        self._closed = False
        self._arrived.connect(self._deliver)
        self._progressed.connect(self._on_progress)

    def write(
        self,
        work: Callable[[Control], Any],
        done: Callable[[Any], None] | None = None,
        failed: Callable[[CoilbookError], None] | None = None,
        what: Message | None = None,
    ) -> Job:
        """Run on the worker that owns writes; jobs there follow one another in the order given."""
        return self._begin(Job(work, done, failed, what, Lane.WRITE))

    def read(
        self,
        work: Callable[[Control], Any],
        done: Callable[[Any], None] | None = None,
        failed: Callable[[CoilbookError], None] | None = None,
        what: Message | None = None,
    ) -> Job:
        """Run on the worker for long reads."""
        return self._begin(Job(work, done, failed, what, Lane.READ))

    def work_out(
        self,
        work: Callable[[Control], Any],
        done: Callable[[Any], None] | None = None,
        failed: Callable[[CoilbookError], None] | None = None,
        what: Message | None = None,
    ) -> Job:
        """Run on the worker for all that asks the kept genetics, which may have to be worked out first."""
        return self._begin(Job(work, done, failed, what, Lane.ODDS))

    def load(
        self,
        work: Callable[[Control], Any],
        done: Callable[[Any], None] | None = None,
        failed: Callable[[CoilbookError], None] | None = None,
        what: Message | None = None,
    ) -> Job:
        """Run on the worker that loads modules."""
        return self._begin(Job(work, done, failed, what, Lane.LOAD))

    def in_turns(self, steps: Sequence[Callable[[], object]], ended: Callable[[], None]) -> None:
        """Do `steps` on the window's own thread, each in a turn of its own, so that it answers between them.

        `ended` is called after the last, and when one fails.
        """
        if not steps:
            ended()
            return

        def turn() -> None:
            try:
                steps[0]()
            except BaseException:
                ended()
                raise
            self.in_turns(steps[1:], ended)

        self._next_turn(turn)

    def _next_turn(self, turn: Callable[[], None]) -> None:
        QTimer.singleShot(0, self, turn)

    def read_after_paint(
        self,
        work: Callable[[Control], Any],
        done: Callable[[Any], None] | None = None,
        failed: Callable[[CoilbookError], None] | None = None,
        what: Message | None = None,
        *,
        rest_ms: int = AFTER_PAINT_MS,
        lane: Lane = Lane.READ,
    ) -> Job:
        """As `read`, once the window has drawn what the work is for; cancelled before, it never runs and never answers.

        A worker that computes takes the interpreter from the window, which asks for it hundreds of times in a paint.
        `rest_ms`: how long it waits, in milliseconds.
        """
        job = Job(work, done, failed, what, lane)
        self.jobs.append(job)
        self.moved.emit(job)
        self._later(job, rest_ms)
        return job

    def _later(self, job: Job, rest_ms: int) -> None:
        QTimer.singleShot(rest_ms, self, lambda: self._start_late(job))

    def _start_late(self, job: Job) -> None:
        if not job.stopped.is_set() and not self._closed:
            self._start(job)
            return
        self.jobs.remove(job)
        self.moved.emit(job)

    @property
    def busy(self) -> bool:
        """True while any job is under way."""
        return bool(self.jobs)

    def close(self) -> None:
        """Stop what can be stopped, wait for the rest, end the workers."""
        self._closed = True
        for job in self.jobs:
            if job.lane is not Lane.WRITE:
                job.cancel()
        for pool in self._pools.values():
            pool.shutdown(wait=True)
        self._pools.clear()
        self._arrived.disconnect(self._deliver)

    def _begin(self, job: Job) -> Job:
        self.jobs.append(job)
        self.moved.emit(job)
        self._start(job)
        return job

    def _start(self, job: Job) -> None:
        if job.lane not in self._pools:
            self._pools[job.lane] = ThreadPoolExecutor(1, thread_name_prefix=f"coilbook-{job.lane.value}")
        self._pools[job.lane].submit(self._work, job)

    def _work(self, job: Job) -> None:
        value, error = None, None
        try:
            value = job.work(Control(job, self._report))
        except BaseException as caught:
            error = caught
        self._arrived.emit(job, value, error)

    def _report(self, job: Job, at: int, total: int) -> None:
        """Called by a worker, as often as it likes: the window is told of the latest, and not of every row.

        Otherwise a hundred tellings pile up behind one slow step, and are then all shown before the next key.
        """
        job.latest = at, total
        now = time.monotonic()
        if not job.sent and now - job.sent_at >= TOLD_EVERY_S:
            job.sent, job.sent_at = True, now
            self._progressed.emit(job)

    @Slot(object)
    def _on_progress(self, job: Job) -> None:
        job.sent = False
        job.at, job.total = job.latest
        self.moved.emit(job)

    @Slot(object, object, object)
    def _deliver(self, job: Job, value: Any, error: BaseException | None) -> None:
        self.jobs.remove(job)
        self.moved.emit(job)
        if error is None:
            if job.done is not None:
                job.done(value)
            return
        if not isinstance(error, CoilbookError):
            sys.excepthook(type(error), error, error.__traceback__)
            error = Bug(error)
        elif isinstance(error, StorageTrouble):
            LOG.warning("%s", error, exc_info=error)
        if job.failed is not None:
            job.failed(error)
        else:
            self.untold.emit(error)


class InlineBackground(Background):
    """Runs every job at once in the calling thread; for tests and for the tour of the screens."""

    def _start(self, job: Job) -> None:
        self._work(job)

    def _later(self, job: Job, rest_ms: int) -> None:
        self._start_late(job)

    def _next_turn(self, turn: Callable[[], None]) -> None:
        turn()
