"""A program killed at any moment loses nothing it had acknowledged."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from coilbook.derived import summary
from coilbook.operations.import_sheet import accept_import
from coilbook.records.vocabulary import Act
from coilbook.storage import tables as t
from coilbook.storage.collection import Collection
from coilbook.storage.layout import IMPORTS
from tests.storage.sheet_import import plan_of, whole_imports, write_sheet
from tests.storage.workload import TestClock

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


@pytest.mark.parametrize("lost", ["meal", "tag", "original"])
def test_an_import_that_lacks_anything_is_told_from_a_whole_one(tmp_path: Path, lost: str) -> None:
    with Collection.create(tmp_path / "book", TestClock(), accept_folder=True) as collection:
        summary.attach(collection)
        file = write_sheet(tmp_path, "K1", 8)
        accept_import(collection, plan=plan_of(collection, file), file=file)
        whole, half = whole_imports(collection)
        assert len(whole) == 1 and not half
        if lost == "original":
            (kept,) = (collection.folder / IMPORTS).iterdir()
            kept.write_bytes(kept.read_bytes()[:-1])
        else:
            model = t.Feeding if lost == "meal" else t.Tag
            with collection.act(Act.REMOVE_ENTRY) as act:
                act.delete(model, int(act.rows(f'SELECT max(id) FROM "{t.table_name(model)}"')[0][0]))
        assert whole_imports(collection) == (set(), whole)
