"""A program killed at any moment loses nothing it had acknowledged."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TIMES = 204


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
@pytest.mark.timeout(600)
def test_killed_two_hundred_times_and_nothing_acknowledged_is_lost() -> None:
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT), os.environ.get("PYTHONPATH", "")])
    ran = subprocess.run(
        [sys.executable, "-m", "tests.storage.kill_many", "--times", str(TIMES)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    result = json.loads(ran.stdout)
    print(result)
    assert result["kills"] == TIMES
    during = {
        what
        for kind in ("acts", "imports", "photos", "backups", "restores", "migrations")
        for what in result[kind]["while"]
    }
    assert during >= {"act", "import", "photo", "backup", "restore", "migration"}, (
        "kills must fall in every kind of work"
    )
    assert sum(result[kind]["acknowledged"] for kind in ("acts", "imports", "photos", "backups")) > TIMES // 4
