"""Work on real workers: answers on the UI thread, progress, cancel, errors of both kinds, nothing left behind."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from types import TracebackType

import pytest
from pytestqt.qtbot import QtBot

from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.ui.background import Background, Bug, Cancelled, Control, InlineBackground, Lane


@pytest.fixture
def background() -> Iterator[Background]:
    made = Background()
    yield made
    made.close()
    made.deleteLater()


def test_work_runs_elsewhere_and_answers_here(background: Background, qtbot: QtBot) -> None:
    threads: list[str] = []
    answers: list[tuple[int, bool]] = []

    def work(_control: Control) -> int:
        threads.append(threading.current_thread().name)
        return 42

    background.write(work, lambda value: answers.append((value, _on_main())))
    qtbot.waitUntil(lambda: bool(answers))
    assert answers == [(42, True)]
    assert threads[0].startswith("coilbook-write")


def _on_main() -> bool:
    return threading.current_thread() is threading.main_thread()


def test_writes_keep_their_order(background: Background, qtbot: QtBot) -> None:
    done: list[int] = []
    for number in range(50):
        background.write(lambda _c, number=number: number, done.append)  # type: ignore[misc]
    qtbot.waitUntil(lambda: len(done) == 50)
    assert done == list(range(50))


def test_a_long_read_does_not_hold_a_write(background: Background, qtbot: QtBot) -> None:
    gate = threading.Event()
    done: list[str] = []
    background.read(lambda _c: gate.wait(5), lambda _v: done.append("read"))
    background.write(lambda _c: None, lambda _v: done.append("write"))
    qtbot.waitUntil(lambda: done == ["write"])
    gate.set()
    qtbot.waitUntil(lambda: done == ["write", "read"])


def test_odds_that_take_long_hold_neither_a_page_nor_the_end(background: Background, qtbot: QtBot) -> None:
    begun = threading.Event()
    done: list[str] = []

    def tangled(control: Control) -> None:
        begun.set()
        while True:
            control.check()

    background.work_out(tangled)
    background.read_after_paint(tangled, rest_ms=0, lane=Lane.ODDS)
    assert begun.wait(5)
    background.read(lambda _c: None, lambda _v: done.append("page"))
    background.write(lambda _c: None, lambda _v: done.append("act"))
    qtbot.waitUntil(lambda: sorted(done) == ["act", "page"])
    # a fixture closes it: that would wait for ever for what cannot be stopped


def test_progress_is_seen_and_a_job_can_be_stopped(background: Background, qtbot: QtBot) -> None:
    started = threading.Event()
    failures: list[CoilbookError] = []

    def work(control: Control) -> None:
        control.progress(3, 10)
        started.set()
        while True:
            control.check()

    job = background.read(work, failed=failures.append, what=say("Counting"))
    qtbot.waitUntil(lambda: job.total == 10)
    assert started.is_set() and background.busy
    job.cancel()
    qtbot.waitUntil(lambda: bool(failures))
    assert isinstance(failures[0], Cancelled) and not background.busy


def test_a_refusal_comes_back_as_itself(background: Background, qtbot: QtBot) -> None:
    failures: list[CoilbookError] = []

    def work(_control: Control) -> None:
        raise Refusal(say("no"))

    background.write(work, failed=failures.append)
    qtbot.waitUntil(lambda: bool(failures))
    assert isinstance(failures[0], Refusal)


def test_an_error_of_the_program_goes_to_the_hook_and_becomes_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    hooked: list[type[BaseException]] = []

    def hook(kind: type[BaseException], _error: BaseException, _trace: TracebackType | None) -> None:
        hooked.append(kind)

    monkeypatch.setattr(sys, "excepthook", hook)
    failures: list[CoilbookError] = []

    def work(_control: Control) -> None:
        raise ZeroDivisionError

    inline = InlineBackground()
    inline.write(work, failed=failures.append)
    assert hooked == [ZeroDivisionError]
    assert isinstance(failures[0], Bug) and "ZeroDivisionError" in str(failures[0])
    inline.close()


def test_closing_ends_the_workers(qtbot: QtBot) -> None:
    background = Background()
    background.write(lambda _c: None)
    background.read(lambda _c: None)
    background.close()
    assert not [thread for thread in threading.enumerate() if thread.name.startswith("coilbook-")]


def test_tellings_of_how_far_it_is_do_not_pile_up(background: Background, qtbot: QtBot) -> None:
    """Told of every row while the window is busy, it would show them all before it takes the next key."""
    told: list[tuple[int, int]] = []
    ended = threading.Event()

    def work(control: Control) -> None:
        for row in range(1, 5_001):
            control.progress(row, 5_000)
        ended.set()

    background.moved.connect(lambda job: told.append((job.at, job.total)))
    done: list[object] = []
    background.read(work, done.append, what=say("Counting"))
    assert ended.wait(20)
    qtbot.waitUntil(lambda: bool(done))
    # begun, how far it is by now, ended
    assert told == [(0, 0), (5_000, 5_000), (5_000, 5_000)]


def test_work_after_the_paint_is_begun_late_and_never_when_it_is_let_go_before(
    background: Background, qtbot: QtBot
) -> None:
    ran: list[int] = []
    answers: list[object] = []

    def work(number: int) -> Callable[[Control], int]:
        return lambda _control: ran.append(number) or number

    first = background.read_after_paint(work(1), answers.append, answers.append)
    first.cancel()
    background.read_after_paint(work(2), answers.append, answers.append)
    assert background.busy and not ran
    qtbot.waitUntil(lambda: not background.busy)
    assert (ran, answers) == ([2], [2])


def test_work_that_waits_for_the_paint_is_dropped_when_all_is_closed(background: Background, qtbot: QtBot) -> None:
    ran: list[int] = []
    background.read_after_paint(lambda _control: ran.append(1), ran.append, ran.append)  # type: ignore[arg-type]
    background.close()
    qtbot.waitUntil(lambda: not background.jobs)
    assert ran == []
    background._arrived.connect(background._deliver)
