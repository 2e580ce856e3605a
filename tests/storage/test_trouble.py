"""Whatever is wrong with the disk or the file: one plain sentence, data untouched, backups offered."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
import textwrap
from contextlib import closing
from pathlib import Path

import peewee
import pytest

from coilbook.records.backups import BackupReason
from coilbook.records.message import StorageTrouble
from coilbook.records.vocabulary import Act
from coilbook.storage import backup, check
from coilbook.storage import tables as t
from coilbook.storage.collection import Collection
from coilbook.storage.connection import APPLICATION_ID
from coilbook.storage.layout import FILE_NAME
from coilbook.storage.schema import SCHEMA_VERSION
from coilbook.storage.trouble import told
from coilbook.wording.texts import render
from tests.storage.workload import TestClock, add_animal, bring_in, weigh

ROOT = Path(__file__).parents[2]


def digest(folder: Path) -> dict[str, str]:
    return {
        str(p.relative_to(folder)): hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.rglob("*") if p.is_file()
    }


def trouble_of(folder: Path, clock: TestClock) -> StorageTrouble:
    with pytest.raises(StorageTrouble) as caught:
        Collection.open(folder, clock)
    said = str(caught.value)
    assert said.endswith(".") and "\n" not in said and "sqlite" not in said.lower().replace(FILE_NAME, "")
    return caught.value


@pytest.fixture
def closed(tmp_path: Path, clock: TestClock) -> Path:
    """A closed collection with something in it."""
    with Collection.create(tmp_path / "book", clock) as collection:
        add_animal(collection)
        bring_in(collection, "R1", 200)
    return tmp_path / "book"


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"keeper,sex,weight\n" * 100, "foreign"),
        (b"x", "foreign"),
        (b"", "damaged"),
        (b"SQLite format 3\x00" + bytes(500), "foreign"),
    ],
    ids=["a text", "one byte", "nothing", "a header and no more"],
)
def test_a_foreign_file_is_left_as_it_is(closed: Path, clock: TestClock, content: bytes, kind: str) -> None:
    (closed / FILE_NAME).write_bytes(content)
    before = digest(closed)
    assert trouble_of(closed, clock).kind == kind
    assert digest(closed) == before


def test_another_programs_database_is_left_as_it_is(closed: Path, clock: TestClock) -> None:
    (closed / FILE_NAME).unlink()
    with closing(sqlite3.connect(closed / FILE_NAME)) as db:
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("CREATE TABLE ledger (x)")
        db.commit()
    before = digest(closed)
    assert trouble_of(closed, clock).kind == "foreign"
    assert digest(closed) == before


def test_a_newer_format_is_refused_untouched_and_named(closed: Path, clock: TestClock) -> None:
    with closing(sqlite3.connect(closed / FILE_NAME)) as db:
        db.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 7}")
        db.commit()
    before = digest(closed)
    trouble = trouble_of(closed, clock)
    assert trouble.kind == "newer"
    assert f"format {SCHEMA_VERSION + 7}; this program knows {SCHEMA_VERSION}" in str(trouble)
    assert digest(closed) == before


def test_a_file_marked_as_ours_without_our_tables_is_damaged(tmp_path: Path, clock: TestClock) -> None:
    (tmp_path / "book").mkdir()
    with closing(sqlite3.connect(tmp_path / "book" / FILE_NAME)) as db:
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
        db.execute("CREATE TABLE animal (id)")
        db.commit()
    assert trouble_of(tmp_path / "book", clock).kind == "damaged"


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.95])
def test_a_truncated_file_is_damaged_and_a_backup_offered(closed: Path, clock: TestClock, share: float) -> None:
    made = backup.make(closed, clock(), BackupReason.CLOSE)
    file = closed / FILE_NAME
    os.truncate(file, int(file.stat().st_size * share))
    before = digest(closed)
    trouble = trouble_of(closed, clock)
    assert trouble.kind == "damaged"
    assert "The newest backup is of" in str(trouble)
    assert digest(closed).items() >= before.items()
    backup.verify(made)


def test_no_collection_there(tmp_path: Path, clock: TestClock) -> None:
    assert trouble_of(tmp_path / "nowhere", clock).kind == "absent"
    assert not (tmp_path / "nowhere").exists()


def test_creating_over_a_collection_is_refused(closed: Path, clock: TestClock) -> None:
    before = digest(closed)
    with pytest.raises(StorageTrouble, match="a collection in book already"):
        Collection.create(closed, clock)
    assert digest(closed) == before


def test_a_file_held_by_another_program_is_said_so_and_nothing_is_lost(closed: Path, clock: TestClock) -> None:
    with Collection.open(closed, clock) as collection, closing(sqlite3.connect(closed / FILE_NAME)) as other:
        with collection.writing() as db:
            db.execute_sql("SELECT 1")
        collection._writer.connection().execute("PRAGMA busy_timeout = 50")
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StorageTrouble, match="Another program holds the collection") as caught:
            weigh(collection, 1, "held")
        assert caught.value.kind == "locked"
        other.rollback()
        weigh(collection, 1, "free")
        assert collection.read("SELECT typed FROM weight WHERE typed <> ''") == [("free",)]


def test_a_folder_that_vanishes_takes_no_more_acts(closed: Path, clock: TestClock, tmp_path: Path) -> None:
    with Collection.open(closed, clock) as collection:
        weigh(collection, 1, "before")
        closed.rename(tmp_path / "away")
        with pytest.raises(StorageTrouble, match="no longer where it was") as caught:
            weigh(collection, 1, "lost")
        assert caught.value.kind == "vanished"
        (tmp_path / "away").rename(closed)
        weigh(collection, 1, "after")
    with Collection.open(closed, clock) as collection:
        assert collection.read("SELECT typed FROM weight WHERE typed <> '' ORDER BY id") == [("before",), ("after",)]
        assert check.check(collection).findings == ()


def test_a_folder_removed_under_the_program_is_noticed(closed: Path, clock: TestClock) -> None:
    with Collection.open(closed, clock) as collection:
        shutil.rmtree(closed)
        with pytest.raises(StorageTrouble, match="no longer where it was"):
            weigh(collection, 1, "lost")


def test_a_full_database_leaves_everything_before_it(closed: Path, clock: TestClock) -> None:
    with Collection.open(closed, clock) as collection:
        with collection.writing() as db:
            (pages,) = db.execute_sql("PRAGMA page_count").fetchone()
            db.execute_sql(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(StorageTrouble, match="The disk is full") as caught:
            bring_in(collection, "R2", 2_000)
        assert caught.value.kind == "full"
        assert collection.read("SELECT count(*) FROM import_batch") == [(1,)]
        with collection.writing() as db:
            db.execute_sql("PRAGMA max_page_count = 1000000")
        bring_in(collection, "R3", 10)
        assert check.check(collection).findings == ()


def in_own_disk(size: str, script: str, place: Path) -> subprocess.CompletedProcess[str]:
    """Run a script with `place` as a disk of this size that nobody else sees; skips where that is not allowed."""
    mount = f"mount -t tmpfs -o size={size} none {place}"
    if (
        not shutil.which("unshare")
        or subprocess.run(["unshare", "-rm", "sh", "-c", mount], capture_output=True, check=False).returncode
    ):
        pytest.skip("this machine does not let a test mount a disk of its own")
    (place.parent / "script.py").write_text(textwrap.dedent(script), encoding="utf-8")
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT)])
    return subprocess.run(
        ["unshare", "-rm", "sh", "-c", f"{mount} && exec {sys.executable} {place.parent / 'script.py'} {place}"],
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
        check=False,
    )


def test_no_room_for_the_log_is_a_full_disk() -> None:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorname = "SQLITE_IOERR_SHMSIZE"
    for one in (error, peewee.OperationalError(error, *error.args)):
        trouble = told(one)
        assert trouble is not None and trouble.kind == "full" and "disk is full" in render(trouble.message)
    other = told(sqlite3.OperationalError("disk I/O error"))
    assert other is not None and other.kind == "vanished"


def test_a_full_disk_stops_acts_photos_and_backups_with_a_sentence(tmp_path: Path) -> None:
    place = tmp_path / "disk"
    place.mkdir()
    script = """
        import sys
        from pathlib import Path
        from coilbook.records.backups import BackupReason
        from coilbook.records.message import StorageTrouble
        from coilbook.storage import backup, check, photos
        from coilbook.storage.collection import Collection
        from tests.storage.conftest import jpeg
        from tests.storage.workload import TestClock, add_animal, bring_in, weigh

        disk, clock = Path(sys.argv[1]), TestClock()
        said = []
        (disk / "reserve").write_bytes(bytes(1_500_000))
        with Collection.create(disk / "book", clock, accept_folder=True) as book:
            add_animal(book)
            done = 0
            try:
                while True:
                    bring_in(book, f"i{done}", 400)
                    done += 1
            except StorageTrouble as trouble:
                said.append((trouble.kind, str(trouble)))
            for work in (
                lambda: backup.make(disk / "book", clock(), BackupReason.HOURLY),
                lambda: photos.store(disk / "book", jpeg(size=(2000, 2000), quality=100)),
            ):
                (disk / "filler").write_bytes(b"")
                try:
                    with (disk / "filler").open("ab", buffering=0) as filler:
                        while True:
                            filler.write(bytes(4096))
                except OSError:
                    pass
                try:
                    work()
                    said.append(("written", ""))
                except StorageTrouble as trouble:
                    said.append((trouble.kind, str(trouble)))
            (disk / "filler").unlink()
            (disk / "reserve").unlink()
            weigh(book, 1, "room again")
            assert book.read("SELECT count(*) FROM import_batch") == [(done,)] and done > 0
            assert check.check(book).findings == (), check.check(book).findings
        with Collection.open(disk / "book", clock) as book:
            assert book.read("SELECT count(*) FROM import_batch") == [(done,)]
        assert backup.listed(disk / "book" / "backups") == []
        print(said)
    """
    ran = in_own_disk("6m", script, place)
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.count("('full', 'The disk is full") == 3, ran.stdout


def test_a_read_only_disk_is_said_so(tmp_path: Path) -> None:
    place = tmp_path / "disk"
    place.mkdir()
    script = """
        import subprocess, sys
        from pathlib import Path
        from coilbook.records.message import StorageTrouble
        from coilbook.storage.collection import Collection
        from tests.storage.workload import TestClock, add_animal

        disk, clock = Path(sys.argv[1]), TestClock()
        with Collection.create(disk / "book", clock, accept_folder=True) as book:
            add_animal(book)
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        for work in (
            lambda: Collection.open(disk / "book", clock),
            lambda: Collection.create(disk / "new", clock, accept_folder=True),
        ):
            try:
                work()
                print("opened")
            except StorageTrouble as trouble:
                print(trouble.kind, trouble)
        subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)
        with Collection.open(disk / "book", clock) as book:
            assert book.read("SELECT count(*) FROM animal") == [(1,)]
    """
    ran = in_own_disk("6m", script, place)
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.count("read_only The collection cannot be written") == 2, ran.stdout


def test_a_missing_photo_folder_is_made_again(closed: Path, clock: TestClock) -> None:
    shutil.rmtree(closed / "photos")
    with Collection.open(closed, clock) as collection:
        assert (closed / "photos").is_dir()
        with collection.act(Act.WRITE_NOTE) as act:
            act.insert(t.Note, at=act.now_text, text="calm")
