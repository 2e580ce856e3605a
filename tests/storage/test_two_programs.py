"""Two programs on one collection: both are safe, whoever writes."""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
from pathlib import Path

from coilbook.storage import check
from coilbook.storage.collection import Collection
from coilbook.storage.layout import FILE_NAME
from tests.storage.workload import TestClock, add_animal

ROOT = Path(__file__).parents[2]
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)])}


def start(script: str, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(script), *arguments],
        env=ENVIRONMENT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def finish(*programs: subprocess.Popen[str]) -> list[str]:
    said = []
    for program in programs:
        out, err = program.communicate(timeout=120)
        assert program.returncode == 0, err
        said.append(out.strip())
    return said


def test_two_programs_write_at_once_and_every_act_is_there(tmp_path: Path, clock: TestClock) -> None:
    folder = tmp_path / "book"
    with Collection.create(folder, clock) as collection:
        add_animal(collection)
        version = collection.data_version()
        script = """
            import sys
            from pathlib import Path
            from coilbook.storage.collection import Collection
            from tests.storage.workload import TestClock, weigh
            with Collection.open(Path(sys.argv[1]), TestClock()) as book:
                for n in range(150):
                    weigh(book, 1, f"{sys.argv[2]}{n}")
        """
        finish(*(start(script, str(folder), name) for name in "abc"))
        found = {x for (x,) in collection.read("SELECT typed FROM weight")}
        assert found == {f"{name}{n}" for name in "abc" for n in range(150)}
        assert collection.read("SELECT count(*), count(DISTINCT act) FROM change") == [(451, 451)]
        assert collection.data_version() != version
        assert check.check(collection).findings == ()


def test_two_programs_create_at_once_and_one_is_told(tmp_path: Path) -> None:
    script = """
        import sys
        from pathlib import Path
        from coilbook.records.message import StorageTrouble
        from coilbook.storage.collection import Collection
        from tests.storage.workload import TestClock, add_animal
        try:
            with Collection.create(Path(sys.argv[1]), TestClock()) as book:
                add_animal(book)
            print("made")
        except StorageTrouble as trouble:
            print(trouble.kind)
    """
    for n in range(4):
        folder = tmp_path / f"book{n}"
        said = finish(*(start(script, str(folder)) for _ in range(2)))
        assert sorted(said) == ["exists", "made"]
        with Collection.open(folder, TestClock()) as collection:
            assert collection.read("SELECT count(*) FROM animal") == [(1,)]
        assert sorted(p.name for p in folder.iterdir() if p.is_file()) == [FILE_NAME]


def test_two_programs_bring_an_old_file_up_to_date_at_once(tmp_path: Path, old_folder: Path) -> None:
    script = """
        import sys
        from pathlib import Path
        from coilbook.storage import check
        from coilbook.storage.collection import Collection
        from tests.storage.workload import TestClock
        with Collection.open(Path(sys.argv[1]), TestClock()) as book:
            assert check.check(book).findings == ()
            print(book.read("SELECT count(*) FROM animal")[0][0])
    """
    assert finish(*(start(script, str(old_folder)) for _ in range(3))) == ["3", "3", "3"]


def test_opening_twice_in_one_program_keeps_the_locks(tmp_path: Path, clock: TestClock) -> None:
    """Closing a file's other handle drops a process's locks on it: opening again must not touch the file itself."""
    folder = tmp_path / "book"
    with Collection.create(folder, clock) as first:
        add_animal(first)
        Collection.open(folder, clock).close()
        script = """
            import sqlite3, sys
            db = sqlite3.connect(sys.argv[1], timeout=0)
            db.execute("PRAGMA journal_mode = DELETE").fetchone()
            print(db.execute("PRAGMA journal_mode").fetchone()[0])
        """
        broken = start(script, str(folder / FILE_NAME))
        out, err = broken.communicate(timeout=60)
        assert "locked" in err or out.strip() == "wal", (
            "another program could take the log away under an open collection"
        )
        add_animal(first, "F-015")
    with Collection.open(folder, clock) as again:
        assert again.read("SELECT count(*) FROM animal") == [(2,)]
        assert check.check(again).findings == ()
