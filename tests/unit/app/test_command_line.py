"""The command: quick help, every handler built alike, exit codes that say what happened."""

from __future__ import annotations

import argparse
import importlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from coilbook.app import crash
from coilbook.app.command_line import SUBCOMMANDS, main, overview, present
from coilbook.app.exit_codes import MEANINGS, ExitCode
from coilbook.app.open_command import sort_out
from coilbook.records.message import Refusal


def _run(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    names = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    return subprocess.run(
        [sys.executable, "-m", "coilbook", *words],
        capture_output=True,
        text=True,
        timeout=60,
        env={**names, **environment},
        check=False,
    )


@pytest.fixture(autouse=True)
def hooks_put_back() -> object:
    """`main` installs its hooks; the test run keeps its own."""
    import threading

    kept = sys.excepthook, threading.excepthook
    yield
    sys.excepthook, threading.excepthook = kept


def test_every_exit_code_has_a_meaning() -> None:
    assert set(MEANINGS) == set(ExitCode)
    assert all(meaning in overview() for meaning in MEANINGS.values())


@pytest.mark.parametrize("command", present(), ids=lambda one: one.name)
def test_every_handler_parses_and_runs(command: object) -> None:
    handler = importlib.import_module(command.module)  # type: ignore[attr-defined]
    parser = argparse.ArgumentParser()
    handler.add_arguments(parser)
    assert callable(handler.run)
    assert handler.__doc__


def test_the_help_names_every_command_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == ExitCode.OK
    told = capsys.readouterr().out
    assert all(f"  {one.name}" in told for one in present())
    assert len({one.name for one in SUBCOMMANDS}) == len(SUBCOMMANDS)


def test_help_imports_neither_qt_nor_the_database() -> None:
    code = "import sys; from coilbook.app.command_line import main; main(['--help']);"
    code += "print([n for n in sys.modules if n.split('.')[0] in ('PySide6', 'peewee', 'numpy', 'openpyxl')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_a_wrong_word_is_a_usage_error() -> None:
    done = _run("tour")
    assert done.returncode == ExitCode.USAGE and "usage: coilbook tour" in done.stderr


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="other systems always have a display")
def test_no_display_is_a_sentence_and_no_traceback(tmp_path: Path) -> None:
    done = _run("open", str(tmp_path), QT_QPA_PLATFORM="")
    assert done.returncode == ExitCode.REFUSED
    assert "no display" in done.stderr and "Traceback" not in done.stderr


def test_an_error_of_the_program_is_a_sentence_with_the_log(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = tmp_path / "state" / "coilbook.log"
    monkeypatch.setattr(crash, "log_file", lambda: log)
    crash.start_log()
    from coilbook.app import open_command

    def broken(_arguments: argparse.Namespace) -> int:
        raise ZeroDivisionError("nothing to divide by")

    monkeypatch.setattr(open_command, "run", broken)
    assert main(["open"]) == ExitCode.BUG
    told = capsys.readouterr().err
    assert "ZeroDivisionError" in told and str(log) in told and "Traceback" not in told
    assert "nothing to divide by" in log.read_text(encoding="utf-8")
    for handler in list(crash.LOG.handlers):
        crash.LOG.removeHandler(handler)
        handler.close()


def test_what_open_is_given_is_sorted_into_a_collection_and_words(tmp_path: Path) -> None:
    sheet = tmp_path / "old.csv"
    sheet.write_text("id\n", encoding="utf-8")
    assert sort_out(None, [str(tmp_path), str(sheet), "AFKT-38F"]) == (tmp_path, [str(sheet), "AFKT-38F"])
    assert sort_out(None, [str(tmp_path / "new")]) == (tmp_path / "new", [])
    assert sort_out(tmp_path, ["HTTPS://EXAMPLE.ORG/AFKT38F"])[1] == ["HTTPS://EXAMPLE.ORG/AFKT38F"]
    assert sort_out(tmp_path, ["EXAMPLE.ORG/AFKT38F", "mistyped"])[1] == ["EXAMPLE.ORG/AFKT38F", "mistyped"]
    with pytest.raises(Refusal, match="neither a file nor a folder"):
        sort_out(None, [str(tmp_path / "no" / "such" / "book")])


def test_a_slip_in_a_command_opens_no_window(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["exprot", "book.json"]) == ExitCode.USAGE
    assert "Did you mean `coilbook export`?" in capsys.readouterr().err
    assert main(["nonsense"]) == ExitCode.USAGE
    assert "no command `nonsense`" in capsys.readouterr().err


def test_an_ending_nothing_is_written_as_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", str(tmp_path / "book.csv"), "--collection", str(tmp_path)]) == ExitCode.REFUSED
    assert "Name a folder for CSV" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
