"""A second start hands what it was given to the window that is open, and says so by ending."""

from __future__ import annotations

import socket
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from PySide6.QtNetwork import QLocalServer
from pytestqt.qtbot import QtBot

from coilbook.app.one_window import Doorbell, hand_over, name_of

_SECOND = """
import sys, pathlib
from PySide6.QtCore import QCoreApplication
app = QCoreApplication([])
from coilbook.app.one_window import hand_over
sys.exit(0 if hand_over(pathlib.Path(sys.argv[1]), sys.argv[2:]) else 1)
"""


def _start_second(folder: Path, words: list[str], qtbot: QtBot) -> None:
    with subprocess.Popen([sys.executable, "-c", _SECOND, str(folder), *words]) as second:
        qtbot.waitUntil(lambda: second.poll() is not None, timeout=20_000)
    assert second.returncode == 0


def _socket_file(folder: Path) -> str:
    with closing(QLocalServer()) as server:
        assert server.listen(name_of(folder))
        return server.fullServerName()


def test_words_of_a_second_start_arrive_at_the_first(tmp_path: Path, qtbot: QtBot) -> None:
    heard: list[list[str]] = []
    bell = Doorbell(tmp_path, heard.append)
    _start_second(tmp_path, ["AFKT-38F", "/a/file.csv"], qtbot)
    assert heard == [["AFKT-38F", "/a/file.csv"]]
    bell.close()


def test_without_a_window_nothing_takes_the_words(tmp_path: Path) -> None:
    assert not hand_over(tmp_path, ["AFKT-38F"])


@pytest.mark.skipif(sys.platform == "win32", reason="there, a socket is no file and ends with its program")
def test_a_socket_left_by_a_killed_window_does_not_stop_the_next(tmp_path: Path, qtbot: QtBot) -> None:
    with socket.socket(socket.AF_UNIX) as left:
        left.bind(_socket_file(tmp_path))
    heard: list[list[str]] = []
    bell = Doorbell(tmp_path, heard.append)
    _start_second(tmp_path, ["AFKT-38F"], qtbot)
    assert heard == [["AFKT-38F"]]
    bell.close()


def test_each_collection_has_a_name_of_its_own(tmp_path: Path) -> None:
    assert name_of(tmp_path) == name_of(tmp_path / ".") != name_of(tmp_path / "other")
