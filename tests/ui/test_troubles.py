"""What goes wrong beside the window ends in a sentence in the foot and a line in the log, whoever asked for it."""

from __future__ import annotations

import logging
import sys
import threading
from pathlib import Path

import pytest

from coilbook.app import crash
from coilbook.operations.safekeeping import back_up
from coilbook.reads.herd import load
from coilbook.reads.herd_snapshot import FOLDER
from coilbook.records.changes import Changes
from coilbook.records.message import StorageTrouble
from coilbook.storage.backup import backups_of, listed
from coilbook.storage.layout import MANIFEST
from coilbook.ui.animals.beside_herd import BesideHerd
from coilbook.ui.animals.layout import FILE_NAME, Layout, keep_layout, kept_layout
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk
from coilbook.ui.notices import NoticeKind
from tests.derived.family import Family, s5
from tests.operations.conftest import Room

GONE = "The disk went away."


def told(desk: Desk) -> tuple[NoticeKind, str]:
    """What the foot says."""
    notice = desk.notices.current
    assert notice is not None
    return notice.kind, desk.render(notice.message)


def lost(_control: Control) -> None:
    raise StorageTrouble(GONE)


def test_a_job_begun_without_a_way_to_fail_tells_the_foot(desk: Desk, caplog: pytest.LogCaptureFixture) -> None:
    desk.background.read(lost)
    assert told(desk) == (NoticeKind.TROUBLE, GONE)
    traced = [record for record in caplog.records if record.exc_info]
    assert [record.getMessage() for record in traced] == [GONE]


def test_an_error_of_the_program_in_such_a_job_is_told_too(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    hooked: list[object] = []
    monkeypatch.setattr(sys, "excepthook", lambda *found: hooked.append(found[0]))

    def broken(_control: Control) -> None:
        raise ZeroDivisionError

    desk.background.read(broken)
    assert hooked == [ZeroDivisionError]
    assert told(desk)[0] is NoticeKind.TROUBLE and "ZeroDivisionError" in told(desk)[1]


def test_a_line_whose_odds_do_not_come_says_so_and_asks_again(desk: Desk, room: Room) -> None:
    s5(Family(room.book))
    herd, beside = load(room.book), BesideHerd(desk, desk)
    beside.want(herd, "carries piebald")
    assert herd.genes is not None and desk.notices.current is None
    room.book.close()
    for _key in range(2):
        desk.notices.lines.clear()
        beside.follow(Changes(everything=True))
        beside.want(herd, "carries piebald")
        assert told(desk)[0] is NoticeKind.TROUBLE and "closed" in told(desk)[1]
    desk.notices.lines.clear()
    beside.want(herd, "carries piebald")
    assert desk.notices.current is not None, "what failed is not taken for the answer of today"


def test_a_trouble_that_nobody_caught_is_told_in_its_own_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log, sentences = tmp_path / "coilbook.log", []
    monkeypatch.setattr(crash, "log_file", lambda: log)
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(threading, "excepthook", threading.excepthook)
    crash.install_hooks()
    crash.start_log()
    listener = sentences.append
    crash.tell_bugs(listener)
    try:
        for error in (StorageTrouble(GONE), ZeroDivisionError("nothing to divide by")):
            sys.excepthook(type(error), error, None)
    finally:
        crash.stop_telling(listener)
        for handler in list(crash.LOG.handlers):
            crash.LOG.removeHandler(handler)
            handler.close()
    assert str(sentences[0]) == GONE and "ZeroDivisionError" in str(sentences[1])
    written = log.read_text(encoding="utf-8")
    assert GONE in written and "nothing to divide by" in written


def test_a_backup_that_does_not_count_is_in_the_log(room: Room, caplog: pytest.LogCaptureFixture) -> None:
    back_up(room.book)
    home = backups_of(room.book.folder)
    (one,) = listed(home)
    (one.folder / MANIFEST).write_text("{", encoding="utf-8")
    caplog.clear()
    assert listed(home) == []
    assert [record.levelno for record in caplog.records] == [logging.WARNING]
    assert one.folder.name in caplog.text


def test_a_layout_that_cannot_be_kept_or_read_is_in_the_log(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    assert kept_layout(tmp_path) == Layout() and not caplog.records
    (tmp_path / FOLDER).mkdir()
    (tmp_path / FOLDER / FILE_NAME).write_bytes(b"\xff{")
    assert kept_layout(tmp_path) == Layout() and "could not be read" in caplog.text
    (tmp_path / FOLDER / FILE_NAME).unlink()
    (tmp_path / FOLDER).rmdir()
    (tmp_path / FOLDER).write_text("a file in the way", encoding="utf-8")
    keep_layout(tmp_path, Layout())
    assert "was not kept" in caplog.text
