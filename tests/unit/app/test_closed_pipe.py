"""A command whose reader goes away ends quietly."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path


def test_a_reader_that_goes_away_is_no_error_of_the_program(tmp_path: Path) -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "coilbook", "labels", "--stocks", "--json"],
            stdout=write_end,
            stderr=subprocess.PIPE,
            env={**os.environ, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path), "XDG_STATE_HOME": str(tmp_path)},
            text=True,
            check=False,
        )
    finally:
        os.close(write_end)
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
