"""A restore loses nothing, and Undo brings what was there back."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from coilbook.records.backups import BackupReason
from coilbook.records.ids import ActId
from coilbook.records.message import Refusal, StorageTrouble
from coilbook.records.vocabulary import Act
from coilbook.storage import arrival, backup, check, journal, restore
from coilbook.storage import tables as t
from coilbook.storage.collection import Collection
from coilbook.storage.layout import ARRIVING, FILE_NAME, PHOTOS, beside, photo_place
from tests.storage.conftest import undo
from tests.storage.workload import TestClock, add_animal, content_of, put_photo, weigh


def ids(collection: Collection) -> list[str]:
    return [k for (k,) in collection.read("SELECT keeper_id FROM animal ORDER BY id")]


def restore_act(collection: Collection) -> ActId:
    return ActId(collection.read("SELECT max(act) FROM restored")[0][0])


def test_restore_and_undo_bring_each_state_back_exactly(collection: Collection, clock: TestClock) -> None:
    add_animal(collection, "F-014")
    old = content_of(collection)
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    weigh(collection, add_animal(collection, "F-015"), "later")
    new = content_of(collection)
    changes = restore.restore(collection, made)
    assert changes.everything
    assert content_of(collection) == old
    restore.undo_restore(collection, restore_act(collection))
    assert content_of(collection) == new
    restore.undo_restore(collection, restore_act(collection))
    assert content_of(collection) == old
    assert check.check(collection).findings == ()


def test_undo_of_a_restore_keeps_what_was_entered_since_in_a_backup(collection: Collection, clock: TestClock) -> None:
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    add_animal(collection, "F-014")
    restore.restore(collection, made)
    first = restore_act(collection)
    add_animal(collection, "M-03")
    with collection.writing() as db:
        assert journal.resting_on(db, first) == [first + 1]
    restore.undo_restore(collection, first)
    assert ids(collection) == ["F-014"]
    restore.undo_restore(collection, restore_act(collection))
    assert ids(collection) == ["M-03"]


def test_ids_and_codes_given_since_the_backup_are_not_given_again(collection: Collection, clock: TestClock) -> None:
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    with collection.act(Act.ADD_ANIMAL) as act:
        lost = act.insert(t.Animal, keeper_id="F-014")
        act.run("INSERT INTO code (body, kind, target, issued_at) VALUES ('001', 'A', ?, '')", (lost,))
        act.run("INSERT INTO code_counter (kind, last) VALUES ('A', 1)")
    last_act = act.id
    restore.restore(collection, made)
    assert ids(collection) == []
    assert collection.read("SELECT body, target FROM code") == [("001", lost)]
    assert collection.read("SELECT kind, last FROM code_counter") == [("A", 1)]
    assert restore_act(collection) > last_act
    assert add_animal(collection, "F-015") > lost


def test_acts_older_than_the_backup_can_still_be_undone(collection: Collection, clock: TestClock) -> None:
    add_animal(collection, "F-014")
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    add_animal(collection, "F-015")
    restore.restore(collection, made)
    undo(collection, 1)
    assert ids(collection) == []


def test_the_journal_does_not_undo_a_restore_row_by_row(collection: Collection, clock: TestClock) -> None:
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    restore.restore(collection, made)
    with pytest.raises(Refusal, match="undone alone"):
        undo(collection, restore_act(collection))


def test_who_restored_stands_in_the_journal(collection: Collection, clock: TestClock) -> None:
    with collection.act(Act.ADD_PERSON) as act:
        wren = act.insert(t.Person, name="Wren")
    collection.at_keyboard(wren, "Wren")
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    restore.restore(collection, made)
    assert collection.read("SELECT kind, person_name FROM act WHERE id = ?", (restore_act(collection),)) == [
        ("restore", "Wren")
    ]


def test_lost_pictures_come_back_with_the_restore(collection: Collection, clock: TestClock) -> None:
    sha256 = put_photo(collection, add_animal(collection), b"picture")
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    file = collection.folder / PHOTOS / photo_place(sha256, "png")
    file.unlink()
    assert not check.check(collection).clean
    restore.restore(collection, made)
    assert file.read_bytes() == b"picture"
    assert check.check(collection).findings == ()


def test_a_damaged_picture_comes_back_with_the_restore(
    collection: Collection, clock: TestClock, tmp_path: Path
) -> None:
    """It lay there under its name, so it was taken for whole, by backups and restores alike."""
    store = tmp_path / "drive"
    sha256 = put_photo(collection, add_animal(collection), b"whole picture")
    made = backup.make(collection.folder, clock(), BackupReason.BY_HAND, into=store)
    ours, kept = (home / PHOTOS / photo_place(sha256, "png") for home in (collection.folder, store))
    kept.unlink()
    kept.write_bytes(b"")
    backup.make(collection.folder, clock(), BackupReason.BY_HAND, into=store)
    assert kept.read_bytes() == b"whole picture"
    ours.unlink()
    ours.write_bytes(b"WHOLE PICTURE")
    assert not check.check(collection).clean
    # a backup of what is damaged does not spoil what it has
    backup.make(collection.folder, clock(), BackupReason.BY_HAND, into=store)
    restore.restore(collection, made)
    assert ours.read_bytes() == kept.read_bytes() == b"whole picture"
    assert check.check(collection).clean


def test_a_backup_of_an_older_format_is_brought_up_to_date(old_folder: Path, clock: TestClock) -> None:
    with Collection.open(old_folder, clock) as collection:
        (made,) = backup.listed(backup.backups_of(old_folder))
        add_animal(collection, "F-099")
        restore.restore(collection, made)
        assert ids(collection) == ["F-014", "M-03", "J-22"]
        assert check.check(collection).findings == ()
        restore.undo_restore(collection, restore_act(collection))
        assert ids(collection)[-1] == "F-099"


def test_a_damaged_backup_is_refused_and_nothing_changes(collection: Collection, clock: TestClock) -> None:
    add_animal(collection)
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    with (made.folder / FILE_NAME).open("r+b") as stream:
        stream.truncate(8192)
    before = content_of(collection)
    with pytest.raises(StorageTrouble, match="choose another one"):
        restore.restore(collection, made)
    assert content_of(collection) == before
    assert collection.read("SELECT count(*) FROM restored") == [(0,)]


def test_whoever_follows_acts_is_told_to_rebuild(collection: Collection, clock: TestClock) -> None:
    told: list[bool] = []
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    collection.hooks.append(lambda db, changes: told.append(changes.everything and changes.act is None))
    restore.restore(collection, made)
    assert told == [True]


def test_undo_says_so_when_the_backup_made_before_is_gone(collection: Collection, clock: TestClock) -> None:
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    add_animal(collection)
    restore.restore(collection, made)
    act = restore_act(collection)
    before = restore.backup_before(collection, act)
    assert before is not None
    shutil.rmtree(before.folder)
    with pytest.raises(Refusal, match="no longer there"):
        restore.undo_restore(collection, act)


def test_another_program_that_writes_meanwhile_is_not_overrun(collection: Collection, clock: TestClock) -> None:
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    with Collection.open(collection.folder, clock) as other:
        busy = iter(range(100))

        def write(done: int, total: int) -> None:
            add_animal(other, f"F-{next(busy)}")

        # each try backs up first; the other program writes during every one of them, after its snapshot
        with pytest.raises(StorageTrouble, match="keeps writing") as caught:
            restore.restore(collection, made, progress=write)
        assert caught.value.kind == "locked"
        assert len(ids(collection)) == len(ids(other)) > 0
        before = ids(other)
        restore.restore(collection, made)
        assert ids(other) == []
        add_animal(other, "M-03")
        assert ids(collection) == ["M-03"]
        restore.undo_restore(other, restore_act(other))
        assert ids(collection) == before
        assert check.check(collection).findings == ()


def test_readers_of_other_threads_and_programs_see_the_restored_state(collection: Collection, clock: TestClock) -> None:
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    with Collection.open(collection.folder, clock) as other:
        version = other.data_version()
        add_animal(collection)
        restore.restore(collection, made)
        assert other.data_version() != version
        assert ids(other) == []


@pytest.mark.parametrize("harm", ["removed", "emptied", "overwritten", "cut"])
def test_a_lost_file_is_restored_and_the_old_one_kept_aside(tmp_path: Path, clock: TestClock, harm: str) -> None:
    folder = tmp_path / "book"
    with Collection.create(folder, clock) as collection:
        put_photo(collection, add_animal(collection, "F-014"), b"picture")
        made = backup.make(folder, clock(), BackupReason.CLOSE)
        old = content_of(collection)
    file = folder / FILE_NAME
    if harm == "removed":
        file.unlink()
    else:
        whole = file.read_bytes()
        harmed = {"emptied": b"", "overwritten": b"not a database" * 500, "cut": whole[: len(whole) // 3]}[harm]
        file.write_bytes(harmed)
        beside(file)[0].write_bytes(b"an old log that must not be read into the new file")
    with pytest.raises(StorageTrouble, match="The newest backup is of"):
        Collection.open(folder, clock)
    with restore.restore_lost(folder, made, clock) as collection:
        assert content_of(collection) == old
        assert check.check(collection).findings == ()
        assert add_animal(collection, "F-015") > 1
    aside = folder / "backups" / arrival.ASIDE / "1"
    if harm != "removed":
        assert (aside / FILE_NAME).read_bytes() == harmed
        assert (aside / (FILE_NAME + "-wal")).exists()
    assert not (folder / ARRIVING).exists()


@pytest.mark.parametrize("moved", [0, 1, 2])
def test_a_crash_while_a_lost_file_is_replaced_is_finished_at_the_next_start(
    tmp_path: Path, clock: TestClock, moved: int
) -> None:
    folder, whole = tmp_path / "book", tmp_path / "whole"
    Collection.create(folder, clock).close()
    with Collection.create(whole, clock) as other:
        add_animal(other, "F-014")
    file = folder / FILE_NAME
    file.write_bytes(b"damaged")
    beside(file)[0].write_bytes(b"log")
    (whole / FILE_NAME).replace(folder / ARRIVING)
    aside = tmp_path / "aside"
    aside.mkdir()
    for old in (beside(file)[0], file)[:moved]:
        old.replace(aside / old.name)
    with Collection.open(folder, clock) as collection:
        assert ids(collection) == ["F-014"]
        assert check.check(collection).findings == ()


def test_a_restored_file_has_every_row_by_another_reader(collection: Collection, clock: TestClock) -> None:
    add_animal(collection, "F-014")
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    restore.restore(collection, made)
    collection.close()
    with closing(sqlite3.connect(collection.file)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert db.execute("SELECT keeper_id FROM animal").fetchall() == [("F-014",)]
