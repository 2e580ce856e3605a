"""Runs a measurement in a process of its own, as the program is started; what goes wrong there is told, not lost."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from typing import Any

from coilbook.records.message import CoilbookError

#: of what a process that went wrong said last, so much stands in the table
_MOST_LETTERS = 160


class NotMeasured(CoilbookError):
    """The process ended without figures; the sentence is what it said last."""


def offscreen() -> dict[str, str]:
    """The environment of this process, with windows that are drawn and not shown."""
    return {**os.environ, "QT_QPA_PLATFORM": "offscreen"}


def measured(module: str, *words: str, longest_s: float = 300, environment: Mapping[str, str] | None = None) -> Any:
    """Run `python -m module words` and give the JSON of its last line. Raises `NotMeasured`."""
    command = [sys.executable, "-m", module, *words]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=longest_s, check=True,
                              env=dict(environment) if environment is not None else offscreen())  # fmt: skip
        return json.loads(done.stdout.strip().splitlines()[-1])
    except (subprocess.SubprocessError, ValueError, IndexError) as error:
        raise NotMeasured(_last_words(error)) from error


def _last_words(error: Exception) -> str:
    said = str(getattr(error, "stderr", None) or error).strip()
    return said.splitlines()[-1][:_MOST_LETTERS] if said else type(error).__name__
