"""The program as a keeper starts it: a window of its own process, a second start, an orderly end with its backup."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from coilbook.records.backups import BackupReason
from coilbook.storage.backup import backups_of, listed
from coilbook.storage.collection import Collection
from tests.operations.conftest import Clock

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="ends the program by a signal")


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """The program's own files go to the test's folder."""
    places = {name: str(tmp_path / name) for name in ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME")}
    return {**os.environ, **places, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)}


@pytest.fixture
def started(tmp_path: Path, environment: dict[str, str]) -> Iterator[subprocess.Popen[str]]:
    """The window on a new collection, up and listening."""
    process = subprocess.Popen(
        [sys.executable, "-m", "coilbook", "open", "--collection", str(tmp_path / "book")],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    yield process
    if process.poll() is None:
        process.kill()
    process.communicate()


def _second(tmp_path: Path, environment: dict[str, str], *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", _HAND_OVER, str(tmp_path / "book"), *words]
    return subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, check=False)


_HAND_OVER = """
import sys, pathlib
from PySide6.QtCore import QCoreApplication
app = QCoreApplication([])
from coilbook.app.one_window import hand_over
sys.exit(0 if hand_over(pathlib.Path(sys.argv[1]), sys.argv[2:]) else 3)
"""


def _until_listening(tmp_path: Path, environment: dict[str, str], process: subprocess.Popen[str]) -> None:
    for _ in range(60):
        assert process.poll() is None, process.communicate()[0]
        if _second(tmp_path, environment, "HELLO").returncode == 0:
            return
        time.sleep(0.5)
    pytest.fail("the window did not come up")


def test_a_window_opens_takes_a_second_start_and_ends_with_a_backup(
    tmp_path: Path, environment: dict[str, str], started: subprocess.Popen[str]
) -> None:
    _until_listening(tmp_path, environment, started)
    again = subprocess.run(
        [sys.executable, "-m", "coilbook", "open", "--collection", str(tmp_path / "book"), "AFKT-38F"],
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert again.returncode == 0, again.stderr
    assert started.poll() is None, "the first window stays"
    started.send_signal(signal.SIGTERM)
    told = started.communicate(timeout=60)[0]
    assert started.returncode == 0, told
    assert told == ""
    with Collection.open(tmp_path / "book", Clock()) as book:
        assert book.read("SELECT count(*) FROM animal") == [(0,)]
    assert [one.reason for one in listed(backups_of(tmp_path / "book"))] == [BackupReason.CLOSE]
    log = tmp_path / "XDG_STATE_HOME" / "coilbook" / "coilbook.log"
    assert "Traceback" not in (log.read_text(encoding="utf-8") if log.exists() else "")
